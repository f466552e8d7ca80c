#include "aim_page.hpp"

#include <fmt/format.h>

#include "duskcast/base/text.hpp"
#include "duskcast/sheets/aim_sheet.hpp"
#include "duskcast/sheets/html.hpp"

namespace duskcast {

namespace {

std::string print_row(const char* heading, const std::string& text, const char* css_class = "") {
    if (text.empty())
        return "";
    return fmt::format("<dt>{}</dt><dd{}>{}</dd>\n", heading,
                       *css_class == 0 ? "" : fmt::format(" class=\"{}\"", css_class), escape_html(text));
}

std::string print_points(const AimSheet& sheet, const AimCard& card) {
    std::string made;
    for (const AimPoint& point : card.points)
        made += fmt::format("<tr><td>{}. {}</td><td class=\"value\">{}<small>{} to {}</small></td>"
                            "<td><input data-field=\"point{}\" inputmode=\"decimal\" aria-label=\"Reading {} "
                            "of {}\"/></td></tr>\n",
                            point.number, escape_html(point.where),
                            escape_html(print_illuminance(point.lux, sheet.light)),
                            escape_html(print_illuminance(point.range.low, sheet.light)),
                            escape_html(print_illuminance(point.range.high, sheet.light)), point.number,
                            point.number, escape_html(card.id));
    if (card.volts)
        made +=
            fmt::format("<tr><td>at the lamp</td><td class=\"value\">{:.1f} V</td><td><input "
                        "data-field=\"volts\" inputmode=\"decimal\" aria-label=\"Volts at {}\"/></td></tr>\n",
                        *card.volts, escape_html(card.id));
    return made.empty() ? made : "<table>" + made + "</table>\n";
}

/// What is tapped on a phone, to be ticked with a pencil.
std::string print_paper_boxes(const AimCard& card) {
    std::string made = "<p class=\"boxes\">\u2610 aimed";
    for (const auto& [words, next] :
         {std::pair("too bright", &card.dimmer), std::pair("too dim", &card.brighter)})
        made += fmt::format("<br/>\u2610 {}{}", words,
                            next->empty() ? std::string() : ": try " + escape_html(*next));
    return made + "</p>\n";
}

std::string print_card(const AimSheet& sheet, const AimCard& card, std::size_t number) {
    std::string made = fmt::format(
        "<article data-fixture=\"{}\"{}>\n<h2>{}. {}</h2>\n<p class=\"lamp\">{}: {}</p>\n<dl>\n",
        escape_html(card.id),
        card.tilt_degrees ? fmt::format(" data-tilt=\"{:.2f}\"", *card.tilt_degrees) : std::string(), number,
        escape_html(card.id), escape_html(card.kind), escape_html(card.lamp));
    made += print_row("Where", card.place) + print_row("Stands", card.stands);
    made += fmt::format("<dt>Tilt</dt><dd class=\"big\">{}{}</dd>\n", escape_html(card.tilt),
                        card.rim.empty() ? "" : "<small>" + escape_html(card.rim) + "</small>");
    made += print_row("Direction", card.way, "big") + print_row("Lights", card.lights) +
            print_row("Stops", card.stops) + "</dl>\n" + print_points(sheet, card);
    made += "<div class=\"row\">";
    for (const auto& [step, words, next] : {std::tuple("too bright", "Too bright", &card.dimmer),
                                            std::tuple("too dim", "Too dim", &card.brighter)})
        made += fmt::format(
            "<button type=\"button\" data-step=\"{}\" data-say=\"{}\" aria-pressed=\"false\">{}"
            "</button>",
            step,
            escape_html(next->empty() ? "Nothing further at hand fits this fixture." : "Try " + *next + "."),
            words);
    made += fmt::format(
        "</div>\n<p class=\"say next\" role=\"status\"></p>\n<textarea data-field=\"note\" rows=\"2\" "
        "placeholder=\"Note\" aria-label=\"Note on {0}\"></textarea>\n"
        "<label class=\"photo\">Photo<input type=\"file\" accept=\"image/*\" capture=\"environment\" "
        "aria-label=\"Photo of {0}\"/></label>\n<p class=\"shot\"></p>\n",
        escape_html(card.id));
    return made + print_paper_boxes(card) + "</article>\n";
}

} // namespace

std::string print_aim_sheet(const AimSheet& sheet) {
    const std::string nonce = fmt::format("{:016x}", hash_of(sheet.version + sheet.site_name + aim_script));
    std::string page = print_html_head("Aiming " + sheet.site_name, aim_style, nonce);
    page += fmt::format(
        "<body class=\"no-script\" data-version=\"{}\" data-unit=\"{}\">\n<header><h1>{} "
        "<span class=\"count\">\u00b7 <span id=\"left\">{} fixtures</span></span></h1></header>\n<main>\n",
        escape_html(sheet.version), sheet.light == LightUnit::footcandle ? "footcandles" : "lux",
        escape_html(sheet.site_name), sheet.cards.size());
    for (std::size_t i = 0; i < sheet.cards.size(); ++i)
        page += print_card(sheet, sheet.cards[i], i + 1);
    page +=
        "</main>\n<div class=\"tools\"><div class=\"row\"><button type=\"button\" id=\"level\">Phone as a "
        "level</button><button type=\"button\" id=\"look\">Dark on white</button><button type=\"button\" "
        "id=\"save\">Save readings</button></div>\n<p class=\"say\" id=\"tilt\" role=\"status\"></p>\n"
        "<p class=\"say\" id=\"said\" role=\"status\"></p></div>\n<footer><p>";
    page += sheet.is_as_new ? "Expected light is that of new lamps behind clean lenses, "
                            : "Expected light is that of aged lamps behind lenses cleaned once a year, ";
    page +=
        "without moon and street: take off what the meter shows with the lights switched off. The range "
        "holds eight of ten readings when heads are set within 3\u00b0 of tilt and 5\u00b0 of direction and "
        "lamps give within 10 % of their light.</p>\n<p>Lenses and lamps get hot: let them cool before you "
        "touch them, and do not look into the beam. Set a ladder only on firm ground, clear of overhead "
        "lines, with somebody to hold it. Keep away from water's edge in the dark. The line-voltage side is "
        "work for a licensed electrician. Local code decides.</p>\n<p>" +
        escape_html(sheet.origin) +
        "</p></footer>\n<nav class=\"tools\" aria-label=\"Fixtures\"><div><button type=\"button\" "
        "id=\"back\">Back</button><button type=\"button\" class=\"done\" id=\"done\" "
        "aria-pressed=\"false\">Aimed</button><button type=\"button\" id=\"on\">Next</button></div></nav>\n";
    return page + "<script nonce=\"" + nonce + "\">" + aim_script + "</script>\n</body>\n</html>\n";
}

} // namespace duskcast
