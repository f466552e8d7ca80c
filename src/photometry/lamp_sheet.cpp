#include "duskcast/photometry/lamp_sheet.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/aim.hpp"

namespace duskcast {

namespace {

/// Between the first and the last direction at or above a level in the plane of C; both 0 where there is
/// none.
std::pair<double, double> find_span(const Distribution& untilted, double c, double level) {
    const std::vector<double>& gamma = untilted.gamma;
    PlaneCurve curve;
    for (std::size_t i = gamma.size(); i-- > 0;) {
        curve.angle.push_back(-gamma[i]);
        curve.candela.push_back(untilted.candela_at(c + pi, gamma[i]));
    }
    for (const double g : gamma) {
        curve.angle.push_back(g);
        curve.candela.push_back(untilted.candela_at(c, g));
    }
    return find_edges(curve, level).value_or(std::pair(0.0, 0.0));
}

double full_angle(const Distribution& untilted, double c, double level) {
    const auto [low, high] = find_span(untilted, c, level);
    return high - low;
}

BeamSpread find_spread(const Distribution& untilted, double level) {
    BeamSpread spread;
    spread.along = full_angle(untilted, 0, level);
    spread.across = untilted.is_symmetric() ? spread.along : full_angle(untilted, pi / 2, level);
    const int planes = untilted.is_symmetric() ? 1 : 36;
    for (int i = 0; i < planes; ++i)
        spread.mean += full_angle(untilted, pi * i / planes, level) / planes;
    return spread;
}

/// Width on a screen at distance 1 of what lies between two angles; 0 where one misses the screen.
double width_on_screen(const std::pair<double, double>& span) {
    const double end = radians_from_degrees(89.9);
    return span.first < -end || span.second > end ? 0 : std::tan(span.second) - std::tan(span.first);
}

bool is_close(double a, double b, double share) {
    return std::abs(a - b) <= share * std::max(a, b);
}

/// A straight line on the wall away from a point, sampled by angle as seen from the lens, in which light
/// falls below a level.
template <class Lux> double find_end(double distance, double level, const Lux& lux_at) {
    constexpr int steps = 720;
    double lit = 0;
    for (int i = 1; i <= steps; ++i) {
        double dark = distance * std::tan(radians_from_degrees(89.5) * i / steps);
        if (lux_at(dark) >= level) {
            lit = dark;
            continue;
        }
        for (int halving = 0; halving < 30; ++halving) {
            const double middle = (lit + dark) / 2;
            (lux_at(middle) >= level ? lit : dark) = middle;
        }
        break;
    }
    return lit;
}

std::vector<WallSpread> measure_wall(const Distribution& distribution, double light_loss,
                                     const SheetOptions& options) {
    std::vector<WallSpread> rows;
    for (const double setback : options.setbacks) {
        const auto lux = [&](double height, double aside) {
            return light_loss * wall_lux(distribution, setback, options.tilt, height, aside);
        };
        WallSpread row;
        row.setback = setback;
        constexpr int steps = 4000;
        for (int i = 0; i <= steps; ++i) {
            const double height = setback * std::tan(radians_from_degrees(89.5) * i / steps);
            const double here = lux(height, 0);
            if (here > row.brightest_lux) {
                row.brightest_lux = here;
                row.brightest_at = height;
            }
        }
        for (const double level : options.levels) {
            WallSpread one = row;
            one.level = level;
            one.is_reached = row.brightest_lux >= level;
            if (one.is_reached) {
                const double slant = std::hypot(setback, row.brightest_at);
                one.to = row.brightest_at +
                         find_end(slant, level, [&](double up) { return lux(row.brightest_at + up, 0); });
                one.from = row.brightest_at - find_end(slant, level, [&](double down) {
                               return down > row.brightest_at ? 0 : lux(row.brightest_at - down, 0);
                           });
                constexpr int heights = 120;
                for (int i = 0; i <= heights; ++i) {
                    const double height = one.from + (one.to - one.from) * i / heights;
                    const double reach = std::hypot(setback, height);
                    const double width =
                        find_end(reach, level, [&](double aside) { return lux(height, aside); }) +
                        find_end(reach, level, [&](double aside) { return lux(height, -aside); });
                    if (width > one.width) {
                        one.width = width;
                        one.width_at = height;
                    }
                }
            }
            rows.push_back(one);
        }
    }
    return rows;
}

} // namespace

std::optional<std::pair<double, double>> find_edges(const PlaneCurve& curve, double candela) {
    const auto is_lit = [&](double value) { return value >= candela; };
    const auto first = std::find_if(curve.candela.begin(), curve.candela.end(), is_lit);
    if (first == curve.candela.end() || !(candela > 0))
        return std::nullopt;
    const auto last = std::find_if(curve.candela.rbegin(), curve.candela.rend(), is_lit).base() - 1;
    const auto crossing = [&](std::size_t lit, std::size_t dark) {
        const double share = (curve.candela[lit] - candela) / (curve.candela[lit] - curve.candela[dark]);
        return curve.angle[lit] + (curve.angle[dark] - curve.angle[lit]) * share;
    };
    const auto low = static_cast<std::size_t>(first - curve.candela.begin());
    const auto high = static_cast<std::size_t>(last - curve.candela.begin());
    return std::pair{low == 0 ? curve.angle[low] : crossing(low, low - 1),
                     high + 1 == curve.angle.size() ? curve.angle[high] : crossing(high, high + 1)};
}

double wall_lux(const Distribution& distribution, double setback, double tilt, double height, double aside) {
    const glm::dvec3 to_wall(aside, setback, height); // the wall lies north of the lens
    const double square = glm::dot(to_wall, to_wall);
    if (!(square > 0))
        return 0;
    const glm::dmat3 lamp_from_world = glm::transpose(world_from_fixture({.tilt = tilt}));
    return distribution.candela_towards(lamp_from_world * to_wall) * setback / (square * std::sqrt(square));
}

double find_trusted_distance(double lens_diameter, double beam_angle) {
    const double formed = beam_angle > 0 ? 10 / beam_angle : 0;
    return lens_diameter * std::max(5.0, formed);
}

std::string find_designation(double beam_angle) {
    struct Range {
        const char* name;
        double from_deg, to_deg;
    };
    constexpr double open = std::numeric_limits<double>::infinity();
    constexpr Range ranges[] = {{"VNSP", 0, 8}, {"NSP", 8, 15},  {"SP", 15, 20},    {"NFL", 24, 30},
                                {"FL", 35, 40}, {"WFL", 55, 60}, {"VWFL", 60, open}};
    const double beam = degrees_from_radians(beam_angle);
    const Range* nearest = nullptr;
    double least = open;
    for (const Range& range : ranges) {
        const double off = std::max({0.0, range.from_deg - beam, beam - range.to_deg});
        // A figure on a limit belongs to the wider name below 15 degrees: 8 is no longer "under 8".
        if (off < least || (off == least && beam == range.from_deg && beam <= 8)) {
            least = off;
            nearest = &range;
        }
    }
    return nearest->name;
}

LampSheet make_lamp_sheet(const LampDescription& lamp, const SheetOptions& options) {
    const Distribution light = make_untilted(lamp.distribution);
    LampSheet sheet;
    sheet.lumens = measure_lumens(lamp.distribution);
    sheet.centre_candela = measure_centre_candela(lamp.distribution);
    sheet.max_candela = measure_max_candela(light);
    const auto brightest = static_cast<std::size_t>(
        std::max_element(light.candela.begin(), light.candela.end()) - light.candela.begin());
    if (!light.candela.empty()) {
        sheet.max_c = light.c[brightest / light.gamma.size()];
        sheet.max_gamma = light.gamma[brightest % light.gamma.size()];
    }
    sheet.beam_of_max = find_spread(light, 0.5 * sheet.max_candela);
    sheet.field_of_max = find_spread(light, 0.1 * sheet.max_candela);
    sheet.beam_of_centre = find_spread(light, 0.5 * sheet.centre_candela);
    sheet.field_of_centre = find_spread(light, 0.1 * sheet.centre_candela);
    sheet.beam_lumens = measure_lumens_above(light, 0.5 * sheet.max_candela);
    sheet.field_lumens = measure_lumens_above(light, 0.1 * sheet.max_candela);
    for (int zone = 0; zone < 18; ++zone) {
        ZoneLumens one{zone * pi / 18, (zone + 1) * pi / 18, 0};
        one.lumens = measure_zonal_lumens(light, one.from, one.to);
        if (one.lumens > 0)
            sheet.zones.push_back(one);
    }
    if (lamp.watts > 0)
        sheet.efficacy = sheet.lumens / lamp.watts;
    const bool is_round = is_close(sheet.beam_of_max.along, sheet.beam_of_max.across, 0.1);
    const bool is_forward = sheet.zones.empty() || sheet.zones.back().to <= pi / 2 + 1e-9;
    if (is_round && is_forward && is_close(sheet.centre_candela, sheet.max_candela, 0.1))
        sheet.designation = find_designation(sheet.beam_of_max.mean);
    sheet.light_loss = lamp.tolerance * lamp.depreciation;

    const double half = 0.5 * sheet.max_candela;
    const double along = width_on_screen(find_span(light, 0, half));
    const double across = light.is_symmetric() ? along : width_on_screen(find_span(light, pi / 2, half));
    double greatest = 0; // on a screen at distance 1
    for (std::size_t i = 0; i < light.candela.size(); ++i)
        if (const double cosine = std::cos(light.gamma[i % light.gamma.size()]); cosine > 0)
            greatest = std::max(greatest, light.candela[i] * cosine * cosine * cosine);
    for (const double distance : options.distances) {
        const double at_distance = sheet.light_loss / (distance * distance);
        sheet.spots.push_back({distance, distance * along, distance * across,
                               at_distance * sheet.centre_candela, at_distance * greatest});
    }
    sheet.wall = measure_wall(lamp.distribution, sheet.light_loss, options);
    if (lamp.lens_diameter > 0)
        sheet.trusted_from = find_trusted_distance(
            lamp.lens_diameter, std::min(sheet.beam_of_max.along, sheet.beam_of_max.across));
    return sheet;
}

} // namespace duskcast
