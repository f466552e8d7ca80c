// Claddings by their trade sizes: courses, joints, laps and battens, measured on the height field.

#include "cells.hpp"
#include "duskcast/stage/relief.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// Mean heights of lines across (axis 1: of levels, by height) between two ends.
std::vector<double> profile_of(const Relief& relief, int axis, float from, float to, int count) {
    std::vector<double> heights;
    for (int i = 0; i < count; ++i) {
        const float at = from + (to - from) * (static_cast<float>(i) + 0.5f) / static_cast<float>(count);
        double sum = 0;
        constexpr int samples = 160;
        for (int k = 0; k < samples; ++k) {
            const float other = 5 * (static_cast<float>(k) + 0.37f) / samples;
            sum +=
                static_cast<double>(relief.height(axis == 0 ? glm::vec2(at, other) : glm::vec2(other, at)));
        }
        heights.push_back(sum / samples);
    }
    return heights;
}

/// By how many entries a line of figures repeats best, from least to most: the greatest autocorrelation.
int find_period(const std::vector<double>& line, int least, int most) {
    double mean = 0;
    for (const double one : line)
        mean += one / static_cast<double>(line.size());
    int best = 0;
    double greatest = -1e9;
    for (int shift = least; shift <= most; ++shift) {
        double sum = 0;
        const std::size_t count = line.size() - static_cast<std::size_t>(shift);
        for (std::size_t i = 0; i < count; ++i)
            sum += (line[i] - mean) * (line[i + static_cast<std::size_t>(shift)] - mean);
        sum /= static_cast<double>(count);
        if (sum > greatest) {
            greatest = sum;
            best = shift;
        }
    }
    return best;
}

} // namespace

TEST_CASE("courses and boards repeat by their trade sizes") {
    struct Row {
        Cladding cladding;
        int axis;      ///< 0: along the wall
        double inches; ///< from one to the next
    };
    // Brick: three courses in 8 in; boards of 7 in to the weather; shingles of 5 in; boards and battens 12 in
    // from middle to middle; coursed stone comes again after 8 + 5 + 10 + 6 in.
    for (const Row& row : {Row{Cladding::brick, 1, 8 / 3.0}, Row{Cladding::brick_flemish, 1, 8 / 3.0},
                           Row{Cladding::brick_painted, 1, 8 / 3.0}, Row{Cladding::lap_siding, 1, 7},
                           Row{Cladding::shingle, 1, 5}, Row{Cladding::board_and_batten, 0, 12},
                           Row{Cladding::stone_coursed, 1, 29}}) {
        CAPTURE(static_cast<int>(row.cladding));
        const auto relief = make_cladding(row.cladding, glm::vec3(0.3f));
        constexpr int per_period = 48;
        const auto line = profile_of(*relief, row.axis, 0, in(8 * row.inches), 8 * per_period);
        CHECK(find_period(line, per_period * 2 / 3, per_period * 4 / 3) == per_period);
    }
}

TEST_CASE("a lapped board leans back by its thickness and ends in a sharp butt") {
    // 5/16 in thick, 7 in to the weather: from the butt, the foremost place, back by 5/16 in.
    const auto siding = make_cladding(Cladding::lap_siding, glm::vec3(0.5f));
    CHECK(siding->depth() == doctest::Approx(in(0.3125)).scale(0));
    CHECK(siding->course() == doctest::Approx(in(7)).scale(0));
    const auto line = profile_of(*siding, 1, 0, in(7), 140);
    const auto front = static_cast<std::size_t>(std::max_element(line.begin(), line.end()) - line.begin());
    CHECK(front < 140 / 7); // near the butt, within an inch
    CHECK(line[front] > -0.15 * siding->depth());
    CHECK(line.back() < -0.95 * siding->depth());
    for (std::size_t i = 30; i < line.size(); ++i) // a straight slope between
        CHECK(line[i] ==
              doctest::Approx(-siding->depth() * (static_cast<double>(i) + 0.5) / 140).epsilon(0.1).scale(0));
    // Along a board nothing changes but its grain.
    for (float u = 0; u < 3; u += 0.113f)
        CHECK(std::abs(siding->height({u, in(3.5)}) + siding->depth() / 2) < 0.0004f);
}

TEST_CASE("battens are 2 1/2 in wide and stand 3/4 in before the boards") {
    const auto wall = make_cladding(Cladding::board_and_batten, glm::vec3(0.5f));
    CHECK(wall->depth() == doctest::Approx(in(0.75)).scale(0));
    const double share = share_of({0, 0}, {in(48), 1}, 480,
                                  [&](const glm::vec2& at) { return wall->height(at) > -wall->depth() / 2; });
    CHECK(share == doctest::Approx(2.5 / 12).epsilon(0.1).scale(0));
    CHECK(wall->height({in(12), 0.5f}) > -0.001f); // over the joint
    CHECK(wall->height({in(6), 0.5f}) < -in(0.75) + 0.001f);
}

TEST_CASE("bricks are 7 5/8 x 2 1/4 in, headers of a Flemish bond stand over the middles of stretchers") {
    const auto brick = make_cladding(Cladding::brick, glm::vec3(0.3f));
    const auto flemish = make_cladding(Cladding::brick_flemish, glm::vec3(0.3f));
    const auto painted = make_cladding(Cladding::brick_painted, glm::vec3(0.3f));
    const auto is_joint = [](const Relief& relief, double u_inches, double v_inches) {
        return relief.height({in(u_inches), in(v_inches)}) < -0.9f * relief.depth();
    };
    const double course = 8 / 3.0;
    for (int row = -2; row < 3; ++row)
        for (int column = -2; column < 3; ++column) {
            const double v = (row + 0.5) * course, shift = row % 2 == 0 ? 0 : 4;
            CAPTURE(row);
            CAPTURE(column);
            for (const Relief* relief : {brick.get(), painted.get()}) {
                CHECK(is_joint(*relief, 8 * column + shift, v)); // between two of a course
                CHECK(!is_joint(*relief, 8 * column + shift + 4, v));
                CHECK(!is_joint(*relief, 8 * column + shift + 1, v));
                CHECK(is_joint(*relief, 8 * column + shift + 4, row * course)); // and between two courses
            }
            // A pair of 12 in: a stretcher of 8 in, a header of 4; the next course is half a pair on.
            const double pair = 12 * column + (row % 2 == 0 ? 0 : 6);
            CHECK(is_joint(*flemish, pair, v));
            CHECK(is_joint(*flemish, pair + 8, v));
            CHECK(!is_joint(*flemish, pair + 4, v));
            CHECK(!is_joint(*flemish, pair + 10, v));
            // The header's middle is at 10 in of its pair, the stretcher's below at 4 + 6.
            CHECK(!is_joint(*flemish, pair + 10, v - course));
        }
    // Paint fills the joints and covers the colours.
    CHECK(painted->depth() <= brick->depth());
    const auto contrast = [](const Relief& relief) {
        float least = 1, most = 0;
        visit_cells({0, 0}, {1, 1}, 200, [&](const glm::vec2& at) {
            const float level = relief.spot(at).reflectance.g;
            least = std::min(least, level), most = std::max(most, level);
        });
        return most / least;
    };
    CHECK(contrast(*painted) < 1.08f);
    CHECK(contrast(*brick) > 1.3f);
}

TEST_CASE("stones lie in courses of 8, 5, 10 and 6 in, or as rubble of no line at all") {
    const auto coursed = make_cladding(Cladding::stone_coursed, glm::vec3(0.35f));
    const auto rubble = make_cladding(Cladding::stone_rubble, glm::vec3(0.35f));
    const auto depth_at_level = [](const Relief& relief, double inches) {
        double sum = 0;
        constexpr int count = 400;
        for (int i = 0; i < count; ++i)
            sum += static_cast<double>(relief.height({0.02f * static_cast<float>(i), in(inches)})) / count;
        return -sum / static_cast<double>(relief.depth());
    };
    for (const double joint : {0.0, 8.0, 13.0, 23.0, 29.0, 37.0, -6.0})
        CHECK(depth_at_level(*coursed, joint) > 0.95);
    for (const double middle : {4.0, 10.5, 18.0, 26.0, 33.0, -3.0})
        CHECK(depth_at_level(*coursed, middle) < 0.6);
    double least = 1, most = 0;
    for (double inches = 0; inches < 40; inches += 0.5) {
        least = std::min(least, depth_at_level(*rubble, inches));
        most = std::max(most, depth_at_level(*rubble, inches));
    }
    CHECK(most - least < 0.35);
    // Stones of about 14 x 8 in: as many joints are crossed on the way, and more of them going up.
    const auto count_joints = [&](const glm::vec2& way) {
        int joints = 0;
        for (int line = 0; line < 12; ++line) {
            const glm::vec2 from = 0.31f * static_cast<float>(line) * glm::vec2(way.y, way.x);
            bool was_joint = false;
            for (int i = 0; i < 6000; ++i) {
                const bool is_joint =
                    rubble->height(from + 0.001f * static_cast<float>(i) * way) < -0.75f * rubble->depth();
                joints += is_joint && !was_joint ? 1 : 0;
                was_joint = is_joint;
            }
        }
        return joints / (12 * 6.0);
    };
    const double across = count_joints({1, 0}), upwards = count_joints({0, 1});
    CHECK(upwards > 1.2 * across);
    CHECK(1 / across == doctest::Approx(14 * metres_per_inch).epsilon(0.45).scale(0));
    CHECK(1 / upwards == doctest::Approx(8 * metres_per_inch).epsilon(0.45).scale(0));
}

TEST_CASE("shingles overlap by two courses, gaps between them are no continuous line") {
    const auto wall = make_cladding(Cladding::shingle, glm::vec3(0.3f));
    CHECK(wall->depth() == doctest::Approx(in(0.375)).scale(0));
    // In the middle of a course some six inches apart there is a gap; counted over 6 m.
    int gaps = 0;
    bool was_gap = false;
    for (int i = 0; i < 12'000; ++i) {
        const bool is_gap = wall->height({0.0005f * static_cast<float>(i), in(2.5)}) < -0.9f * wall->depth();
        gaps += is_gap && !was_gap ? 1 : 0;
        was_gap = is_gap;
    }
    CHECK(gaps == doctest::Approx(6 / (6 * metres_per_inch)).epsilon(0.1).scale(0));
    // No gap runs on into the course above: of the gaps of one course few lie over those of the next.
    int both = 0, one = 0;
    for (int i = 0; i < 12'000; ++i) {
        const float u = 0.0005f * static_cast<float>(i);
        const auto is_gap = [&](double inches) {
            return wall->height({u, in(inches)}) < -0.9f * wall->depth();
        };
        one += is_gap(2.5) ? 1 : 0;
        both += is_gap(2.5) && is_gap(7.5) ? 1 : 0;
    }
    CHECK(both < one / 5);
}

TEST_CASE("a relief's slope is the difference of its heights, and it casts no shadow where it says so") {
    for (const Cladding cladding :
         {Cladding::brick, Cladding::brick_flemish, Cladding::stone_coursed, Cladding::stone_rubble,
          Cladding::lap_siding, Cladding::shingle, Cladding::stucco, Cladding::board_and_batten}) {
        CAPTURE(static_cast<int>(cladding));
        const auto relief = make_cladding(cladding, glm::vec3(0.3f));
        Dice dice(5);
        double clear = 0;
        for (int i = 0; i < 400; ++i) {
            const glm::vec2 at(dice.uniform(0, 6), dice.uniform(0, 3));
            const Relief::Slant slant = relief->slant(at);
            CHECK(slant.height == relief->height(at));
            const glm::vec2 low = at - 0.0005f;
            const float first = relief->height(low), right = relief->height(low + glm::vec2(0.001f, 0)),
                        up = relief->height(low + glm::vec2(0, 0.001f));
            CHECK(std::abs(slant.slope.x - (right - first) / 0.001f) < 1e-4f);
            CHECK(std::abs(slant.slope.y - (up - first) / 0.001f) < 1e-4f);
            const float radius = relief->clearance(at);
            clear += radius > 0 ? 1 : 0;
            if (radius > 0.002f) // all round, no place rises above a slope of one in eight
                for (int k = 0; k < 12; ++k) {
                    const auto turn = static_cast<float>(2 * pi * k / 12);
                    const glm::vec2 there = at + 0.95f * radius * glm::vec2(std::cos(turn), std::sin(turn));
                    CHECK(relief->height(there) - slant.height < 0.125f * radius + 2e-4f);
                }
        }
        if (cladding == Cladding::brick)
            CHECK(clear > 150); // most of a wall is the middle of bricks
    }
}
