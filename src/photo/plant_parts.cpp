// What the pixels of a photo show: plants, what is seen between their leaves, edges of the sky.

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/problem.hpp"
#include "relight_state.hpp"

namespace duskcast {

namespace {

constexpr double least_before_trees = 0.35; // of a leaf's usual brightness: darker ones are of trees behind

/// Whether sky is seen round a pixel, in squares of a sixtieth of the picture's width.
class NearSky {
public:
    NearSky(const std::vector<bool>& is_sky, const Camera& camera)
        : width_(static_cast<std::size_t>(camera.width)), side_(std::max<std::size_t>(8, width_ / 60)),
          across_((width_ + side_ - 1) / side_),
          counts_(across_ * ((static_cast<std::size_t>(camera.height) + side_ - 1) / side_), 0) {
        for (std::size_t pixel = 0; pixel < is_sky.size(); ++pixel)
            counts_[square_of(pixel)] += is_sky[pixel] ? 1 : 0;
    }
    bool at(std::size_t pixel) const {
        constexpr double least = 0.08;
        return static_cast<double>(counts_[square_of(pixel)]) > least * static_cast<double>(side_ * side_);
    }
    /// Whether there is any in the pixel's square or one beside it.
    bool is_any_beside(std::size_t pixel) const {
        const std::size_t square = square_of(pixel), column = square % across_, row = square / across_;
        for (std::size_t y = row - std::min<std::size_t>(row, 1); y <= row + 1; ++y)
            for (std::size_t x = column - std::min<std::size_t>(column, 1); x <= column + 1; ++x)
                if (x < across_ && y * across_ + x < counts_.size() && counts_[y * across_ + x] > 0)
                    return true;
        return false;
    }

private:
    std::size_t square_of(std::size_t pixel) const {
        return pixel / width_ / side_ * across_ + pixel % width_ / side_;
    }
    std::size_t width_, side_, across_;
    std::vector<std::uint32_t> counts_;
};

} // namespace

/// Where the line of sight passes the stem's upright plane that faces the camera.
glm::dvec3 RelightPlan::State::place_at(const PlantSight& sight, std::size_t pixel) const {
    const glm::dvec3 way = camera.direction_at(middle_of(pixel));
    const glm::dvec2 away = sight.at - glm::dvec2(camera.eye);
    return camera.eye + glm::dot(away, away) / std::max(1e-9, glm::dot(glm::dvec2(way), away)) * way;
}

/// What each pixel shows, plants still whole.
void RelightPlan::State::sort_parts(const Photo& photo, const std::vector<std::uint16_t>& masks,
                                    const std::vector<bool>& is_sky) {
    part.assign(count(), PhotoPart::beyond);
    plant.assign(count(), no_plant);
    share.assign(count(), 255);
    std::vector<std::uint16_t> sight_of(photo.masks.size(), 0);
    for (std::size_t m = 0; m < photo.masks.size(); ++m)
        for (std::size_t i = 0; i < sights.size(); ++i)
            if (photo.masks[m].kind == MaskKind::plant && photo.masks[m].plant == sights[i].id)
                sight_of[m] = static_cast<std::uint16_t>(i);
    parallel_for(static_cast<std::size_t>(camera.height), [&](std::size_t row) {
        const std::size_t from = row * static_cast<std::size_t>(camera.width);
        for (std::size_t pixel = from; pixel < from + static_cast<std::size_t>(camera.width); ++pixel) {
            if (is_sky[pixel])
                part[pixel] = PhotoPart::sky;
            else if (face[pixel] != no_face)
                part[pixel] = panes.contains(surface_of(face[pixel])) ? PhotoPart::pane : PhotoPart::solid;
            if (masks[pixel] == 0)
                continue;
            const PhotoMask& mask = photo.masks[masks[pixel] - 1u];
            if (mask.kind == MaskKind::unlit)
                part[pixel] = PhotoPart::unlit;
            if (mask.kind != MaskKind::plant)
                continue;
            const std::uint16_t index = sight_of[masks[pixel] - 1u];
            const PlantSight& sight = sights[index];
            const glm::dvec3 there = place_at(sight, pixel);
            if (sight.trunk_radius > 0 && there.z < sight.trunk_top) {
                // Below the leaves a hand paints round more than the trunk.
                if (glm::distance(glm::dvec2(there), sight.at) > 1.5 * sight.trunk_radius)
                    continue;
                part[pixel] = PhotoPart::trunk;
            } else
                part[pixel] = PhotoPart::leaf;
            plant[pixel] = index;
        }
    });
}

/// Leaves and what is seen between them. Against the sky a leaf's share of a pixel follows from its
/// brightness; against a wall a pixel is of leaf where its colour is nearer to the leaves' than to the
/// wall's.
void RelightPlan::State::part_plants(const SkyLook& sky, const std::vector<bool>& is_sky,
                                     const PhotoPixels& picture, const glm::vec3& scale) {
    struct Colours {
        glm::dvec3 sum{0};
        std::size_t pixels = 0;
        glm::dvec3 shares() const { return sum / std::max(1e-9, sum.x + sum.y + sum.z); }
    };
    const NearSky near_sky(is_sky, camera);
    std::vector<Colours> of_surface(stage.surfaces.size()), of_leaf(sights.size()), of_all(sights.size());
    std::vector<std::vector<float>> brightness(sights.size()), all_brightness(sights.size());
    const double sky_y = sky.luminance > 0 ? sky.luminance : 1e9;
    for (std::size_t pixel = 0; pixel < count(); ++pixel) {
        if (part[pixel] == PhotoPart::leaf) {
            const glm::vec3 linear = picture.linear_at(pixel);
            const std::size_t index = plant[pixel];
            of_all[index].sum += glm::dvec3(linear);
            all_brightness[index].push_back(y_of(linear));
            if (is_sky[pixel] || face[pixel] != no_face || !near_sky.at(pixel) ||
                static_cast<double>(y_of(linear)) > 0.3 * sky_y)
                continue;
            of_leaf[index].sum += glm::dvec3(linear);
            ++of_leaf[index].pixels;
            brightness[index].push_back(y_of(linear));
        } else if (part[pixel] == PhotoPart::solid && pixel % 3 == 0)
            of_surface[static_cast<std::size_t>(surface_of(face[pixel]))].sum +=
                glm::dvec3(picture.linear_at(pixel)),
                ++of_surface[static_cast<std::size_t>(surface_of(face[pixel]))].pixels;
    }
    std::vector<double> usual(sights.size(), 0);
    std::vector<glm::dvec3> leaf_share(sights.size());
    for (std::size_t i = 0; i < sights.size(); ++i) {
        const bool is_enough = of_leaf[i].pixels > 50;
        leaf_share[i] = (is_enough ? of_leaf[i] : of_all[i]).shares();
        std::vector<float>& values = is_enough ? brightness[i] : all_brightness[i];
        if (!values.empty())
            usual[i] = std::max(1e-4, median_of(values));
    }
    parallel_for(static_cast<std::size_t>(camera.height), [&](std::size_t row) {
        const std::size_t from = row * static_cast<std::size_t>(camera.width);
        for (std::size_t pixel = from; pixel < from + static_cast<std::size_t>(camera.width); ++pixel) {
            if (part[pixel] != PhotoPart::leaf)
                continue;
            const std::size_t index = plant[pixel];
            const glm::dvec3 linear(picture.linear_at(pixel));
            const double y = std::max(1e-6, luminance_of(linear)), leaf_y = usual[index];
            const bool is_tree = sights[index].trunk_radius > 0;
            if (face[pixel] != no_face && !is_sky[pixel]) {
                const Colours& behind = of_surface[static_cast<std::size_t>(surface_of(face[pixel]))];
                const glm::dvec3 share_here = linear / std::max(1e-9, linear.x + linear.y + linear.z);
                if (is_tree && behind.pixels > 100 &&
                    glm::distance(share_here, behind.shares()) <
                        glm::distance(share_here, leaf_share[index])) {
                    part[pixel] =
                        panes.contains(surface_of(face[pixel])) ? PhotoPart::pane : PhotoPart::solid;
                    continue;
                }
                day[pixel] = ShortColour(scale * glm::vec3(linear * std::min(1.0, 1.8 * leaf_y / y)));
                continue;
            }
            const bool is_before_sky = near_sky.at(pixel);
            if (!is_before_sky && is_tree) {
                // What the site does not have is grey, as roofs are, or dark, as far trees are.
                const glm::dvec3 share_here = linear / std::max(1e-9, linear.x + linear.y + linear.z);
                if (y < least_before_trees * leaf_y || glm::distance(share_here, glm::dvec3(1.0 / 3)) <
                                                           glm::distance(share_here, leaf_share[index])) {
                    part[pixel] = PhotoPart::beyond;
                    continue;
                }
            }
            const double leaf = sky_y > 2.5 * leaf_y && is_tree && is_before_sky
                                    ? std::clamp((sky_y - y) / (sky_y - 2 * leaf_y), 0.0, 1.0)
                                    : 1.0;
            const double own = std::clamp(2 * leaf - 1, 0.0, 1.0); // of leaf alone: its own colour
            const double alone =
                std::clamp((y - (1 - leaf) * sky_y) / std::max(leaf, 0.3), 0.2 * leaf_y, 1.8 * leaf_y);
            const glm::dvec3 usual_colour =
                leaf_share[index] / std::max(1e-9, luminance_of(leaf_share[index]));
            day[pixel] = ShortColour(scale * glm::vec3(own * std::min(1.0, 1.8 * leaf_y / y) * linear +
                                                       (1 - own) * alone * usual_colour));
            share[pixel] = static_cast<std::uint8_t>(std::lround(255 * leaf));
        }
    });
}

/// Pixels at the sky's edge hold some of it: the rest is as the face is farther in.
void RelightPlan::State::part_sky_edges(const std::vector<bool>& is_sky) {
    struct EdgeChange {
        std::size_t pixel, inside;
        std::uint8_t share;
    };
    const int reach = 1 + camera.width / 1500; // less than the side of a square
    const NearSky near_sky(is_sky, camera);
    const auto at = [&](int x, int y) {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(camera.width) +
               static_cast<std::size_t>(x);
    };
    const auto find_change = [&](int x, int y) -> std::optional<EdgeChange> {
        const std::size_t pixel = at(x, y);
        if (is_sky[pixel] || !near_sky.is_any_beside(pixel) || share[pixel] != 255 ||
            (part[pixel] != PhotoPart::solid && part[pixel] != PhotoPart::beyond))
            return std::nullopt;
        for (int step = 1; step <= reach; ++step)
            for (const glm::ivec2 way : {glm::ivec2(0, -1), glm::ivec2(-1, 0), glm::ivec2(1, 0),
                                         glm::ivec2(0, 1), glm::ivec2(-1, -1), glm::ivec2(1, -1)}) {
                const glm::ivec2 out = glm::ivec2(x, y) + step * way,
                                 in = glm::ivec2(x, y) - (reach + 1) * way;
                if (std::min({out.x, out.y, in.x, in.y}) < 0 || std::max(out.x, in.x) >= camera.width ||
                    std::max(out.y, in.y) >= camera.height)
                    continue;
                const std::size_t outside = at(out.x, out.y), inside = at(in.x, in.y);
                if (!is_sky[outside] || is_sky[inside] || part[inside] == PhotoPart::leaf)
                    continue;
                const float inner = y_of(day[inside].linear()), outer = y_of(day[outside].linear());
                if (!(outer > 1.5f * inner))
                    continue;
                const float sky_share =
                    std::clamp((y_of(day[pixel].linear()) - inner) / (outer - inner), 0.0f, 1.0f);
                if (sky_share > 0.02f)
                    return EdgeChange{pixel, inside,
                                      static_cast<std::uint8_t>(std::lround(255 * (1 - sky_share)))};
                break;
            }
        return std::nullopt;
    };
    // All are found before any is made: one may lie inside of another.
    std::vector<std::vector<EdgeChange>> changes(static_cast<std::size_t>(camera.height));
    parallel_for(changes.size(), [&](std::size_t row) {
        for (int x = 0; x < camera.width; ++x)
            if (const auto change = find_change(x, static_cast<int>(row)))
                changes[row].push_back(*change);
    });
    std::vector<ShortColour> inner;
    for (const std::vector<EdgeChange>& row : changes)
        for (const EdgeChange& change : row)
            inner.push_back(day[change.inside]);
    auto next = inner.begin();
    for (const std::vector<EdgeChange>& row : changes)
        for (const EdgeChange& change : row) {
            share[change.pixel] = change.share;
            day[change.pixel] = *next++;
        }
}

} // namespace duskcast
