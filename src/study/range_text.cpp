#include "range_text.hpp"

#include <fmt/format.h>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"

namespace duskcast {
namespace {

/// "0-20": a hyphen between figures, where dots were meant.
bool has_hyphen_between(const std::string& values) {
    constexpr auto digits = "0123456789";
    for (const std::string& value : split(values, ',')) {
        const std::size_t hyphen = value.find('-', 1);
        if (hyphen != std::string::npos && value.find_first_of(digits) < hyphen &&
            value.find_first_of(digits, hyphen) != std::string::npos)
            return true;
    }
    return false;
}

} // namespace

RangeText split_range(const std::string& text, const std::string& form) {
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos || text.find("..") < equals || trimmed(text.substr(equals + 1)).empty())
        refuse(fmt::format("\"{}\" is no range", text), form);
    RangeText range{.knob = read_knob(text.substr(0, equals)), .values = text.substr(equals + 1)};
    const std::string& values = range.values;
    const std::size_t dots = values.find("..");
    if (dots == std::string::npos) {
        if (range.knob != Knob::lamp && has_hyphen_between(values))
            refuse(fmt::format("\"{}\" has a hyphen where two dots are wanted", text), form);
        return range;
    }
    if (values.find('.', dots + 2) == dots + 2 || values.find("..", dots + 2) != std::string::npos)
        refuse(fmt::format("\"{}\" has too many dots", text), form);
    const std::size_t colon = values.find(':', dots);
    range.from = trimmed(values.substr(0, dots));
    range.to = trimmed(values.substr(dots + 2, colon == std::string::npos ? colon : colon - dots - 2));
    if (colon != std::string::npos)
        range.step = trimmed(values.substr(colon + 1));
    if (range.from.empty() || range.to.empty())
        refuse(fmt::format("\"{}\" lacks an end", text), form);
    return range;
}

} // namespace duskcast
