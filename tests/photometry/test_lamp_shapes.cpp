// Oval beams, beams with a peak off the axis and rings, against integrals worked without the program's grids.

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/photometry/intensity_table.hpp"
#include "duskcast/photometry/lamp_figures.hpp"

using namespace duskcast;

namespace {

constexpr double log_two = 0.69314718055994530942;
constexpr auto radians = radians_from_degrees;

LampFigures oval_deg(Profile profile, double across, double along, double candela) {
    return {.centre_candela = candela,
            .beam_angle = radians(along),
            .profile = profile,
            .beam_angle_across = radians(across)};
}

std::string refusal_of(const LampFigures& figures) {
    try {
        make_distribution(figures);
    } catch (const InputError& error) {
        return print_problem(error.problems().front());
    }
    return "";
}

} // namespace

TEST_CASE("an oval beam holds its beam angle in both planes, and an ellipse between them") {
    for (const Profile profile : {Profile::cosine, Profile::gaussian})
        for (const auto& angles : {std::pair(110.0, 60.0), std::pair(15.0, 40.0), std::pair(30.0, 30.0)}) {
            const double across = angles.first, along = angles.second;
            CAPTURE(across);
            const Distribution beam = make_distribution(oval_deg(profile, across, along, 1000));
            CHECK(beam.candela_at(0, 0) == doctest::Approx(1000));
            CHECK(beam.candela_at(0, radians(along / 2)) == doctest::Approx(500));
            CHECK(beam.candela_at(pi, radians(along / 2)) == doctest::Approx(500));
            CHECK(beam.candela_at(pi / 2, radians(across / 2)) == doctest::Approx(500));
            CHECK(beam.candela_at(3 * pi / 2, radians(across / 2)) == doctest::Approx(500));
            // On a screen at distance 1 the 50 % contour is x = tan(along / 2) cos t, y = tan(across / 2) sin
            // t.
            for (const double t : {0.3, 0.8, 1.2, 2.5}) {
                const double x = std::tan(radians(along / 2)) * std::cos(t);
                const double y = std::tan(radians(across / 2)) * std::sin(t);
                CHECK(beam.candela_at(std::atan2(y, x), std::atan(std::hypot(x, y))) ==
                      doctest::Approx(500).epsilon(2e-3));
            }
            CHECK(beam.candela_at(1, radians(90.1)) == 0);
        }
}

TEST_CASE("lumens of an oval beam") {
    // Narrow Gaussian beams: the integral of I0 exp(-ln 2 (x^2 / a^2 + y^2 / b^2)) over the plane is
    // pi a b / ln 2; a plane instead of the sphere costs about a^2 / 3.
    const Distribution narrow = make_distribution(oval_deg(Profile::gaussian, 4, 8, 1000));
    CHECK(measure_lumens(narrow) ==
          doctest::Approx(1000 * pi / log_two * radians(2) * radians(4)).epsilon(3e-3));
    // A wide one by the midpoint rule over the sphere, from the equations in lamp_figures.hpp.
    const Distribution wide = make_distribution(oval_deg(Profile::cosine, 110, 60, 100));
    constexpr int rings = 2000, spokes = 720;
    double lumens = 0;
    for (int i = 0; i < rings; ++i)
        for (int j = 0; j < spokes; ++j) {
            const double g = pi / 2 * (i + 0.5) / rings, c = 2 * pi * (j + 0.5) / spokes;
            const double half = std::atan(
                1 / std::hypot(std::cos(c) / std::tan(radians(30)), std::sin(c) / std::tan(radians(55))));
            lumens += 100 * std::pow(std::cos(g), std::log(0.5) / std::log(std::cos(half))) * std::sin(g) *
                      (pi / 2 / rings) * (2 * pi / spokes);
        }
    CHECK(measure_lumens(wide) == doctest::Approx(lumens).epsilon(5e-4));
    // The lumens on the box are the lumens that leave, in the fast table too.
    LampFigures figures = oval_deg(Profile::cosine, 110, 60, 100);
    figures.centre_candela.reset();
    figures.lumens = 230;
    CHECK(measure_lumens(make_distribution(figures)) == doctest::Approx(230));
    CHECK(IntensityTable(make_distribution(figures), {}).lumens() == doctest::Approx(230).epsilon(1e-3));
    // Lumens and candela together bend the fall-off; 10 % apart is as for round beams.
    figures.centre_candela = 0.9 * 100 * 230 / lumens;
    const Distribution bent = make_distribution(figures);
    CHECK(measure_lumens(bent) == doctest::Approx(230));
    CHECK(bent.candela_at(0, 0) == doctest::Approx(*figures.centre_candela).epsilon(5e-3));
    CHECK(bent.candela_at(pi / 2, radians(55)) == doctest::Approx(*figures.centre_candela / 2).epsilon(5e-3));
}

TEST_CASE("an oval beam holds two field angles") {
    LampFigures figures = oval_deg(Profile::gaussian, 100, 40, 1000);
    figures.field_angle = radians(70);
    figures.field_angle_across = radians(140);
    const Distribution beam = make_distribution(figures);
    CHECK(beam.candela_at(0, radians(20)) == doctest::Approx(500));
    CHECK(beam.candela_at(0, radians(35)) == doctest::Approx(100));
    CHECK(beam.candela_at(pi / 2, radians(50)) == doctest::Approx(500));
    CHECK(beam.candela_at(pi / 2, radians(70)) == doctest::Approx(100));
}

TEST_CASE("a beam with a peak is the beam turned towards C0, with nothing behind the lens") {
    LampFigures figures = oval_deg(Profile::cosine, 60, 30, 1000);
    const Distribution straight = make_distribution(figures);
    figures.peak_angle = radians(20);
    const Distribution turned = make_distribution(figures);
    CHECK(turned.candela_towards(direction_at(0, radians(20))) == doctest::Approx(1000));
    CHECK(turned.candela_towards(direction_at(0, radians(35))) == doctest::Approx(500));
    CHECK(turned.candela_towards(direction_at(0, radians(5))) == doctest::Approx(500));
    // 30 degrees to the side of the peak: cos 20 cos 30 down, tan of the plan angle tan 30 / sin 20.
    CHECK(turned.candela_towards({std::sin(radians(20)) * std::cos(radians(30)), std::sin(radians(30)),
                                  -std::cos(radians(20)) * std::cos(radians(30))}) == doctest::Approx(500));
    // Little of this beam reaches the plane of the lens, so turning it keeps its lumens.
    CHECK(measure_lumens(turned) == doctest::Approx(measure_lumens(straight)).epsilon(1e-3));

    figures = {.lumens = 300, .beam_angle = radians(120), .peak_angle = radians(60)};
    const Distribution wide = make_distribution(figures);
    CHECK(measure_lumens(wide) == doctest::Approx(300));
    const IntensityTable table(wide, {});
    CHECK(table.lumens() == doctest::Approx(300).epsilon(2e-3));
    double behind = 0;
    for (int i = 0; i < 50000; ++i) { // a golden spiral over the half sphere behind the lens
        const double z = (i + 0.5) / 50000, c = 2.399963229728653 * i;
        behind = std::max(behind, wide.candela_towards(direction_at(c, std::acos(-z))));
        behind =
            std::max(behind, static_cast<double>(table.candela(glm::vec3(direction_at(c, std::acos(-z))))));
    }
    CHECK(behind == 0);
}

TEST_CASE("a ring is brightest at its angle and throws nothing above the horizontal") {
    const LampFigures figures{.centre_candela = 50, .beam_angle = radians(40), .ring_angle = radians(60)};
    const Distribution ring = make_distribution(figures);
    CHECK(ring.is_symmetric());
    CHECK(ring.candela_at(1, radians(60)) == doctest::Approx(50));
    CHECK(ring.candela_at(2, radians(40)) == doctest::Approx(25));
    CHECK(ring.candela_at(3, radians(80)) == doctest::Approx(25));
    CHECK(ring.candela_at(0, radians(90.01)) == 0);
    // On the axis exp(-ln 2 (60 / 20)^2) = 2^-9 is left.
    CHECK(ring.candela_at(0, 0) == doctest::Approx(50.0 / 512));
    // A narrow ring: 2 pi sin(ring) times the integral of the Gaussian, h sqrt(pi / ln 2).
    const Distribution narrow =
        make_distribution({.centre_candela = 50, .beam_angle = radians(2), .ring_angle = radians(60)});
    CHECK(measure_lumens(narrow) ==
          doctest::Approx(50 * 2 * pi * std::sin(radians(60)) * radians(1) * std::sqrt(pi / log_two))
              .epsilon(2e-3));
    // The ring's full width at 10 %, and lumens as given.
    const Distribution field = make_distribution(
        {.lumens = 90, .beam_angle = radians(20), .field_angle = radians(30), .ring_angle = radians(50)});
    CHECK(measure_lumens(field) == doctest::Approx(90));
    CHECK(field.candela_at(0, radians(65)) == doctest::Approx(0.1 * field.candela_at(0, radians(50))));
    CHECK(field.candela_at(0, radians(40)) == doctest::Approx(0.5 * field.candela_at(0, radians(50))));
}

TEST_CASE("every refused shape says why") {
    LampFigures figures = oval_deg(Profile::cosine, 60, 30, 1000);
    figures.field_angle = radians(80);
    CHECK(refusal_of(figures) ==
          "field: error: beam and field angle are one figure and two; give two of both, "
          "side to side and up and down, or one of both");
    figures.field_angle_across = radians(50);
    CHECK(
        refusal_of(figures) ==
        "field: error: a field angle of 50° is not wider than the beam angle of 60°; the field angle is "
        "where "
        "10 % of the maximum is left, the beam angle where 50 % is; swap them or leave the field angle out");
    CHECK(
        refusal_of(oval_deg(Profile::cosine, 175, 30, 1000)) ==
        "beam: error: a beam angle of 175° is outside 1° to 170°; give the full angle at 50 % of the maximum "
        "intensity");
    figures = {.lumens = 100, .beam_angle = radians(30), .peak_angle = radians(75)};
    CHECK(refusal_of(figures) == "peak: error: a peak at 75° is outside 0° to 60°; give the angle from the "
                                 "lens's axis to the middle of "
                                 "the beam");
    figures = {.lumens = 100, .beam_angle = radians(30), .ring_angle = radians(90)};
    CHECK(refusal_of(figures) ==
          "ring: error: a ring at 90° is not between 0° and 90°; give the angle from the "
          "axis at which the ring is brightest");
    figures = {
        .lumens = 100, .beam_angle = radians(30), .peak_angle = radians(10), .ring_angle = radians(60)};
    CHECK(refusal_of(figures) ==
          "ring: error: a ring has no peak; it is the same all round the axis; leave one of the two out");
    figures = {.lumens = 100,
               .beam_angle = radians(30),
               .beam_angle_across = radians(40),
               .ring_angle = radians(60)};
    CHECK(refusal_of(figures) ==
          "ring: error: a ring has no second beam angle; it is the same all round the axis; "
          "leave one of the two out");
}
