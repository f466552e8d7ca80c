// Configuration factors of rectangles: closed forms, closed rooms, and brute force.

#include <algorithm>
#include <array>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/base/random.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/light/form_factor.hpp"

#include <glm/glm.hpp>

using namespace duskcast;

namespace {

/// A plane with a frame, into which a receiver in space is put.
struct Plane {
    glm::dvec3 origin, u, v;

    PlaneReceiver receiver(const glm::dvec3& position, const glm::dvec3& normal) const {
        const glm::dvec3 up = glm::cross(u, v), way = position - origin;
        return {.u = glm::dot(way, u),
                .v = glm::dot(way, v),
                .height = glm::dot(way, up),
                .normal_u = glm::dot(normal, u),
                .normal_v = glm::dot(normal, v),
                .normal_up = glm::dot(normal, up)};
    }
};

/// What a spot of the plane weighs: cos cos / (pi d^2); 0 below the receiver's horizon.
double weigh(const PlaneReceiver& receiver, double u, double v) {
    const double above = std::max(0.0, receiver.above_horizon(u, v));
    const double square =
        std::pow(u - receiver.u, 2) + std::pow(v - receiver.v, 2) + receiver.height * receiver.height;
    return above * receiver.height / (pi * square * square);
}

/// Calls visit(u, v, du dv) at the middles of side x side parts.
template <class Visit> void visit_parts(const PlaneRectangle& rectangle, int side, Visit visit) {
    for (int i = 0; i < side; ++i)
        for (int j = 0; j < side; ++j)
            visit(rectangle.u0 + (i + 0.5) / side * rectangle.width(),
                  rectangle.v0 + (j + 0.5) / side * rectangle.height(), rectangle.area() / (side * side));
}

double sum_parts(const PlaneReceiver& receiver, const PlaneRectangle& rectangle, int side) {
    double sum = 0;
    visit_parts(rectangle, side,
                [&](double u, double v, double area) { sum += area * weigh(receiver, u, v); });
    return sum;
}

} // namespace

TEST_CASE("form factor: what is seen of a closed room adds up to one") {
    // Wherever the receiver is and whichever way it faces: its horizon cuts the faces in every way.
    Random random(11);
    for (int trial = 0; trial < 400; ++trial) {
        const glm::dvec3 size(random.uniform(0.5, 8), random.uniform(0.5, 8), random.uniform(0.5, 4));
        const glm::dvec3 share(random.uniform(0.02, 0.98), random.uniform(0.02, 0.98),
                               random.uniform(0.02, 0.98));
        glm::dvec3 normal = random.direction();
        if (trial % 5 == 0) { // along an axis: faces are seen edge-on
            normal = glm::dvec3(0);
            normal[trial % 3] = trial % 2 == 0 ? 1 : -1;
        }
        double sum = 0;
        for (int axis = 0; axis < 3; ++axis)
            for (const bool is_far : {false, true}) {
                Plane plane{glm::dvec3(0), glm::dvec3(0), glm::dvec3(0)};
                const int first = (axis + 1) % 3, second = (axis + 2) % 3;
                plane.u[is_far ? second : first] = 1; // the plane faces inwards
                plane.v[is_far ? first : second] = 1;
                plane.origin[axis] = is_far ? size[axis] : 0;
                sum += measure_factor(plane.receiver(share * size, normal),
                                      {0, size[is_far ? second : first], 0, size[is_far ? first : second]});
            }
        CHECK(sum == doctest::Approx(1).epsilon(1e-9));
    }
}

TEST_CASE("form factor: opposed rectangles and rectangles at an edge") {
    // Howell, A Catalog of Radiation Heat Transfer Configuration Factors, C-11 and C-14 (from memory): the
    // factor of a whole rectangle is the mean of its points'.
    for (const double x : {0.3, 1.0, 4.0})
        for (const double y : {0.5, 2.0}) {
            const double xx = 1 + x * x, yy = 1 + y * y;
            const double opposed =
                2 / (pi * x * y) *
                (0.5 * std::log(xx * yy / (xx + y * y)) + x * std::sqrt(yy) * std::atan(x / std::sqrt(yy)) +
                 y * std::sqrt(xx) * std::atan(y / std::sqrt(xx)) - x * std::atan(x) - y * std::atan(y));
            double mean = 0;
            visit_parts({0, x, 0, y}, 80, [&](double u, double v, double area) {
                mean += area / (x * y) *
                        measure_factor({.u = u, .v = v, .height = 1, .normal_up = -1}, {0, x, 0, y});
            });
            CAPTURE(x);
            CAPTURE(y);
            CHECK(mean == doctest::Approx(opposed).epsilon(1e-3).scale(0));
            // W: the receiving side away from the common edge of length one; H: the height of the other.
            const double W = x, H = y, ww = W * W, hh = H * H, all = 1 + ww + hh;
            const double edge = std::sqrt(hh + ww);
            const double square = (W * std::atan(1 / W) + H * std::atan(1 / H) - edge * std::atan(1 / edge) +
                                   0.25 * (std::log((1 + ww) * (1 + hh) / all) +
                                           ww * std::log(ww * all / ((1 + ww) * (ww + hh))) +
                                           hh * std::log(hh * all / ((1 + hh) * (hh + ww))))) /
                                  (pi * W);
            double floor = 0;
            visit_parts({0, W, 0, 1}, 120, [&](double away, double along, double area) {
                floor += area / W *
                         measure_factor({.u = along, .v = 0, .height = away, .normal_v = 1}, {0, 1, 0, H});
            });
            CHECK(floor == doctest::Approx(square).epsilon(2e-3).scale(0));
        }
}

TEST_CASE("form factor: a receiver that faces any way, by brute force") {
    Random random(12);
    for (int trial = 0; trial < 60; ++trial) {
        const glm::dvec3 normal = random.direction();
        const PlaneReceiver receiver{.u = random.uniform(-2, 3),
                                     .v = random.uniform(-2, 3),
                                     .height = random.uniform(0.3, 2),
                                     .normal_u = normal.x,
                                     .normal_v = normal.y,
                                     .normal_up = normal.z};
        const PlaneRectangle rectangle{0, random.uniform(0.2, 1.5), -0.5, random.uniform(0, 1)};
        const double summed = sum_parts(receiver, rectangle, 300);
        CHECK(std::abs(measure_factor(receiver, rectangle) - summed) < 1e-6 + 1e-3 * summed);
        // Two parts see what the whole does, wherever it is cut.
        const double cut = rectangle.u0 + random.uniform(0.1, 0.9) * rectangle.width();
        PlaneRectangle left = rectangle, right = rectangle;
        left.u1 = right.u0 = cut;
        CHECK(measure_factor(receiver, left) + measure_factor(receiver, right) ==
              doctest::Approx(measure_factor(receiver, rectangle)).epsilon(1e-9));
        // Twice as large and twice as far away is the same to see.
        PlaneReceiver far = receiver;
        far.u *= 2, far.v *= 2, far.height *= 2;
        CHECK(measure_factor(far, {2 * rectangle.u0, 2 * rectangle.u1, 2 * rectangle.v0, 2 * rectangle.v1}) ==
              doctest::Approx(measure_factor(receiver, rectangle)).epsilon(1e-9));
    }
}

TEST_CASE("form factor: four points serve where they are said to") {
    Random random(13);
    double worst = 0, worst_trend = 0;
    int count = 0, far_off = 0;
    for (int trial = 0; trial < 3000; ++trial) {
        const double side = random.uniform(0.5, 1);
        const PlaneRectangle rectangle{-0.5, 0.5, -side / 2, side / 2};
        const glm::dvec3 away = random.direction() * random.uniform(2.75, 6);
        const glm::dvec3 normal = random.direction();
        const PlaneReceiver receiver{.u = away.x,
                                     .v = away.y,
                                     .height = std::abs(away.z),
                                     .normal_u = normal.x,
                                     .normal_v = normal.y,
                                     .normal_up = normal.z};
        double lowest = 1e9;
        for (const double u : {-0.5, 0.5})
            for (const double v : {-side / 2, side / 2})
                lowest = std::min(lowest, receiver.above_horizon(u, v));
        if (lowest < 0.3 || receiver.height < 0.3) // edge-on, or cut by the horizon
            continue;
        ++count;
        const FactorTrend found = sample_factor(receiver, rectangle);
        const double off = std::abs(found.factor / measure_factor(receiver, rectangle) - 1);
        worst = std::max(worst, off);
        far_off += off > 1e-3 ? 1 : 0;
        if (count % 20 != 0)
            continue;
        // The straight line of least squares through what the spots weigh.
        double sum = 0, by_u = 0, by_v = 0;
        visit_parts(rectangle, 60, [&](double u, double v, double) {
            const double weight = weigh(receiver, u, v);
            sum += weight;
            by_u += 3 * weight * rectangle.place_u(u);
            by_v += 3 * weight * rectangle.place_v(v);
        });
        worst_trend = std::max(
            {worst_trend, std::abs(found.trend_u - by_u / sum), std::abs(found.trend_v - by_v / sum)});
    }
    MESSAGE(count, " receivers: off by ", 1e3 * worst, " per mille, ", far_off,
            " by more than one, trends by ", worst_trend);
    CHECK(count > 500);
    CHECK(worst < 3.5e-3);
    CHECK(far_off < 0.01 * count);
    CHECK(worst_trend < 0.03);
    // Straight before its middle a rectangle weighs the same on both sides.
    const FactorTrend even = sample_factor({.height = 3, .normal_up = -1}, {-1, 1, -1, 1});
    CHECK(std::abs(even.trend_u) < 1e-12);
    CHECK(std::abs(even.trend_v) < 1e-12);
    // From behind nothing is seen.
    CHECK(sample_factor({.height = 3, .normal_up = 1}, {-1, 1, -1, 1}).factor == 0);
    CHECK(measure_factor({.height = 3, .normal_up = 1}, {-1, 1, -1, 1}) == 0);
}
