#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <random>

#include "duskcast/base/units.hpp"
#include "duskcast/draw/labels.hpp"
#include "one_colour.hpp"
#include "page_words.hpp"

using namespace duskcast;

TEST_CASE("labels side by side: free ones stay, crowded ones part evenly") {
    CHECK(*spread_labels({100, 300}, {50, 50}, 0, 400, 10) == std::vector<double>{100, 300});
    // Two that want the same spot move by half of width plus gap each (least squares, by symmetry).
    CHECK(*spread_labels({200, 200}, {60, 60}, 0, 400, 10) == std::vector<double>{165, 235});
    // At the end of the room both are pushed inwards.
    CHECK(*spread_labels({395, 400}, {60, 60}, 0, 400, 10) == std::vector<double>{300, 370});
    // The order of the wanted spots decides, not the order in the list.
    CHECK(*spread_labels({205, 195}, {60, 60}, 0, 400, 10) == std::vector<double>{235, 165});
    CHECK(spread_labels({}, {}, 0, 10, 1)->empty());
    CHECK_FALSE(spread_labels({1, 2, 3}, {50, 50, 50}, 0, 160, 10)); // 3 x 50 + 2 x 10 > 160
    CHECK(spread_labels({1, 2, 3}, {50, 50, 50}, 0, 170, 10));
}

TEST_CASE("labels side by side: never overlapping, never outside") {
    std::mt19937 random(7);
    for (int round = 0; round < 200; ++round) {
        std::vector<double> wanted, widths;
        for (int i = 0; i < 9; ++i) {
            wanted.push_back(static_cast<double>(random() % 1000));
            widths.push_back(20.0 + static_cast<double>(random() % 80));
        }
        const auto middles = spread_labels(wanted, widths, 0, 1000, 5);
        REQUIRE(middles);
        for (std::size_t i = 0; i < wanted.size(); ++i) {
            CHECK((*middles)[i] - widths[i] / 2 >= -1e-9);
            CHECK((*middles)[i] + widths[i] / 2 <= 1000 + 1e-9);
            for (std::size_t j = 0; j < i; ++j)
                CHECK(std::abs((*middles)[i] - (*middles)[j]) >= (widths[i] + widths[j]) / 2 + 5 - 1e-9);
        }
    }
}

TEST_CASE("label space: the first free candidate") {
    LabelSpace space;
    const Box a{0, 0, 10, 10}, b{5, 5, 15, 15}, c{20, 0, 30, 10};
    CHECK(space.take_first_free({a, c})->left == 0);
    CHECK(space.take_first_free({b, c})->left == 20);
    CHECK_FALSE(space.take_first_free({b, c}));
    CHECK(space.is_free({10, 0, 20, 10})); // touching is not overlapping
}

TEST_CASE("label on a line: on the straight and level part") {
    // A zigzag, then a straight level run.
    std::vector<glm::dvec2> line;
    for (int i = 0; i < 20; ++i)
        line.push_back({i * 10.0, i % 2 ? 60.0 : 100.0});
    line.push_back({200, 80});
    line.push_back({400, 80});
    const Box frame{0, 0, 500, 200};
    const auto label = find_line_label(line, {60, 14}, frame, {}, {});
    REQUIRE(label);
    CHECK(label->middle.x > 200);
    CHECK(label->middle.y == doctest::Approx(80));
    CHECK(label->turn == doctest::Approx(0));
    // The line is cut out under the label, with a little air.
    CHECK(label->before.back().x < label->middle.x - 30);
    CHECK(label->after.front().x > label->middle.x + 30);
    CHECK(label->before.front() == line.front());
    CHECK(label->after.back() == line.back());
}

TEST_CASE("label on a line: reads from left to right whichever way the line runs") {
    const auto label = find_line_label({{400, 300}, {100, 0}}, {60, 14}, {0, 0, 500, 500}, {}, {});
    REQUIRE(label);
    CHECK(label->turn == doctest::Approx(pi / 4)); // down to the right, y downwards
}

TEST_CASE("label on a line: keeps clear of what is there") {
    const std::vector<glm::dvec2> line = {{0, 50}, {400, 50}};
    const Box frame{0, 0, 400, 100};
    LabelSpace space;
    space.take({0, 0, 250, 100});
    auto label = find_line_label(line, {40, 14}, frame, space, {});
    REQUIRE(label);
    CHECK(label->box.left >= 250);
    label = find_line_label(line, {40, 14}, frame, space,
                            {{275, 50}, {300, 50}, {330, 48}, {360, 52}, {390, 50}});
    CHECK_FALSE(label);
    CHECK_FALSE(
        find_line_label(line, {40, 14}, {0, 45, 400, 55}, {}, {})); // the frame is lower than the letters
    CHECK_FALSE(
        find_line_label({{0, 50}, {50, 50}}, {40, 14}, frame, {}, {})); // too short to show beside a label
    CHECK_FALSE(find_line_label({}, {40, 14}, frame, {}, {}));
}

PIXEL_TEST_CASE("named lines: broken under their label, specks left out") {
    const std::vector<glm::dvec2> straight = {{20, 100}, {380, 100}};
    const std::vector<glm::dvec2> speck = {{200, 30}, {206, 30}, {206, 36}, {200, 30}};
    const auto draw = [&](const std::vector<glm::dvec2>& line, const Box& frame) {
        return test::draw_page(test::green, [&](Canvas& canvas) {
            LabelSpace space;
            draw_named_lines(canvas, {{"5 lx", {{1, 1, 1}, 1}, {{0, 0.5, 0}, 1}, {line}}}, frame, space);
        });
    };
    const auto count_row = [](const test::Pixels& page,
                              int y) { // pixels of line on a row counted from the top
        int count = 0;
        for (int x = 0; x < page.width; ++x)
            count += page.rgba[4 * (static_cast<std::size_t>(page.height - 1 - y) * page.width + x)] > 128;
        return count;
    };
    const test::Pixels labelled = draw(straight, {0, 0, 400, 200}), bare = draw(straight, {0, 0, 0, 0});
    const double words = measure_text("5 lx", {.size = 13.5, .is_bold = true}).x;
    CHECK(count_row(bare, 100) == doctest::Approx(360).epsilon(0.02));
    CHECK(count_row(labelled, 100) < 360 - words / 2);
    CHECK(test::find_colour(labelled, test::green).count < test::find_colour(bare, test::green).count);
    CHECK(test::find_colour(draw(speck, {0, 0, 0, 0}), test::green).count == 400 * 200);
}

TEST_CASE("named lines: however the lines run, no name lies on another or leaves the frame") {
    std::mt19937 random(11);
    const auto draw_number = [&](double low, double high) {
        return low + (high - low) * static_cast<double>(random() % 10001) / 10000;
    };
    int names = 0;
    for (int round = 0; round < 20; ++round) {
        std::vector<NamedLines> levels;
        for (int i = 0; i < 6; ++i) {
            NamedLines level{std::to_string(i) + " lx", {}, {}, {}};
            for (int ring = 0; ring < 3; ++ring) {
                const glm::dvec2 middle(draw_number(0, 800), draw_number(0, 500));
                const double wide = draw_number(10, 300), high = draw_number(10, 200);
                std::vector<glm::dvec2> line;
                for (int k = 0; k <= 60; ++k)
                    line.push_back(middle +
                                   glm::dvec2(wide * std::cos(k * pi / 30), high * std::sin(k * pi / 30)));
                level.lines.push_back(line);
            }
            levels.push_back(level);
        }
        Canvas canvas(800, 500, PictureFormat::svg);
        LabelSpace space;
        const Box frame{20, 20, 780, 480};
        draw_named_lines(canvas, levels, frame, space);
        names += static_cast<int>(canvas.words().size());
        for (std::size_t i = 0; i < canvas.words().size(); ++i) {
            CHECK(frame.contains(canvas.words()[i].box));
            for (std::size_t j = 0; j < i; ++j)
                CHECK_FALSE(canvas.words()[i].box.overlaps(canvas.words()[j].box));
        }
    }
    CHECK(names > 20);
}

TEST_CASE("walking a line: points at even distances, whatever its corners") {
    // Along a square of side 10 from one corner: the distance walked is known, and so is every point.
    const std::vector<glm::dvec2> square = {{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}};
    const auto point_at = [](double walked) {
        const int side = static_cast<int>(walked / 10) % 4;
        const double along = walked - 10 * std::floor(walked / 10);
        return side == 0   ? glm::dvec2(along, 0)
               : side == 1 ? glm::dvec2(10, along)
               : side == 2 ? glm::dvec2(10 - along, 10)
                           : glm::dvec2(0, 10 - along);
    };
    for (const double stride : {1.0, 3.0, 7.0}) {
        const std::vector<glm::dvec2> points = walk_line(square, stride);
        CAPTURE(stride);
        REQUIRE(points.size() >= static_cast<std::size_t>(40 / stride));
        const double first = glm::length(points[0]);
        CHECK(first <= stride);
        for (std::size_t i = 0; i < points.size() && first + static_cast<double>(i) * stride < 40 - 1e-9;
             ++i) {
            const glm::dvec2 wanted = point_at(first + static_cast<double>(i) * stride);
            CHECK(points[i].x == doctest::Approx(wanted.x));
            CHECK(points[i].y == doctest::Approx(wanted.y));
        }
    }
    CHECK(walk_line({}, 1).empty());
}

TEST_CASE("labels side by side: as near as can be, by brute force") {
    // Three labels on a coarse grid of places: none that keeps order, gaps and ends is nearer in least
    // squares.
    std::mt19937 random(2);
    for (int round = 0; round < 40; ++round) {
        std::vector<double> wanted;
        for (int i = 0; i < 3; ++i)
            wanted.push_back(static_cast<double>(random() % 61));
        std::sort(wanted.begin(), wanted.end());
        const std::vector<double> widths = {14, 10, 18};
        const auto found = spread_labels(wanted, widths, 0, 60, 2);
        REQUIRE(found);
        const auto cost = [&](const std::vector<double>& at) {
            double sum = 0;
            for (std::size_t i = 0; i < 3; ++i)
                sum += (at[i] - wanted[i]) * (at[i] - wanted[i]);
            return sum;
        };
        double least = 1e9;
        for (double a = 7; a <= 53; a += 0.5)
            for (double b = a + 14; b <= 55; b += 0.5)
                for (double c = b + 16; c <= 51; c += 0.5)
                    least = std::min(least, cost({a, b, c}));
        CHECK_MESSAGE(cost(*found) <= least + 1e-6, cost(*found) << " and " << least);
    }
}

TEST_CASE("every mark of a crowd gets its label, apart from all others and with a leader where it is far") {
    // Nine rows of nine marks 15 pixels apart: a label of 40 by 16 pixels covers several of them.
    const std::vector<glm::dvec2> ways = {{0, -1}, {0, 1},   {1, 0}, {-1, 0},
                                          {1, -1}, {-1, -1}, {1, 1}, {-1, 1}};
    const Box frame{0, 0, 900, 700};
    const glm::dvec2 size(40, 16);
    LabelSpace space;
    std::vector<glm::dvec2> marks;
    for (int i = 0; i < 81; ++i)
        marks.emplace_back(400 + 15 * (i % 9), 300 + 15 * (i / 9));
    for (const glm::dvec2& mark : marks)
        space.take(Box::round(mark, glm::dvec2(12)));
    std::vector<Box> boxes;
    int leaders = 0;
    for (const glm::dvec2& mark : marks) {
        const auto label = label_mark(mark, 6, size, frame, ways, space);
        REQUIRE(label);
        CHECK(frame.contains(label->box));
        for (const Box& other : boxes)
            CHECK_FALSE(label->box.overlaps(other));
        for (const glm::dvec2& other : marks)
            CHECK_FALSE(label->box.overlaps(Box::round(other, glm::dvec2(12))));
        boxes.push_back(label->box);
        const glm::dvec2 near = glm::clamp(mark, glm::dvec2(label->box.left, label->box.top),
                                           glm::dvec2(label->box.right, label->box.bottom));
        const double away = glm::distance(mark, near);
        if (label->leader.empty()) {
            CHECK(away < 45); // the third ring, by its corner
        } else {
            ++leaders;
            REQUIRE(label->leader.size() == 2);
            CHECK(glm::distance(label->leader[0], mark) == doctest::Approx(6));
            CHECK(glm::distance(label->leader[1], near) == doctest::Approx(0));
        }
    }
    CHECK(leaders > 40);
    // Where nothing is in the way, beside the mark.
    LabelSpace empty;
    const auto alone = label_mark({100, 100}, 6, size, frame, ways, empty);
    REQUIRE(alone);
    CHECK(alone->leader.empty());
    CHECK(alone->box.bottom == doctest::Approx(91)); // 6 + 3 above it
    // And none where the frame has no room.
    CHECK_FALSE(label_mark({5, 5}, 6, size, {0, 0, 30, 30}, ways, empty));
}

namespace {

/// Whether two segments meet, by solving for where; those in one line are taken as apart.
bool do_segments_meet(const std::vector<glm::dvec2>& a, const std::vector<glm::dvec2>& b) {
    const glm::dvec2 r = a[1] - a[0], s = b[1] - b[0], to = b[0] - a[0];
    const double wide = r.x * s.y - r.y * s.x;
    if (std::abs(wide) < 1e-12)
        return false;
    const double t = (to.x * s.y - to.y * s.x) / wide, u = (to.x * r.y - to.y * r.x) / wide;
    return t >= 0 && t <= 1 && u >= 0 && u <= 1;
}

bool does_enter(const std::vector<glm::dvec2>& line, const Box& box) {
    for (int i = 0; i <= 400; ++i) {
        const glm::dvec2 at = glm::mix(line[0], line[1], i / 400.0);
        if (at.x > box.left && at.x < box.right && at.y > box.top && at.y < box.bottom)
            return true;
    }
    return false;
}

} // namespace

TEST_CASE("labels of marks in a picture lie on nothing, and their leaders cross nothing") {
    const Box frame{0, 0, 1000, 640};
    constexpr double radius = 7;
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> across(40, 960), up(400, 560), turn(0, 2 * pi);
    for (const int count : {1, 4, 12, 30}) {
        CAPTURE(count);
        std::vector<MarkToLabel> marks;
        while (marks.size() < static_cast<std::size_t>(count)) {
            const glm::dvec2 at(across(random), up(random));
            // Marks may stand close together, but can be told apart.
            if (std::any_of(marks.begin(), marks.end(),
                            [&](const MarkToLabel& other) { return glm::distance(other.at, at) < 18; }))
                continue;
            const double way = turn(random);
            marks.push_back({at, at + 15.0 * glm::dvec2(std::cos(way), std::sin(way)), {34, 22}});
        }
        const auto labels = label_marks(marks, radius, frame);
        REQUIRE(labels.size() == marks.size());
        for (std::size_t i = 0; i < marks.size(); ++i) {
            REQUIRE(labels[i]);
            CHECK(frame.contains(labels[i]->box));
            REQUIRE(labels[i]->leader.size() == 2);
            CHECK(glm::distance(labels[i]->leader[0], marks[i].at) == doctest::Approx(radius));
            CHECK(labels[i]->box.grown(1e-9).contains({labels[i]->leader[1].x, labels[i]->leader[1].y,
                                                       labels[i]->leader[1].x, labels[i]->leader[1].y}));
            for (std::size_t j = 0; j < marks.size(); ++j) {
                CHECK_FALSE(labels[i]->box.overlaps(Box::round(marks[j].at, glm::dvec2(2 * radius))));
                CHECK_FALSE(does_enter({marks[j].at, marks[j].tip}, labels[i]->box));
                if (i == j)
                    continue;
                CHECK_FALSE(labels[i]->box.overlaps(labels[j]->box));
                CHECK_FALSE(does_enter(labels[i]->leader, labels[j]->box));
                CHECK_FALSE(do_segments_meet(labels[i]->leader, labels[j]->leader));
                CHECK_FALSE(do_segments_meet(labels[i]->leader, {marks[j].at, marks[j].tip}));
                for (int k = 0; k <= 100; ++k)
                    CHECK(glm::distance(glm::mix(labels[i]->leader[0], labels[i]->leader[1], k / 100.0),
                                        marks[j].at) > radius);
            }
        }
    }
    // Alone, it stands below its mark; where there is no room, nowhere.
    const auto alone = label_marks({{{500, 300}, {500, 285}, {34, 22}}}, radius, frame);
    CHECK(alone[0]->box.middle().x == doctest::Approx(500));
    CHECK(alone[0]->box.top > 307);
    CHECK_FALSE(label_marks({{{5, 5}, {5, 5}, {34, 22}}}, radius, {0, 0, 20, 20})[0]);
    CHECK(label_marks({}, radius, frame).empty());
}
