#include "duskcast/draw/canvas.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/units.hpp"
#include "paper.hpp"

namespace duskcast {
namespace {

Path path_of(const std::vector<glm::dvec2>& points, bool is_closed) {
    Path path;
    for (const glm::dvec2& point : points)
        path.parts.push_back({path.parts.empty() ? Path::Step::move : Path::Step::line, point});
    if (is_closed)
        path.parts.push_back({Path::Step::close});
    return path;
}

Path circle_path(const glm::dvec2& middle, double radius) {
    return {{{Path::Step::arc, middle, radius, 0, 2 * pi}}};
}

Path rounded_box_path(const Box& box, double radius) {
    const Box inner = box.grown(-radius);
    return {{{Path::Step::arc, {inner.right, inner.top}, radius, -pi / 2, 0},
             {Path::Step::arc, {inner.right, inner.bottom}, radius, 0, pi / 2},
             {Path::Step::arc, {inner.left, inner.bottom}, radius, pi / 2, pi},
             {Path::Step::arc, {inner.left, inner.top}, radius, pi, 3 * pi / 2},
             {Path::Step::close}}};
}

} // namespace

std::string_view ending_of(PictureFormat format) {
    return format == PictureFormat::svg ? ".svg" : ".png";
}

struct Canvas::Page {
    Paper paper;
    std::vector<Words> words;
};

Canvas::Canvas(double width, double height, PictureFormat format)
    : page_(new Page{Paper(width, height, format), {}}) {
    fill(Box{0, 0, width, height}, page_ink);
}

Canvas::~Canvas() = default;

void Canvas::fill(const std::vector<glm::dvec2>& polygon, const Ink& ink) {
    page_->paper.fill(path_of(polygon, true), ink);
}

void Canvas::fill(const Box& box, const Ink& ink) {
    fill(box.corners(), ink);
}

void Canvas::fill_disk(const glm::dvec2& middle, double radius, const Ink& ink) {
    page_->paper.fill(circle_path(middle, radius), ink);
}

void Canvas::line(const std::vector<glm::dvec2>& points, bool is_closed, double width, const Ink& ink,
                  const std::vector<double>& dash) {
    page_->paper.stroke(path_of(points, is_closed), {width, ink, dash});
}

void Canvas::circle(const glm::dvec2& middle, double radius, double width, const Ink& ink,
                    const std::vector<double>& dash) {
    page_->paper.stroke(circle_path(middle, radius), {width, ink, dash});
}

void Canvas::hatch(const std::vector<glm::dvec2>& polygon, double gap, double width, const Ink& ink) {
    if (polygon.empty())
        return;
    glm::dvec2 low = polygon.front(), high = low;
    for (const glm::dvec2& point : polygon) {
        low = glm::min(low, point);
        high = glm::max(high, point);
    }
    const double rise = high.y - low.y;
    Path lines;
    for (double x = low.x - rise; x < high.x; x += gap) {
        lines.parts.push_back({Path::Step::move, {x, high.y}});
        lines.parts.push_back({Path::Step::line, {x + rise, low.y}});
    }
    page_->paper.stroke_inside(polygon, lines, {width, ink, {}});
}

void Canvas::image(const Raster& raster, const Box& box, const std::vector<std::vector<glm::dvec2>>& clip,
                   bool is_smooth) {
    if (raster.width > 0 && raster.height > 0)
        page_->paper.image(raster, box, clip, is_smooth);
}

Box Canvas::text(const std::string& text, const glm::dvec2& at, Anchor anchor, const TextStyle& style,
                 double turn) {
    const double share = anchor == Anchor::left ? 0.0 : anchor == Anchor::middle ? 0.5 : 1.0;
    const glm::dvec2 size = page_->paper.write(text, style, 0, {at, {share, 0.5}, turn});
    const double left = at.x - share * size.x;
    Box box{left, at.y - size.y / 2, left + size.x, at.y + size.y / 2};
    if (turn != 0) { // the text's middle turns about its anchor
        const double c = std::cos(turn), s = std::sin(turn);
        box = Box::round(
            at + (0.5 - share) * size.x * glm::dvec2(c, s),
            {std::abs(c) * size.x + std::abs(s) * size.y, std::abs(s) * size.x + std::abs(c) * size.y});
    }
    page_->words.push_back({text, box});
    return box;
}

void Canvas::card(const std::string& text, const Box& box, const TextStyle& style) {
    const Path rim = rounded_box_path(box, std::min(4.0, box.height() / 2));
    page_->paper.fill(rim, {{1, 1, 1}, 0.93});
    page_->paper.stroke(rim, {0.8, {style.ink.colour, 0.5}, {}});
    this->text(text, box.middle(), Anchor::middle, style);
    page_->words.back().box = box;
}

double Canvas::paragraph(const std::string& text, const glm::dvec2& corner, double wrap,
                         const TextStyle& style) {
    const glm::dvec2 size = page_->paper.write(text, style, wrap, {corner});
    page_->words.push_back({text, {corner.x, corner.y, corner.x + size.x, corner.y + size.y}});
    return size.y;
}

const std::vector<Canvas::Words>& Canvas::words() const {
    return page_->words;
}

std::string Canvas::finish() {
    return page_->paper.finish();
}

} // namespace duskcast
