// LM-63-1986, tilt data, types A and B, and writing. Directions are worked from the definitions of LM-63-2002
// (types A and C share an upright axis, type B a level one; horizontal angles of A and B run clockwise).

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/intensity_table.hpp"
#include "duskcast/photometry/lamp_figures.hpp"
#include "duskcast/photometry/lm63.hpp"
#include "folder.hpp"

using namespace duskcast;

namespace {

std::string file_text(const std::string& type, const std::string& vertical, const std::string& horizontal,
                      const std::string& candela, const std::string& counts) {
    return "IESNA:LM-63-1995\nTILT=NONE\n1 -1 1 " + counts + " " + type + " 2 0 0 0\n1 1 5\n" + vertical +
           "\n" + horizontal + "\n" + candela;
}

/// Up, right and ahead of the beam in the lamp's frame (aim.hpp): the beam is -z, and as the fixture leans
/// C180 (-x) comes to lie uppermost, C90 (+y) to the right of somebody behind it.
glm::dvec3 direction(double up, double right, double ahead) {
    return {-up, right, -ahead};
}

glm::dvec3 direction_a(double h, double v) {
    h = radians_from_degrees(h), v = radians_from_degrees(v);
    return direction(std::sin(v), std::cos(v) * std::sin(h), std::cos(v) * std::cos(h));
}

glm::dvec3 direction_b(double h, double v) {
    h = radians_from_degrees(h), v = radians_from_degrees(v);
    return direction(std::cos(h) * std::sin(v), std::sin(h), std::cos(h) * std::cos(v));
}

} // namespace

TEST_CASE("1986: no tag, labels up to TILT, the 12th number multiplies") {
    const Lm63 file =
        read_lm63("Garden flood\r\nmade up for this test\r\nTILT=NONE\r\n1 400 2 3 1 1 1 -0.25 0 0\r\n"
                  "0.9 0.5 20\r\n0 45 90\r\n0\r\n100 50 0\r\n",
                  "old.ies");
    CHECK(file.version == Lm63Version::v1986);
    CHECK(file.warnings.empty());
    CHECK(file.labels == std::vector<std::string>{"Garden flood", "made up for this test"});
    CHECK(file.keywords.empty());
    CHECK(file.distribution.candela_at(0, 0) == doctest::Approx(90)); // 100 x 2 x 0.9 x 0.5
    CHECK(file.opening_width == doctest::Approx(0.0762));
    for (const char* tag : {"IESNA86", "IESNA:LM-63-1986"})
        CHECK(read_lm63(std::string(tag) + "\nlabel\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 5\n0 90\n0\n9 0\n",
                        "x")
                  .labels == std::vector<std::string>{"label"});
}

TEST_CASE("tilt data, in the file and beside it") {
    const std::string rest = "1 -1 1 2 1 1 2 0 0 0\n1 1 5\n0 90\n0\n9 0\n";
    const Lm63 inside = read_lm63("IESNA91\nTILT=INCLUDE\n1\n3\n0 60 90\n1.0 0.9\n0.7\n" + rest, "x.ies");
    CHECK(inside.warnings.empty());
    CHECK(inside.tilt.geometry == 1);
    REQUIRE(inside.tilt.angles.size() == 3);
    CHECK(inside.tilt.factor_at(0) == 1);
    CHECK(inside.tilt.factor_at(radians_from_degrees(30)) == doctest::Approx(0.95));
    CHECK(inside.tilt.factor_at(radians_from_degrees(80)) == doctest::Approx(0.9 - 0.2 * 2 / 3));
    CHECK(inside.tilt.factor_at(pi) == doctest::Approx(0.7));
    CHECK(Lm63Tilt{}.factor_at(1) == 1);
    CHECK(inside.distribution.candela_at(0, 0) == 9); // as measured, untilted

    const test::Folder folder;
    folder.write("Lamp 1.tlt", "2\n2\n0 90\n1 0.5\n");
    folder.write("x.ies", "IESNA91\nTILT=Lamp 1.tlt\n" + rest);
    const Lm63 beside = read_lm63_file(folder / "x.ies");
    CHECK(beside.tilt.geometry == 2);
    CHECK(beside.tilt.factor_at(pi / 4) == doctest::Approx(0.75));
    folder.write("bad.tlt", "2\n2\n0 x\n1 0.5\n");
    folder.write("y.ies", "IESNA91\nTILT=bad.tlt\n" + rest);
    try {
        read_lm63_file(folder / "y.ies");
        FAIL("no error");
    } catch (const InputError& error) {
        CHECK(error.what() == (folder / "bad.tlt").generic_string() +
                                  ":3: error: \"x\" stands where a tilt angle belongs; put a number there");
    }
}

TEST_CASE("type A, two-sided: each node in its own direction") {
    // Rows: H -90, 0, 60; columns V -30, 0, 45.
    const Lm63 file =
        read_lm63(file_text("3", "-30 0 45", "-90 0 60", "1 2 3\n4 100 6\n7 8 9\n", "3 3"), "a.ies");
    CHECK(file.type == Lm63Type::a);
    CHECK(file.warnings.empty());
    const Distribution& lamp = file.distribution;
    CHECK(lamp.is_tilted());
    CHECK(lamp.candela_towards({0, 0, -1}) == doctest::Approx(100)); // H 0, V 0 is the beam's axis
    double expected = 1;
    for (const double h : {-90.0, 0.0, 60.0})
        for (const double v : {-30.0, 0.0, 45.0}) {
            CHECK(lamp.candela_towards(2.0 * direction_a(h, v)) ==
                  doctest::Approx(h == 0 && v == 0 ? 100 : expected));
            ++expected;
        }
    // Worked by hand: V 45 straight up is half way up and ahead; H 60, V 0 is to the right.
    CHECK(lamp.candela_towards(direction(1, 0, 1)) == doctest::Approx(6));
    CHECK(lamp.candela_towards(direction(0, std::sqrt(3.0), 1)) == doctest::Approx(8));
    CHECK(lamp.candela_towards(direction(0, -1, 0)) == doctest::Approx(2));
    CHECK(lamp.candela_towards(direction_a(30, 0)) == doctest::Approx(54)); // half way from 100 to 8
    CHECK(lamp.candela_towards(direction_a(61, 0)) == 0);
    CHECK(lamp.candela_towards(direction_a(0, 46)) == 0);
    CHECK(lamp.candela_towards({0, 0, 1}) == 0); // behind
}

TEST_CASE("type B, two-sided: each node in its own direction") {
    const Lm63 file =
        read_lm63(file_text("2", "-30 0 45", "-60 0 90", "1 2 3\n4 100 6\n7 7 7\n", "3 3"), "b.ies");
    const Distribution& lamp = file.distribution;
    CHECK(lamp.candela_towards({0, 0, -1}) == doctest::Approx(100));
    double expected = 1;
    for (const double h : {-60.0, 0.0})
        for (const double v : {-30.0, 0.0, 45.0}) {
            CHECK(lamp.candela_towards(direction_b(h, v)) ==
                  doctest::Approx(h == 0 && v == 0 ? 100 : expected));
            ++expected;
        }
    CHECK(lamp.candela_towards(direction(0, 1, 0)) == doctest::Approx(7)); // the pole to the right
    CHECK(lamp.candela_towards(direction(1, 0, 1)) == doctest::Approx(6));
    CHECK(lamp.candela_towards(direction_b(0, 46)) == 0);
    // Off both axes the two types differ: the plane of V turns with it.
    CHECK(glm::distance(direction_a(40, 40), direction_b(40, 40)) > 0.2);
}

TEST_CASE("one-sided angles of types A and B are mirrored") {
    for (const char* type : {"2", "3"}) {
        CAPTURE(type);
        const Lm63 quarter =
            read_lm63(file_text(type, "0 20 90", "0 30 90", "100 40 0\n60 20 0\n0 0 0\n", "3 3"), "q.ies");
        const Lm63 half = read_lm63(file_text(type, "0 20 90", "-90 -30 0 30 90",
                                              "0 0 0\n60 20 0\n100 40 0\n60 20 0\n0 0 0\n", "3 5"),
                                    "h.ies");
        const Lm63 whole =
            read_lm63(file_text(type, "-90 -20 0 20 90", "-90 -30 0 30 90",
                                "0 0 0 0 0\n0 20 60 20 0\n0 40 100 40 0\n0 20 60 20 0\n0 0 0 0 0\n", "5 5"),
                      "w.ies");
        CHECK(quarter.distribution == whole.distribution);
        CHECK(half.distribution == whole.distribution);
        const auto direction_of = type[0] == '3' ? direction_a : direction_b;
        for (const double h : {-30.0, 30.0})
            for (const double v : {-20.0, 20.0})
                CHECK(whole.distribution.candela_towards(direction_of(h, v)) == doctest::Approx(20));
    }
}

TEST_CASE("lumens of types A and B on their own grid, and their fast table") {
    // I = 100 cd everywhere: 4 pi 100 lm over the whole sphere, 2 pi 100 over half of it (closed form).
    const std::string ones = "100 100 100\n100 100 100\n100 100 100\n";
    CHECK(
        measure_lumens(read_lm63(file_text("3", "-90 0 90", "-180 0 180", ones, "3 3"), "a").distribution) ==
        doctest::Approx(400 * pi));
    const Distribution half =
        read_lm63(file_text("2", "-90 0 90", "-90 0 90", ones, "3 3"), "b").distribution;
    CHECK(measure_lumens(half) == doctest::Approx(200 * pi));
    CHECK(measure_zonal_lumens(half, 0, pi / 3) ==
          doctest::Approx(100 * pi).epsilon(1e-3)); // 2 pi (1 - cos 60)
    // A Gaussian beam of 30 degrees across and 60 up and down, listed every 2 degrees as type B.
    std::string vertical, horizontal, candela;
    for (int i = -90; i <= 90; i += 2) {
        vertical += std::to_string(i) + " ";
        horizontal += std::to_string(i) + " ";
        for (int v = -90; v <= 90; v += 2)
            candela +=
                std::to_string(1000 * std::exp(-std::log(2.0) * (i * i / 225.0 + v * v / 900.0))) + " ";
        candela += "\n";
    }
    const Distribution oval =
        read_lm63(file_text("2", vertical, horizontal, candela, "91 91"), "oval").distribution;
    const IntensityTable table(oval, {});
    CHECK(table.lumens() == doctest::Approx(measure_lumens(oval)).epsilon(2e-3));
    double worst = 0;
    for (double h = -88; h <= 88; h += 2)
        for (double v = -88; v <= 88; v += 2) {
            const glm::dvec3 way = direction_b(h, v);
            worst = std::max(worst, std::abs(static_cast<double>(table.candela(glm::vec3(way))) -
                                             oval.candela_towards(way)));
        }
    MESSAGE("largest difference of the table at a node ", worst, " cd of 1000");
    CHECK(worst < 1);
    // Beam angles across the two axes, 30 and 60 degrees; their mean over all planes lies between.
    CHECK(degrees_from_radians(measure_full_angle(oval, 0.5)) > 30);
    CHECK(degrees_from_radians(measure_full_angle(oval, 0.5)) < 60);
    CHECK(measure_centre_candela(oval) == doctest::Approx(1000));
}

TEST_CASE("what is written reads back the same to half a unit of the last digit") {
    std::vector<Distribution> lamps;
    for (const double beam : {3.0, 24.0, 60.0, 150.0})
        for (const Profile profile : {Profile::cosine, Profile::gaussian})
            lamps.push_back(make_distribution(
                {.lumens = 320, .beam_angle = radians_from_degrees(beam), .profile = profile}));
    Distribution oval;
    for (int i = 0; i <= 80; ++i)
        oval.gamma.push_back(radians_from_degrees(i));
    for (int plane = 0; plane <= 24; ++plane) {
        oval.c.push_back(2 * pi * plane / 24);
        for (const double gamma : oval.gamma)
            oval.candela.push_back(12345.678 * std::exp(-gamma * gamma * (6 + 3 * std::cos(oval.c.back()))));
    }
    lamps.push_back(oval);
    for (const Distribution& lamp : lamps) {
        Lm63 file;
        file.keywords = {{"LAMP", std::string(300, 'x')}, {"MANUFAC", "Sample Works"}};
        file.input_watts = 4.5;
        file.opening_width = file.opening_length = 0.05;
        file.opening_is_round = true;
        file.distribution = lamp;
        const std::string text = print_lm63(file);
        const Lm63 back = read_lm63(text, "back.ies");
        CHECK(back.warnings.empty());
        CHECK(back.version == Lm63Version::v2019);
        CHECK(back.input_watts == 4.5);
        CHECK(back.opening_is_round);
        CHECK(back.opening_width == doctest::Approx(0.05));
        // [MORE] joins with a blank.
        for (const auto& [key, value] : back.keywords)
            if (key == "LAMP")
                CHECK(value.size() == 302);
        const double greatest = measure_max_candela(lamp);
        const double unit = std::pow(10.0, std::floor(std::log10(greatest)) - 5);
        double worst = 0;
        for (std::size_t plane = 0; plane < lamp.c.size(); ++plane)
            for (std::size_t i = 0; i < lamp.gamma.size(); ++i) {
                const auto node =
                    std::find_if(back.distribution.gamma.begin(), back.distribution.gamma.end(),
                                 [&](double gamma) { return std::abs(gamma - lamp.gamma[i]) < 1e-7; });
                REQUIRE(node != back.distribution.gamma.end());
                const auto at = static_cast<std::size_t>(node - back.distribution.gamma.begin());
                worst = std::max(
                    worst, std::abs(back.distribution.candela[plane * back.distribution.gamma.size() + at] -
                                    lamp.candela[plane * lamp.gamma.size() + i]));
            }
        CHECK(worst <= 0.5001 * unit);
        CHECK(print_lm63(back) == text);
        std::size_t longest = 0;
        for (std::size_t at = 0, end = 0; end != std::string::npos; at = end + 2) {
            end = text.find("\r\n", at);
            longest = std::max(longest, std::min(end, text.size()) - at);
        }
        CHECK(longest <= 256);
    }
}
