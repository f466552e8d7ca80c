#include "duskcast/draw/canvas.hpp"

#include <algorithm>
#include <cairo-svg.h>
#include <cmath>
#include <map>
#include <pango/pangocairo.h>
#include <stdexcept>

#include "duskcast/base/units.hpp"

namespace duskcast {
namespace {

// DejaVu Sans has every sign the plates use; the rest are what other systems carry in its place.
constexpr auto font_family = "DejaVu Sans, Noto Sans, Liberation Sans, Segoe UI, Arial, sans-serif";

struct Layout {
    PangoLayout* layout;

    Layout(cairo_t* cairo, const std::string& text, const TextStyle& style, double wrap)
        : layout(pango_cairo_create_layout(cairo)) {
        // Metrics that depend on neither screen nor hinting, so that the same text has the same size
        // everywhere.
        PangoContext* context = pango_layout_get_context(layout);
        cairo_font_options_t* options = cairo_font_options_create();
        cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
        cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
        cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
        pango_cairo_context_set_font_options(context, options);
        cairo_font_options_destroy(options);
        pango_context_set_round_glyph_positions(context, FALSE);

        PangoFontDescription* font = pango_font_description_from_string(font_family);
        pango_font_description_set_absolute_size(font, style.size * PANGO_SCALE);
        pango_font_description_set_weight(font, style.is_bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
        pango_layout_set_font_description(layout, font);
        pango_font_description_free(font);
        pango_layout_set_text(layout, text.c_str(), static_cast<int>(text.size()));
        if (wrap > 0) {
            pango_layout_set_width(layout, static_cast<int>(wrap * PANGO_SCALE));
            pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
            pango_layout_set_line_spacing(layout, 1.15f);
        }
    }
    ~Layout() { g_object_unref(layout); }
    Layout(const Layout&) = delete;
    Layout& operator=(const Layout&) = delete;

    glm::dvec2 size() const {
        int width = 0, height = 0;
        pango_layout_get_size(layout, &width, &height);
        return {static_cast<double>(width) / PANGO_SCALE, static_cast<double>(height) / PANGO_SCALE};
    }
};

cairo_status_t append(void* text, const unsigned char* data, unsigned int length) {
    static_cast<std::string*>(text)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

void set_ink(cairo_t* cairo, const Ink& ink) {
    cairo_set_source_rgba(cairo, ink.colour[0], ink.colour[1], ink.colour[2], ink.opacity);
}

void add_path(cairo_t* cairo, const std::vector<glm::dvec2>& points, bool is_closed) {
    for (std::size_t i = 0; i < points.size(); ++i)
        i == 0 ? cairo_move_to(cairo, points[i].x, points[i].y)
               : cairo_line_to(cairo, points[i].x, points[i].y);
    if (is_closed)
        cairo_close_path(cairo);
}

void set_pen(cairo_t* cairo, double width, const Ink& ink, const std::vector<double>& dash) {
    set_ink(cairo, ink);
    cairo_set_line_width(cairo, width);
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
    cairo_set_line_cap(cairo, dash.empty() ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
    cairo_set_dash(cairo, dash.data(), static_cast<int>(dash.size()), 0);
}

void show_layout(cairo_t* cairo, const Layout& layout, const TextStyle& style) {
    if (style.halo > 0) {
        pango_cairo_layout_path(cairo, layout.layout);
        set_pen(cairo, 2 * style.halo, style.halo_ink, {});
        cairo_stroke(cairo);
        cairo_move_to(cairo, 0, 0);
    }
    set_ink(cairo, style.ink);
    pango_cairo_show_layout(cairo, layout.layout);
}

std::uint32_t premultiplied(const Colour& colour, double opacity) {
    const auto byte = [](double value) {
        return static_cast<std::uint32_t>(std::lround(255 * std::clamp(value, 0.0, 1.0)));
    };
    return byte(opacity) << 24 | byte(colour[0] * opacity) << 16 | byte(colour[1] * opacity) << 8 |
           byte(colour[2] * opacity);
}

/// cairo names the parts of an SVG by counters that run on through the life of the process. Numbering
/// them by first appearance gives the same bytes each time.
std::string renumber_svg(const std::string& svg) {
    std::map<std::string, std::string> names;
    std::map<std::string, int> counts;
    std::string result;
    result.reserve(svg.size());
    std::size_t at = 0;
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    const auto is_letter = [](char c) { return c >= 'a' && c <= 'z'; };
    while (at < svg.size()) {
        const bool is_id = svg.compare(at, 4, "id=\"") == 0;
        if (!is_id && svg[at] != '#') {
            result += svg[at++];
            continue;
        }
        const std::size_t skip = is_id ? 4 : 1;
        result.append(svg, at, skip);
        std::size_t end = at += skip;
        while (end < svg.size() && is_letter(svg[end]))
            ++end;
        const std::string kind = svg.substr(at, end - at);
        const std::size_t first_digit = end;
        while (end < svg.size() && (is_digit(svg[end]) || svg[end] == '-'))
            ++end;
        if (end == first_digit)
            continue;
        const std::string name = svg.substr(at, end - at);
        auto found = names.find(name);
        if (found == names.end())
            found = names.emplace(name, kind + std::to_string(counts[kind]++)).first;
        result += found->second;
        at = end;
    }
    return result;
}

} // namespace

glm::dvec2 measure_text(const std::string& text, const TextStyle& style, double wrap) {
    cairo_surface_t* surface = cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1);
    cairo_t* cairo = cairo_create(surface);
    const glm::dvec2 size = Layout(cairo, text, style, wrap).size();
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    return size;
}

struct Canvas::Page {
    PictureFormat format;
    std::vector<Words> words;
    std::string bytes;
    cairo_surface_t* surface = nullptr;
    cairo_t* cairo = nullptr;

    Page(double width, double height, PictureFormat wanted) : format(wanted) {
        surface = format == PictureFormat::png
                      ? cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(std::lround(width)),
                                                   static_cast<int>(std::lround(height)))
                      : cairo_svg_surface_create_for_stream(append, &bytes, width, height);
        if (format == PictureFormat::svg)
            cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PX);
        cairo = cairo_create(surface);
    }
    ~Page() {
        cairo_destroy(cairo);
        cairo_surface_destroy(surface);
    }
    Page(const Page&) = delete;
    Page& operator=(const Page&) = delete;
};

Canvas::Canvas(double width, double height, PictureFormat format)
    : page_(std::make_unique<Page>(width, height, format)) {
    fill(Box{0, 0, width, height}, Ink{{0.995, 0.993, 0.988}, 1});
}

Canvas::~Canvas() = default;

void Canvas::fill(const std::vector<glm::dvec2>& polygon, const Ink& ink) {
    add_path(page_->cairo, polygon, true);
    set_ink(page_->cairo, ink);
    cairo_fill(page_->cairo);
}

void Canvas::fill(const Box& box, const Ink& ink) {
    fill(box.corners(), ink);
}

void Canvas::fill_disk(const glm::dvec2& middle, double radius, const Ink& ink) {
    cairo_new_sub_path(page_->cairo);
    cairo_arc(page_->cairo, middle.x, middle.y, radius, 0, 2 * pi);
    set_ink(page_->cairo, ink);
    cairo_fill(page_->cairo);
}

void Canvas::line(const std::vector<glm::dvec2>& points, bool is_closed, double width, const Ink& ink,
                  const std::vector<double>& dash) {
    add_path(page_->cairo, points, is_closed);
    set_pen(page_->cairo, width, ink, dash);
    cairo_stroke(page_->cairo);
}

void Canvas::circle(const glm::dvec2& middle, double radius, double width, const Ink& ink,
                    const std::vector<double>& dash) {
    cairo_new_sub_path(page_->cairo);
    cairo_arc(page_->cairo, middle.x, middle.y, radius, 0, 2 * pi);
    set_pen(page_->cairo, width, ink, dash);
    cairo_stroke(page_->cairo);
}

void Canvas::hatch(const std::vector<glm::dvec2>& polygon, double gap, double width, const Ink& ink) {
    cairo_t* cairo = page_->cairo;
    cairo_save(cairo);
    add_path(cairo, polygon, true);
    double left = 0, top = 0, right = 0, bottom = 0;
    cairo_path_extents(cairo, &left, &top, &right, &bottom);
    cairo_clip(cairo);
    const double rise = bottom - top;
    for (double x = left - rise; x < right; x += gap) {
        cairo_move_to(cairo, x, bottom);
        cairo_line_to(cairo, x + rise, top);
    }
    set_pen(cairo, width, ink, {});
    cairo_stroke(cairo);
    cairo_restore(cairo);
}

void Canvas::image(const Raster& raster, const Box& box, const std::vector<std::vector<glm::dvec2>>& clip,
                   bool is_smooth) {
    if (raster.width <= 0 || raster.height <= 0)
        return;
    cairo_surface_t* pixels = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, raster.width, raster.height);
    if (cairo_surface_status(pixels) != CAIRO_STATUS_SUCCESS)
        throw std::runtime_error("a picture of this size cannot be drawn");
    cairo_surface_flush(pixels);
    unsigned char* data = cairo_image_surface_get_data(pixels);
    const int stride = cairo_image_surface_get_stride(pixels);
    for (int y = 0; y < raster.height; ++y)
        for (int x = 0; x < raster.width; ++x) {
            const std::size_t i = static_cast<std::size_t>(y) * raster.width + x;
            reinterpret_cast<std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * stride)[x] =
                premultiplied(raster.colour[i], raster.opacity[i]);
        }
    cairo_surface_mark_dirty(pixels);

    cairo_t* cairo = page_->cairo;
    cairo_save(cairo);
    for (const std::vector<glm::dvec2>& polygon : clip)
        add_path(cairo, polygon, true);
    if (!clip.empty()) {
        cairo_set_fill_rule(cairo, CAIRO_FILL_RULE_EVEN_ODD); // a ring within a ring is a hole
        cairo_clip(cairo);
    }
    cairo_translate(cairo, box.left, box.top);
    cairo_scale(cairo, box.width() / raster.width, box.height() / raster.height);
    cairo_set_source_surface(cairo, pixels, 0, 0);
    cairo_pattern_set_filter(cairo_get_source(cairo), is_smooth ? CAIRO_FILTER_GOOD : CAIRO_FILTER_NEAREST);
    // Without padding, a blended image fades out over its last half sample.
    cairo_pattern_set_extend(cairo_get_source(cairo), is_smooth ? CAIRO_EXTEND_PAD : CAIRO_EXTEND_NONE);
    cairo_rectangle(cairo, 0, 0, raster.width, raster.height);
    cairo_fill(cairo);
    cairo_restore(cairo);
    cairo_surface_destroy(pixels);
}

Box Canvas::text(const std::string& text, const glm::dvec2& at, Anchor anchor, const TextStyle& style,
                 double turn) {
    cairo_t* cairo = page_->cairo;
    const Layout layout(cairo, text, style, 0);
    const glm::dvec2 size = layout.size();
    const double share = anchor == Anchor::left ? 0.0 : anchor == Anchor::middle ? 0.5 : 1.0;
    cairo_save(cairo);
    cairo_translate(cairo, at.x, at.y);
    cairo_rotate(cairo, turn);
    cairo_translate(cairo, -share * size.x, -size.y / 2);
    cairo_move_to(cairo, 0, 0);
    show_layout(cairo, layout, style);
    cairo_restore(cairo);
    cairo_new_path(cairo);
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
    cairo_t* cairo = page_->cairo;
    const double radius = std::min(4.0, box.height() / 2);
    cairo_new_sub_path(cairo);
    cairo_arc(cairo, box.right - radius, box.top + radius, radius, -pi / 2, 0);
    cairo_arc(cairo, box.right - radius, box.bottom - radius, radius, 0, pi / 2);
    cairo_arc(cairo, box.left + radius, box.bottom - radius, radius, pi / 2, pi);
    cairo_arc(cairo, box.left + radius, box.top + radius, radius, pi, 3 * pi / 2);
    cairo_close_path(cairo);
    set_ink(cairo, {{1, 1, 1}, 0.93});
    cairo_fill_preserve(cairo);
    set_pen(cairo, 0.8, {style.ink.colour, 0.5}, {});
    cairo_stroke(cairo);
    this->text(text, box.middle(), Anchor::middle, style);
    page_->words.back().box = box;
}

double Canvas::paragraph(const std::string& text, const glm::dvec2& corner, double wrap,
                         const TextStyle& style) {
    cairo_t* cairo = page_->cairo;
    const Layout layout(cairo, text, style, wrap);
    cairo_save(cairo);
    cairo_translate(cairo, corner.x, corner.y);
    cairo_move_to(cairo, 0, 0);
    show_layout(cairo, layout, style);
    cairo_restore(cairo);
    cairo_new_path(cairo);
    const glm::dvec2 size = layout.size();
    page_->words.push_back({text, {corner.x, corner.y, corner.x + size.x, corner.y + size.y}});
    return size.y;
}

const std::vector<Canvas::Words>& Canvas::words() const {
    return page_->words;
}

std::string Canvas::finish() {
    cairo_surface_flush(page_->surface);
    if (page_->format == PictureFormat::png)
        cairo_surface_write_to_png_stream(page_->surface, append, &page_->bytes);
    else
        cairo_surface_finish(page_->surface);
    const cairo_status_t status = cairo_surface_status(page_->surface);
    if (status != CAIRO_STATUS_SUCCESS)
        throw std::runtime_error(cairo_status_to_string(status));
    return page_->format == PictureFormat::png ? page_->bytes : renumber_svg(page_->bytes);
}

} // namespace duskcast
