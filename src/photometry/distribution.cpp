#include "duskcast/photometry/distribution.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "bracket.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {

namespace {

/// Integral of f(plane) over c, trapezoidal.
template <class F> double integrate_over_planes(const Distribution& distribution, F f) {
    if (distribution.is_symmetric())
        return 2 * pi * f(std::size_t{0});
    const std::vector<double>& c = distribution.c;
    double sum = 0;
    double previous = f(std::size_t{0});
    for (std::size_t plane = 1; plane < c.size(); ++plane) {
        const double current = f(plane);
        sum += (c[plane] - c[plane - 1]) * (previous + current) / 2;
        previous = current;
    }
    return sum;
}

/// Of an untilted distribution.
template <class F> double mean_over_planes(const Distribution& distribution, F f) {
    return distribution.is_symmetric() ? f(std::size_t{0})
                                       : integrate_over_planes(distribution, f) / (2 * pi);
}

struct ZoneEnd {
    explicit ZoneEnd(double angle) : gamma(angle), sine(std::sin(angle)), cosine(std::cos(angle)) {}
    double gamma, sine, cosine;
};

/// Integral of I sin g between two angles over which I is linear, from `i0` at the one to `i1` at the other:
/// [-I cos g + (dI/dg) sin g].
double linear_zone(const ZoneEnd& from, double i0, const ZoneEnd& to, double i1) {
    const double slope = (i1 - i0) / (to.gamma - from.gamma);
    return i0 * from.cosine - i1 * to.cosine + slope * (to.sine - from.sine);
}

bool is_empty(const Distribution& distribution) {
    return distribution.candela.empty();
}

} // namespace

glm::dvec3 direction_at(double c, double gamma) {
    return {std::sin(gamma) * std::cos(c), std::sin(gamma) * std::sin(c), -std::cos(gamma)};
}

double Distribution::candela_at(double c_angle, double gamma_angle) const {
    if (is_empty(*this) || !(gamma_angle >= gamma.front() && gamma_angle <= gamma.back()))
        return 0;
    const Bracket g = find_bracket(gamma, gamma_angle);
    const auto in_plane = [&](std::size_t plane) {
        const double* row = candela.data() + plane * gamma.size();
        return row[g.low] + g.weight * (row[g.high] - row[g.low]);
    };
    if (is_symmetric())
        return in_plane(0);
    const double turn = 2 * pi;
    const double around = c_angle - turn * std::floor((c_angle - c.front()) / turn);
    if (around > c.back())
        return 0;
    const Bracket plane = find_bracket(c, around);
    const double low = in_plane(plane.low);
    return plane.weight == 0 ? low : low + plane.weight * (in_plane(plane.high) - low);
}

double Distribution::candela_towards(const glm::dvec3& direction) const {
    const glm::dvec3 in_grid = is_tilted() ? glm::transpose(lamp_from_grid) * direction : direction;
    return candela_at(std::atan2(in_grid.y, in_grid.x),
                      std::atan2(std::hypot(in_grid.x, in_grid.y), -in_grid.z));
}

Distribution make_untilted(const Distribution& distribution) {
    if (!distribution.is_tilted())
        return distribution;
    constexpr int planes = 144, steps = 720;
    Distribution untilted;
    for (int i = 0; i <= steps; ++i)
        untilted.gamma.push_back(pi * i / steps);
    for (int plane = 0; plane <= planes; ++plane) {
        const double c = 2 * pi * plane / planes;
        untilted.c.push_back(c);
        for (const double gamma : untilted.gamma)
            untilted.candela.push_back(distribution.candela_towards(direction_at(c, gamma)));
    }
    std::copy_n(untilted.candela.begin(), untilted.gamma.size(), // the last plane is the first
                untilted.candela.end() - static_cast<std::ptrdiff_t>(untilted.gamma.size()));
    join_poles(untilted);
    return untilted;
}

void join_poles(Distribution& distribution) {
    const std::size_t width = distribution.gamma.size();
    if (distribution.is_symmetric() || is_empty(distribution))
        return;
    const auto join = [&](std::size_t end) {
        const double range = distribution.c.back() - distribution.c.front();
        const double mean =
            integrate_over_planes(
                distribution, [&](std::size_t plane) { return distribution.candela[plane * width + end]; }) /
            range;
        for (std::size_t plane = 0; plane < distribution.c.size(); ++plane)
            distribution.candela[plane * width + end] = mean;
    };
    if (distribution.gamma.front() == 0)
        join(0);
    if (distribution.gamma.back() >= pi)
        join(width - 1);
}

namespace {

double lumens_between(const Distribution& distribution, double gamma_from, double gamma_to) {
    const std::vector<double>& gamma = distribution.gamma;
    // The same in every plane.
    struct Zone {
        std::size_t above;
        ZoneEnd from, to;
    };
    std::vector<Zone> zones;
    for (std::size_t i = 1; i < gamma.size(); ++i)
        if (const double from = std::max(gamma[i - 1], gamma_from), to = std::min(gamma[i], gamma_to); from < to)
            zones.push_back({i, ZoneEnd(from), ZoneEnd(to)});
    return integrate_over_planes(distribution, [&](std::size_t plane) {
        const double* row = distribution.candela.data() + plane * gamma.size();
        double sum = 0;
        for (const auto& [i, from, to] : zones) {
            const double slope = (row[i] - row[i - 1]) / (gamma[i] - gamma[i - 1]);
            sum += linear_zone(from, row[i - 1] + slope * (from.gamma - gamma[i - 1]), to,
                               row[i] - slope * (gamma[i] - to.gamma));
        }
        return sum;
    });
}

} // namespace

double measure_zonal_lumens(const Distribution& distribution, double gamma_from, double gamma_to) {
    return is_empty(distribution) ? 0 : lumens_between(make_untilted(distribution), gamma_from, gamma_to);
}

double measure_lumens(const Distribution& distribution) {
    return is_empty(distribution) ? 0 : lumens_between(distribution, 0, pi);
}

double measure_lumens_above(const Distribution& distribution, double candela) {
    const std::vector<double>& gamma = distribution.gamma;
    if (is_empty(distribution))
        return 0;
    return integrate_over_planes(distribution, [&](std::size_t plane) {
        const double* row = distribution.candela.data() + plane * gamma.size();
        double sum = 0;
        for (std::size_t i = 1; i < gamma.size(); ++i) {
            double from = gamma[i - 1], from_candela = row[i - 1], to = gamma[i], to_candela = row[i];
            if (from_candela < candela && to_candela < candela)
                continue;
            const double crossing =
                from + (to - from) * (candela - from_candela) / (to_candela - from_candela);
            if (from_candela < candela)
                std::tie(from, from_candela) = std::pair(crossing, candela);
            else if (to_candela < candela)
                std::tie(to, to_candela) = std::pair(crossing, candela);
            if (from < to)
                sum += linear_zone(ZoneEnd(from), from_candela, ZoneEnd(to), to_candela);
        }
        return sum;
    });
}

double measure_max_candela(const Distribution& distribution) {
    return is_empty(distribution)
               ? 0
               : *std::max_element(distribution.candela.begin(), distribution.candela.end());
}

double measure_centre_candela(const Distribution& distribution) {
    if (distribution.is_tilted())
        return distribution.candela_towards({0, 0, -1});
    if (is_empty(distribution) || distribution.gamma.front() > 0)
        return 0;
    return mean_over_planes(distribution, [&](std::size_t plane) {
        return distribution.candela[plane * distribution.gamma.size()];
    });
}

double measure_full_angle(const Distribution& any, double share) {
    const Distribution distribution = make_untilted(any);
    const double level = share * measure_max_candela(distribution);
    if (!(level > 0))
        return 0;
    const std::vector<double>& gamma = distribution.gamma;
    return mean_over_planes(distribution, [&](std::size_t plane) {
        const double* row = distribution.candela.data() + plane * gamma.size();
        std::size_t last = gamma.size();
        while (last > 0 && row[last - 1] < level)
            --last;
        if (last == 0)
            return 0.0;
        const std::size_t i = last - 1; // the outermost node at or above the level
        if (last == gamma.size())
            return 2 * gamma[i];
        return 2 * (gamma[i] + (gamma[i + 1] - gamma[i]) * (row[i] - level) / (row[i] - row[i + 1]));
    });
}

} // namespace duskcast
