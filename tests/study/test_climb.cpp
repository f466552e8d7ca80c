// Climbing against functions whose highest place is known, and one climber against the other.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <stdexcept>
#include <vector>

#include "../../src/study/climb.hpp"

using namespace duskcast;

namespace {

struct Hill {
    const char* name;
    std::vector<double> start;
    std::vector<ClimbRange> ranges;
    double (*height)(const double*);
    double top;     ///< its greatest height within the ranges
    double allowed; ///< how far below it a climb may end
    int steps;
};

// Places and heights of the tops by arithmetic; the curved ridge is Rosenbrock's valley (1960) upside down.
const Hill hills[] = {
    {"one variable",
     {0.1},
     {{0, 1, 0.08}},
     [](const double* x) { return -std::abs(x[0] - 0.7); },
     0,
     1e-3,
     90},
    {"round",
     {0, 0},
     {{-2, 2, 0.3}, {-2, 2, 0.3}},
     [](const double* x) { return 3 - (x[0] - 1) * (x[0] - 1) - 4 * (x[1] + 0.5) * (x[1] + 0.5); },
     3,
     1e-5,
     90},
    {"slanted, in four variables",
     {0, 0, 0, 0},
     {{-3, 3, 0.5}, {-3, 3, 0.5}, {-3, 3, 0.5}, {-3, 3, 0.5}},
     [](const double* x) {
         const double a = x[0] + x[1] - 1, b = x[1] - x[2], c = x[2] + x[3], d = x[3] - 0.5;
         return -(a * a + b * b + c * c + d * d);
     },
     0,
     1e-3,
     400},
    {"top at a bound",
     {0.5, 0.5},
     {{0, 1, 0.1}, {0, 1, 0.1}},
     [](const double* x) { return x[0] - (x[1] - 0.25) * (x[1] - 0.25); },
     1,
     1e-5,
     90},
    {"top in a corner",
     {0.5, 0.5},
     {{0, 1, 0.1}, {0, 1, 0.1}},
     [](const double* x) { return 2 * x[0] - x[1]; },
     2,
     1e-6,
     90},
    {"start at a bound",
     {1, 0},
     {{0, 1, 0.1}, {0, 1, 0.1}},
     [](const double* x) { return -std::hypot(x[0] - 0.3, x[1] - 0.6); },
     0,
     1e-2,
     90},
    {"curved ridge",
     {-1.2, 1},
     {{-2, 2, 0.3}, {-2, 2, 0.3}},
     [](const double* x) {
         const double across = x[1] - x[0] * x[0];
         return -(100 * across * across + (1 - x[0]) * (1 - x[0]));
     },
     0,
     1e-3,
     600},
    {"plateau", {0.5}, {{0, 1, 0.1}}, [](const double*) { return 1.0; }, 1, 0, 90},
};

} // namespace

TEST_CASE("a climb ends at the top, within the ranges and the steps allowed") {
    const std::pair<const char*, decltype(&climb_from)> climbers[] = {{"simplex", climb_by_simplex},
                                                                      {"as built", climb_from}};
    for (const auto& climber : climbers)
        for (const Hill& hill : hills) {
            CAPTURE(climber.first);
            CAPTURE(hill.name);
            int steps = 0, outside = 0;
            double highest = -std::numeric_limits<double>::infinity();
            std::vector<double> first;
            climber.second(hill.start, hill.ranges, hill.steps, [&](const double* values) {
                if (++steps == 1)
                    first.assign(values, values + hill.ranges.size());
                for (std::size_t k = 0; k < hill.ranges.size(); ++k)
                    outside += values[k] < hill.ranges[k].low || values[k] > hill.ranges[k].high ? 1 : 0;
                highest = std::max(highest, hill.height(values));
                return hill.height(values);
            });
            CHECK(first == hill.start);
            CHECK(outside == 0);
            CHECK(steps <= hill.steps);
            CHECK(highest >= hill.top - hill.allowed);
            CHECK(highest <= hill.top + 1e-12);
        }
}

TEST_CASE("a climb of a single step looks at the start alone") {
    int steps = 0;
    climb_by_simplex({0.25, 0.5}, {{0, 1, 0.1}, {0, 1, 0.1}}, 1, [&](const double* values) {
        CHECK(values[0] == 0.25);
        CHECK(values[1] == 0.5);
        return static_cast<double>(++steps);
    });
    CHECK(steps == 1);
}

TEST_CASE("what the function throws ends the climb and comes out of it") {
    for (const auto& climber : {climb_by_simplex, climb_from}) {
        int steps = 0;
        CHECK_THROWS_WITH_AS(climber({0.25, 0.5}, {{0, 1, 0.1}, {0, 1, 0.1}}, 50,
                                     [&](const double*) -> double {
                                         if (++steps == 3)
                                             throw std::runtime_error("no such place");
                                         return steps;
                                     }),
                             "no such place", std::runtime_error);
        CHECK(steps == 3);
    }
}

TEST_CASE("a start that lies a rounding beyond its range is climbed from") {
    const double high = 0.6, start = std::nextafter(high, 1.0);
    for (const auto& climber : {climb_by_simplex, climb_from}) {
        double highest = 0;
        climber({start}, {{0, high, 0.05}}, 60, [&](const double* values) {
            highest = std::max(highest, values[0] * (1 - values[0])); // its top is at 0.5
            return values[0] * (1 - values[0]);
        });
        CHECK(highest == doctest::Approx(0.25).epsilon(1e-6));
    }
}
