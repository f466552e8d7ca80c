#pragma once
// What a canvas draws on. Two sources define it, of which a build has one: cairo/paper.cpp makes PNG and
// SVG with cairo and Pango, plain/paper.cpp writes SVG and needs no library for it.

#include <memory>
#include <string>
#include <vector>

#include "duskcast/draw/canvas.hpp"

namespace duskcast {

// DejaVu Sans has every sign the plates use; the rest are what other systems carry in its place.
inline constexpr auto font_family = "DejaVu Sans, Noto Sans, Liberation Sans, Segoe UI, Arial, sans-serif";

inline constexpr Ink page_ink{{0.995, 0.993, 0.988}, 1};

using Polygon = std::vector<glm::dvec2>;

/// Lines and arcs one after the other.
struct Path {
    enum class Step { move, line, arc, close };
    struct Part {
        Step step = Step::move;
        glm::dvec2 at{0};  ///< where to; of an arc its middle
        double radius = 0; ///< of an arc
        double from = 0,
               until = 0; ///< of an arc, radians clockwise from the right; a line leads to its start
    };
    std::vector<Part> parts;
};

/// How a line is drawn: joins are round, and so are the ends of lines that are not dashed.
struct Pen {
    double width = 1;
    Ink ink;
    std::vector<double> dash; ///< lengths of ink and gap in turn; empty: solid
};

/// Where a text goes: the point of its box at `share` of width and height comes to lie at `at`, and the text
/// is turned clockwise by `turn` about it.
struct TextPlace {
    glm::dvec2 at{0};
    glm::dvec2 share{0};
    double turn = 0;
};

class Paper {
public:
    /// Throws InputError when this build cannot draw the format.
    Paper(double width, double height, PictureFormat format);
    ~Paper();
    Paper(const Paper&) = delete;
    Paper& operator=(const Paper&) = delete;

    void fill(const Path& path, const Ink& ink);
    void stroke(const Path& path, const Pen& pen);
    void stroke_inside(const Polygon& clip, const Path& path, const Pen& pen);
    /// As Canvas::image; the raster is not empty.
    void image(const Raster& raster, const Box& box, const std::vector<Polygon>& clip, bool is_smooth);
    /// Returns the text's size. Lines longer than `wrap` (when above 0) are broken.
    glm::dvec2 write(const std::string& text, const TextStyle& style, double wrap, const TextPlace& place);

    /// The bytes of the file.
    std::string finish();

private:
    struct Page;
    std::unique_ptr<Page> page_;
};

} // namespace duskcast
