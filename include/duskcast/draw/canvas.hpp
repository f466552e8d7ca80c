#pragma once
// A page to draw on: a few plain calls, with cairo and Pango behind them, or in builds without these a writer
// of SVG. Units are pixels of the page, y downwards.

#include <cstdint>
#include <glm/glm.hpp>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/colour.hpp"

namespace duskcast {

/// `slide`: a PNG of 2400 by 1600 pixels on which the page is as large as it fits.
enum class PictureFormat { png, svg, slide };

inline constexpr int slide_width = 2400, slide_height = 1600; ///< pixels

/// What pictures are drawn as: PNG, and SVG beside it when asked for; in builds without cairo SVG alone.
std::vector<PictureFormat> picture_formats(bool with_svg);

/// ".png" or ".svg".
std::string_view ending_of(PictureFormat format);

/// A colour with opacity.
struct Ink {
    Colour colour{0, 0, 0};
    double opacity = 1;
};

/// An axis-parallel rectangle.
struct Box {
    double left = 0, top = 0, right = 0, bottom = 0;

    double width() const { return right - left; }
    double height() const { return bottom - top; }
    glm::dvec2 middle() const { return {(left + right) / 2, (top + bottom) / 2}; }
    bool overlaps(const Box& other) const {
        return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
    }
    /// A box of this size round a point.
    static Box round(const glm::dvec2& middle, const glm::dvec2& size) {
        return {middle.x - size.x / 2, middle.y - size.y / 2, middle.x + size.x / 2, middle.y + size.y / 2};
    }
    /// Its corners, the way round that a polygon's go.
    std::vector<glm::dvec2> corners() const {
        return {{left, top}, {right, top}, {right, bottom}, {left, bottom}};
    }
    /// As much larger on every side.
    Box grown(double by) const { return {left - by, top - by, right + by, bottom + by}; }
    bool contains(const Box& other) const {
        return left <= other.left && top <= other.top && right >= other.right && bottom >= other.bottom;
    }
};

/// Colour samples, row 0 at the top; opacity 0..1 beside each.
struct Raster {
    int width = 0;
    int height = 0;
    std::vector<Colour> colour;
    std::vector<double> opacity;
};

struct TextStyle {
    double size = 16; ///< pixels
    bool is_bold = false;
    Ink ink{{0.15, 0.16, 0.20}, 1};
    double halo = 0; ///< width of a rim in `halo_ink` round the letters, pixels
    Ink halo_ink{{1, 1, 1}, 1};
};

/// Where the given point lies on the text's box.
enum class Anchor { left, middle, right };

/// Width and height of a text; lines longer than `wrap` (when above 0) are broken between words.
glm::dvec2 measure_text(const std::string& text, const TextStyle& style, double wrap = 0);

class Canvas {
public:
    /// Throws InputError for a PNG in builds without cairo.
    Canvas(double width, double height, PictureFormat format);
    ~Canvas();
    Canvas(const Canvas&) = delete;
    Canvas& operator=(const Canvas&) = delete;

    void fill(const std::vector<glm::dvec2>& polygon, const Ink& ink);
    void fill(const Box& box, const Ink& ink);
    void fill_disk(const glm::dvec2& middle, double radius, const Ink& ink);

    /// `dash`: lengths of ink and gap in turn; empty: solid.
    void line(const std::vector<glm::dvec2>& points, bool is_closed, double width, const Ink& ink,
              const std::vector<double>& dash = {});
    void circle(const glm::dvec2& middle, double radius, double width, const Ink& ink,
                const std::vector<double>& dash = {});

    /// Slanting lines all over a polygon.
    void hatch(const std::vector<glm::dvec2>& polygon, double gap, double width, const Ink& ink);

    /// Draws a raster into a box, clipped to the polygons (none: not clipped). `is_smooth` blends the
    /// samples, otherwise each stays a square.
    void image(const Raster& raster, const Box& box, const std::vector<std::vector<glm::dvec2>>& clip,
               bool is_smooth);

    /// Draws text with its anchor at `at`, vertically centred on it; turned clockwise by `turn` radians
    /// about it. Returns the box round it.
    Box text(const std::string& text, const glm::dvec2& at, Anchor anchor, const TextStyle& style,
             double turn = 0);

    /// A small card with words on it: a fill, a thin rim, text in the middle.
    void card(const std::string& text, const Box& box, const TextStyle& style);

    /// Draws a paragraph from its upper left corner, wrapped. Returns its height.
    double paragraph(const std::string& text, const glm::dvec2& corner, double wrap, const TextStyle& style);

    /// Words and the box round them; a paragraph is one.
    struct Words {
        std::string text;
        Box box;
    };
    /// All words on the page, in the order they were written.
    const std::vector<Words>& words() const;

    /// Ends the drawing: the bytes of the PNG or SVG file.
    std::string finish();

private:
    struct Page;
    std::unique_ptr<Page> page_;
};

} // namespace duskcast
