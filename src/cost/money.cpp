#include "duskcast/cost/money.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "duskcast/base/text.hpp"

namespace duskcast {

namespace {

std::int64_t power_of_ten(int exponent) {
    std::int64_t power = 1;
    for (; exponent > 0; --exponent)
        power *= 10;
    return power;
}

/// Why a text that is not digits with a point is refused.
FigureFault find_fault(std::string_view text) {
    const bool is_negative = text.starts_with('-');
    if (is_negative)
        text.remove_prefix(1);
    int digits = 0, points = 0, commas = 0;
    for (const char c : text) {
        digits += is_digit(c);
        points += c == '.';
        commas += c == ',';
        if (!is_digit(c) && c != '.' && c != ',')
            return FigureFault::not_a_number;
    }
    if (digits == 0 || points > 1)
        return FigureFault::not_a_number;
    if (commas > 0)
        return FigureFault::comma;
    return is_negative ? FigureFault::negative : FigureFault::none;
}

} // namespace

std::int64_t scale_rounded(std::int64_t value, std::int64_t numerator, std::int64_t denominator) {
    // Whole parts apart, so that the product of large figures fits.
    const std::int64_t rest = value % denominator * numerator;
    return value / denominator * numerator + rest / denominator +
           (rest % denominator >= denominator - rest % denominator ? 1 : 0);
}

Figure read_figure(std::string_view text, int decimals, std::int64_t most) {
    if (const FigureFault fault = find_fault(text); fault != FigureFault::none)
        return {0, fault};
    const std::size_t point = std::min(text.find('.'), text.size());
    const std::string_view whole = text.substr(0, point);
    std::string_view part = text.substr(std::min(point + 1, text.size()));
    while (part.ends_with('0'))
        part.remove_suffix(1);
    if (part.size() > static_cast<std::size_t>(decimals))
        return {0, FigureFault::too_fine};
    std::int64_t value = 0;
    for (const std::string_view digits : {whole, part})
        for (const char c : digits) {
            value = value * 10 + (c - '0');
            if (value > most)
                return {0, FigureFault::too_large};
        }
    // `most` counts the decimals that are not written, too.
    const std::int64_t scale = power_of_ten(decimals - static_cast<int>(part.size()));
    if (value > most / scale)
        return {0, FigureFault::too_large};
    return {value * scale, FigureFault::none};
}

std::string print_plain_cents(Cents cents) {
    return print_figure(cents, 2, 2);
}

std::string print_cents(Cents cents) {
    const std::string plain = print_plain_cents(cents);
    std::string grouped;
    const std::size_t point = plain.find('.');
    for (std::size_t i = 0; i < plain.size(); ++i) {
        grouped += plain[i];
        if (i + 1 < point && (point - 1 - i) % 3 == 0 && is_digit(plain[i]))
            grouped += ',';
    }
    return grouped;
}

std::string print_figure(std::int64_t value, int decimals, int least) {
    const std::int64_t scale = power_of_ten(decimals);
    std::string text =
        fmt::format("{}{}", value < 0 ? "-" : "", value < 0 ? -(value / scale) : value / scale);
    std::string part = fmt::format("{:0{}}", value < 0 ? -(value % scale) : value % scale, decimals);
    while (part.size() > static_cast<std::size_t>(least) && part.ends_with('0'))
        part.pop_back();
    return part.empty() ? text : text + "." + part;
}

std::string print_percent(Millionths share) {
    return print_figure(share, 4) + " %";
}

} // namespace duskcast
