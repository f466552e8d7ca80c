// The transfer function of sRGB: values of IEC 61966-2-1 and of the tables that follow from it.

#include <doctest/doctest.h>

#include <cmath>

#include "duskcast/base/colour.hpp"

using namespace duskcast;

TEST_CASE("the screen's grey of known light") {
    CHECK(encode_srgb(0) == 0);
    CHECK(encode_srgb(1) == doctest::Approx(1).epsilon(1e-12));
    // A light of a half is shown as 188 of 255, middle grey of 18 % as 118, 21.4 % as a half.
    CHECK(std::lround(255 * encode_srgb(0.5)) == 188);
    CHECK(std::lround(255 * encode_srgb(0.18)) == 118);
    CHECK(decode_srgb(0.5) == doctest::Approx(0.21404114).epsilon(1e-7));
    CHECK(decode_srgb(1 / 255.0) == doctest::Approx(1 / 255.0 / 12.92).scale(0));
}

TEST_CASE("encoding and decoding undo one another, rise all the way and have no step") {
    double before = -1;
    for (int i = 0; i <= 10'000; ++i) {
        const double linear = i / 10'000.0, encoded = encode_srgb(linear);
        CHECK(decode_srgb(encoded) == doctest::Approx(linear).epsilon(1e-7));
        CHECK(encoded > before);
        before = encoded;
    }
    for (int i = 0; i < 256; ++i)
        CHECK(std::lround(255 * encode_srgb(decode_srgb(i / 255.0))) == i);
    // The straight piece and the curve meet at 0.0031308, the standard says, to within its digits.
    CHECK(std::abs(encode_srgb(0.0031309) - encode_srgb(0.0031307)) < 3e-6);
    CHECK(std::abs(decode_srgb(0.040451) - decode_srgb(0.040449)) < 3e-7);
}

TEST_CASE("light beyond the screen's is as bright as it can be, and less than none is black") {
    CHECK(encode_srgb(1.7) == encode_srgb(1));
    CHECK(encode_srgb(HUGE_VAL) == encode_srgb(1));
    CHECK(encode_srgb(-0.3) == 0);
}
