// Conventions of aim.hpp, worked by hand: azimuth from north (+y) clockwise, tilt from straight up.

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/aim.hpp"

using namespace duskcast;

namespace {

Aim aim_deg(double tilt, double azimuth, double spin = 0) {
    return {radians_from_degrees(tilt), radians_from_degrees(azimuth), radians_from_degrees(spin)};
}

void check_vector(const glm::dvec3& found, const glm::dvec3& expected) {
    CHECK(glm::length(found - expected) < 1e-12);
}

} // namespace

TEST_CASE("the beam axis follows tilt and azimuth") {
    const double s20 = 0.3420201433256687, c20 = 0.9396926207859084; // sin, cos of 20 degrees (tables)
    check_vector(beam_axis(aim_deg(0, 77)), {0, 0, 1});
    check_vector(beam_axis(aim_deg(20, 0)), {0, s20, c20});    // leans north
    check_vector(beam_axis(aim_deg(20, 90)), {s20, 0, c20});   // east
    check_vector(beam_axis(aim_deg(20, 180)), {0, -s20, c20}); // south
    check_vector(beam_axis(aim_deg(20, 270)), {-s20, 0, c20}); // west
    check_vector(beam_axis(aim_deg(90, 45)), {std::sqrt(0.5), std::sqrt(0.5), 0});
    check_vector(beam_axis(aim_deg(180, 30)), {0, 0, -1});
}

TEST_CASE("C0 points where the beam moves as the tilt grows, C90 to the right") {
    struct Row {
        double tilt, azimuth;
        glm::dvec3 c0, c90;
    };
    const double s20 = 0.3420201433256687, c20 = 0.9396926207859084;
    const std::vector<Row> rows{
        {0, 0, {0, 1, 0}, {1, 0, 0}},       // facing north, east is to the right
        {0, 90, {1, 0, 0}, {0, -1, 0}},     // facing east, south is to the right
        {0, 180, {0, -1, 0}, {-1, 0, 0}},   // facing south, west is to the right
        {0, 270, {-1, 0, 0}, {0, 1, 0}},    // facing west, north is to the right
        {20, 0, {0, c20, -s20}, {1, 0, 0}}, //
        {90, 0, {0, 0, -1}, {1, 0, 0}},     // a level beam moves down
        {90, 90, {0, 0, -1}, {0, -1, 0}},   //
        {180, 0, {0, -1, 0}, {1, 0, 0}},    // a downlight moves back
    };
    for (const Row& row : rows) {
        CAPTURE(row.tilt);
        CAPTURE(row.azimuth);
        const glm::dmat3 frame = world_from_fixture(aim_deg(row.tilt, row.azimuth));
        check_vector(frame[0], row.c0);
        check_vector(frame[1], row.c90);
    }
}

TEST_CASE("spin turns C0 towards C90") {
    const glm::dmat3 frame = world_from_fixture(aim_deg(0, 0, 90));
    check_vector(frame[0], {1, 0, 0});  // where C90 was
    check_vector(frame[1], {0, -1, 0}); // opposite to where C0 was
    const double half = std::sqrt(0.5);
    check_vector(world_from_fixture(aim_deg(0, 0, 45))[0], {half, half, 0});
}

TEST_CASE("the frame is a rotation whose beam is its -z") {
    for (double tilt = 0; tilt <= 180; tilt += 15)
        for (double azimuth = -360; azimuth <= 360; azimuth += 35)
            for (const double spin : {0.0, 30.0, -100.0}) {
                const Aim aim = aim_deg(tilt, azimuth, spin);
                const glm::dmat3 frame = world_from_fixture(aim);
                const glm::dmat3 product = glm::transpose(frame) * frame;
                for (int i = 0; i < 3; ++i)
                    check_vector(product[i], glm::dmat3(1)[i]);
                CHECK(glm::determinant(frame) == doctest::Approx(1).epsilon(1e-12));
                check_vector(beam_axis(aim), -frame[2]);
            }
}

TEST_CASE("C0 is the derivative of the beam axis by the tilt") {
    const double step = 1e-6;
    for (const double tilt : {0.1, 0.8, 1.5, 2.6}) {
        const Aim aim{tilt, 0.7, 0};
        const glm::dvec3 slope =
            (beam_axis({tilt + step, 0.7, 0}) - beam_axis({tilt - step, 0.7, 0})) / (2 * step);
        CHECK(glm::length(world_from_fixture(aim)[0] - slope) < 1e-9);
    }
}
