#pragma once
// The frame of a page: its size and inks, title, rulers, answers and the note at the foot.

#include <string>
#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/draw/canvas.hpp"

namespace duskcast {

inline constexpr double page_width = 1600;
inline constexpr double page_margin = 56;
inline constexpr double heading_height = 136;

inline constexpr Ink text_ink{{0.14, 0.15, 0.19}, 1};
inline constexpr Ink quiet_ink{{0.40, 0.41, 0.46}, 1};
inline constexpr Ink hairline_ink{{0.40, 0.41, 0.46}, 0.55};
inline constexpr Ink grid_ink{{0.40, 0.41, 0.46}, 0.28};
inline constexpr Ink paper_ink{{0.995, 0.993, 0.988}, 0.9}; ///< behind words that lie on something

inline const TextStyle section_style{.size = 17, .is_bold = true, .ink = text_ink};
inline const TextStyle section_detail_style{.size = 13, .ink = quiet_ink};
inline const TextStyle figure_style{.size = 13, .ink = quiet_ink};

/// A finished page, and the words on it for whoever checks their places.
struct DrawnPage {
    std::string bytes;
    double height = 0;
    std::vector<Canvas::Words> words;
};

/// Title, and detail below it, at the left; `room` wide.
void draw_title(Canvas& canvas, const std::string& title, const std::string& detail, double room);

/// y of the lower end of title and detail.
double measure_title(const std::string& detail, double room);

/// Title at the left of a section and quiet words behind it. `top` is the section's.
void draw_section_title(Canvas& canvas, const std::string& title, const std::string& detail, double left,
                        double top);

/// A round step (1, 2, 2.5, 5 times a power of ten) that goes into `greatest` no more than `most` times.
double find_round_step(double greatest, int most);

/// Metres between the marks of a ruler: 5 ft or 2 m, or more where marks would come closer than `least`
/// pixels.
double ruler_step(LengthUnit unit, double pixels_per_metre, double least);

/// A named height beside the ruler, such as a peak.
struct RulerMark {
    double height = 0;
    std::string text;
};

/// A height ruler with its line at x = `right`. Heights count upwards from `ground`. A figure that would
/// lie on a mark's text is left out.
void draw_ruler(Canvas& canvas, double right, double ground, double pixels_per_metre, double top_height,
                LengthUnit unit, const std::vector<RulerMark>& marks);

/// A scale bar whose line ends at `end` on the right.
void draw_scale_bar(Canvas& canvas, const glm::dvec2& end, double pixels_per_metre, LengthUnit unit);

/// Answers, and the note under every page: what the figures hold for.
class Foot {
public:
    /// Without a note of its own the page has one that holds for all.
    explicit Foot(const std::vector<std::string>& answers, std::string note = "");
    double height() const;
    void draw(Canvas& canvas, double top) const;

private:
    struct Answer {
        std::string text;
        glm::dvec2 corner{0}; ///< y from the foot's top
    };
    std::vector<Answer> answers_;
    std::string note_;
    TextStyle style_{.ink = text_ink};
    double wrap_ = 0;
    double end_ = 0;
};

} // namespace duskcast
