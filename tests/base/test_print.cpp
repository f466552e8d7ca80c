// Expected texts follow the forms promised in units.hpp; conversions by hand from the exact factors.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "duskcast/base/units.hpp"

using namespace duskcast;

namespace {
constexpr double inch = 0.0254;
constexpr double infinity = std::numeric_limits<double>::infinity();
} // namespace

TEST_CASE("lengths print in feet and half inches") {
    const auto print = [](double metres) { return print_length(metres, LengthUnit::foot); };
    CHECK(print(162 * inch) == "13 ft 6 in");
    CHECK(print(7.5 * inch) == "7 1/2 in");
    CHECK(print(-24 * inch) == "-2 ft");
    CHECK(print(-7.5 * inch) == "-7 1/2 in");
    CHECK(print(12.5 * inch) == "1 ft 1/2 in");
    CHECK(print(0.5 * inch) == "1/2 in");
    CHECK(print(11.8 * inch) == "1 ft"); // rounding carries over
    CHECK(print(23.76 * inch) == "2 ft");
    CHECK(print(11.7 * inch) == "11 1/2 in");
    CHECK(print(0) == "0 in");
    CHECK(print(-0.0) == "0 in");
    CHECK(print(-0.1 * inch) == "0 in");
    CHECK(print(1000 * 0.3048) == "1000 ft");
    CHECK(print(infinity) == "unknown");
}

TEST_CASE("lengths print in metres to the centimetre") {
    const auto print = [](double metres) { return print_length(metres, LengthUnit::metre); };
    CHECK(print(4.118) == "4.12 m");
    CHECK(print(0.45) == "0.45 m");
    CHECK(print(3) == "3.00 m");
    CHECK(print(-1.5) == "-1.50 m");
    CHECK(print(-0.001) == "0.00 m");
    CHECK(print(1.999) == "2.00 m");
    CHECK(print(-infinity) == "unknown");
}

TEST_CASE("lengths beyond all measure are printed as they are") {
    for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre}) {
        CHECK(print_length(1e308, unit) == "1e+308 m");
        CHECK(print_length(-1e20, unit) == "-1e+20 m");
        CHECK(print_setback(1e308, unit) == "1e+308 m");
        CHECK(print_height(1.234e10, unit) == "1.23e+10 m");
        CHECK(print_height_range(0, 1e308, unit) == "0 to 1e+308 m");
    }
    CHECK(print_length(3e8 * 0.3048, LengthUnit::foot) == "300000000 ft");
}

TEST_CASE("what is printed reads back to the same half inch") {
    for (int halves = -400; halves <= 400; ++halves) {
        const double metres = halves * inch / 2;
        CHECK(read_length(print_length(metres, LengthUnit::foot)) == doctest::Approx(metres).epsilon(1e-12));
    }
}

TEST_CASE("illuminances print with sensible digits") {
    const double fc = lux_per_footcandle;
    CHECK(print_illuminance(0.1234 * fc, LightUnit::footcandle) == "0.12 fc");
    CHECK(print_illuminance(1.5 * fc, LightUnit::footcandle) == "1.5 fc");
    CHECK(print_illuminance(24 * fc, LightUnit::footcandle) == "24 fc");
    CHECK(print_illuminance(161, LightUnit::lux) == "161 lx");
    CHECK(print_illuminance(0.997, LightUnit::lux) == "1 lx");
    CHECK(print_illuminance(0.0042, LightUnit::lux) == "0.004 lx");
    CHECK(print_illuminance(0, LightUnit::lux) == "0 lx");
    CHECK(print_illuminance(infinity, LightUnit::lux) == "unknown lx");
    CHECK(print_illuminance_both(fc, LightUnit::footcandle) == "1 fc (10.8 lx)");
    CHECK(print_illuminance_both(100, LightUnit::lux) == "100 lx (9.29 fc)"); // 100 / 10.7639 = 9.2903
}

TEST_CASE("numbers print with three significant digits") {
    CHECK(print_number(0.125) == "0.125");
    CHECK(print_number(3.5) == "3.5");
    CHECK(print_number(1236) == "1,240");
    CHECK(print_number(1234567) == "1,230,000");
    CHECK(print_number(-1234567) == "-1,230,000");
    CHECK(print_number(100000) == "100,000");
    CHECK(print_number(-999) == "-999");
    CHECK(print_number(999.6) == "1,000");
    CHECK(print_number(99.96) == "100");
    CHECK(print_number(9.999) == "10");
    CHECK(print_number(0.99996) == "1");
    CHECK(print_number(0.000012345) == "0.0000123");
    CHECK(print_number(0) == "0");
    CHECK(print_number(-0.0) == "0");
    CHECK(print_number(-2.5) == "-2.5");
    CHECK(print_number(-infinity) == "unknown");
}

TEST_CASE("shares print as per cent and never round to all or nothing") {
    CHECK(print_share(0.42) == "42 %");
    CHECK(print_share(0.004) == "0.4 %");
    CHECK(print_share(0) == "0 %");
    CHECK(print_share(1) == "100 %");
    CHECK(print_share(0.01) == "1 %");
    CHECK(print_share(0.99) == "99 %");
    CHECK(print_share(0.995) == "99.5 %");
    CHECK(print_share(0.0001) == "<0.1 %");
    CHECK(print_share(0.99999) == ">99.9 %");
    CHECK(print_share(1 - 1e-15) == "100 %");
    CHECK(print_share(1.2) == "120 %");
    CHECK(print_share(-0.001) == "0 %");
    CHECK(print_share(-0.42) == "-42 %");
    CHECK(print_share(infinity) == "unknown");
}

TEST_CASE("angles print to the half degree") {
    CHECK(print_angle(radians_from_degrees(7.4)) == "7.5°");
    CHECK(print_angle(radians_from_degrees(8.1)) == "8°");
    CHECK(print_angle(radians_from_degrees(-12.5)) == "-12.5°");
    CHECK(print_angle(radians_from_degrees(-0.1)) == "0°");
    CHECK(print_angle(infinity) == "unknown");
}

TEST_CASE("units have short names and exact factors") {
    CHECK(name_of(LengthUnit::foot) == "ft");
    CHECK(name_of(LengthUnit::metre) == "m");
    CHECK(name_of(LightUnit::footcandle) == "fc");
    CHECK(name_of(LightUnit::lux) == "lx");
    CHECK(lux_per(LightUnit::footcandle) == doctest::Approx(10.7639104).epsilon(1e-8)); // handbook value
    CHECK(metres_per(LengthUnit::foot) == 0.3048);
    CHECK(radians_from_degrees(180) == doctest::Approx(3.14159265358979).epsilon(1e-14));
    CHECK(degrees_from_radians(radians_from_degrees(37)) == doctest::Approx(37).epsilon(1e-14));
}

TEST_CASE("setbacks are spoken of in inches up to 4 ft") {
    // Common practice, no source.
    CHECK(print_setback(15 * 0.0254, LengthUnit::foot) == "15 in");
    CHECK(print_setback(12.5 * 0.0254, LengthUnit::foot) == "12.5 in");
    CHECK(print_setback(5 * 0.3048, LengthUnit::foot) == "5 ft");
    CHECK(print_setback(4 * 0.3048 - 1e-6, LengthUnit::foot) == "4 ft");
    CHECK(print_setback(47.5 * 0.0254, LengthUnit::foot) == "47.5 in");
    CHECK(print_setback(0.4, LengthUnit::metre) == "0.40 m");
}

TEST_CASE("heights of light are printed to what a plan can know") {
    CHECK(print_height(13.7 * 0.3048, LengthUnit::foot) == "13.5 ft");
    CHECK(print_height(13.8 * 0.3048, LengthUnit::foot) == "14 ft");
    CHECK(print_height(4.16, LengthUnit::metre) == "4.2 m");
    CHECK(print_height_range(6.4 * 0.3048, 13.1 * 0.3048, LengthUnit::foot) == "6.5 to 13 ft");
    CHECK(print_height_range(0, 1.84, LengthUnit::metre) == "0 to 1.8 m");
    CHECK(print_height(3.98, LengthUnit::metre) == "4 m");
    CHECK(print_height(0, LengthUnit::foot) == "0 ft");
    CHECK(print_height(NAN, LengthUnit::foot) == "unknown");
}

TEST_CASE("a printed length is within half of its last step of what was measured") {
    for (int i = 1; i < 4000; ++i) {
        const double metres = 0.0137 * i * (i % 2 ? 1 : -1);
        CAPTURE(metres);
        CHECK(std::abs(read_length(print_length(metres, LengthUnit::foot)) - metres) <= inch / 4 + 1e-12);
        CHECK(std::abs(read_length(print_length(metres, LengthUnit::metre)) - metres) <= 0.005 + 1e-12);
        CHECK(std::abs(read_length(print_height(metres, LengthUnit::foot)) - metres) <= 0.3048 / 4 + 1e-12);
        CHECK(std::abs(read_length(print_height(metres, LengthUnit::metre)) - metres) <= 0.05 + 1e-12);
    }
}

TEST_CASE("a printed number has three digits that count") {
    for (int i = 0; i < 3000; ++i) {
        const double value = std::pow(10.0, -4 + 0.004 * i);
        std::string text = print_number(value);
        CAPTURE(text);
        text.erase(std::remove(text.begin(), text.end(), ','), text.end());
        const double unit = std::pow(10.0, std::floor(std::log10(value)) - 2); // of the third digit
        CHECK(std::abs(std::stod(text) - value) <= unit * 0.5000001);
        CHECK(text.find('e') == std::string::npos);
        if (text.find('.') != std::string::npos)
            CHECK(text.back() != '0');
    }
}

TEST_CASE("the compass point nearest by angle, of 8 and of 16") {
    // Points are 360 / 16 = 22.5 degrees apart, clockwise from north.
    const char* const names[] = {"north", "north-north-east", "north-east", "east-north-east",
                                 "east",  "east-south-east",  "south-east", "south-south-east",
                                 "south", "south-south-west", "south-west", "west-south-west",
                                 "west",  "west-north-west",  "north-west", "north-north-west"};
    for (int degrees = -719; degrees < 720; ++degrees)
        for (const int points : {8, 16}) {
            int nearest = 0;
            double least = 1e9;
            for (int i = 0; i < 16; i += 16 / points)
                if (const double off = std::abs(std::remainder(degrees - 22.5 * i, 360.0)); off < least) {
                    least = off;
                    nearest = i;
                }
            CAPTURE(degrees);
            CHECK(print_compass(radians_from_degrees(degrees), points) == names[nearest]);
        }
}
