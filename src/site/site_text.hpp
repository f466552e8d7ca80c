#pragma once
// A site file on its way out: values laid out as JSON text that reads back to the last bit.

#include <glm/glm.hpp>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/base/units.hpp"

namespace duskcast {

/// A finished scalar, or a list or object to be laid out.
struct Text {
    char bracket = 0; ///< 0, '[' or '{'
    std::string scalar;
    std::string key; ///< in an object; empty in a list
    std::vector<Text> items;
};

/// On one line where it fits behind what stands on the line already (`used` bytes); otherwise one item a
/// line.
std::string print_text(const Text& text, std::size_t indent, std::size_t used);

/// Widths are counted in bytes: a line with other than plain letters breaks a little early.
inline constexpr std::size_t line_width = 100;

Text scalar(std::string text);

/// Makes values in a file's units.
class TextMaker {
public:
    TextMaker(LengthUnit length_unit, LightUnit light_unit)
        : length_unit_(length_unit), light_unit_(light_unit) {}
    /// One whose lengths and light levels say their unit, so that they mean the same in every file.
    static TextMaker with_units();

    /// An object under construction.
    struct Object {
        Text text{'{', "", "", {}};

        void add(const std::string& key, Text value) {
            value.key = key;
            text.items.push_back(std::move(value));
        }
    };

    Text length(double metres) const;
    Text illuminance(double lux) const;
    static Text angle(double radians);
    static Text spread(double up_and_down, const std::optional<double>& side_to_side);
    static Text number(double value);
    static Text word(const std::string& text);
    Text point(const glm::dvec2& point) const { return list({length(point.x), length(point.y)}); }
    Text point(const glm::dvec3& point) const {
        return list({length(point.x), length(point.y), length(point.z)});
    }
    Text points(const std::vector<glm::dvec2>& points) const;
    static Text list(std::vector<Text> items);
    static Text words(const std::vector<std::string>& texts) { return list_of(texts, &word); }
    template <class Things, class Print> static Text list_of(const Things& things, Print print) {
        std::vector<Text> items;
        for (const auto& thing : things)
            items.push_back(print(thing));
        return list(std::move(items));
    }

private:
    LengthUnit length_unit_;
    LightUnit light_unit_;
    bool has_units_ = false;
};

} // namespace duskcast
