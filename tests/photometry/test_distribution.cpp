// Integrals and angles of distributions against closed forms.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <random>
#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/distribution.hpp"

using namespace duskcast;

namespace {

Distribution make_symmetric(const std::function<double(double)>& candela, int intervals, double end) {
    Distribution distribution{{0}, {}, {}};
    for (int i = 0; i <= intervals; ++i) {
        distribution.gamma.push_back(end * i / intervals);
        distribution.candela.push_back(candela(distribution.gamma.back()));
    }
    return distribution;
}

Distribution isotropic(double candela) {
    return {{0}, {0, pi}, {candela, candela}};
}

double zone_deg(const Distribution& distribution, double from, double to) {
    return measure_zonal_lumens(distribution, radians_from_degrees(from), radians_from_degrees(to));
}

} // namespace

TEST_CASE("zonal constants of the handbooks") {
    // Zonal constant = 2 pi (cos g1 - cos g2), IES Lighting Handbook, printed to four places.
    const Distribution one = isotropic(1);
    const std::vector<double> tens{0.0955, 0.2835, 0.4629, 0.6282, 0.7744, 0.8972, 0.9926, 1.0579, 1.0911};
    for (std::size_t i = 0; i < tens.size(); ++i)
        CHECK(std::abs(zone_deg(one, 10.0 * i, 10.0 * (i + 1)) - tens[i]) < 0.5e-4);
    const std::vector<double> fives{0.0239, 0.0715, 0.1186, 0.1648, 0.2098, 0.2531, 0.2945, 0.3337, 0.3703,
                                    0.4041, 0.4349, 0.4623, 0.4862, 0.5064, 0.5228, 0.5351, 0.5434, 0.5476};
    for (std::size_t i = 0; i < fives.size(); ++i)
        CHECK(std::abs(zone_deg(one, 5.0 * i, 5.0 * (i + 1)) - fives[i]) < 0.5e-4);
    CHECK(measure_lumens(one) == doctest::Approx(4 * pi).epsilon(1e-14));
}

TEST_CASE("lumens of closed forms") {
    CHECK(measure_lumens(isotropic(100)) == doctest::Approx(1256.6371).epsilon(1e-7));
    // A Lambertian face gives pi I0.
    const Distribution lambert = make_symmetric([](double g) { return 100 * std::cos(g); }, 1800, pi / 2);
    CHECK(measure_lumens(lambert) == doctest::Approx(314.1593).epsilon(1e-6));
    // I0 cos^n over a hemisphere gives 2 pi I0 / (n + 1); the exponents are those of beams of 60, 36, 24
    // and 12 degrees, n = ln 0.5 / ln cos(beam / 2), to three places.
    struct Row {
        double n, lumens;
    };
    for (const Row& row :
         {Row{4.819, 1079.7706}, Row{13.813, 424.1670}, Row{31.372, 194.0932}, Row{126.184, 49.4023}}) {
        const Distribution spot =
            make_symmetric([&](double g) { return 1000 * std::pow(std::cos(g), row.n); }, 9000, pi / 2);
        CHECK(measure_lumens(spot) == doctest::Approx(row.lumens).epsilon(2e-6));
    }
}

TEST_CASE("the integral is exact for intensity linear in gamma") {
    // 2 pi int g sin g dg: over 0..pi it is 2 pi * pi; over 0..1 it is 2 pi (sin 1 - cos 1).
    const Distribution ramp{{0}, {0, pi}, {0, pi}};
    CHECK(measure_lumens(ramp) == doctest::Approx(2 * pi * pi).epsilon(1e-14));
    CHECK(measure_zonal_lumens(ramp, 0, 1) ==
          doctest::Approx(2 * pi * (std::sin(1.0) - std::cos(1.0))).epsilon(1e-13));
    // Zones add up, whether or not they end at nodes.
    const Distribution bent{{0}, {0, 0.3, 1, 2}, {5, 9, 2, 1}};
    double sum = 0;
    for (int i = 0; i < 40; ++i)
        sum += measure_zonal_lumens(bent, i * pi / 40, (i + 1) * pi / 40);
    CHECK(sum == doctest::Approx(measure_lumens(bent)).epsilon(1e-12));
    CHECK(measure_zonal_lumens(bent, 2, 3) == 0);   // no light beyond the last node
    CHECK(measure_zonal_lumens(bent, 1, 0.5) == 0); // an empty zone
}

TEST_CASE("lumens are trapezoidal over C") {
    // Candela constant in gamma, 0 at C0 and 100 at C180, linear between: mean 50.
    const Distribution fan{{0, pi, 2 * pi}, {0, pi}, {0, 0, 100, 100, 0, 0}};
    CHECK(measure_lumens(fan) == doctest::Approx(50 * 4 * pi).epsilon(1e-13));
    // Uneven planes: 0 at 0, 100 at pi/2, 0 from pi on; mean (50 + 50) / 4.
    const Distribution uneven{{0, pi / 2, pi, 2 * pi}, {0, pi}, {0, 0, 100, 100, 0, 0, 0, 0}};
    CHECK(measure_lumens(uneven) == doctest::Approx(25 * 4 * pi).epsilon(1e-13));
    CHECK(measure_centre_candela(uneven) == doctest::Approx(25).epsilon(1e-13));
    CHECK(measure_max_candela(uneven) == 100);
}

TEST_CASE("candela between nodes is bilinear and periodic in C") {
    // Planes at 0, 90, 180, 270, 360 degrees; gamma 0, 30, 60 degrees.
    const Distribution d{{0, pi / 2, pi, 3 * pi / 2, 2 * pi},
                         {0, pi / 6, pi / 3},
                         {100, 80, 0, 100, 40, 0, 100, 60, 0, 100, 20, 0, 100, 80, 0}};
    CHECK(d.candela_at(0, pi / 6) == doctest::Approx(80));
    CHECK(d.candela_at(pi / 2, pi / 6) == doctest::Approx(40));
    CHECK(d.candela_at(pi / 4, pi / 6) == doctest::Approx(60));  // between 80 and 40
    CHECK(d.candela_at(0, pi / 12) == doctest::Approx(90));      // between 100 and 80
    CHECK(d.candela_at(pi / 4, pi / 12) == doctest::Approx(80)); // between 100 and 60
    CHECK(d.candela_at(-pi / 4, pi / 6) == doctest::Approx(50)); // 315 degrees: between 20 and 80
    CHECK(d.candela_at(7 * pi / 4 + 4 * pi, pi / 6) == doctest::Approx(50));
    CHECK(d.candela_at(0, 1.1) == 0); // beyond 60 degrees
    CHECK(d.candela_at(0, -0.1) == 0);
    const Distribution ring{{0}, {0.5, 1}, {3, 5}};
    CHECK(ring.candela_at(2, 0.4) == 0);
    CHECK(ring.candela_at(2, 0.75) == doctest::Approx(4));
    CHECK(measure_centre_candela(ring) == 0);
}

TEST_CASE("what coarse steps do to a steep beam") {
    // Between nodes a line is off by step^2 / 8 of the curvature: on the axis of a Gaussian 2 ln 2 / h^2.
    // Over the beam by step^2 / 12 of it: int f'' g dg = 1 beside the lumens' int f g dg = h^2 / (2 ln 2).
    struct Row {
        double beam, step, greatest, lumens; ///< degrees, % of the maximum, % of the lumens
    };
    const double ln2 = std::log(2.0);
    for (const Row& row : {Row{12, 5, 7.9, 7.5}, Row{12, 2.5, 2.7, 2.0}, Row{12, 1, 0.47, 0.32},
                           Row{24, 5, 2.7, 1.95}, Row{24, 2.5, 0.73, 0.49}, Row{24, 1, 0.12, 0.08}})
        for (const bool is_gaussian : {true, false}) {
            CAPTURE(row.beam);
            CAPTURE(row.step);
            const double half = radians_from_degrees(row.beam / 2);
            const auto beam = [&](double g) {
                return is_gaussian ? std::exp2(-(g / half) * (g / half))
                                   : std::pow(std::max(std::cos(g), 0.0), -ln2 / std::log(std::cos(half)));
            };
            const int steps = static_cast<int>(std::lround(90 / row.step));
            const Distribution coarse = make_symmetric(beam, steps, pi / 2);
            double worst = 0, worst_inside = 0, lumens = 0;
            constexpr int cells = 90000;
            for (int i = 0; i < cells; ++i) {
                const double g = pi / 2 * (i + 0.5) / cells;
                const double error = coarse.candela_at(0, g) - beam(g);
                worst = std::max(worst, std::abs(error));
                worst_inside = std::max(worst_inside, -error);
                lumens += 2 * pi * beam(g) * std::sin(g) * pi / 2 / cells;
            }
            const double lumens_error = measure_lumens(coarse) / lumens - 1;
            CHECK(100 * worst == doctest::Approx(row.greatest).epsilon(0.03));
            CHECK(100 * lumens_error == doctest::Approx(row.lumens).epsilon(0.04));
            const double ratio = radians_from_degrees(row.step) / half;
            CHECK(worst < ln2 / 4 * ratio * ratio * 1.02);                // the cosine bends a little more
            CHECK(worst_inside == doctest::Approx(worst).epsilon(1e-12)); // the middle is understated
            if (ratio < 0.3) {
                CHECK(worst == doctest::Approx(ln2 / 4 * ratio * ratio).epsilon(0.04));
                CHECK(lumens_error == doctest::Approx(ln2 / 6 * ratio * ratio).epsilon(0.04));
            }
            MESSAGE(row.beam << " degrees every " << row.step << ": " << 100 * worst << " % of the maximum, "
                             << 100 * lumens_error << " % of the lumens");
        }
}

TEST_CASE("candela are exact at nodes, continuous and never below their nodes") {
    Distribution d;
    std::mt19937 random(7);
    std::uniform_real_distribution<double> unit(0, 1);
    for (int plane = 0; plane <= 12; ++plane)
        d.c.push_back(plane == 12 ? 2 * pi : plane * pi / 6 + (plane % 3) * 0.05); // uneven
    for (int i = 0; i <= 18; ++i)
        d.gamma.push_back(i == 18 ? pi : pi * i / 18 + (i % 4) * 0.01);
    for (std::size_t i = 0; i < d.c.size() * d.gamma.size(); ++i)
        d.candela.push_back(unit(random) < 0.4 ? 0 : 100 * unit(random));
    const std::size_t width = d.gamma.size();
    std::copy_n(d.candela.begin(), width, d.candela.end() - static_cast<std::ptrdiff_t>(width));
    join_poles(d);
    for (std::size_t plane = 0; plane < d.c.size(); ++plane)
        for (std::size_t i = 0; i < width; ++i)
            CHECK(d.candela_at(d.c[plane], d.gamma[i]) == d.candela[plane * width + i]);
    constexpr double little = 1e-9, change = 1e-4; // candela; nodes 0.1 rad apart change by at most 100
    for (int i = 0; i < 20000; ++i) {
        const double c = 2 * pi * unit(random), gamma = pi * unit(random);
        CHECK(d.candela_at(c, gamma) >= 0);
        CHECK(std::abs(d.candela_at(c + little, gamma) - d.candela_at(c, gamma)) < change);
        CHECK(std::abs(d.candela_at(-little, gamma) - d.candela_at(little, gamma)) < change);
        CHECK(std::abs(d.candela_at(2 * pi - little, gamma) - d.candela_at(0, gamma)) < change);
        CHECK(std::abs(d.candela_at(c, little) - d.candela_at(0, 0)) < change);
        CHECK(std::abs(d.candela_at(c, pi - little) - d.candela_at(0, pi)) < change);
        // Through a pole to the other side.
        const glm::dvec3 before{little, little * unit(random), -1}, beyond{-before.x, -before.y, -1};
        CHECK(std::abs(d.candela_towards(before) - d.candela_towards(beyond)) < change);
        CHECK(std::abs(d.candela_towards(-before) - d.candela_towards(-beyond)) < change);
    }
}

TEST_CASE("full angles by the IES definitions") {
    // A triangle from 1 at 0 to 0 at 1 rad is at half at 0.5 and at a tenth at 0.9.
    const Distribution triangle{{0}, {0, 1}, {1, 0}};
    CHECK(measure_full_angle(triangle, 0.5) == doctest::Approx(1).epsilon(1e-14));
    CHECK(measure_full_angle(triangle, 0.1) == doctest::Approx(1.8).epsilon(1e-14));
    // A batwing dips to 40 % on the axis: the share is of the maximum, the outermost crossing counts.
    const Distribution batwing{{0}, {0, 0.4, 0.8}, {40, 100, 0}};
    CHECK(measure_full_angle(batwing, 0.5) == doctest::Approx(1.2).epsilon(1e-14));
    // Two lobes: 0, 100 at 0.2, 10 at 0.4, 60 at 0.6, 0 at 0.8: half level last met at 0.6 + 0.2 / 6.
    const Distribution lobes{{0}, {0, 0.2, 0.4, 0.6, 0.8}, {0, 100, 10, 60, 0}};
    CHECK(measure_full_angle(lobes, 0.5) == doctest::Approx(2 * (0.6 + 0.2 / 6)).epsilon(1e-14));
    CHECK(measure_full_angle(isotropic(7), 0.5) == doctest::Approx(2 * pi));
    // Cut off while bright: the angle ends where the light ends.
    CHECK(measure_full_angle({{0}, {0, 0.7}, {10, 10}}, 0.5) == doctest::Approx(1.4));
    // Planes of 1.0 and 2.0 rad in turn: mean 1.5.
    const Distribution oval{{0, pi / 2, pi, 3 * pi / 2, 2 * pi},
                            {0, 0.5, 1, 2},
                            {10, 5, 0, 0, 10, 7.5, 5, 0, 10, 5, 0, 0, 10, 7.5, 5, 0, 10, 5, 0, 0}};
    CHECK(measure_full_angle(oval, 0.5) == doctest::Approx(1.5).epsilon(1e-14));
    CHECK(measure_full_angle(isotropic(0), 0.5) == 0);
}

TEST_CASE("an empty distribution measures nothing") {
    const Distribution none;
    CHECK(measure_lumens(none) == 0);
    CHECK(measure_max_candela(none) == 0);
    CHECK(measure_centre_candela(none) == 0);
    CHECK(measure_full_angle(none, 0.5) == 0);
    CHECK(none.candela_at(0, 0) == 0);
}
