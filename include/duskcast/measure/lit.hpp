#pragma once
// When something reads as lit: the one rule for crowns, walls and whatever else a view shows.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace duskcast {

/// Luminance from which a surface reads as lit, unless the user says otherwise. Working convention, no
/// source: in our night pictures it is dim and plain to see, a third of it is just visible. A grey wall that
/// returns a fifth of its light has it at 1.6 lx.
inline constexpr double usual_lit_luminance = 0.1; ///< cd/m2

/// A height reads as lit when this share of what is seen there does (working convention, no source).
inline constexpr double reads_as_lit = 1.0 / 3.0;

/// Faint: at least this share of what it takes to read as lit. 3 : 1 is the least ratio that is recognised
/// (recognisable_contrast).
inline constexpr double reads_as_faint = 1.0 / 3.0;

/// Fewer leaves or pixels make no band of their own: they are judged together with the band below.
inline constexpr std::size_t least_samples = 20;

/// Heights above the foot between which a level is met without a break. Glass that lies within is passed
/// over.
struct Stretch {
    double from = 0;
    double to = 0;

    bool operator==(const Stretch&) const = default;
};

/// A height band of something that is lit in part.
struct LitBand {
    double from = 0, to = 0; ///< above the foot
    double area = 0;         ///< in any unit
    double lit_area = 0;
    std::size_t samples = 0; ///< leaves or pixels in it
};

/// What reads as lit of bands that follow one another from below.
struct LitStretches {
    std::vector<Stretch> all; ///< from below; none: nothing reads as lit
    Stretch main;             ///< the one with the most area; 0 to 0 when there is none
    bool is_to_top = false;   ///< the main one ends where the bands end

    bool is_any() const { return !all.empty(); }
};
LitStretches find_lit_stretches(const std::vector<LitBand>& bands);

enum class Sighting {
    lit,
    faint,
    unlit,
    hidden,        ///< something stands before it
    out_of_picture ///< the view does not look there
};

/// Its word in files: "lit", "faint", "unlit", "hidden", "out of the picture".
const char* name_of(Sighting sighting);

/// Where a crown or another thing is looked at from: nowhere (all of it counts), one of the site's views, or
/// a side.
struct Viewpoint {
    enum class Kind { whole, view, south, north };
    Kind kind = Kind::whole;
    std::string view; ///< id, of a view

    bool is_whole() const { return kind == Kind::whole; }
    bool operator==(const Viewpoint&) const = default;
};

/// As files of figures name it: "", the view's id, "from the south" or "from the north".
std::string name_of(const Viewpoint& viewpoint);

/// A target or a crown as an eye sees it.
struct SeenFeature {
    std::string feature; ///< id of the target or tree
    bool is_tree = false;
    std::string on; ///< what the target is on; the tree
    Viewpoint from;
    Sighting sighting = Sighting::unlit;
    double luminance = 0;    ///< mean of what is seen of it, cd/m2
    double background = 0;   ///< median of what lies round it and is of another body, cd/m2
    double needed = 0;       ///< cd/m2 that read as lit here: the level asked for, or as much as `background`
    bool is_upright = false; ///< has heights, and the figures below
    double low = 0, high = 0; ///< above the foot: its own ends
    double seen_to = 0;       ///< the highest of it that is seen
    LitStretches lit;         ///< at `needed`
    LitStretches faint;       ///< at a third of it, what is lit included
    bool is_missed = false;   ///< a target that gets less light than is wanted: its own level, its own share

    bool is_seen() const { return sighting != Sighting::hidden && sighting != Sighting::out_of_picture; }
    /// Reads as lit as a whole and yet is missed: an eye asks for less light than its designer.
    bool is_lit_but_missed() const {
        return is_missed && sighting == Sighting::lit && (!is_upright || lit.is_to_top);
    }
};

} // namespace duskcast
