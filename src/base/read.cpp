#include "duskcast/base/units.hpp"

#include <cmath>
#include <fmt/format.h>
#include <utility>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"

namespace duskcast {

namespace {

/// A unit by every name people write. The first name is the one messages use.
struct UnitName {
    std::string_view name;
    double factor; ///< SI per unit
};

/// One kind of quantity: its units and how messages speak of it.
struct Quantity {
    std::string_view noun;    ///< "length"
    std::string_view article; ///< "a length"
    std::string_view example;
    std::vector<std::string_view> main_units; ///< what a message offers
    std::vector<UnitName> names;
};

const Quantity& length_quantity() {
    static const Quantity quantity{"length",
                                   "a length",
                                   "18 in, 5 ft 6 in or 0.45 m",
                                   {"ft", "in", "m", "cm", "mm"},
                                   {{"ft", metres_per_foot},
                                    {"ft.", metres_per_foot},
                                    {"'", metres_per_foot},
                                    {"foot", metres_per_foot},
                                    {"feet", metres_per_foot},
                                    {"in", metres_per_inch},
                                    {"in.", metres_per_inch},
                                    {"\"", metres_per_inch},
                                    {"inch", metres_per_inch},
                                    {"m", 1},
                                    {"inches", metres_per_inch},
                                    {"metre", 1},
                                    {"metres", 1},
                                    {"meter", 1},
                                    {"meters", 1},
                                    {"cm", 0.01},
                                    {"mm", 0.001}}};
    return quantity;
}

const Quantity& illuminance_quantity() {
    static const Quantity quantity{"illuminance",
                                   "an illuminance",
                                   "1 fc or 10 lx",
                                   {"fc", "lx"},
                                   {{"fc", lux_per_footcandle},
                                    {"footcandle", lux_per_footcandle},
                                    {"footcandles", lux_per_footcandle},
                                    {"foot-candle", lux_per_footcandle},
                                    {"foot-candles", lux_per_footcandle},
                                    {"lx", 1},
                                    {"lux", 1}}};
    return quantity;
}

std::string join(const std::vector<std::string_view>& words, std::string_view before, std::string_view last) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const std::string_view separator = i == 0 ? "" : i + 1 == words.size() ? last : ", ";
        text += fmt::format("{}{}{}", separator, before, words[i]);
    }
    return text;
}

/// What word processors and phones make of plain characters, turned back; ASCII letters in lower case.
std::string plain_text(std::string_view text) {
    static constexpr std::pair<std::string_view, std::string_view> replacements[] = {
        {"\xE2\x80\xB2", "'"},  {"\xE2\x80\x99", "'"},  {"\xE2\x80\x98", "'"},  // ′ ’ ‘
        {"\xE2\x80\xB3", "\""}, {"\xE2\x80\x9D", "\""}, {"\xE2\x80\x9C", "\""}, // ″ ” “
        {"''", "\""},           {"\xE2\x88\x92", "-"},  {"\xC2\xA0", " "},      // minus sign, no-break space
        {"\xE2\x80\xAF", " "},  {"\xC2\xBD", " 1/2"},   {"\xC2\xBC", " 1/4"},   {"\xC2\xBE", " 3/4"}};
    std::string plain;
    while (!text.empty()) {
        bool replaced = false;
        for (const auto& [from, to] : replacements) {
            if (text.starts_with(from)) {
                plain += to;
                text.remove_prefix(from.size());
                replaced = true;
                break;
            }
        }
        if (replaced)
            continue;
        const char c = text.front();
        plain += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
        text.remove_prefix(1);
    }
    return plain;
}

/// A number with what follows it, "5 1/2" and "ft".
struct Term {
    double value = 0;
    std::string number; ///< as written
    std::string unit;   ///< as written, "" when none
};

/// Takes a text apart from left to right.
class Scanner {
public:
    Scanner(std::string_view given, const Quantity& quantity)
        : given_(trimmed(given)), plain_(plain_text(given_)), rest_(trimmed(plain_)), quantity_(quantity) {
        if (rest_.empty())
            refuse(fmt::format("the {} is empty", quantity.noun),
                   fmt::format("write a number with its unit, such as {}", quantity.example));
        refuse_comma();
    }

    bool is_done() const { return rest_.empty(); }

    bool take(char c) {
        if (rest_.empty() || rest_.front() != c)
            return false;
        rest_ = trimmed(rest_.substr(1));
        return true;
    }

    Term take_term() {
        Term term;
        const std::string_view start = rest_;
        term.value = take_number();
        if (take('/')) {
            term.value = divide(term.value, take_number());
        } else if (const std::string_view whole = rest_; starts_fraction()) {
            take('-');
            const double numerator = take_number();
            if (take('/'))
                term.value += divide(numerator, take_number());
            else
                rest_ = whole;
        }
        term.number = trimmed(start.substr(0, start.size() - rest_.size()));
        const std::size_t end =
            rest_.starts_with("'") || rest_.starts_with("\"") ? 1 : rest_.find_first_of(" \t0123456789'\"");
        term.unit = rest_.substr(0, end);
        // "5'-6" and "5 ft-6 in": the hyphen joins feet and inches.
        if (term.unit.size() > 1 && term.unit.ends_with('-'))
            term.unit.pop_back();
        rest_ = trimmed(rest_.substr(term.unit.size()));
        return term;
    }

    [[noreturn]] void refuse_all() const {
        refuse(fmt::format("\"{}\" is not {}", given_, quantity_.article),
               fmt::format("write a number with its unit, such as {}", quantity_.example));
    }

    [[noreturn]] void refuse_rest() const {
        refuse(fmt::format("\"{}\" is not {}: \"{}\" is left over", given_, quantity_.article, rest_), "");
    }

    [[noreturn]] void refuse_bare(const std::string& number) const {
        refuse(fmt::format("{} has no unit", number),
               "write " + join(quantity_.main_units, number + " ", " or "));
    }

    double factor_of(const std::string& unit) const {
        std::vector<std::string> known;
        for (const UnitName& name : quantity_.names) {
            if (name.name == unit)
                return name.factor;
            known.emplace_back(name.name);
        }
        const std::string nearest = find_nearest_word(unit, known);
        refuse(fmt::format("unknown unit \"{}\" in \"{}\"", unit, given_),
               (nearest.empty() ? "" : fmt::format("did you mean {}? ", nearest)) +
                   fmt::format("the units known are {}", join(quantity_.main_units, "", " and ")));
    }

    double checked(double value) const {
        if (!std::isfinite(value))
            refuse_size();
        return value;
    }

private:
    [[noreturn]] void refuse_size() const {
        refuse(fmt::format("the number in \"{}\" is too large or too small", given_), "");
    }

    double take_number() {
        if (rest_.empty() || !(is_digit(rest_.front()) || rest_.front() == '.'))
            refuse_all();
        double value = 0;
        const auto [end, fault] = read_decimal(rest_, value);
        if (fault == std::errc::result_out_of_range)
            refuse_size();
        if (fault != std::errc{})
            refuse_all();
        rest_ = trimmed(rest_.substr(static_cast<std::size_t>(end - rest_.data())));
        return value;
    }

    double divide(double numerator, double denominator) const {
        if (denominator == 0)
            refuse(fmt::format("\"{}\" divides by zero", given_), "");
        return checked(numerator / denominator);
    }

    /// After a whole number: "1/2" or, as drawings write it, "-1/2".
    bool starts_fraction() const {
        const std::size_t at = rest_.starts_with('-') ? 1 : 0;
        return rest_.size() > at && is_digit(rest_[at]);
    }

    void refuse_comma() const {
        for (std::size_t i = 1; i + 1 < given_.size(); ++i) {
            if (given_[i] != ',' || !is_digit(given_[i - 1]) || !is_digit(given_[i + 1]))
                continue;
            std::string better(given_);
            better[i] = '.';
            refuse(
                fmt::format("\"{}\" has a comma in its number", given_),
                fmt::format("write decimals with a point, as in {}, and thousands without a comma", better));
        }
    }

    std::string_view given_;
    std::string plain_;
    std::string_view rest_;
    const Quantity& quantity_;
};

} // namespace

double read_length(std::string_view text, std::optional<LengthUnit> bare) {
    Scanner scanner(text, length_quantity());
    const double sign = scanner.take('-') ? -1 : 1;
    if (sign > 0)
        scanner.take('+');
    const Term first = scanner.take_term();
    if (first.unit.empty()) {
        if (!scanner.is_done())
            scanner.refuse_rest();
        if (!bare)
            scanner.refuse_bare((sign < 0 ? "-" : "") + first.number);
        return sign * first.value * metres_per(*bare);
    }
    const double factor = scanner.factor_of(first.unit);
    double metres = first.value * factor;
    if (!scanner.is_done() && factor == metres_per_foot) {
        scanner.take('-');
        const Term second = scanner.take_term();
        if (second.unit.empty())
            refuse(fmt::format("{} has no unit", second.number),
                   fmt::format("write {} ft {} in", first.number, second.number));
        if (scanner.factor_of(second.unit) != metres_per_inch)
            refuse(fmt::format("only inches may follow feet, not {}", second.unit), "");
        metres += second.value * metres_per_inch;
    }
    if (!scanner.is_done())
        scanner.refuse_rest();
    return scanner.checked(sign * metres);
}

double read_illuminance(std::string_view text, std::optional<LightUnit> bare) {
    Scanner scanner(text, illuminance_quantity());
    if (scanner.take('-'))
        refuse(fmt::format("\"{}\" is negative", trimmed(text)), "an illuminance is 0 or more");
    scanner.take('+');
    const Term term = scanner.take_term();
    if (!scanner.is_done())
        scanner.refuse_rest();
    if (!term.unit.empty())
        return scanner.checked(term.value * scanner.factor_of(term.unit));
    if (!bare)
        scanner.refuse_bare(term.number);
    return scanner.checked(term.value * lux_per(*bare));
}

} // namespace duskcast
