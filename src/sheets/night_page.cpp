// As built and as designed, on a page.

#include <cmath>
#include <fmt/format.h>

#include "duskcast/draw/text.hpp"
#include "duskcast/sheets/aim_sheet.hpp"
#include "duskcast/sheets/fixture_words.hpp"
#include "duskcast/sheets/night_words.hpp"
#include "duskcast/site/layout.hpp"
#include "proposal_style.hpp"

namespace duskcast {

namespace {

/// `show` gives the whole number that stands for an estimate's.
template <class Show>
std::string print_estimate(const FixtureFit& fit, const Estimate& estimate, double designed, const char* unit,
                           const Show& show) {
    if (fit.doubt)
        return "readings do not agree";
    if (!is_told_of(estimate, designed))
        return "not told by the readings";
    return keep_units(
        fmt::format("{}{} ({} to {})", show(estimate.value), unit, show(estimate.low), show(estimate.high)));
}

/// On a compass: 0 to 359.
long compass_degrees(double radians) {
    return (std::lround(degrees_from_radians(radians)) % 360 + 360) % 360;
}

class NightPage {
public:
    NightPage(const NightCheck& check, const std::string& origin)
        : check_(check), origin_(origin),
          designed_(check.model.find_lux(std::vector<FixtureOffset>(check.model.fixture_count()))) {}

    std::string print() {
        const std::string title = check_.site.name + ": as built";
        page_ = print_html_head(title, print_proposal_style(Business{}));
        page_.append(begin_html_body) +=
            "<section class=\"page\">\n<h1>" + escape_html(title) + "</h1>\n<ul>";
        for (const std::string& line : print_night(check_))
            page_ += "<li>" + escape_html(line) + "</li>";
        page_ +=
            "</ul>\n<h2><br/>Designed and found</h2>\n<table><thead><tr><th>Fixture</th><th>Tilt "
            "designed</th>"
            "<th>Tilt found</th><th>Direction designed</th><th>Direction found</th><th>Output found</th></tr>"
            "</thead><tbody>\n";
        for (const FixtureFit& fit : check_.fits)
            print_fit(fit);
        page_ +=
            "</tbody></table>\n<h2><br/>Readings</h2>\n<table><thead><tr><th>Fixture</th><th>Where</th><th>"
            "Expected</th><th>Read</th><th>Read of expected</th></tr></thead><tbody>\n";
        for (const MeterReading& reading : check_.readings.light)
            print_reading(reading);
        for (const VoltReading& reading : check_.readings.volts)
            print_volts_reading(reading);
        page_ += "</tbody></table>\n<p class=\"small\"><br/>" + escape_html(origin_) + "</p>\n</section>\n";
        return page_.append(end_html_body);
    }

private:
    void print_fit(const FixtureFit& fit) {
        const Fixture& fixture = check_.site.fixtures[fit.fixture];
        const Aim aim = place_fixture(check_.site, fixture).aim;
        const bool is_plumb = shines_straight_down(check_.site, fixture);
        const std::string tilt =
            print_estimate(fit, is_plumb ? without_sign(fit.tilt) : fit.tilt, 0, "\u00b0", [&](double off) {
                return std::lround(degrees_from_radians(is_plumb ? off : aim.tilt + off));
            });
        std::string way = "-", found_way = "-";
        if (has_way(check_.site, fixture)) {
            way = fmt::format("{}\u00b0, {}", compass_degrees(aim.azimuth), print_compass(aim.azimuth));
            found_way = print_estimate(fit, fit.azimuth, 0, "\u00b0",
                                       [&](double off) { return compass_degrees(aim.azimuth + off); });
        }
        page_ += fmt::format(
            "<tr><td>{}</td><td>{}</td><td>{}{}</td><td>{}</td><td>{}</td><td>{}</td></tr>\n",
            escape_html(fixture.id), is_plumb ? "plumb" : print_angle(aim.tilt), tilt,
            is_plumb && is_told_of(fit.tilt, 0) && !fit.doubt ? " out of plumb" : "", way, found_way,
            print_estimate(fit, fit.output, 1, " %", [](double share) { return std::lround(100 * share); }));
    }

    void print_reading(const MeterReading& reading) {
        const MeterPoint& point = check_.model.points()[reading.point];
        const double expected = designed_[reading.point];
        page_ += fmt::format("<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{:.0f} %</td></tr>\n",
                             escape_html(check_.site.fixtures[point.fixture].id),
                             escape_html(print_meter_place(point, check_.site.units)),
                             keep_units(escape_html(print_illuminance(expected, check_.site.light))),
                             keep_units(escape_html(print_illuminance(reading.lux, check_.site.light))),
                             100 * reading.lux / expected);
    }

    void print_volts_reading(const VoltReading& reading) {
        std::string expected = "not planned", share;
        if (check_.load)
            for (const FixtureLoad& fed : check_.load->fixtures)
                if (fed.id == reading.fixture && check_.load->runs[fed.run].is_found) {
                    expected = fmt::format("{:.1f} V", fed.volts);
                    share = fmt::format("{:.0f} %", 100 * reading.volts / fed.volts);
                }
        page_ +=
            fmt::format("<tr><td>{}</td><td>at the lamp</td><td>{}</td><td>{:.1f} V</td><td>{}</td></tr>\n",
                        escape_html(reading.fixture), expected, reading.volts, share);
    }

    const NightCheck& check_;
    const std::string& origin_;
    std::vector<double> designed_;
    std::string page_;
};

} // namespace

std::string print_night_page(const NightCheck& check, const std::string& origin) {
    return NightPage(check, origin).print();
}

} // namespace duskcast
