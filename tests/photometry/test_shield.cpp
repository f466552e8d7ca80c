// What tubes, hoods, rims and louvres leave of a lens, against closed forms and against points of the lens
// taken one by one.

#include <doctest/doctest.h>

#include <cmath>
#include <functional>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/shield.hpp"

using namespace duskcast;

namespace {

/// Share of a lens whose points satisfy `is_seen`, over a fine grid.
double share_of_points(double diameter, const std::function<bool(double x, double y)>& is_seen) {
    constexpr int cells = 1200;
    const double r = diameter / 2;
    long seen = 0, all = 0;
    for (int i = 0; i < cells; ++i)
        for (int j = 0; j < cells; ++j) {
            const double x = r * (2 * (i + 0.5) / cells - 1), y = r * (2 * (j + 0.5) / cells - 1);
            if (x * x + y * y > r * r)
                continue;
            ++all;
            seen += is_seen(x, y) ? 1 : 0;
        }
    return static_cast<double>(seen) / static_cast<double>(all);
}

} // namespace

TEST_CASE("the visible share of the lens is the overlap of two circles") {
    const Shield shroud{.lens_diameter = 0.04, .shroud_length = 0.05};
    CHECK(visible_lens_share(shroud, 0.3, 0) == 1);
    CHECK(visible_lens_share(shroud, 0.3, std::atan(0.04 / 0.05)) == doctest::Approx(0).epsilon(1e-9));
    CHECK(visible_lens_share(shroud, 0.3, 0.7) == 0); // atan(0.8) = 0.6747
    CHECK(visible_lens_share(shroud, 0.3, pi / 2) == 0);
    CHECK(visible_lens_share(shroud, 0.3, 3) == 0);
    CHECK(visible_lens_share({}, 0, 3) == 1);
    CHECK(visible_lens_share({.lens_diameter = 0.04}, 0, 1) == 1);
    // Shifted by half a diameter: (2/pi)(pi/3 - sqrt(3)/4) = 0.39100 (circle-circle intersection, A = r^2
    // (2 pi/3 - sqrt(3)/2) over pi r^2).
    CHECK(visible_lens_share(shroud, 0.3, std::atan(0.5 * 0.8)) == doctest::Approx(0.3910022).epsilon(1e-6));
    // Near the axis the share falls by (4/pi) of the shift in diameters.
    CHECK(1 - visible_lens_share(shroud, 0.3, 1e-4) ==
          doctest::Approx(4 / pi * 1e-4 * 0.05 / 0.04).epsilon(1e-4));
    // The lens of two circular segments, by the midpoint rule: 2 int_{d/2}^r 2 sqrt(r^2 - x^2) dx.
    for (const double gamma : {0.05, 0.2, 0.4, 0.6}) {
        const double r = 0.02, d = 0.05 * std::tan(gamma);
        constexpr int cells = 20000;
        double area = 0;
        for (int i = 0; i < cells; ++i) {
            const double x = d / 2 + (r - d / 2) * (i + 0.5) / cells;
            area += 4 * std::sqrt(r * r - x * x) * (r - d / 2) / cells;
        }
        CHECK(visible_lens_share(shroud, 0.3, gamma) == doctest::Approx(area / (pi * r * r)).epsilon(1e-5));
    }
}

TEST_CASE("the share of a lens through a wider rim, point by point") {
    const double lens = 0.03;
    const Rim rim{0.18, 0.02};
    // A hat's edge: whole until the edge covers the far side of the lens, nothing once it covers the near
    // one.
    const double from = std::atan((0.09 - 0.015) / 0.02), to = std::atan((0.09 + 0.015) / 0.02);
    CHECK(visible_share(rim, lens, from - 1e-6) == 1);
    CHECK(visible_share(rim, lens, from + 1e-3) < 1);
    CHECK(visible_share(rim, lens, to - 1e-3) > 0);
    CHECK(visible_share(rim, lens, to + 1e-6) == 0);
    CHECK(visible_share(rim, lens, pi / 2) == 0);
    for (const double gamma : {1.31, 1.33, 1.35, 1.37, 1.38}) {
        const double shift = 0.02 * std::tan(gamma);
        const double wanted =
            share_of_points(lens, [&](double x, double y) { return std::hypot(x + shift, y) < 0.09; });
        CHECK(visible_share(rim, lens, gamma) == doctest::Approx(wanted).epsilon(1e-3));
    }
    // A lens without size is cut off sharply at atan(R / distance).
    CHECK(visible_share(rim, 0, std::atan(0.09 / 0.02) - 1e-9) == 1);
    CHECK(visible_share(rim, 0, std::atan(0.09 / 0.02) + 1e-9) == 0);
    CHECK(visible_share(Rim{}, lens, 3) == 1);
}

TEST_CASE("half a tube, point by point") {
    const double lens = 0.05, radius = lens / 2, length = 0.04;
    const Shield hood{.lens_diameter = lens, .hood_length = length};
    for (const double c_deg : {0.0, 20.0, 60.0, 89.0, 90.0, 130.0, 170.0, 180.0, 200.0, 270.0, 310.0})
        for (const double gamma_deg : {5.0, 20.0, 40.0, 51.0, 60.0, 80.0}) {
            const double c = radians_from_degrees(c_deg), gamma = radians_from_degrees(gamma_deg);
            CAPTURE(c_deg);
            CAPTURE(gamma_deg);
            const double ux = std::cos(c), uy = std::sin(c);
            const double wanted = share_of_points(lens, [&](double x, double y) {
                // Where the ray leaves the cylinder: |p + t u| = R, t > 0; it is there at the height t / tan.
                const double along = x * ux + y * uy;
                const double t = -along + std::sqrt(along * along + radius * radius - x * x - y * y);
                const bool is_hooded = x + t * ux < 0; // on the side of C180
                return !is_hooded || t / std::tan(gamma) > length;
            });
            CHECK(visible_lens_share(hood, c, gamma) == doctest::Approx(wanted).epsilon(2e-3));
        }
    // Towards the hood it is a whole tube, away from it nothing.
    const Shield tube{.lens_diameter = lens, .shroud_length = length};
    for (const double gamma : {0.1, 0.5, 0.8}) {
        CHECK(visible_lens_share(hood, pi, gamma) == doctest::Approx(visible_lens_share(tube, 0, gamma)));
        CHECK(visible_lens_share(hood, 0, gamma) == doctest::Approx(1));
        // Sideways each half of the tube hides as much as the other.
        CHECK(visible_lens_share(hood, pi / 2, gamma) ==
              doctest::Approx((1 + visible_lens_share(tube, 0, gamma)) / 2));
    }
}

TEST_CASE("a honeycomb is open straight ahead and cuts off at its cells' angle") {
    const Louvre louvre{.cell = 0.012, .depth = 0.006};
    CHECK(visible_share(louvre, 0) == 1);
    // The circle of a hexagon's area, w across flats: D = w sqrt(2 sqrt(3) / pi) = 1.0501 w.
    const double diameter = 1.050075 * 0.012;
    CHECK(visible_share(louvre, std::atan(diameter / 0.006) + 1e-4) == 0);
    CHECK(visible_share(louvre, std::atan(diameter / 0.006) - 1e-2) > 0);
    CHECK(visible_share(louvre, std::atan(0.5 * diameter / 0.006)) ==
          doctest::Approx(0.3910022).epsilon(1e-4));
    // Points of a real hexagonal cell, its direction of light averaged over a turn: within a fiftieth.
    for (const double gamma_deg : {15.0, 30.0, 45.0}) {
        const double shift = 0.006 * std::tan(radians_from_degrees(gamma_deg));
        const auto is_in_hexagon = [](double x, double y) {
            for (int side = 0; side < 6; ++side)
                if (x * std::cos(side * pi / 3) + y * std::sin(side * pi / 3) > 0.006)
                    return false;
            return true;
        };
        double open = 0, all = 0;
        constexpr int cells = 200, turns = 24;
        for (int i = 0; i < cells; ++i)
            for (int j = 0; j < cells; ++j) {
                const double x = 0.008 * (2 * (i + 0.5) / cells - 1), y = 0.008 * (2 * (j + 0.5) / cells - 1);
                if (!is_in_hexagon(x, y))
                    continue;
                for (int k = 0; k < turns; ++k, ++all)
                    open += is_in_hexagon(x + shift * std::cos(2 * pi * k / turns),
                                          y + shift * std::sin(2 * pi * k / turns));
            }
        CHECK(visible_share(louvre, radians_from_degrees(gamma_deg)) ==
              doctest::Approx(open / all).epsilon(0.02));
    }
}
