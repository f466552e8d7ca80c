#include "duskcast/sheets/wall_photo.hpp"

#include <algorithm>

#include "duskcast/base/files.hpp"
#include "duskcast/photo/photo_report.hpp"
#include "duskcast/photo/rectify_photo.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

constexpr double least_share_seen = 0.05;
constexpr double stand_out = 0.3; // metres: frames and sills stand out from a wall, cameras are a little off

bool is_in_mask(const PhotoMask& mask, const glm::dvec2& pixel) {
    std::vector<glm::dvec2> outline;
    for (std::size_t i = 0; i + 1 < mask.outline.size(); i += 2)
        outline.emplace_back(mask.outline[i], mask.outline[i + 1]);
    return is_inside(outline, pixel);
}

bool has_mask(const CameraPhoto& photo, const std::string& plant) {
    return std::any_of(photo.masks.begin(), photo.masks.end(), [&](const PhotoMask& mask) {
        return mask.kind == MaskKind::plant && mask.plant == plant;
    });
}

/// Whether something of the site stands before a place.
bool is_covered(const Stage& stage, const CameraPhoto& photo, const glm::dvec3& place) {
    const glm::dvec3 eye = photo.camera.eye;
    const double away = glm::distance(place, eye);
    const glm::vec3 way((place - eye) / away);
    constexpr int most_leaves = 200;
    float from = 0;
    for (int i = 0; i < most_leaves; ++i) {
        const Hit hit =
            stage.kernel->find_hit(glm::vec3(eye), way, from, static_cast<float>(away - stand_out));
        if (!hit)
            return false;
        const int index = stage.surface_of(hit, glm::vec3(eye) + hit.distance * way);
        const Surface* met = index < 0 ? nullptr : &stage.surfaces[static_cast<std::size_t>(index)];
        const bool is_plant =
            met != nullptr && (met->kind == SurfaceKind::tree || met->kind == SurfaceKind::shrub);
        if (!is_plant || !has_mask(photo, met->part_of))
            return true;
        from = hit.distance + surface_offset;
    }
    return true;
}

} // namespace

CameraPhoto read_camera_photo(const Site& site, const Photo& photo, const std::filesystem::path& folder) {
    return {photo.id, measure_photo(site, photo, folder).fit.camera(),
            read_photo(path_in(folder, photo.file)), photo.masks};
}

WallPhoto::WallPhoto(const Stage& stage, const Surface& surface, const std::vector<CameraPhoto>& photos)
    : stage_(stage), surface_(surface) {
    constexpr int most_columns = 60;
    const int step = std::max(1, surface.grid.columns / most_columns);
    std::size_t most = 0;
    for (const CameraPhoto& photo : photos) {
        std::size_t seen = 0, all = 0;
        for (int row = 0; row < surface.grid.rows; row += step)
            for (int column = 0; column < surface.grid.columns; column += step) {
                const auto at =
                    static_cast<std::size_t>(row) * static_cast<std::size_t>(surface.grid.columns) +
                    static_cast<std::size_t>(column);
                if (surface.grid.sensor[at] < 0)
                    continue;
                ++all;
                seen += is_seen_on(photo, {surface.grid.u_of(column), surface.grid.v_of(row)}) ? 1 : 0;
            }
        if (seen > most && static_cast<double>(seen) >= least_share_seen * static_cast<double>(all)) {
            most = seen;
            photo_ = &photo;
        }
    }
}

glm::dvec3 WallPhoto::place_at(const glm::dvec2& uv) const {
    const RunSegment& segment = segment_at(surface_.run, uv.x);
    return {segment.start + (uv.x - segment.along) * segment.direction, surface_.foot + uv.y};
}

bool WallPhoto::is_seen_on(const CameraPhoto& photo, const glm::dvec2& uv) const {
    const glm::dvec3 place = place_at(uv);
    if (glm::dot(glm::dvec2(photo.camera.eye - place), segment_at(surface_.run, uv.x).outward) <= 0)
        return false;
    const auto pixel = photo.camera.project(place);
    if (!pixel || pixel->x < 0 || pixel->y < 0 || pixel->x > photo.camera.width ||
        pixel->y > photo.camera.height)
        return false;
    return std::none_of(photo.masks.begin(), photo.masks.end(),
                        [&](const PhotoMask& mask) { return is_in_mask(mask, *pixel); }) &&
           !is_covered(stage_, photo, place);
}

bool WallPhoto::is_seen(const glm::dvec2& uv) const {
    return photo_ != nullptr && is_seen_on(*photo_, uv);
}

std::optional<glm::vec3> WallPhoto::linear_at(const glm::dvec2& uv, double side) const {
    if (!is_seen(uv))
        return std::nullopt;
    return find_on_plane(photo_->pixels, photo_->camera,
                         {.middle = place_at(uv),
                          .along = glm::dvec3(segment_at(surface_.run, uv.x).direction, 0),
                          .side = side});
}

} // namespace duskcast
