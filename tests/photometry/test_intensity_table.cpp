// The fast table against the distribution it was made from, and what shields cut out of it.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/intensity_table.hpp"
#include "duskcast/photometry/lamp_figures.hpp"
#include "duskcast/photometry/lm63.hpp"

using namespace duskcast;

namespace {

glm::vec3 direction(double c, double gamma) {
    return {std::sin(gamma) * std::cos(c), std::sin(gamma) * std::sin(c), -std::cos(gamma)};
}

Distribution beam_deg(double beam, Profile profile = Profile::cosine) {
    return make_distribution({100, {}, radians_from_degrees(beam), {}, profile});
}

/// Largest difference over the maximum, within gamma_end.
double measure_residue(const IntensityTable& table, const Distribution& distribution, double gamma_end) {
    std::mt19937 random(1);
    std::uniform_real_distribution<double> unit(0, 1);
    double residue = 0;
    for (int i = 0; i < 100000; ++i) {
        const double c = 2 * pi * unit(random), gamma = gamma_end * std::pow(unit(random), 2);
        const double difference = table.candela(direction(c, gamma)) - distribution.candela_at(c, gamma);
        residue = std::max(residue, std::abs(difference));
    }
    return residue / measure_max_candela(distribution);
}

} // namespace

TEST_CASE("symmetric tables follow the distribution within 0.02 % of the maximum") {
    double worst = 0;
    for (const Profile profile : {Profile::cosine, Profile::gaussian})
        for (const double beam : {1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 24.0, 36.0, 60.0, 100.0, 150.0}) {
            CAPTURE(beam);
            const Distribution distribution = beam_deg(beam, profile);
            const IntensityTable table(distribution, {});
            const double residue = measure_residue(table, distribution, radians_from_degrees(89));
            CHECK(residue < 2e-4);
            worst = std::max(worst, residue);
        }
    MESSAGE("largest residue " << worst * 100 << " % of the maximum");
}

TEST_CASE("the layout is the one documented") {
    const IntensityTable symmetric(beam_deg(36), {});
    CHECK(symmetric.is_symmetric());
    CHECK(symmetric.rows() == 2048);
    REQUIRE(symmetric.values().size() == 2049);
    CHECK(symmetric.values()[2048] == symmetric.values()[2047]);
    // Row r holds s = r / (rows - 1) = sin(gamma / 2).
    const Distribution ramp{{0}, {0, pi}, {0, pi}};
    const IntensityTable ramped(ramp, {});
    for (const int row : {0, 1, 700, 1500, 2047})
        CHECK(ramped.values()[static_cast<std::size_t>(row)] ==
              doctest::Approx(2 * std::asin(row / 2047.0)).epsilon(1e-6));

    // Candela = 100 (2 - |C - 180 deg| / 180 deg), the same at every gamma.
    const Distribution fan{{0, pi, 2 * pi}, {0, pi}, {100, 100, 200, 200, 100, 100}};
    const IntensityTable turned(fan, {});
    CHECK(turned.columns() == 72);
    const std::size_t stride = static_cast<std::size_t>(turned.rows()) + 1;
    REQUIRE(turned.values().size() == 73 * stride);
    CHECK(turned.values()[0] == 100);
    CHECK(turned.values()[36 * stride + 5] == doctest::Approx(200)); // C = 180
    CHECK(turned.values()[18 * stride + 5] == doctest::Approx(150)); // C = 90
    for (std::size_t i = 0; i < stride; ++i)
        CHECK(turned.values()[72 * stride + i] == turned.values()[i]);
}

TEST_CASE("turned tables follow the distribution") {
    Lm63 wash = read_lm63_file(DUSKCAST_SOURCE_DIR "/scenes/lamps/garden-wash-3w.ies");
    const IntensityTable table(wash.distribution, {});
    CHECK_FALSE(table.is_symmetric());
    CHECK(table.columns() == 72); // planes every 10 degrees fall on columns every 5
    const double residue = measure_residue(table, wash.distribution, pi / 2 - 0.01);
    CHECK(residue < 2e-4);
    CHECK(table.lumens() == doctest::Approx(measure_lumens(wash.distribution)).epsilon(5e-4));
    MESSAGE("residue of the oval beam " << residue * 100 << " % of the maximum");

    // Corners: the seam at C = 0 and both poles.
    const Distribution fan{{0, pi, 2 * pi}, {0, pi}, {100, 100, 200, 200, 100, 100}};
    const IntensityTable turned(fan, {});
    CHECK(turned.candela(direction(0, 1)) == doctest::Approx(100));
    CHECK(turned.candela(direction(-1e-7, 1)) == doctest::Approx(100));
    CHECK(turned.candela(direction(pi, 1)) == doctest::Approx(200));
    CHECK(turned.candela(direction(-pi / 2, 1)) == doctest::Approx(150));
    CHECK(turned.candela({0, 0, -1}) == doctest::Approx(100));
    CHECK(turned.candela({0, 0, 1}) >= 100);
    CHECK(turned.candela({0, 0, 1.001f}) >= 100); // a direction slightly too long reads the last row
}

TEST_CASE("tables follow the kinks of a file with few angles") {
    // Gaussian beams at the steps of common goniometer files, linear between: each node is a kink.
    const auto make_beam = [](double wide, double narrow, double step_deg) {
        Distribution d;
        for (int plane = 0; plane <= 8; ++plane)
            d.c.push_back(plane * pi / 4);
        for (double gamma = 0; gamma < 90.001; gamma += step_deg)
            d.gamma.push_back(radians_from_degrees(gamma));
        if (wide == narrow)
            d.c = {0};
        for (const double c : d.c)
            for (const double gamma : d.gamma) {
                const double x = degrees_from_radians(gamma) * std::cos(c) / (narrow / 2);
                const double y = degrees_from_radians(gamma) * std::sin(c) / (wide / 2);
                d.candela.push_back(1000 * std::exp2(-x * x - y * y));
            }
        return d;
    };
    double worst = 0;
    for (const double beam : {5.0, 8.0, 12.0, 24.0, 36.0, 60.0})
        for (const double step : {0.5, 1.0, 2.5, 5.0})
            for (const double narrow : {beam, beam / 2}) {
                if (narrow < 12 && narrow != beam)
                    continue; // more rows than a turned table may have
                CAPTURE(beam);
                CAPTURE(narrow);
                CAPTURE(step);
                const Distribution distribution = make_beam(beam, narrow, step);
                const IntensityTable table(distribution, {});
                const double residue = measure_residue(table, distribution, radians_from_degrees(88));
                CHECK(residue < 2e-4);
                CHECK(table.lumens() == doctest::Approx(measure_lumens(distribution)).epsilon(1e-4));
                worst = std::max(worst, residue);
            }
    MESSAGE("largest residue at kinks " << worst * 100 << " % of the maximum");
    CHECK(IntensityTable(make_beam(0.5, 0.5, 0.25), {}).rows() == 32768); // the most there are
    CHECK(IntensityTable(make_beam(4, 2, 1), {}).rows() == 8192);
}

TEST_CASE("columns are as few as the planes allow") {
    const auto columns_of = [](double step_deg) {
        Distribution d{{}, {0, pi / 4, pi / 2}, {}};
        const int planes = static_cast<int>(std::lround(360 / step_deg));
        for (int i = 0; i <= planes; ++i) {
            d.c.push_back(i == planes ? 2 * pi : radians_from_degrees(i * step_deg));
            const double side = i % 2 && i != planes ? 50 : 80; // a zigzag: every plane is a kink
            d.candela.insert(d.candela.end(), {100, side, 0});
        }
        return IntensityTable(d, {}).columns();
    };
    CHECK(columns_of(45) == 72);
    CHECK(columns_of(22.5) == 144);
    CHECK(columns_of(15) == 72);
    CHECK(columns_of(3) == 120);
    CHECK(columns_of(2) == 180);
    CHECK(columns_of(1) == 360);
    CHECK(columns_of(7.2) == 360); // no step meets it: the finest
}

TEST_CASE("the lumens of a table are those of its distribution") {
    for (const Profile profile : {Profile::cosine, Profile::gaussian})
        for (const double beam : {1.0, 2.0, 5.0, 12.0, 36.0, 60.0, 100.0, 119.0, 120.0, 170.0}) {
            CAPTURE(beam);
            CHECK(IntensityTable(beam_deg(beam, profile), {}).lumens() == doctest::Approx(100).epsilon(5e-4));
        }
    CHECK(IntensityTable({{0}, {0, pi}, {1, 1}}, {}).lumens() == doctest::Approx(4 * pi).epsilon(1e-6));
    CHECK(IntensityTable().lumens() == 0);
    CHECK(IntensityTable().candela({0, 0, -1}) == 0);
    CHECK(IntensityTable(Distribution{}, {}).candela({0, 0, -1}) == 0);
}

TEST_CASE("the shroud is part of the table") {
    const Distribution distribution = beam_deg(60);
    const Shield shroud{.lens_diameter = 0.05, .shroud_length = 0.05};
    const IntensityTable bare(distribution, {}), cut(distribution, shroud);
    for (const double gamma : {0.0, 0.1, 0.3, 0.6, 0.78})
        CHECK(cut.candela(direction(1, gamma)) ==
              doctest::Approx(bare.candela(direction(1, gamma)) * visible_lens_share(shroud, 0, gamma))
                  .epsilon(2e-3));
    CHECK(cut.candela(direction(1, 0.79)) == 0); // atan(1) = 0.7854
    // Lumens left: 2 pi int I share sin g dg by the midpoint rule.
    constexpr int cells = 20000;
    double lumens = 0;
    for (int i = 0; i < cells; ++i) {
        const double g = pi / 4 * (i + 0.5) / cells;
        lumens += 2 * pi * distribution.candela_at(0, g) * visible_lens_share(shroud, 0, g) * std::sin(g) *
                  pi / 4 / cells;
    }
    CHECK(cut.lumens() == doctest::Approx(lumens).epsilon(5e-4));
    CHECK(cut.lumens() < 0.5 * bare.lumens());
}

TEST_CASE("a hood makes a table of a symmetric lamp that differs round the axis") {
    const Distribution distribution = beam_deg(60);
    const Shield hood{.lens_diameter = 0.05, .hood_length = 0.05};
    const IntensityTable bare(distribution, {}), cut(distribution, hood);
    CHECK(!cut.is_symmetric());
    const float most = bare.candela({0, 0, -1});
    double worst = 0;
    for (int i = 0; i < 4000; ++i) { // off the table's own nodes
        const double c = 2 * pi * std::fmod(i * 0.618034, 1), gamma = pi / 2 * (i + 0.5) / 4000;
        const double wanted = distribution.candela_at(0, gamma) * visible_lens_share(hood, c, gamma);
        worst = std::max(worst, std::abs(cut.candela(direction(c, gamma)) - wanted));
    }
    MESSAGE("largest error of a hooded table " << worst / most << " of the maximum");
    CHECK(worst < 2e-3 * most);
    // Towards C0 nothing is missing; towards C180 nothing gets past 45 degrees.
    CHECK(cut.candela(direction(0, 1.0)) == doctest::Approx(bare.candela(direction(0, 1.0))).epsilon(2e-3));
    CHECK(cut.candela(direction(pi, 0.79)) == 0);
}
