#include "duskcast/photometry/distribution.hpp"

#include <algorithm>
#include <cmath>

#include "bracket.hpp"
#include "duskcast/units/units.hpp"

namespace duskcast {

namespace {

/// Mean of f(plane) over the full turn, trapezoidal in C.
template <class F> double mean_over_planes(const Distribution& distribution, F f) {
    if (distribution.is_symmetric())
        return f(std::size_t{0});
    const std::vector<double>& c = distribution.c;
    double sum = 0;
    double previous = f(std::size_t{0});
    for (std::size_t plane = 1; plane < c.size(); ++plane) {
        const double current = f(plane);
        sum += (c[plane] - c[plane - 1]) * (previous + current) / 2;
        previous = current;
    }
    return sum / (c.back() - c.front());
}

/// Integral of I sin g between two angles over which I is linear, from `i0` at `g0` to `i1` at `g1`:
/// [-I cos g + (dI/dg) sin g].
double linear_zone(double g0, double i0, double g1, double i1) {
    const double slope = (i1 - i0) / (g1 - g0);
    return i0 * std::cos(g0) - i1 * std::cos(g1) + slope * (std::sin(g1) - std::sin(g0));
}

bool is_empty(const Distribution& distribution) {
    return distribution.candela.empty();
}

} // namespace

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
    const Bracket plane = find_bracket(c, c_angle - turn * std::floor(c_angle / turn));
    const double low = in_plane(plane.low);
    return plane.weight == 0 ? low : low + plane.weight * (in_plane(plane.high) - low);
}

double measure_zonal_lumens(const Distribution& distribution, double gamma_from, double gamma_to) {
    if (is_empty(distribution))
        return 0;
    const std::vector<double>& gamma = distribution.gamma;
    const double mean = mean_over_planes(distribution, [&](std::size_t plane) {
        const double* row = distribution.candela.data() + plane * gamma.size();
        double sum = 0;
        for (std::size_t i = 1; i < gamma.size(); ++i) {
            const double from = std::max(gamma[i - 1], gamma_from), to = std::min(gamma[i], gamma_to);
            if (!(from < to))
                continue;
            const double slope = (row[i] - row[i - 1]) / (gamma[i] - gamma[i - 1]);
            sum += linear_zone(from, row[i - 1] + slope * (from - gamma[i - 1]), to,
                               row[i] - slope * (gamma[i] - to));
        }
        return sum;
    });
    return 2 * pi * mean;
}

double measure_lumens(const Distribution& distribution) {
    return measure_zonal_lumens(distribution, 0, pi);
}

double measure_max_candela(const Distribution& distribution) {
    return is_empty(distribution)
               ? 0
               : *std::max_element(distribution.candela.begin(), distribution.candela.end());
}

double measure_centre_candela(const Distribution& distribution) {
    if (is_empty(distribution) || distribution.gamma.front() > 0)
        return 0;
    return mean_over_planes(distribution, [&](std::size_t plane) {
        return distribution.candela[plane * distribution.gamma.size()];
    });
}

double measure_full_angle(const Distribution& distribution, double share) {
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
