#include "duskcast/sheets/photo_marks.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/draw/labels.hpp"
#include "duskcast/draw/text.hpp"
#include "duskcast/sheets/client_words.hpp"
#include "duskcast/sheets/fixture_words.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "duskcast/site/layout.hpp"
#include "fixture_marks.hpp"

namespace duskcast {
namespace {

constexpr double ninety_percent_across = 1.645; ///< standard deviations of a normal distribution
constexpr double ninety_percent_round = 2.146;  ///< of one in a plane: sqrt(-2 ln 0.1)
constexpr double tallest_photo = 1150;          ///< pixels of the page
constexpr double row_gap = 9, doubt_width = 300;
constexpr double least_indent = 66, most_indent = 260; // of the words behind the names

const TextStyle row_name_style{.size = 15, .is_bold = true, .ink = text_ink};
const TextStyle row_style{.size = 15, .ink = text_ink};
const TextStyle name_on_photo{.size = 15, .is_bold = true, .ink = text_ink};

/// What stands between the eye and a lens.
void find_cover(const Stage& stage, const glm::dvec3& eye, const glm::dvec3& lens, double slack,
                FixtureOnPhoto& found) {
    const glm::dvec3 way = lens - eye;
    const double away = glm::length(way);
    const Hit hit = stage.kernel->find_hit(glm::vec3(eye), glm::vec3(way / away), 0,
                                           static_cast<float>(std::max(0.0, away - slack)));
    if (!hit)
        return;
    const glm::vec3 place(eye + static_cast<double>(hit.distance) * way / away);
    const int index = stage.surface_of(hit, place);
    if (index < 0)
        return;
    const Surface& surface = stage.surfaces[static_cast<std::size_t>(index)];
    found.hidden_by = surface.part_of;
    found.is_hidden_by_plant = surface.kind == SurfaceKind::tree || surface.kind == SurfaceKind::shrub;
}

/// How a beam runs on the picture, in the lengths that it would have square to the line of sight.
glm::dvec2 find_lean(const Camera& camera, const glm::dvec3& lens, const glm::dvec3& axis) {
    constexpr double step = 0.05;
    const auto from = camera.project(lens), to = camera.project(lens + step * axis);
    if (!from || !to)
        return {};
    const double depth = glm::dot(lens - camera.eye, camera.forward);
    return (*to - *from) * depth / (step * camera.pixels_per_tangent);
}

std::string print_place_doubt(const FixtureOnPhoto& one, LengthUnit unit) {
    if (!one.pixel)
        return "outside the picture";
    return fmt::format("within {} across, {} {}", print_length(std::max(one.across, 0.0127), unit),
                       print_length(std::max(one.deep, 0.0127), unit), one.is_standing ? "in depth" : "up");
}

std::string print_stand_row(const Site& site, const FixtureOnPhoto& one) {
    const Fixture& fixture = site.fixtures[one.fixture];
    const bool is_set_back = !fixture.wall.empty() || !fixture.tree.empty();
    const FixtureText text =
        describe_fixture(site, fixture, is_set_back ? std::optional(setback_of(fixture)) : std::nullopt,
                         place_fixture(site, fixture).position.z);
    const std::string way = print_fixture_way(site, fixture);
    return fmt::format(
        "{}, {}{}{}.{}", print_fixture_place(site, fixture), text.placed, way.empty() ? "" : ", ", way,
        one.hidden_by.empty() ? ""
        : one.is_hidden_by_plant
            ? fmt::format(" Not seen, if {} stands as on the plan.", spoken_name(one.hidden_by))
            : fmt::format(" Not seen: behind {}.", spoken_name(one.hidden_by)));
}

std::string print_caption(const std::vector<FixtureOnPhoto>& fixtures, const PhotoReport& report,
                          LengthUnit unit) {
    double most = 0;
    bool has_hidden = false, has_rings = false;
    for (const FixtureOnPhoto& one : fixtures)
        if (one.pixel) {
            most = std::max({most, one.across, one.deep});
            has_hidden = has_hidden || !one.hidden_by.empty();
            has_rings = has_rings || one.is_standing;
        }
    std::string text = "Each dot is where a fixture goes into the ground, or hangs; its stem points as the "
                       "light does. ";
    if (has_hidden)
        text += "Hollow dots lie behind something. ";
    if (most > 0)
        text += fmt::format("What the picture alone tells of a place is sure within {} at the worst, nine "
                            "times of ten ({} marks settled its camera){}. ",
                            print_length(std::max(most, 0.0127), unit), report.fit.marks.size(),
                            has_rings ? "; a thin ring shows it where it is wider than the dot" : "");
    return text + "Find the spot by the picture, then measure with a tape as the list says: the tape counts.";
}

/// What holds a place on the ground nine times of ten, on the picture.
std::vector<glm::dvec2> ring_on_picture(const Camera& camera, const FixtureOnPhoto& one) {
    const glm::dmat3& spread = one.place.covariance;
    // The square root of a 2 by 2 matrix by its triangle (Cholesky).
    const double a = std::sqrt(std::max(spread[0][0], 0.0)), b = a > 0 ? spread[0][1] / a : 0;
    const double c = std::sqrt(std::max(0.0, spread[1][1] - b * b));
    std::vector<glm::dvec2> ring;
    constexpr int corners = 48;
    for (int i = 0; i < corners; ++i) {
        const double turn = 2 * pi * i / corners;
        const glm::dvec2 off =
            ninety_percent_round * glm::dvec2(a * std::cos(turn), b * std::cos(turn) + c * std::sin(turn));
        const auto at = camera.project(one.place.place + glm::dvec3(off, 0));
        if (!at)
            return {};
        ring.push_back(*at);
    }
    return ring;
}

/// Where the page has what.
struct PhotoLayout {
    Box photo;
    double scale = 1; ///< page pixels a pixel of the photo
    double caption_top = 0, list_top = 0, height = 0;
};

} // namespace

std::vector<FixtureOnPhoto> find_on_photo(const Site& site, const Stage& stage, const PhotoReport& report) {
    const Camera camera = report.fit.camera();
    std::vector<FixtureOnPhoto> found;
    for (std::size_t i = 0; i < site.fixtures.size(); ++i) {
        FixtureOnPhoto one{.fixture = i, .id = site.fixtures[i].id};
        const PlacedFixture placed = place_fixture(site, site.fixtures[i]);
        one.is_standing = placed.position.z <= hung_height;
        const glm::dvec3 foot =
            one.is_standing ? glm::dvec3(glm::dvec2(placed.position), 0) : placed.position;
        one.place.place = foot;
        const auto pixel = camera.project(foot);
        if (pixel && pixel->x >= 0 && pixel->y >= 0 && pixel->x <= camera.width &&
            pixel->y <= camera.height) {
            one.pixel = pixel;
            one.lean = find_lean(camera, placed.position, beam_axis(placed.aim));
            find_cover(stage, camera.eye, placed.position,
                       0.02 + site.fixtures[i].lens_diameter.value_or(usual_lens_diameter), one);
            const glm::dvec3 level = glm::normalize(glm::dvec3(glm::dvec2(foot) - glm::dvec2(camera.eye), 0));
            const auto read =
                measure_on_plane(report.fit, *pixel, foot, one.is_standing ? glm::dvec3(0, 0, 1) : -level);
            if (read) {
                one.place = *read;
                one.across = ninety_percent_across * read->deviation({level.y, -level.x, 0});
                one.deep =
                    ninety_percent_across * read->deviation(one.is_standing ? level : glm::dvec3(0, 0, 1));
            }
        }
        found.push_back(one);
    }
    return found;
}

DrawnPage draw_photo_marks(const Site& site, const PhotoReport& report, const PhotoPixels& photo,
                           const std::vector<FixtureOnPhoto>& fixtures) {
    const double wide = page_width - 2 * page_margin;
    const std::string title =
        (site.name.empty() ? "" : site.name + " \u2013 ") + "where to plant, on photo " + report.id;
    const std::string detail = print_caption(fixtures, report, site.units);
    PhotoLayout layout;
    const double top = measure_title(detail, wide) + 18;
    layout.scale = std::min(wide / photo.size.x, tallest_photo / photo.size.y);
    layout.photo = {page_margin, top, page_margin + layout.scale * photo.size.x,
                    top + layout.scale * photo.size.y};
    layout.list_top = layout.photo.bottom + 22;
    double indent = least_indent;
    for (const FixtureOnPhoto& one : fixtures)
        indent = std::max(indent, std::min(most_indent, measure_text(one.id, row_name_style).x + 16));
    const double words_width = wide - indent - doubt_width;
    std::vector<std::string> rows;
    double y = layout.list_top;
    for (const FixtureOnPhoto& one : fixtures) {
        rows.push_back(keep_units(print_stand_row(site, one)));
        y += measure_text(rows.back(), row_style, words_width).y + row_gap;
    }
    layout.height = std::ceil(y + 20);

    Canvas canvas(page_width, layout.height, picture_formats(false).front());
    draw_title(canvas, title, detail, wide);
    canvas.image(make_photo_raster(photo), layout.photo, {}, true);
    const auto at = [&](const glm::dvec2& pixel) {
        return glm::dvec2(layout.photo.left, layout.photo.top) + layout.scale * pixel;
    };
    std::vector<MarkToLabel> marks;
    std::vector<std::string> names;
    for (const FixtureOnPhoto& one : fixtures) {
        if (!one.pixel)
            continue;
        if (one.is_standing) {
            std::vector<glm::dvec2> ring = ring_on_picture(report.fit.camera(), one);
            for (glm::dvec2& point : ring)
                point = at(point);
            if (std::any_of(ring.begin(), ring.end(), [&](const glm::dvec2& point) {
                    return glm::distance(point, at(*one.pixel)) > fixture_mark_radius + 2;
                })) {
                canvas.line(ring, true, 3, {{1, 1, 1}, 0.8});
                canvas.line(ring, true, 1.2, text_ink);
            }
        }
        const double length = glm::length(one.lean);
        marks.push_back({at(*one.pixel),
                         at(*one.pixel) + (length > 0.05 ? fixture_stem / length : 0) * one.lean,
                         measure_text(one.id, name_on_photo) + glm::dvec2(10, 6)});
        names.push_back(one.id);
    }
    const std::vector<std::optional<MarkLabel>> labels =
        label_marks(marks, fixture_mark_radius, layout.photo.grown(-4));
    for (const auto& label : labels)
        if (label) {
            canvas.line(label->leader, false, 3.6, {{1, 1, 1}, 0.9});
            canvas.line(label->leader, false, 1.4, text_ink);
        }
    for (const FixtureOnPhoto& one : fixtures)
        if (one.pixel)
            draw_fixture_mark(canvas, at(*one.pixel), one.lean, !one.hidden_by.empty());
    for (std::size_t i = 0; i < labels.size(); ++i)
        if (labels[i])
            canvas.card(names[i], labels[i]->box, name_on_photo);

    y = layout.list_top;
    for (std::size_t i = 0; i < fixtures.size(); ++i) {
        const double middle = y + measure_text("X", row_style).y / 2;
        canvas.text(cut_text(fixtures[i].id, row_name_style, indent - 8), {page_margin, middle}, Anchor::left,
                    row_name_style);
        canvas.text(print_place_doubt(fixtures[i], site.units), {page_margin + wide, middle}, Anchor::right,
                    {.size = 14, .ink = quiet_ink});
        y += canvas.paragraph(rows[i], {page_margin + indent, y}, words_width, row_style) + row_gap;
    }
    DrawnPage page;
    page.height = layout.height;
    page.words = canvas.words();
    page.bytes = canvas.finish();
    return page;
}

} // namespace duskcast
