#include "duskcast/photo/photo_report.hpp"

#include <algorithm>
#include <limits>

#include "duskcast/base/files.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {

glm::dvec3 place_of(const Site& site, const PhotoMark& mark) {
    if (mark.at)
        return *mark.at;
    const Wall& wall = *find_wall(site, mark.wall);
    const std::vector<RunSegment> run = run_of(wall);
    const RunSegment& segment = segment_at(run, mark.along);
    return {segment.start + (mark.along - segment.along) * segment.direction, wall.foot + mark.up};
}

TapedLength tape_of(const Site& site, const PhotoLength& length) {
    TapedLength taped{.id = length.id,
                      .from = {length.from[0], length.from[1]},
                      .to = {length.to[0], length.to[1]},
                      .normal = {0, 0, 1},
                      .length = length.length};
    if (length.wall.empty())
        return taped;
    const ClickPlane plane = plane_of(*find_wall(site, length.wall), length.along);
    taped.point = plane.point;
    taped.normal = plane.normal;
    return taped;
}

PhotoReport measure_photo(const Site& site, const Photo& photo, const std::filesystem::path& folder) {
    return measure_photo(site, photo, read_photo_info(path_in(folder, photo.file)));
}

PhotoReport measure_photo(const Site& site, const Photo& photo, const PhotoInfo& info) {
    PhotoReport report{.id = photo.id,
                       .info = info,
                       .focal_35mm = {},
                       .fit = {.model = CameraModel({1, 1}, false, false, false)}};
    report.focal_35mm = photo.focal_35mm ? photo.focal_35mm : report.info.focal_35mm;
    LensKnown known{.eye_height = photo.eye_height, .is_cropped = photo.cropped};
    if (report.focal_35mm)
        known.focal_px = focal_in_pixels(report.info.size, *report.focal_35mm);
    std::vector<Mark> marks;
    for (const PhotoMark& mark : photo.marks)
        marks.push_back(
            {.id = mark.id, .pixel = {mark.pixel[0], mark.pixel[1]}, .place = place_of(site, mark)});
    std::vector<TapedLength> lengths;
    for (const PhotoLength& length : photo.lengths)
        lengths.push_back(tape_of(site, length));
    report.fit = fit_camera(report.info.size, marks, known, lengths);
    return report;
}

Click measure_click(const Site& site, const CameraFit& fit, const glm::dvec2& pixel) {
    const Camera camera = fit.camera();
    Click click{.pixel = pixel};
    double nearest = std::numeric_limits<double>::infinity();
    for (const Wall& wall : site.walls)
        for (const RunSegment& segment : run_of(wall)) {
            const glm::dvec3 start(segment.start, wall.foot), outward(segment.outward, 0);
            const auto place = measure_on_plane(fit, pixel, start, outward);
            if (!place || glm::dot(camera.eye - start, outward) <= 0)
                continue;
            const double along = glm::dot(glm::dvec2(place->place) - segment.start, segment.direction);
            const double up = place->place.z - wall.foot, distance = glm::distance(place->place, camera.eye);
            if (along < 0 || along > segment.length || up < 0 || up > top_of(wall, segment.along + along) ||
                distance >= nearest)
                continue;
            nearest = distance;
            click.on_wall =
                ClickOnWall{wall.id, segment.along + along, up, place->deviation({segment.direction, 0}),
                            place->deviation({0, 0, 1})};
        }
    if (const auto ground = find_ground(site.ground, fit, pixel)) {
        const auto place = measure_on_plane(fit, pixel, ground->point, ground->normal);
        if (place && glm::distance(place->place, camera.eye) < nearest)
            click.on_ground = place;
    }
    return click;
}

std::optional<ClickPlane> find_ground(const Ground& ground, const CameraFit& fit, const glm::dvec2& pixel,
                                      double above) {
    const Camera camera = fit.camera();
    const auto plane =
        find_ground_met(ground, camera.eye, camera.direction_at(pixel), farthest_measured, above);
    if (!plane)
        return std::nullopt;
    return ClickPlane{{0, 0, plane->height + above}, plane->normal()};
}

std::optional<ClickOnWall> measure_on_wall(const Wall& wall, const CameraFit& fit, const glm::dvec2& pixel) {
    const glm::dvec3 eye = fit.camera().eye;
    std::optional<ClickOnWall> found;
    double least_off = std::numeric_limits<double>::infinity();
    for (const RunSegment& segment : run_of(wall)) {
        const glm::dvec3 start(segment.start, wall.foot), outward(segment.outward, 0);
        const auto place = measure_on_plane(fit, pixel, start, outward);
        if (!place || glm::dot(eye - start, outward) <= 0)
            continue;
        const double along = glm::dot(glm::dvec2(place->place) - segment.start, segment.direction);
        const double off = std::max({0.0, -along, along - segment.length});
        if (off >= least_off)
            continue;
        least_off = off;
        found = ClickOnWall{wall.id, segment.along + along, place->place.z - wall.foot,
                            place->deviation({segment.direction, 0}), place->deviation({0, 0, 1})};
    }
    return found;
}

ClickPlane plane_of(const Wall& wall, double along) {
    const std::vector<RunSegment> run = run_of(wall);
    const RunSegment& segment = segment_at(run, along);
    return {{segment.start, wall.foot}, {segment.outward, 0}};
}

} // namespace duskcast
