#pragma once
// What charts of every sort share: a page that knows its words, headings of sections, colours of curves.

#include <array>
#include <string>
#include <vector>

#include "duskcast/draw/page.hpp"

namespace duskcast {

/// A page that remembers where words stand on it.
class ChartCanvas {
public:
    ChartCanvas(double width, double height, PictureFormat format) : canvas_(width, height, format) {}

    Canvas& canvas() { return canvas_; }
    /// Returns the box of the text, turned if `turn` is given (by quarter turns only).
    Box write(const std::string& text, const glm::dvec2& at, Anchor anchor, const TextStyle& style,
              double turn = 0);
    void card(const std::string& text, const Box& box, const TextStyle& style);

    struct Words {
        std::string text;
        Box box;
    };
    const std::vector<Words>& words() const { return words_; }

private:
    Canvas canvas_;
    std::vector<Words> words_;
};

/// A finished page, and the words on it for whoever checks their places.
struct DrawnPage {
    std::string bytes;
    double height = 0;
    std::vector<ChartCanvas::Words> words;
};

inline const TextStyle section_style{.size = 17, .is_bold = true, .ink = text_ink};
inline const TextStyle section_detail_style{.size = 13, .ink = quiet_ink};
inline const TextStyle figure_style{.size = 13, .ink = quiet_ink};
inline constexpr Ink grid_ink{{0.40, 0.41, 0.46}, 0.28};
inline constexpr Ink paper_ink{{0.995, 0.993, 0.988}, 0.9};

/// The eight colours of Okabe and Ito, "Color Universal Design" (2008), which the colour-blind tell apart
/// (from memory), those that stand out best on paper first; grey instead of yellow, too pale there.
inline constexpr std::array<Colour, 8> curve_colours = {{{0.0, 0.447, 0.698},
                                                         {0.835, 0.369, 0.0},
                                                         {0.0, 0.0, 0.0},
                                                         {0.8, 0.475, 0.655},
                                                         {0.0, 0.62, 0.451},
                                                         {0.902, 0.624, 0.0},
                                                         {0.337, 0.706, 0.914},
                                                         {0.5, 0.5, 0.5}}};

/// Title at the left of a section and quiet words behind it. `top` is the section's.
void draw_section_title(ChartCanvas& chart, const std::string& title, const std::string& detail, double left,
                        double top);

/// A round step (1, 2, 2.5, 5 times a power of ten) that goes into `greatest` no more than `most` times.
double find_round_step(double greatest, int most);

std::vector<std::string> split_lines(const std::string& text);

/// As much of the text as fits the width, ending in "…" when cut.
std::string cut_text(const std::string& text, const TextStyle& style, double width);

/// Words broken into at most `most` lines; what does not fit ends in "…".
std::string break_words(const std::string& text, const TextStyle& style, double width, int most);

/// Lines below each other, in the middle of a row.
void write_lines(ChartCanvas& chart, const std::string& text, const glm::dvec2& at, Anchor anchor,
                 const TextStyle& style);

inline constexpr double line_step = 18; ///< between the lines of `write_lines`

/// Whether a small thing of this colour wants white letters on it.
bool is_dark(const Colour& colour);

} // namespace duskcast
