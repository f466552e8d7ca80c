#include "duskcast/sheets/html.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/base/base64.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {

namespace {

constexpr double readable_contrast = 4.5;

double page_luminance(const Colour& colour) {
    return luminance_of({decode_srgb(colour[0]), decode_srgb(colour[1]), decode_srgb(colour[2])});
}

} // namespace

std::string escape_html(std::string_view text) {
    std::string made;
    made.reserve(text.size());
    for (const char c : text) {
        switch (c) {
        case '&':
            made += "&amp;";
            break;
        case '<':
            made += "&lt;";
            break;
        case '>':
            made += "&gt;";
            break;
        case '"':
            made += "&quot;";
            break;
        case '\'':
            made += "&#39;";
            break;
        default:
            if (static_cast<unsigned char>(c) >= 0x20 && c != 0x7f)
                made += c;
            else if (c == '\n' || c == '\t')
                made += c == '\n' ? '\n' : ' ';
        }
    }
    return made;
}

std::string print_paragraphs(std::string_view text) {
    std::string made, open;
    const auto close = [&] {
        if (!open.empty())
            made += "<p>" + open + "</p>\n";
        open.clear();
    };
    for (const std::string& line : split(text, '\n')) {
        if (line.empty())
            close();
        else
            open += (open.empty() ? "" : "<br/>") + escape_html(line);
    }
    close();
    return made;
}

std::string print_html_head(const std::string& title, std::string_view style, const std::string& nonce) {
    const std::string script = nonce.empty() ? "" : fmt::format("; script-src &#39;nonce-{}&#39;", nonce);
    return fmt::format("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
                       "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src &#39;none&#39;; "
                       "img-src data:; style-src &#39;unsafe-inline&#39;{}\"/>\n"
                       "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
                       "<meta name=\"referrer\" content=\"no-referrer\"/>\n<title>{}</title>\n{}</head>\n",
                       script, escape_html(title), style);
}

PagePicture make_page_picture(std::string bytes, PictureFormat format, std::string words) {
    return {format == PictureFormat::svg ? "image/svg+xml" : "image/png", std::move(bytes), std::move(words)};
}

std::string print_picture(const PagePicture& picture, std::string_view css_class) {
    if (picture.bytes.empty())
        return "";
    return fmt::format("<img{} alt=\"{}\" src=\"data:{};base64,{}\"/>",
                       css_class.empty() ? "" : fmt::format(" class=\"{}\"", css_class),
                       escape_html(picture.words), picture.type, print_base64(picture.bytes));
}

Colour read_colour(std::string_view text) {
    Colour colour{};
    unsigned value = 0;
    if (text.size() == 7 && text[0] == '#' &&
        std::from_chars(text.data() + 1, text.data() + 7, value, 16).ptr == text.data() + 7) {
        for (std::size_t i = 0; i < 3; ++i)
            colour[i] = ((value >> (16 - 8 * i)) & 0xffu) / 255.0;
        return colour;
    }
    refuse(fmt::format("\"{}\" is no colour", quotable(text)), "write it as #rrggbb, for example #22304f");
}

std::string print_colour(const Colour& colour) {
    std::string made = "#";
    for (const double channel : colour)
        made += fmt::format("{:02x}", static_cast<int>(std::lround(255 * std::clamp(channel, 0.0, 1.0))));
    return made;
}

double find_contrast(const Colour& one, const Colour& other) {
    const double a = page_luminance(one), b = page_luminance(other);
    return (std::max(a, b) + 0.05) / (std::min(a, b) + 0.05);
}

Colour make_readable(const Colour& colour, const Colour& paper) {
    const double end = page_luminance(paper) > 0.18 ? 0.0 : 1.0; // where black and white are read alike
    Colour made = colour;
    for (int step = 0; step < 100 && find_contrast(made, paper) < readable_contrast; ++step)
        for (std::size_t i = 0; i < 3; ++i)
            made[i] = colour[i] + (end - colour[i]) * (step + 1) / 100;
    return made;
}

} // namespace duskcast
