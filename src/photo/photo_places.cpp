#include "duskcast/photo/photo_places.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {
namespace {

class PlaceList {
public:
    void on_wall(const Wall& wall, const std::string& of, const std::string& corner, const std::string& words,
                 double along, double up) {
        PhotoPlace place{.id = of + "-" + corner, .of = of, .words = words, .mark = {}};
        place.mark.wall = wall.id;
        place.mark.along = along;
        place.mark.up = up;
        places_.push_back(std::move(place));
    }
    void on_ground(const std::string& of, const std::string& corner, const glm::dvec3& at) {
        std::string id = corner;
        std::replace(id.begin(), id.end(), ' ', '-');
        PhotoPlace place{.id = of + "-" + id, .of = of, .words = corner + ", on the ground", .mark = {}};
        place.mark.at = at;
        places_.push_back(std::move(place));
    }
    std::vector<PhotoPlace> take() { return std::move(places_); }

private:
    std::vector<PhotoPlace> places_;
};

void add_wall_ends(PlaceList& list, const Wall& wall) {
    const std::vector<RunSegment> run = run_of(wall);
    const double end = run.back().along + run.back().length;
    list.on_wall(wall, wall.id, "left-foot", "left end, at the ground", 0, 0);
    list.on_wall(wall, wall.id, "right-foot", "right end, at the ground", end, 0);
    list.on_wall(wall, wall.id, "left-eave", "left end, at the eave", 0, top_of(wall, 0));
    list.on_wall(wall, wall.id, "right-eave", "right end, at the eave", end, top_of(wall, end));
    for (std::size_t i = 1; i < run.size(); ++i) {
        const std::string corner = fmt::format("corner-{}", i);
        list.on_wall(wall, wall.id, corner + "-foot", fmt::format("corner {}, at the ground", i),
                     run[i].along, 0);
        list.on_wall(wall, wall.id, corner + "-eave", fmt::format("corner {}, at the eave", i), run[i].along,
                     top_of(wall, run[i].along));
    }
}

void add_opening(PlaceList& list, const Wall& wall, const Opening& opening) {
    const double left = opening.from, right = left + opening.width, top = opening.sill + opening.height;
    list.on_wall(wall, opening.id, "upper-left", "upper left corner", left, top);
    list.on_wall(wall, opening.id, "upper-right", "upper right corner", right, top);
    list.on_wall(wall, opening.id, "lower-left", "lower left corner", left, opening.sill);
    list.on_wall(wall, opening.id, "lower-right", "lower right corner", right, opening.sill);
}

/// Corners of an area as somebody before the first wall calls them, where it has four such; else numbered.
void add_area(PlaceList& list, const Site& site, const GroundArea& area) {
    glm::dvec2 rightwards{1, 0}, outward{0, -1}, middle{0};
    if (!site.walls.empty()) {
        const RunSegment face = run_of(site.walls.front()).front();
        rightwards = face.direction;
        outward = face.outward;
    }
    for (const glm::dvec2& at : area.outline)
        middle += at / static_cast<double>(area.outline.size());
    std::vector<std::string> names;
    for (const glm::dvec2& at : area.outline)
        names.push_back(fmt::format("{} {} corner", glm::dot(at - middle, outward) > 0 ? "near" : "far",
                                    glm::dot(at - middle, rightwards) < 0 ? "left" : "right"));
    std::vector<std::string> sorted = names;
    std::sort(sorted.begin(), sorted.end());
    const bool are_clear =
        names.size() == 4 && std::adjacent_find(sorted.begin(), sorted.end()) == sorted.end();
    const GroundPlane plane = plane_of(site.ground, area);
    for (std::size_t i = 0; i < names.size(); ++i)
        list.on_ground(area.id, are_clear ? names[i] : fmt::format("corner {}", i + 1),
                       {area.outline[i], plane.height_at(area.outline[i])});
}

/// So that a line is drawn bent as the lens bends it, and slopes keep their ends.
constexpr double longest_piece = 0.3; // metres

} // namespace

std::vector<PhotoPlace> list_places(const Site& site) {
    PlaceList list;
    for (const Wall& wall : site.walls)
        add_wall_ends(list, wall);
    for (const Wall& wall : site.walls)
        for (const Gable& gable : wall.gables) {
            list.on_wall(wall, gable.id, "peak", "peak", gable.from + 0.5 * gable.width, gable.peak);
            list.on_wall(wall, gable.id, "left-end", "left end, at the eave", gable.from, wall.height);
            list.on_wall(wall, gable.id, "right-end", "right end, at the eave", gable.from + gable.width,
                         wall.height);
        }
    for (const GroundArea& area : site.ground.areas)
        if (area.kind == GroundKind::paving)
            add_area(list, site, area);
    for (const Wall& wall : site.walls)
        for (const Opening& opening : wall.openings)
            add_opening(list, wall, opening);
    for (const GroundArea& area : site.ground.areas)
        if (area.kind != GroundKind::paving)
            add_area(list, site, area);
    return list.take();
}

std::vector<std::vector<glm::dvec2>> project_line(const Camera& camera, const std::vector<glm::dvec3>& line) {
    std::vector<std::vector<glm::dvec2>> pieces;
    bool is_broken = true;
    for (const glm::dvec3& point : line) {
        const auto place = camera.project(point);
        if (!place) {
            is_broken = true;
            continue;
        }
        if (is_broken)
            pieces.emplace_back();
        is_broken = false;
        pieces.back().push_back(*place);
    }
    std::erase_if(pieces, [](const auto& piece) { return piece.size() < 2; });
    return pieces;
}

std::vector<GridLine> project_wall_grid(const Site& site, const Camera& camera, double step) {
    std::vector<GridLine> lines;
    const auto add = [&](const Wall& wall, bool is_upright, int number, const std::vector<glm::dvec3>& line) {
        for (std::vector<glm::dvec2>& piece : project_line(camera, line))
            lines.push_back({wall.id, is_upright, number, std::move(piece)});
    };
    for (const Wall& wall : site.walls)
        for (const RunSegment& segment : run_of(wall)) {
            if (glm::dot(glm::dvec2(camera.eye) - segment.start, segment.outward) <= 0)
                continue;
            const double end = segment.along + segment.length;
            const auto place = [&](double along, double up) {
                return glm::dvec3(segment.start + (along - segment.along) * segment.direction,
                                  wall.foot + up);
            };
            for (int i = static_cast<int>(std::ceil(segment.along / step - 1e-9)); i * step <= end + 1e-9;
                 ++i) {
                const double along = std::min(i * step, end), top = top_of(wall, along);
                const int count = std::max(1, static_cast<int>(std::ceil(top / longest_piece)));
                std::vector<glm::dvec3> line;
                for (int k = 0; k <= count; ++k)
                    line.push_back(place(along, top * k / count));
                add(wall, true, i, line);
            }
            double highest = wall.height;
            for (const Gable& gable : wall.gables)
                highest = std::max(highest, gable.peak);
            const int count = std::max(1, static_cast<int>(std::ceil(segment.length / longest_piece)));
            for (int i = 0; i * step <= highest; ++i) {
                std::vector<glm::dvec3> line;
                for (int k = 0; k <= count; ++k) {
                    const double along = segment.along + segment.length * k / count;
                    if (i * step <= top_of(wall, along) + 1e-9) {
                        line.push_back(place(along, i * step));
                        continue;
                    }
                    add(wall, false, i, line);
                    line.clear();
                }
                add(wall, false, i, line);
            }
        }
    return lines;
}

} // namespace duskcast
