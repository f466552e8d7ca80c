#include <algorithm>
#include <doctest/doctest.h>

#include "../../src/sheets/contact_sheet.hpp"
#include "../../src/sheets/light_scale.hpp"
#include "duskcast/base/problem.hpp"
#include "page_words.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

/// A wall 4 m by 2 m, evenly lit.
struct LitWall {
    test::PlainWall wall = test::make_plain_wall();
    double next_lx = 2;
    std::size_t calls = 0;

    ContactSheet sheet(std::size_t count) {
        ContactSheet sheet;
        sheet.title = "Tilt";
        sheet.detail = "From 0 on.";
        sheet.plate = "front";
        for (std::size_t i = 0; i < count; ++i)
            sheet.titles.push_back("cell " + std::to_string(i));
        sheet.cell = [this](std::size_t i) {
            CHECK(i == calls++);
            wall.light(next_lx * static_cast<double>(i + 1));
            return ContactCell{wall.source(), "mean " + std::to_string(i)};
        };
        return sheet;
    }
};

DrawnPage draw(std::size_t count, std::optional<std::size_t> best = {},
               PictureFormat format = PictureFormat::svg) {
    LitWall wall;
    ContactSheet sheet = wall.sheet(count);
    sheet.best = best;
    DrawnPage page = make_contact_sheet(sheet, format);
    CHECK(wall.calls == count);
    return page;
}

} // namespace

TEST_CASE("contact sheet: every cell with its words and none on another") {
    for (const std::size_t count : {1, 2, 5, 17, 60}) {
        const DrawnPage page = draw(count);
        CAPTURE(count);
        for (std::size_t i = 0; i < count; ++i) {
            const Box &title = test::find_words(page, "cell " + std::to_string(i)),
                      &caption = test::find_words(page, "mean " + std::to_string(i));
            CHECK(title.left == doctest::Approx(caption.left));
            CHECK(title.bottom < caption.top);
        }
        test::check_apart(page);
    }
}

TEST_CASE("contact sheet: a title that is wider than its cell goes on below, and its end tells cells apart") {
    LitWall wall;
    ContactSheet sheet = wall.sheet(24);
    for (std::size_t i = 1; i < 24; ++i) // the first alone is short
        sheet.titles[i] = "lamp standard 5 W, 36\u00b0, with a setback of x" + std::to_string(i) + "ft";
    const DrawnPage page = make_contact_sheet(sheet, PictureFormat::svg);
    for (std::size_t i = 1; i < 24; ++i) {
        const std::string end = "x" + std::to_string(i) + "ft";
        CHECK(std::count_if(page.words.begin(), page.words.end(),
                            [&](const auto& one) { return one.text.ends_with(end); }) == 1);
    }
    test::check_apart(page);
}

TEST_CASE("contact sheet: cells do not overlap and stay on the page") {
    for (const glm::dvec2 size : {glm::dvec2(13, 7), {6, 12}, {40, 2}, {1, 1}})
        for (std::size_t count = 1; count <= most_contact_cells; ++count) {
            const ContactGrid grid(count, size);
            CAPTURE(count);
            CHECK(grid.columns() <= count);
            for (std::size_t i = 0; i < count; ++i) {
                const Box cell = grid.cell(i, 100);
                CHECK(cell.left >= page_margin - 1e-9);
                CHECK(cell.right <= page_width - page_margin + 1e-9);
                CHECK(cell.bottom <= 100 + grid.height() + 1e-9);
                CHECK(grid.scale * size.x <= cell.width() + 1e-9);
                CHECK(grid.scale * size.y < cell.height());
                if (i > 0)
                    CHECK_FALSE(cell.overlaps(grid.cell(i - 1, 100)));
                if (i >= grid.columns())
                    CHECK_FALSE(cell.overlaps(grid.cell(i - grid.columns(), 100)));
            }
        }
}

PIXEL_TEST_CASE("contact sheet: each cell in the colour of its own light") {
    const test::Pixels page = test::read_pixels(draw(6, {}, PictureFormat::png).bytes);
    const ContactGrid grid(6, {4, 2});
    const double area = 4 * 2 * grid.scale * grid.scale;
    for (std::size_t i = 0; i < 6; ++i) {
        const test::Patch patch = test::find_colour(page, lux_colour(2.0 * static_cast<double>(i + 1)), 1);
        CAPTURE(i);
        CHECK(static_cast<double>(patch.count) == doctest::Approx(area).epsilon(0.05));
        CHECK(patch.x == doctest::Approx(grid.cell(i, 0).left + 2 * grid.scale).epsilon(0.01));
    }
}

PIXEL_TEST_CASE("contact sheet: the best cell alone is outlined") {
    const std::string plain = draw(6, {}, PictureFormat::png).bytes;
    const DrawnPage page = draw(6, 4, PictureFormat::png);
    CHECK(draw(6, 99, PictureFormat::png).bytes == plain);
    const test::Pixels before = test::read_pixels(plain), after = test::read_pixels(page.bytes);
    const Box cell = ContactGrid(6, {4, 2}).cell(4, heading_height + 12);
    double left = 1e9, right = 0, top = 1e9, bottom = 0;
    for (int row = 0; row < after.height; ++row)
        for (int column = 0; column < after.width; ++column) {
            const std::size_t at = 4 * (static_cast<std::size_t>(row) * after.width + column);
            if (std::equal(&before.rgba[at], &before.rgba[at] + 3, &after.rgba[at]))
                continue;
            const double y = after.height - 1 - row; // textures count from below
            left = std::min(left, static_cast<double>(column));
            right = std::max(right, static_cast<double>(column));
            top = std::min(top, y);
            bottom = std::max(bottom, y);
        }
    CHECK(left == doctest::Approx(cell.left - 8).epsilon(0.01));
    CHECK(right == doctest::Approx(cell.right + 8).epsilon(0.01));
    CHECK(top == doctest::Approx(cell.top - 8).epsilon(0.01));
    CHECK(bottom == doctest::Approx(cell.bottom + 8).epsilon(0.01));
}

TEST_CASE("contact sheet: the same bytes each time") {
    for (const PictureFormat format : picture_formats(true)) {
        LitWall wall; // counts its cells from the first
        CHECK(draw(7, 2, format).bytes == draw(7, 2, format).bytes);
        test::check_whole_picture(draw_contact_sheet(wall.sheet(2), format), format);
    }
}

TEST_CASE("contact sheet: what cannot be drawn is said plainly") {
    LitWall wall;
    CHECK_THROWS_WITH_AS(make_contact_sheet(wall.sheet(0), PictureFormat::svg),
                         "error: no variant to show; choose one at least", InputError);
    CHECK_THROWS_WITH_AS(make_contact_sheet(wall.sheet(61), PictureFormat::svg),
                         "error: 61 variants do not fit on one sheet; choose 60 at most, or coarser steps",
                         InputError);
    ContactSheet sheet = wall.sheet(1);
    sheet.plate = "fromt";
    CHECK_THROWS_WITH_AS(make_contact_sheet(sheet, PictureFormat::svg),
                         "error: there is no plate of \"fromt\"; did you mean \"front\"?", InputError);
}
