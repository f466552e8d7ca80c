#pragma once
// Pages for a browser that hold everything they show: text made safe, pictures in the page itself.

#include <string>
#include <string_view>

#include "duskcast/base/colour.hpp"
#include "duskcast/draw/canvas.hpp"

namespace duskcast {

/// Text as it must stand in an element or a quoted attribute: & < > " ' as character references, control
/// characters other than line ends left out.
std::string escape_html(std::string_view text);

/// Paragraphs of somebody's own text: an empty line ends one, a line's end breaks it.
std::string print_paragraphs(std::string_view text);

/// How a page begins, up to the end of its head: a policy that loads nothing from anywhere, and runs only the
/// script that carries the nonce; empty: none. `style`: a <style> element.
std::string print_html_head(const std::string& title, std::string_view style, const std::string& nonce = "");

/// What follows print_html_head where a page is one thing to read, and what ends it.
inline constexpr std::string_view begin_html_body = "<body>\n<main>\n",
                                  end_html_body = "</main>\n</body>\n</html>\n";

/// A picture that an element shows and that a page can carry.
struct PagePicture {
    std::string type;  ///< "image/jpeg"
    std::string bytes; ///< empty: there is none
    std::string words; ///< what it shows, for those who do not see it
};
/// Of a file drawn by a Canvas.
PagePicture make_page_picture(std::string bytes, PictureFormat format, std::string words);
/// An <img> with the picture as a data URL (RFC 2397).
std::string print_picture(const PagePicture& picture, std::string_view css_class = "");

/// Reads "#rrggbb". Throws InputError.
Colour read_colour(std::string_view text);
std::string print_colour(const Colour& colour); ///< "#rrggbb"

/// Contrast ratio of two colours, 1 to 21 (WCAG 2.1).
double find_contrast(const Colour& one, const Colour& other);
/// The colour itself where text in it is readable on `paper` (4.5 : 1, WCAG 2.1 level AA), else the nearest
/// to it on the way to black, or on dark paper to white, that is.
Colour make_readable(const Colour& colour, const Colour& paper);

} // namespace duskcast
