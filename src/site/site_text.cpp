#include "site_text.hpp"

#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "duskcast/base/text.hpp"

namespace duskcast {
namespace {

std::string quote(const std::string& text) {
    return nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

std::string print_flat(const Text& text) {
    if (!text.bracket)
        return text.scalar;
    std::string flat(1, text.bracket);
    for (const Text& item : text.items) {
        const std::string& key = item.key;
        flat += flat.size() > 1 ? ", " : text.bracket == '{' ? " " : "";
        flat += key.empty() ? print_flat(item) : quote(key) + ": " + print_flat(item);
    }
    return flat + (text.bracket == '[' ? "]" : text.items.empty() ? "}" : " }");
}

/// The shortest decimal that `read` turns into `value` again; empty when no decimal does (multiplying by
/// a unit does not reach every double).
template <class Read> std::string shortest(double value, double guess, Read read) {
    for (int digits = 1; digits <= 17; ++digits) {
        const std::string text = fmt::format("{:.{}g}", guess, digits);
        double figure = 0;
        read_decimal(text, figure);
        if (read(figure) == value)
            return fmt::format("{}", figure);
    }
    return {};
}

/// What a person would have written for a length that is no short number in the file's units, such as
/// "6 ft 8 in", if it reads back exactly.
std::string print_with_unit(double metres, LengthUnit unit) {
    const std::string plain = print_length(metres, unit);
    if (read_length(plain) == metres)
        return plain;
    std::string best = fmt::format("{:.17g} m", metres);
    for (const auto& [name, size] :
         {std::pair("in", metres_per_inch), std::pair("cm", 0.01), std::pair("m", 1.0)}) {
        const std::string text = shortest(metres, metres / size, [&, unit_name = name](double figure) {
            return read_length(fmt::format("{} {}", figure, unit_name));
        });
        if (!text.empty() && text.size() + 1 + std::string_view(name).size() < best.size())
            best = fmt::format("{} {}", text, name);
    }
    return best;
}

} // namespace

std::string print_text(const Text& text, std::size_t indent, std::size_t used) {
    const std::string flat = print_flat(text);
    if (!text.bracket || (indent > 0 && used + flat.size() <= line_width))
        return flat;
    std::string out(1, text.bracket);
    for (const Text& item : text.items) {
        const std::string& key = item.key;
        const std::string start = key.empty() ? "" : quote(key) + ": ";
        out += (out.size() > 1 ? ",\n" : "\n") + std::string(indent + 2, ' ') + start;
        out += print_text(item, indent + 2, indent + 2 + start.size());
    }
    return out + "\n" + std::string(indent, ' ') + (text.bracket == '[' ? "]" : "}");
}

Text scalar(std::string text) {
    return {0, std::move(text), "", {}};
}

TextMaker TextMaker::with_units() {
    TextMaker made(LengthUnit::foot, LightUnit::footcandle);
    made.has_units_ = true;
    return made;
}

Text TextMaker::length(double metres) const {
    if (!std::isfinite(metres))
        return scalar("null");
    if (has_units_ && metres != 0) {
        const std::string feet = print_with_unit(metres, LengthUnit::foot);
        const std::string other = print_with_unit(metres, LengthUnit::metre);
        return word(feet.size() <= other.size() ? feet : other);
    }
    const double unit = metres_per(length_unit_);
    const std::string bare = shortest(metres, metres / unit, [&](double figure) { return figure * unit; });
    const std::size_t tidy = 6; // characters
    if (!bare.empty() && bare.size() <= tidy)
        return scalar(bare);
    const std::string spoken = print_with_unit(metres, length_unit_);
    return scalar(bare.empty() || spoken.size() < bare.size() ? quote(spoken) : bare);
}

Text TextMaker::illuminance(double lux) const {
    if (has_units_ && lux != 0)
        return word(print_illuminance(lux, light_unit_));
    const double unit = lux_per(light_unit_);
    const std::string text = shortest(lux, lux / unit, [&](double figure) { return figure * unit; });
    return scalar(text.empty() ? fmt::format("\"{:.17g} lx\"", lux) : text);
}

Text TextMaker::angle(double radians) {
    const std::string text = shortest(radians, degrees_from_radians(radians), radians_from_degrees);
    return scalar(text.empty() ? fmt::format("\"{:.17g} rad\"", radians) : text);
}

Text TextMaker::spread(double up_and_down, const std::optional<double>& side_to_side) {
    return side_to_side ? list({angle(*side_to_side), angle(up_and_down)}) : angle(up_and_down);
}

Text TextMaker::number(double value) {
    return scalar(std::isfinite(value) ? fmt::format("{}", value) : "null"); // the shortest that reads back
}

Text TextMaker::word(const std::string& text) {
    return scalar(quote(text));
}

Text TextMaker::points(const std::vector<glm::dvec2>& points) const {
    return list_of(points, [&](const glm::dvec2& one) { return point(one); });
}

Text TextMaker::list(std::vector<Text> items) {
    Text text{'[', "", "", {}};
    for (Text& item : items)
        text.items.push_back(std::move(item));
    return text;
}

} // namespace duskcast
