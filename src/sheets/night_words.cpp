#include "duskcast/sheets/night_words.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/sheets/fixture_words.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

// Less is not worth kneeling down for (common practice, no source).
constexpr double least_turn = radians_from_degrees(1.5);
constexpr double least_dimness = 0.07;
constexpr double least_volts_off = 0.3;

bool is_beyond(const Estimate& estimate, double middle, double least) {
    return (estimate.low > middle || estimate.high < middle) && std::abs(estimate.value - middle) > least;
}

std::string print_span(double low, double high, double per_unit, const char* unit) {
    return fmt::format("{:.0f} to {:.0f}{}", low * per_unit, high * per_unit, unit);
}

const FixtureLoad* find_fed(const NightCheck& check, const std::string& id) {
    if (check.load)
        for (const FixtureLoad& fed : check.load->fixtures)
            if (fed.id == id && check.load->runs[fed.run].is_found)
                return &fed;
    return nullptr;
}

std::string print_reading_of(const NightCheck& check, std::size_t index) {
    const MeterReading& reading = check.readings.light[index];
    return fmt::format("point {} ({})", check.model.points()[reading.point].number,
                       print_illuminance(reading.lux, check.site.light));
}

std::string print_doubt(const NightCheck& check, const Fixture& fixture, const ReadingDoubt& doubt) {
    const bool is_plumb = shines_straight_down(check.site, fixture);
    const std::string found = fmt::format("no likely {} give what was read here",
                                          is_plumb ? "lean and output" : "tilt, direction and output");
    const char* parts = fixture.kind == FixtureKind::path ? "stake, lens and lamp" : "head, lens and lamp";
    if (doubt.readings == 1)
        return fmt::format("{}; read it again, then look at {}", found, parts);
    if (doubt.suspects.empty())
        return fmt::format("{}, and no single reading accounts for it; look at {}, then read all its points "
                           "again",
                           found, parts);
    std::vector<std::string> suspects;
    for (const std::size_t index : doubt.suspects)
        suspects.push_back(print_reading_of(check, index));
    return fmt::format("{}; {}{} looks wrong: read {} again before you {} anything", found,
                       suspects.size() == 1 ? "" : "one of ", fmt::join(suspects, ", "),
                       suspects.size() == 1 ? "it" : "them", is_plumb ? "move" : "turn");
}

/// "3 to 7°", whichever way.
std::string print_off(const Estimate& angle) {
    const Estimate off = without_sign(angle);
    return print_span(off.low, off.high, degrees_from_radians(1), "\u00b0");
}

NightVerdict judge_fit(const NightCheck& check, const FixtureFit& fit) {
    const Fixture& fixture = check.site.fixtures[fit.fixture];
    NightVerdict verdict{.fixture = fixture.id};
    if (fit.doubt) {
        verdict.findings.push_back(print_doubt(check, fixture, *fit.doubt));
        verdict.is_off = verdict.is_doubtful = true;
        return verdict;
    }
    const auto tell = [&](const Estimate& estimate, double middle, double least, const char* what,
                          const std::string& finding) {
        if (is_beyond(estimate, middle, least))
            verdict.findings.push_back(finding);
        else if (!is_told_of(estimate, middle))
            verdict.untold.emplace_back(what);
    };
    const double degrees = degrees_from_radians(1);
    tell(fit.output, 1, least_dimness, "output",
         fmt::format("gives about {:.0f} % of its light ({})", 100 * fit.output.value,
                     print_span(fit.output.low, fit.output.high, 100, " %")));
    const double off = std::abs(fit.tilt.value) * degrees;
    if (shines_straight_down(check.site, fixture)) {
        tell(fit.tilt, 0, least_turn, "lean",
             fixture.kind == FixtureKind::path
                 ? fmt::format("about {:.0f}\u00b0 out of plumb ({}): set its stake plumb and its hat level",
                               off, print_off(fit.tilt))
                 : fmt::format("hangs about {:.0f}\u00b0 out of plumb ({})", off, print_off(fit.tilt)));
        verdict.is_off = !verdict.findings.empty();
        return verdict;
    }
    const double tilt = place_fixture(check.site, fixture).aim.tilt;
    tell(
        fit.tilt, 0, least_turn, "tilt",
        fmt::format("tilted about {:.0f}\u00b0 {} ({}); designed {}", off,
                    fit.tilt.value > 0 ? "too far" : "too little",
                    print_span(tilt + fit.tilt.low, tilt + fit.tilt.high, degrees, "\u00b0 from straight up"),
                    print_angle(tilt)));
    if (has_way(check.site, fixture))
        tell(fit.azimuth, 0, least_turn, "direction",
             fmt::format("turned about {:.0f}\u00b0 to the {} ({})", std::abs(fit.azimuth.value) * degrees,
                         fit.azimuth.value > 0 ? "right" : "left", print_off(fit.azimuth)));
    verdict.is_off = !verdict.findings.empty();
    return verdict;
}

std::string print_volts_finding(const FixtureLoad& fed, double volts) {
    return fmt::format("{:.1f} V where {:.1f} V were planned: {}", volts, fed.volts,
                       volts < fed.volts ? "look at splices, tap and length of cable"
                                         : "look whether lamps are missing on the run");
}

} // namespace

bool is_told_of(const Estimate& estimate, double designed) {
    return estimate.is_told || estimate.low > designed || estimate.high < designed;
}

Estimate without_sign(const Estimate& estimate) {
    const double low = std::abs(estimate.low), high = std::abs(estimate.high);
    return {std::abs(estimate.value), estimate.low < 0 && estimate.high > 0 ? 0 : std::min(low, high),
            std::max(low, high), estimate.is_told};
}

std::vector<NightVerdict> judge_night(const NightCheck& check) {
    std::vector<NightVerdict> verdicts;
    for (const FixtureFit& fit : check.fits)
        verdicts.push_back(judge_fit(check, fit));
    for (const VoltReading& reading : check.readings.volts) {
        const FixtureLoad* fed = find_fed(check, reading.fixture);
        auto known = std::find_if(verdicts.begin(), verdicts.end(), [&](const NightVerdict& verdict) {
            return verdict.fixture == reading.fixture;
        });
        if (known == verdicts.end())
            known = verdicts.insert(verdicts.end(), {.fixture = reading.fixture});
        if (fed == nullptr)
            known->untold.emplace_back("volts, which the site file does not plan");
        else if (std::abs(reading.volts - fed->volts) > least_volts_off) {
            known->findings.push_back(print_volts_finding(*fed, reading.volts));
            known->is_off = true;
        }
    }
    return verdicts;
}

std::vector<std::string> print_night(const NightCheck& check) {
    std::vector<std::string> lines, good, untold, doubtful;
    for (const NightVerdict& verdict : judge_night(check)) {
        for (const std::string& finding : verdict.findings)
            lines.push_back(fmt::format("{}: {}.", verdict.fixture, finding));
        if (verdict.is_doubtful)
            doubtful.push_back(verdict.fixture);
        if (verdict.findings.empty() && verdict.untold.empty())
            good.push_back(verdict.fixture);
        if (!verdict.untold.empty())
            untold.push_back(fmt::format("{}: too few readings to tell its {}.", verdict.fixture,
                                         fmt::join(verdict.untold, " or ")));
    }
    if (!good.empty())
        lines.push_back(fmt::format("As designed, as far as readings tell: {}.", fmt::join(good, ", ")));
    lines.insert(lines.end(), untold.begin(), untold.end());
    if (!doubtful.empty())
        lines.push_back(fmt::format("As built, {} {} as designed, because the readings do not agree.",
                                    fmt::join(doubtful, ", "), doubtful.size() == 1 ? "stays" : "stay"));
    std::vector<std::string> unread;
    for (std::size_t i = 0; i < check.site.fixtures.size(); ++i)
        if (std::none_of(check.fits.begin(), check.fits.end(),
                         [&](const FixtureFit& fit) { return fit.fixture == i; }))
            unread.push_back(check.site.fixtures[i].id);
    if (!unread.empty())
        lines.push_back(fmt::format("No light was read at {}.", fmt::join(unread, ", ")));
    const auto is_anything_told = [](const FixtureFit& fit) {
        return !fit.doubt &&
               (is_told_of(fit.output, 1) || is_told_of(fit.tilt, 0) || is_told_of(fit.azimuth, 0));
    };
    if (std::any_of(check.fits.begin(), check.fits.end(), is_anything_told))
        lines.push_back(
            fmt::format("Figures in brackets hold the truth nine times out of ten, for readings that are "
                        "{:.0f} % off as a rule.",
                        100 * check.tolerances.reading));
    return lines;
}

Site make_as_built(Site site, const std::vector<FixtureFit>& fits) {
    for (const FixtureFit& fit : fits) {
        if (fit.doubt)
            continue;
        Fixture& fixture = site.fixtures[fit.fixture];
        // Which way a light leans that should hang plumb is not told: it is set plumb again.
        const bool is_plumb = shines_straight_down(site, fixture), is_turned = has_way(site, fixture);
        if (!is_plumb && is_beyond(fit.tilt, 0, least_turn))
            fixture.tilt = std::clamp(fixture.tilt + fit.tilt.value, 0.0, pi);
        if (is_turned && is_beyond(fit.azimuth, 0, least_turn))
            (fixture.azimuth ? *fixture.azimuth : fixture.turn) += fit.azimuth.value;
        if (is_beyond(fit.output, 1, least_dimness)) // a lamp that gives more stays what its box says
            fixture.light_loss_factor *= std::min(1.0, fit.output.value);
    }
    return site;
}

} // namespace duskcast
