#include "../paper.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fmt/format.h>
#include <stb_image_write.h>
#include <stdexcept>

#include "duskcast/base/base64.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"
#include "text_layout.hpp"

namespace duskcast {
namespace {

/// A thousandth of a pixel is finer than any printer.
std::string print_svg(double value) {
    std::string text = fmt::format("{:.3f}", value);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.')
        text.pop_back();
    return text == "-0" ? "0" : text;
}

std::string print_svg(const glm::dvec2& point) {
    return print_svg(point.x) + " " + print_svg(point.y);
}

std::string print_svg(const Path& path) {
    std::string text;
    bool is_open = false; // the last part goes on in the next
    for (const Path::Part& part : path.parts) {
        switch (part.step) {
        case Path::Step::move:
            text += "M" + print_svg(part.at);
            break;
        case Path::Step::line:
            text += "L" + print_svg(part.at);
            break;
        case Path::Step::arc: {
            const auto point_at = [&](double angle) {
                return part.at + part.radius * glm::dvec2(std::cos(angle), std::sin(angle));
            };
            text += (is_open ? "L" : "M") + print_svg(point_at(part.from));
            const int pieces = part.until - part.from > pi ? 2 : 1; // an arc of SVG has two different ends
            for (int i = 1; i <= pieces; ++i)
                text += fmt::format("A{0} {0} 0 0 1 {1}", print_svg(part.radius),
                                    print_svg(point_at(part.from + (part.until - part.from) * i / pieces)));
            break;
        }
        case Path::Step::close:
            text += "Z";
            break;
        }
        is_open = part.step != Path::Step::close;
    }
    return text;
}

std::string print_svg(const std::vector<Polygon>& polygons) {
    std::string text;
    for (const Polygon& polygon : polygons)
        for (std::size_t i = 0; i < polygon.size(); ++i)
            text += (i == 0 ? "M" : "L") + print_svg(polygon[i]) + (i + 1 == polygon.size() ? "Z" : "");
    return text;
}

std::uint8_t byte_of(double value) {
    return static_cast<std::uint8_t>(std::lround(255 * std::clamp(value, 0.0, 1.0)));
}

/// ` fill="#rrggbb"`, with an opacity where it is not 1; `what` is "fill" or "stroke".
std::string print_ink(std::string_view what, const Ink& ink) {
    std::string text = fmt::format(" {}=\"#{:02x}{:02x}{:02x}\"", what, byte_of(ink.colour[0]),
                                   byte_of(ink.colour[1]), byte_of(ink.colour[2]));
    if (ink.opacity < 1)
        text += fmt::format(" {}-opacity=\"{}\"", what, print_svg(std::max(0.0, ink.opacity)));
    return text;
}

std::string print_pen(const Pen& pen) {
    std::string text = print_ink("stroke", pen.ink) +
                       fmt::format(" stroke-width=\"{}\" stroke-linejoin=\"round\"", print_svg(pen.width));
    if (pen.dash.empty())
        return text + " stroke-linecap=\"round\"";
    text += " stroke-dasharray=\"";
    for (const double length : pen.dash)
        text += print_svg(length) + " ";
    text.back() = '"';
    return text;
}

/// The text in UTF-8 with what XML 1.0 cannot hold as it stands.
std::string print_xml(const std::u32string& signs) {
    std::string text;
    const auto add = [&](char32_t bits) { text += static_cast<char>(bits); };
    for (const char32_t sign : signs)
        if (sign == U'&')
            text += "&amp;";
        else if (sign == U'<')
            text += "&lt;";
        else if (sign == U'>')
            text += "&gt;";
        else if (sign < 0x20 || sign == 0xfffe || sign == 0xffff)
            text += ' ';
        else if (sign < 0x80)
            add(sign);
        else if (sign < 0x800) {
            add(0xc0 | sign >> 6);
            add(0x80 | (sign & 0x3f));
        } else if (sign < 0x10000) {
            add(0xe0 | sign >> 12);
            add(0x80 | (sign >> 6 & 0x3f));
            add(0x80 | (sign & 0x3f));
        } else {
            add(0xf0 | sign >> 18);
            add(0x80 | (sign >> 12 & 0x3f));
            add(0x80 | (sign >> 6 & 0x3f));
            add(0x80 | (sign & 0x3f));
        }
    return text;
}

std::string make_png(const Raster& raster) {
    std::vector<std::uint8_t> rgba;
    rgba.reserve(4 * raster.colour.size());
    for (std::size_t i = 0; i < raster.colour.size(); ++i) {
        for (const double part : raster.colour[i])
            rgba.push_back(byte_of(part));
        rgba.push_back(byte_of(raster.opacity[i]));
    }
    std::string png;
    const auto append = [](void* to, void* bytes, int count) {
        static_cast<std::string*>(to)->append(static_cast<const char*>(bytes),
                                              static_cast<std::size_t>(count));
    };
    if (stbi_write_png_to_func(append, &png, raster.width, raster.height, 4, rgba.data(), 4 * raster.width) ==
        0)
        throw std::runtime_error("a picture of this size cannot be drawn");
    return png;
}

} // namespace

std::vector<PictureFormat> picture_formats(bool) {
    return {PictureFormat::svg};
}

struct Paper::Page {
    std::string svg;
    int clips = 0;

    /// Defines a clip and gives the attribute that uses it.
    std::string clip_to(const std::vector<Polygon>& polygons) {
        svg += fmt::format("<clipPath id=\"clip{}\"><path clip-rule=\"evenodd\" d=\"{}\"/></clipPath>\n",
                           clips, print_svg(polygons));
        return fmt::format(" clip-path=\"url(#clip{})\"", clips++);
    }
};

Paper::Paper(double width, double height, PictureFormat format) : page_(std::make_unique<Page>()) {
    if (format != PictureFormat::svg)
        throw InputError(Problem{.what = "this duskcast was built without cairo and draws no PNG",
                                 .remedy = "draw SVG, or build with DUSKCAST_CAIRO=ON"});
    page_->svg =
        fmt::format("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                    "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\""
                    " width=\"{0}px\" height=\"{1}px\" viewBox=\"0 0 {0} {1}\" font-family=\"{2}\""
                    " style=\"font-kerning:none\">\n",
                    print_svg(width), print_svg(height), font_family);
}

Paper::~Paper() = default;

void Paper::fill(const Path& path, const Ink& ink) {
    page_->svg += fmt::format("<path{} d=\"{}\"/>\n", print_ink("fill", ink), print_svg(path));
}

void Paper::stroke(const Path& path, const Pen& pen) {
    page_->svg += fmt::format("<path fill=\"none\"{} d=\"{}\"/>\n", print_pen(pen), print_svg(path));
}

void Paper::stroke_inside(const Polygon& clip, const Path& path, const Pen& pen) {
    const std::string clipped = page_->clip_to({clip});
    page_->svg +=
        fmt::format("<g{}><path fill=\"none\"{} d=\"{}\"/></g>\n", clipped, print_pen(pen), print_svg(path));
}

void Paper::image(const Raster& raster, const Box& box, const std::vector<Polygon>& clip, bool is_smooth) {
    const std::string clipped = clip.empty() ? "" : page_->clip_to(clip);
    page_->svg += fmt::format(
        "<g{}><image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\"{}"
        " xlink:href=\"data:image/png;base64,{}\"/></g>\n",
        clipped, print_svg(box.left), print_svg(box.top), print_svg(box.width()), print_svg(box.height()),
        is_smooth ? "" : " style=\"image-rendering:pixelated\"", print_base64(make_png(raster)));
}

glm::dvec2 Paper::write(const std::string& text, const TextStyle& style, double wrap,
                        const TextPlace& place) {
    const glm::dvec2 size = measure_text(text, style, wrap), corner = place.at - place.share * size;
    const std::vector<TextLine> lines = lay_out_text(text, style, wrap);
    std::string look = fmt::format(" font-size=\"{}\"", print_svg(style.size));
    if (style.is_bold)
        look += " font-weight=\"bold\"";
    if (style.halo > 0)
        look += print_pen({2 * style.halo, style.halo_ink, {}}) + " style=\"paint-order:stroke\"";
    look += print_ink("fill", style.ink);
    if (place.turn != 0)
        look += fmt::format(" transform=\"rotate({} {})\"", print_svg(degrees_from_radians(place.turn)),
                            print_svg(place.at));
    // Where another font takes the place of ours, a line keeps its width, and before that its anchor.
    const bool is_anchored = lines.size() == 1 && place.share.x > 0;
    if (is_anchored)
        look += place.share.x < 1 ? " text-anchor=\"middle\"" : " text-anchor=\"end\"";
    for (const TextLine& line : lines)
        if (line.width > 0)
            page_->svg +=
                fmt::format("<text{} x=\"{}\" y=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\">"
                            "{}</text>\n",
                            look, print_svg(is_anchored ? place.at.x : corner.x),
                            print_svg(corner.y + line.top + ascent * style.size), print_svg(line.width),
                            print_xml(line.signs));
    return size;
}

std::string Paper::finish() {
    return page_->svg + "</svg>\n";
}

} // namespace duskcast
