// How things read from the views, in words.

#include <fmt/format.h>

#include "duskcast/sheets/report_words.hpp"

namespace duskcast {

namespace {

constexpr double alike_heights = 0.5 * metres_per_foot; ///< that nobody tells apart at night

/// "to its top, 45 ft", "to about 25 ft of 45 ft", "from about 10 ft to about 25 ft of 45 ft".
std::string print_stretch(const SeenFeature& seen, const LitStretches& lit, LengthUnit unit) {
    const Stretch& main = lit.main;
    std::string text;
    if (main.from > seen.low + (seen.high - seen.low) / 4)
        text = fmt::format("from about {} ", print_height(main.from, unit));
    if (lit.is_to_top && seen.seen_to > 0.9 * seen.high)
        return text + fmt::format("to its top, {}", print_height(seen.high, unit));
    if (lit.is_to_top)
        return text + fmt::format("as far up as it is seen, about {} of {}", print_height(seen.seen_to, unit),
                                  print_height(seen.high, unit));
    return text +
           fmt::format("to about {} of {}", print_height(main.to, unit), print_height(seen.high, unit));
}

/// Where it goes on faintly above what is lit.
std::string print_faint_above(const SeenFeature& seen, LengthUnit unit) {
    if (seen.lit.is_to_top || seen.faint.main.to < seen.lit.main.to + alike_heights)
        return "";
    return seen.faint.is_to_top ? ", faint above"
                                : fmt::format(", faint to about {}", print_height(seen.faint.main.to, unit));
}

std::string place_of(const Viewpoint& from) {
    return from.kind == Viewpoint::Kind::view ? "from " + from.view : name_of(from);
}

} // namespace

std::string print_sighting(const SeenFeature& seen, LengthUnit unit) {
    if (seen.sighting == Sighting::hidden)
        return "hidden from there";
    std::string reads = name_of(seen.sighting);
    if (seen.is_upright && seen.sighting == Sighting::lit)
        reads += fmt::format(" {}{}", print_stretch(seen, seen.lit, unit), print_faint_above(seen, unit));
    else if (seen.is_upright && seen.sighting == Sighting::faint)
        reads += ", " + print_stretch(seen, seen.faint, unit);
    return seen.is_lit_but_missed() ? reads + ", with less light than wanted" : reads;
}

std::string print_seen(const std::vector<SeenFeature>& seen, const std::string& feature, bool is_tree,
                       LengthUnit unit) {
    std::string text, before;
    for (const SeenFeature& one : seen) {
        if (one.is_tree != is_tree || one.feature != feature)
            continue;
        const std::string reads = print_sighting(one, unit);
        text += fmt::format("{}{}: {}", text.empty() ? "seen " : "; ", place_of(one.from),
                            reads == before ? "the same" : reads);
        before = reads;
    }
    return text;
}

std::string print_lit_rule(double lit_luminance, LightUnit unit) {
    constexpr double usual_reflectance = 0.2;
    return fmt::format(
        "Lit means at least {} cd/m2 ({} on a wall that returns a fifth of its light), and no darker "
        "than most of what lies round it, on a third of what is seen at that height. Faint means a "
        "third of that light. --lit sets another level.",
        print_number(lit_luminance), print_illuminance(pi * lit_luminance / usual_reflectance, unit));
}

} // namespace duskcast
