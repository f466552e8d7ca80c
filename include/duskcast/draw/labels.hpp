#pragma once
// Where labels go so that none lies on another.

#include <glm/glm.hpp>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/draw/canvas.hpp"

namespace duskcast {

/// Remembers which parts of a page carry text already.
class LabelSpace {
public:
    bool is_free(const Box& box) const;
    void take(const Box& box) { taken_.push_back(box); }

    /// Takes and returns the first of the candidates that is free; none when all are taken.
    std::optional<Box> take_first_free(const std::vector<Box>& candidates);

private:
    std::vector<Box> taken_;
};

/// A label beside a mark.
struct MarkLabel {
    Box box;
    std::vector<glm::dvec2> leader; ///< from the mark to a label that stands further off; empty: none needed
};

/// Finds and takes room for a label of that size beside a mark of that radius, inside `frame`: the first free
/// spot of eight round it, `ways` first to last, nearer rings before further ones; from the fourth ring on
/// with a leader, as far as the frame goes. None only where the frame is full.
std::optional<MarkLabel> label_mark(const glm::dvec2& mark, double radius, const glm::dvec2& size,
                                    const Box& frame, const std::vector<glm::dvec2>& ways, LabelSpace& space);

/// A mark that wants a label of that size. `tip`: how far its stem goes, from `at`.
struct MarkToLabel {
    glm::dvec2 at{0}, tip{0}, size{0};
};

/// Finds room for labels of marks of that radius which all lie in one picture, each with a leader and, where
/// it can, below its mark: no label lies on another, on a mark, its stem or a leader, and no leader crosses
/// another or runs over another mark. One for each mark, in their order; none where there is no such room.
std::vector<std::optional<MarkLabel>> label_marks(const std::vector<MarkToLabel>& marks, double radius,
                                                  const Box& frame);

/// Middles of labels side by side between two ends, in the order of their `wanted` middles and as near
/// to them as `gap` allows (least squares). None when they do not fit.
std::optional<std::vector<double>> spread_labels(const std::vector<double>& wanted,
                                                 const std::vector<double>& widths, double low, double high,
                                                 double gap);

/// A spot for a label on a line.
struct LineLabel {
    glm::dvec2 middle{0};
    double turn = 0;                       ///< clockwise on the page, within a quarter turn of upright
    Box box;                               ///< round the turned label
    std::vector<glm::dvec2> before, after; ///< the line without the piece under the label
};

/// The best free spot for a label of that size on the line: where the line is straightest and levellest,
/// inside `frame`, and no point of `other_lines` under it. None when there is no such spot.
std::optional<LineLabel> find_line_label(const std::vector<glm::dvec2>& line, const glm::dvec2& size,
                                         const Box& frame, const LabelSpace& space,
                                         const std::vector<glm::dvec2>& other_lines);

/// Lines that carry the same words, such as those of one level, in page pixels.
struct NamedLines {
    std::string words;
    Ink ink;
    Ink halo; ///< round the words
    std::vector<std::vector<glm::dvec2>> lines;
};

/// Draws the lines and, inside `frame` where there is room, the words on them.
void draw_named_lines(Canvas& canvas, const std::vector<NamedLines>& lines, const Box& frame,
                      LabelSpace& space);

/// Points at even distances along a line.
std::vector<glm::dvec2> walk_line(const std::vector<glm::dvec2>& line, double stride);

} // namespace duskcast
