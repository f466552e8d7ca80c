#include "../paper.hpp"

#include <algorithm>
#include <cairo-svg.h>
#include <cmath>
#include <map>
#include <pango/pangocairo.h>
#include <stdexcept>

#include "duskcast/base/text.hpp"
#include "print_png.hpp"

namespace duskcast {
namespace {

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

void add_polygon(cairo_t* cairo, const Polygon& points) {
    for (std::size_t i = 0; i < points.size(); ++i)
        i == 0 ? cairo_move_to(cairo, points[i].x, points[i].y)
               : cairo_line_to(cairo, points[i].x, points[i].y);
    cairo_close_path(cairo);
}

void add_path(cairo_t* cairo, const Path& path) {
    bool is_open = false; // the last part goes on in the next
    for (const Path::Part& part : path.parts) {
        switch (part.step) {
        case Path::Step::move:
            cairo_move_to(cairo, part.at.x, part.at.y);
            break;
        case Path::Step::line:
            cairo_line_to(cairo, part.at.x, part.at.y);
            break;
        case Path::Step::arc:
            if (!is_open)
                cairo_new_sub_path(cairo);
            cairo_arc(cairo, part.at.x, part.at.y, part.radius, part.from, part.until);
            break;
        case Path::Step::close:
            cairo_close_path(cairo);
            break;
        }
        is_open = part.step != Path::Step::close;
    }
}

void set_pen(cairo_t* cairo, const Pen& pen) {
    set_ink(cairo, pen.ink);
    cairo_set_line_width(cairo, pen.width);
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
    cairo_set_line_cap(cairo, pen.dash.empty() ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
    cairo_set_dash(cairo, pen.dash.data(), static_cast<int>(pen.dash.size()), 0);
}

void show_layout(cairo_t* cairo, const Layout& layout, const TextStyle& style) {
    if (style.halo > 0) {
        pango_cairo_layout_path(cairo, layout.layout);
        set_pen(cairo, {2 * style.halo, style.halo_ink, {}});
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
    const auto is_small_letter = [](char c) { return c >= 'a' && c <= 'z'; };
    while (at < svg.size()) {
        const bool is_id = svg.compare(at, 4, "id=\"") == 0;
        if (!is_id && svg[at] != '#') {
            result += svg[at++];
            continue;
        }
        const std::size_t skip = is_id ? 4 : 1;
        result.append(svg, at, skip);
        std::size_t end = at += skip;
        while (end < svg.size() && is_small_letter(svg[end]))
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

std::vector<PictureFormat> picture_formats(bool with_svg) {
    return with_svg ? std::vector{PictureFormat::png, PictureFormat::svg} : std::vector{PictureFormat::png};
}

glm::dvec2 measure_text(const std::string& text, const TextStyle& style, double wrap) {
    cairo_surface_t* surface = cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1);
    cairo_t* cairo = cairo_create(surface);
    const glm::dvec2 size = Layout(cairo, text, style, wrap).size();
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    return size;
}

struct Paper::Page {
    PictureFormat format;
    std::string bytes;
    cairo_surface_t* surface = nullptr;
    cairo_t* cairo = nullptr;
    double photo_pixels = 0; ///< covered by images, pixel for pixel

    /// Whether it is a photo or a picture like one, and not a drawing.
    bool is_photo() const {
        return photo_pixels >
               0.9 * cairo_image_surface_get_width(surface) * cairo_image_surface_get_height(surface);
    }

    Page(double width, double height, PictureFormat wanted) : format(wanted) {
        if (format == PictureFormat::svg) {
            surface = cairo_svg_surface_create_for_stream(append, &bytes, width, height);
            cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PX);
            cairo = cairo_create(surface);
            return;
        }
        const bool is_slide = format == PictureFormat::slide;
        surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24,
                                             is_slide ? slide_width : static_cast<int>(std::lround(width)),
                                             is_slide ? slide_height : static_cast<int>(std::lround(height)));
        cairo = cairo_create(surface);
        if (!is_slide)
            return;
        set_ink(cairo, page_ink);
        cairo_paint(cairo);
        const double scale = std::min(slide_width / width, slide_height / height);
        cairo_translate(cairo, (slide_width - scale * width) / 2, (slide_height - scale * height) / 2);
        cairo_scale(cairo, scale, scale);
    }
    ~Page() {
        cairo_destroy(cairo);
        cairo_surface_destroy(surface);
    }
    Page(const Page&) = delete;
    Page& operator=(const Page&) = delete;
};

Paper::Paper(double width, double height, PictureFormat format)
    : page_(std::make_unique<Page>(width, height, format)) {}

Paper::~Paper() = default;

void Paper::fill(const Path& path, const Ink& ink) {
    add_path(page_->cairo, path);
    set_ink(page_->cairo, ink);
    cairo_fill(page_->cairo);
}

void Paper::stroke(const Path& path, const Pen& pen) {
    add_path(page_->cairo, path);
    set_pen(page_->cairo, pen);
    cairo_stroke(page_->cairo);
}

void Paper::stroke_inside(const Polygon& clip, const Path& path, const Pen& pen) {
    cairo_save(page_->cairo);
    add_polygon(page_->cairo, clip);
    cairo_clip(page_->cairo);
    stroke(path, pen);
    cairo_restore(page_->cairo);
}

void Paper::image(const Raster& raster, const Box& box, const std::vector<Polygon>& clip, bool is_smooth) {
    if (!is_smooth && clip.empty() && box.width() == raster.width && box.height() == raster.height)
        page_->photo_pixels += box.width() * box.height();
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
    for (const Polygon& polygon : clip)
        add_polygon(cairo, polygon);
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

glm::dvec2 Paper::write(const std::string& text, const TextStyle& style, double wrap,
                        const TextPlace& place) {
    cairo_t* cairo = page_->cairo;
    const Layout layout(cairo, text, style, wrap);
    const glm::dvec2 size = layout.size(), shift = place.share * size;
    cairo_save(cairo);
    cairo_translate(cairo, place.at.x, place.at.y);
    cairo_rotate(cairo, place.turn);
    cairo_translate(cairo, -shift.x, -shift.y);
    cairo_move_to(cairo, 0, 0);
    show_layout(cairo, layout, style);
    cairo_restore(cairo);
    cairo_new_path(cairo);
    return size;
}

std::string Paper::finish() {
    cairo_surface_flush(page_->surface);
    const bool is_svg = page_->format == PictureFormat::svg;
    if (is_svg)
        cairo_surface_finish(page_->surface);
    const cairo_status_t status = cairo_surface_status(page_->surface);
    if (status != CAIRO_STATUS_SUCCESS)
        throw std::runtime_error(cairo_status_to_string(status));
    if (is_svg)
        return renumber_svg(page_->bytes);
    return print_png(cairo_image_surface_get_width(page_->surface),
                     cairo_image_surface_get_height(page_->surface),
                     reinterpret_cast<const std::uint32_t*>(cairo_image_surface_get_data(page_->surface)),
                     static_cast<std::size_t>(cairo_image_surface_get_stride(page_->surface)) / 4,
                     page_->is_photo() ? PngKind::grainy : PngKind::drawing);
}

} // namespace duskcast
