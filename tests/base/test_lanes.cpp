// Eight floats at a time against one at a time: IEEE 754 rounds these operations in one way, so that every
// bit is the same whatever they are done with.

#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <cstring>
#include <limits>
#include <random>
#include <vector>

#include "run_lanes.inl"

using namespace duskcast::test;

void duskcast::test::run_own_lanes(const Eight& a, const Eight& b, const Eight& c, LaneResults& results) {
    run_lanes(a.data(), b.data(), c.data(), results.figures.front().data(), results.masks.data());
}

namespace {

const char* const lane_operations[] = {"sum",  "difference", "product", "quotient",    "least",  "most",
                                       "root", "magnitude",  "turned",  "where below", "scalar", "vector"};

/// One at a time, each step rounded to a float.
LaneResults compute_one_by_one(const Eight& as, const Eight& bs, const Eight& cs) {
    LaneResults results;
    for (std::size_t i = 0; i < 8; ++i) {
        const float a = as[i], b = bs[i], c = cs[i];
        const float ab = a * b, bc = b * c, ca = c * a, aa = a * a, bb = b * b, cc = c * c;
        const float cross_x = ab - cc; // (a, b, c) x (b, c, a) = (b a - c c, c b - a a, a c - b b)
        const float cross_y = bc - aa, cross_z = ca - bb;
        const float figures[] = {a + b,         a - b,         ab,
                                 a / b,         a < b ? a : b, a > b ? a : b,
                                 std::sqrt(a),  std::fabs(a),  std::signbit(b) ? -a : a,
                                 a < b ? a : c, ab + bc + ca,  cross_x + cross_y - cross_z};
        for (std::size_t k = 0; k < results.figures.size(); ++k)
            results.figures[k][i] = figures[k];
        const bool masks[] = {a < b, a <= b, a < b && b < c, a < b || b <= c};
        for (std::size_t k = 0; k < results.masks.size(); ++k)
            results.masks[k] |= static_cast<unsigned>(masks[k]) << i;
    }
    return results;
}

bool is_same(float a, float b) { // a NaN's own bits are nobody's business; libc++ 13 has no std::bit_cast
    return std::memcmp(&a, &b, sizeof(float)) == 0 || (std::isnan(a) && std::isnan(b));
}

void check_same(const LaneResults& found, const LaneResults& wanted) {
    for (std::size_t k = 0; k < wanted.figures.size(); ++k)
        for (std::size_t i = 0; i < 8; ++i)
            if (!is_same(found.figures[k][i], wanted.figures[k][i])) {
                CAPTURE(lane_operations[k]);
                CHECK(found.figures[k][i] == wanted.figures[k][i]);
            }
    CHECK(found.masks == wanted.masks);
}

void check_all(const Eight& a, const Eight& b, const Eight& c) {
    const LaneResults wanted = compute_one_by_one(a, b, c);
    LaneResults found;
    run_own_lanes(a, b, c, found);
    check_same(found, wanted);
    found = {};
    run_scalar_lanes(a, b, c, found);
    check_same(found, wanted);
    found = {};
    if (run_avx2_lanes(a, b, c, found))
        check_same(found, wanted);
}

} // namespace

TEST_CASE("lanes: figures of every size, bit by bit") {
    std::mt19937 random(1);
    const auto figure = [&](int most_exponent) {
        const float part = static_cast<float>(random()) / 4294967296.0f - 0.5f;
        return std::ldexp(part, static_cast<int>(random() % unsigned(2 * most_exponent)) - most_exponent);
    };
    for (const int most_exponent : {2, 20, 60, 126})
        for (int i = 0; i < 400; ++i) {
            Eight a{}, b{}, c{};
            for (std::size_t k = 0; k < 8; ++k) {
                a[k] = figure(most_exponent);
                b[k] = figure(most_exponent);
                c[k] = figure(most_exponent);
            }
            check_all(a, b, c);
        }
}

TEST_CASE("lanes: zeros, infinities, the smallest and what is no number, each with each") {
    using Limits = std::numeric_limits<float>;
    const std::vector<float> special{0.0f,
                                     -0.0f,
                                     1.0f,
                                     -1.0f,
                                     Limits::infinity(),
                                     -Limits::infinity(),
                                     Limits::quiet_NaN(),
                                     Limits::denorm_min(),
                                     -Limits::denorm_min(),
                                     Limits::min(),
                                     Limits::max(),
                                     -Limits::max(),
                                     Limits::epsilon()};
    for (const float a : special)
        for (std::size_t first = 0; first < special.size(); ++first) {
            Eight as{}, bs{}, cs{};
            for (std::size_t k = 0; k < 8; ++k) {
                as[k] = a;
                bs[k] = special[(first + k) % special.size()];
                cs[k] = special[(first + 3 * k) % special.size()];
            }
            check_all(as, bs, cs);
            check_all(bs, as, cs);
        }
}
