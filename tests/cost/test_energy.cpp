// Energy a year and its cost.

#include <doctest/doctest.h>

#include <limits>

#include "../message_of.hpp"
#include "duskcast/cost/energy.hpp"

using namespace duskcast;
using test::message_of;

TEST_CASE("energy a year is power times time") {
    // 96 W x 5 h x 365 = 175,200 Wh; 175.2 kWh x 0.1625 = 28.47.
    const YearlyEnergy energy = find_yearly_energy({96, 5, 365}, 162'500);
    CHECK(energy.kilowatt_hours == doctest::Approx(175.2).epsilon(1e-12));
    CHECK(energy.cost == 2847);
}

TEST_CASE("the cost is rounded to the nearest cent") {
    // 100 W x 10 h x 1 night = 1 kWh, at 0.125 an eighth: 12.5 cents.
    CHECK(find_yearly_energy({100, 10, 1}, 125'000).cost == 13);
    CHECK(find_yearly_energy({100, 10, 1}, 124'999).cost == 12);
    CHECK(find_yearly_energy({0, 10, 365}, 125'000).cost == 0);
}

TEST_CASE("a price that is not known gives no cost") {
    const YearlyEnergy energy = find_yearly_energy({120, 6, 300});
    CHECK(energy.kilowatt_hours == doctest::Approx(216).epsilon(1e-12));
    CHECK(energy.cost == std::nullopt);
}

TEST_CASE("impossible use is refused") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK(message_of([] {
              find_yearly_energy({-1, 5, 365});
          }) == "error: -1 watts are out of range; it must be 0 to 1000000000");
    CHECK(message_of([] {
              find_yearly_energy({10, 25, 365});
          }) == "error: 25 hours a night are out of range; it must be 0 to 24");
    CHECK(message_of([] {
              find_yearly_energy({10, 5, 367});
          }) == "error: 367 nights a year are out of range; it must be 0 to 366");
    CHECK(message_of([&] {
              find_yearly_energy({nan, 5, 365});
          }) == "error: nan watts are out of range; it must be 0 to 1000000000");
}
