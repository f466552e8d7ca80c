#include <algorithm>

#include "checker.hpp"
#include "duskcast/site/trim.hpp"
#include "names.hpp"

namespace duskcast {
namespace {

struct Rectangle {
    double left, right, bottom, top;
};

Rectangle rectangle_of(const Opening& opening) {
    return {opening.from, opening.from + opening.width, opening.sill, opening.sill + opening.height};
}

Rectangle rectangle_of(const Projection& projection) {
    return {projection.from, projection.from + projection.width, projection.bottom, projection.height};
}

bool do_overlap(const Rectangle& a, const Rectangle& b) {
    return a.left < b.right - touch && b.left < a.right - touch && a.bottom < b.top - touch &&
           b.bottom < a.top - touch;
}

std::string named(const Opening& opening) {
    return name_of(opening_kind_names, opening.kind) + " \"" + opening.id + "\"";
}

/// Lowest height of the wall's upper edge between two places: it bends only at the ends of gables, where the
/// slopes of two gables meet and, upwards, at their peaks.
double lowest_top(const Wall& wall, double from, double to) {
    double lowest = std::min(top_of(wall, from), top_of(wall, to));
    const auto consider = [&](double along) {
        if (along > from && along < to)
            lowest = std::min(lowest, top_of(wall, along));
    };
    const auto slope = [&](const Gable& gable) { return 2 * (gable.peak - wall.height) / gable.width; };
    for (const Gable& gable : wall.gables) {
        const double end = gable.from + gable.width;
        consider(gable.from);
        consider(end);
        for (const Gable& next : wall.gables) // its left slope meets this one's right slope
            consider((slope(gable) * end + slope(next) * next.from) / (slope(gable) + slope(next)));
    }
    return lowest;
}

} // namespace

void Checker::check_wall(const Wall& wall, const std::string& path) {
    const bool is_line_good = check_line(join_path(path, "path"), wall.path, wall.closed, "path");
    const Faults faults_of_wall = check_fields(*wall_fields(), &wall, path);
    const bool is_height_good = !faults_of_wall.contains("height");
    if (!is_line_good || !is_height_good)
        return;
    if (wall.closed && signed_area(wall.path) < 0)
        warn(join_path(path, "path"), messages::wall_clockwise());

    const std::vector<RunSegment> run = run_of(wall);
    IdSpace gables{false};
    for (std::size_t i = 0; i < wall.gables.size(); ++i) {
        const Gable& gable = wall.gables[i];
        const std::string one = join_path(join_path(path, "gables"), i);
        check_id(gables, gable.id, one);
        const Faults faults = check_fields(*gable_fields(), &gable, one);
        if (!faults.contains("width") && !faults.contains("from") &&
            !is_on_one_segment(run, gable.from, gable.width))
            error(one, messages::gable_off_segment(gable.id));
        if (!faults.contains("peak") && gable.peak <= wall.height)
            error(join_path(one, "peak"), messages::peak_too_low(shown(gable.peak), shown(wall.height)));
    }

    IdSpace parts{false, "soffit", "the underside of the wall's eave"};
    for (std::size_t i = 0; i < wall.projections.size(); ++i) {
        const Projection& projection = wall.projections[i];
        const std::string one = join_path(join_path(path, "projections"), i);
        check_id(parts, projection.id, one);
        if (!check_box(wall, projection, one))
            continue;
        for (std::size_t j = 0; j < i; ++j)
            if (do_overlap(rectangle_of(wall.projections[j]), rectangle_of(projection))) {
                error(one, messages::projections_overlap(wall.projections[j].id, projection.id));
                break;
            }
    }
    check_openings(wall, parts, path);
    if (wall.number && !faults_of_wall.contains("number"))
        check_number(wall, path);
}

bool Checker::check_box(const Wall& wall, const Projection& projection, const std::string& path) {
    Faults faults = check_fields(*projection_fields(), &projection, path);
    faults.erase("finish"); // no matter of the box
    bool is_good = faults.empty();
    if (is_good && projection.height <= projection.bottom) {
        error(join_path(path, "height"),
              messages::projection_top(shown(projection.height), shown(projection.bottom)));
        is_good = false;
    }
    if (is_good && !is_on_one_segment(run_of(wall), projection.from, projection.width)) {
        error(path, messages::projection_off_segment(projection.id));
        is_good = false;
    }
    return is_good;
}

/// Openings of the wall and of its projections.
void Checker::check_openings(const Wall& wall, IdSpace& parts, const std::string& path) {
    const auto check_list = [&](const std::vector<Opening>& openings, const Projection* projection,
                                const std::string& list) {
        for (std::size_t i = 0; i < openings.size(); ++i) {
            const std::string one = join_path(list, i);
            check_id(parts, openings[i].id, one);
            check_opening(wall, projection, openings[i], one);
            for (std::size_t j = 0; j < i; ++j)
                if (do_overlap(rectangle_of(openings[j]), rectangle_of(openings[i]))) {
                    error(one, messages::openings_overlap(named(openings[j]), named(openings[i])));
                    break; // one is enough to find it
                }
            check_surround(projection ? run_of(wall, *projection) : run_of(wall), openings, i, one);
        }
    };
    for (std::size_t i = 0; i < wall.projections.size(); ++i)
        check_list(wall.projections[i].openings, &wall.projections[i],
                   join_path(join_path(join_path(path, "projections"), i), "openings"));
    check_list(wall.openings, nullptr, join_path(path, "openings"));
}

/// Its boards and shutters keep to its own face, and off other openings.
void Checker::check_surround(const std::vector<RunSegment>& run, const std::vector<Opening>& openings,
                             std::size_t index, const std::string& path) {
    const Opening& opening = openings[index];
    const auto widened = [](const Opening& one, double beside) {
        return Rectangle{one.from - beside, one.from + one.width + beside, one.sill, one.sill + one.height};
    };
    const auto check = [&](double beside, const char* key, const char* what) {
        const Rectangle all = widened(opening, beside);
        bool is_free = is_on_one_segment(run, all.left, all.right - all.left);
        for (const Opening& other : openings) {
            // Casings of neighbours may be one board; shutters need their own place.
            const double others = opening.shutters && beside > opening.casing ? reach_beside(other) : 0;
            is_free = is_free && (&other == &opening || !do_overlap(all, widened(other, others)));
        }
        if (!is_free)
            error(join_path(path, key), messages::no_room_beside(what, named(opening)));
        return is_free;
    };
    if (!is_on_one_segment(run, opening.from, opening.width))
        return; // said already
    if (opening.casing > 0 && !check(opening.casing, "casing", "casing"))
        return;
    if (opening.shutters)
        check(reach_beside(opening), "shutters", "shutters");
}

void Checker::check_number(const Wall& wall, const std::string& path) {
    const HouseNumber& number = *wall.number;
    const std::string own = join_path(path, "number");
    const auto is_figure = [](char one) { return one >= '0' && one <= '9'; };
    const bool has_figures = std::any_of(number.text.begin(), number.text.end(), is_figure);
    if (!has_figures || number.text.size() > most_figures ||
        !std::all_of(number.text.begin(), number.text.end(),
                     [&](char one) { return one == '-' || is_figure(one); }))
        return error(join_path(own, "text"), messages::no_house_number(number.text, most_figures));
    const glm::dvec2 plate = plate_size(number);
    const double left = number.along - plate.x / 2, right = number.along + plate.x / 2;
    if (!is_on_one_segment(run_of(wall), left, plate.x) || number.up < plate.y / 2 - touch ||
        number.up + plate.y / 2 > lowest_top(wall, left, right) + touch)
        return error(own, messages::number_off_wall(shown(plate.x), shown(plate.y)));
    const Rectangle taken{left, right, number.up - plate.y / 2, number.up + plate.y / 2};
    for (const Opening& opening : wall.openings) {
        const double beside = reach_beside(opening);
        Rectangle round = rectangle_of(opening);
        round.left -= beside;
        round.right += beside;
        if (do_overlap(taken, round))
            error(own, messages::number_on_opening(named(opening)));
    }
}

void Checker::check_opening(const Wall& wall, const Projection* projection, const Opening& opening,
                            const std::string& path) {
    const Faults faults = check_fields(*opening_fields(), &opening, path);
    check_glow(opening.glow, path);
    if (opening.glow && opening.room == Room::dark)
        error(join_path(path, "room"), messages::dark_room_glows());
    for (const char* side : {"from", "width", "sill", "height"})
        if (faults.contains(side))
            return;
    const double end = opening.from + opening.width, top = opening.sill + opening.height;
    const std::vector<RunSegment> run = projection ? run_of(wall, *projection) : run_of(wall);
    if (!is_on_one_segment(run, opening.from, opening.width))
        return error(path, messages::opening_off_segment(named(opening)));
    const double edge = projection ? projection->height : lowest_top(wall, opening.from, end);
    if (top > edge + touch)
        error(path, messages::opening_above(named(opening), shown(top), shown(edge)));
    if (projection && opening.sill < projection->bottom - touch)
        error(path, messages::opening_below(named(opening), shown(projection->bottom)));
    if (projection)
        return;
    for (const Projection& other : wall.projections)
        if (do_overlap(rectangle_of(other), rectangle_of(opening)))
            error(path, messages::opening_hidden(named(opening), other.id));
}

} // namespace duskcast
