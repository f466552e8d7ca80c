#include "photo_parts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "duskcast/base/parallel.hpp"
#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {
namespace {

FaceKey make_face(int surface, const glm::vec3& normal) {
    FaceKey key = static_cast<FaceKey>(surface);
    for (int axis = 0; axis < 3; ++axis)
        key = key << 5 | static_cast<FaceKey>(std::lround(15 * (normal[axis] + 1)));
    return key;
}

/// Calls visit(place in `pixels`, hit, position, facing) for each whose ray meets something.
template <class Visit>
void visit_hits(const RayKernel& seen, const Camera& camera, const std::vector<std::uint32_t>& pixels,
                const Visit& visit) {
    const auto width = static_cast<std::uint32_t>(camera.width);
    std::vector<glm::vec3> directions;
    directions.reserve(pixels.size());
    for (const std::uint32_t pixel : pixels)
        directions.emplace_back(camera.direction_at({pixel % width + 0.5, pixel / width + 0.5}));
    const DirectionGrid grid(directions);
    std::vector<Hit> hits(directions.size());
    const glm::vec3 eye(camera.eye);
    seen.find_hits(eye, grid, 1e-3f, 1e5f, hits);
    for (std::size_t place = 0; place < hits.size(); ++place) {
        const Hit& hit = hits[place];
        if (!hit)
            continue;
        const std::size_t from = grid.order()[place];
        const glm::vec3 direction = directions[from];
        visit(from, hit, eye + hit.distance * direction,
              glm::dot(hit.normal, direction) > 0 ? -hit.normal : hit.normal);
    }
}

constexpr double least_of_sky = 0.7; // of the sky's brightness
constexpr double least_of_neighbour = 0.95;
constexpr double most_off_colour = 0.08; // of a channel's share

} // namespace

void look_at_pixels(const RayKernel& seen, const Camera& camera, const std::vector<std::uint32_t>& pixels,
                    const VisitHit& visit) {
    visit_hits(seen, camera, pixels, visit);
}

CameraLook look_at_stage(const Stage& stage, const RayKernel& seen, const Camera& camera,
                         const VisitHit& visit) {
    const auto width = static_cast<std::size_t>(camera.width),
               height = static_cast<std::size_t>(camera.height);
    CameraLook look;
    look.face.assign(width * height, no_face);
    look.distance.assign(width * height, std::numeric_limits<float>::infinity());
    const std::size_t rows = std::max<std::size_t>(1, 65536 / width);
    parallel_for((height + rows - 1) / rows, [&](std::size_t band) {
        std::vector<std::uint32_t> pixels(std::min(height, (band + 1) * rows) * width - band * rows * width);
        std::iota(pixels.begin(), pixels.end(), static_cast<std::uint32_t>(band * rows * width));
        visit_hits(
            seen, camera, pixels,
            [&](std::size_t place, const Hit& hit, const glm::vec3& position, const glm::vec3& facing) {
                const std::size_t pixel = pixels[place];
                look.face[pixel] = make_face(stage.surface_of(hit, position), facing);
                look.distance[pixel] = hit.distance;
                if (visit)
                    visit(pixel, hit, position, facing);
            });
    });
    return look;
}

std::vector<FaceKey> find_faces(const Stage& stage, const RayKernel& seen, const Camera& camera, int step) {
    const auto width = static_cast<std::size_t>(camera.width),
               height = static_cast<std::size_t>(camera.height), side = static_cast<std::size_t>(step);
    if (step <= 1)
        return look_at_stage(stage, seen, camera).face;
    std::vector<FaceKey> faces(width * height, no_face);
    const auto pixel_at = [&](std::size_t x, std::size_t y) {
        return static_cast<std::uint32_t>(std::min(y, height - 1) * width + std::min(x, width - 1));
    };
    const std::size_t squares = (width + side - 1) / side, rows = (height + side - 1) / side;
    const std::size_t rows_a_band = std::max<std::size_t>(1, 65536 / (2 * squares));
    parallel_for((rows + rows_a_band - 1) / rows_a_band, [&](std::size_t band) {
        const std::size_t first = band * rows_a_band, last = std::min(rows, first + rows_a_band);
        const auto find = [&](const std::vector<std::uint32_t>& pixels, std::vector<FaceKey>& found) {
            found.assign(pixels.size(), no_face);
            visit_hits(
                seen, camera, pixels,
                [&](std::size_t place, const Hit& hit, const glm::vec3& position, const glm::vec3& facing) {
                    found[place] = make_face(stage.surface_of(hit, position), facing);
                });
        };
        // A row of corners, then a row of middles, and so on; a row of corners ends the band.
        std::vector<std::uint32_t> spots;
        for (std::size_t row = first; row <= last; ++row) {
            for (std::size_t square = 0; square <= squares; ++square)
                spots.push_back(pixel_at(square * side, row * side));
            for (std::size_t square = 0; square < squares && row < last; ++square)
                spots.push_back(pixel_at(square * side + side / 2, row * side + side / 2));
        }
        std::vector<FaceKey> met, at_edges;
        find(spots, met);
        std::vector<std::uint32_t> edges;
        const auto visit_square = [&](std::size_t row, std::size_t square, const auto& call) {
            for (std::size_t y = row * side; y < std::min(height, (row + 1) * side); ++y)
                for (std::size_t x = square * side; x < std::min(width, (square + 1) * side); ++x)
                    call(pixel_at(x, y));
        };
        const std::size_t stride = 2 * squares + 1;
        for (std::size_t row = first; row < last; ++row)
            for (std::size_t square = 0; square < squares; ++square) {
                const FaceKey* corner = met.data() + (row - first) * stride + square;
                const FaceKey face = corner[0];
                if (corner[1] == face && corner[squares + 1] == face && corner[stride] == face &&
                    corner[stride + 1] == face)
                    visit_square(row, square, [&](std::uint32_t pixel) { faces[pixel] = face; });
                else
                    visit_square(row, square, [&](std::uint32_t pixel) { edges.push_back(pixel); });
            }
        find(edges, at_edges);
        for (std::size_t i = 0; i < edges.size(); ++i)
            faces[edges[i]] = at_edges[i];
    });
    return faces;
}

std::vector<std::uint16_t> fill_masks(std::span<const PhotoMask> masks, glm::ivec2 size) {
    std::vector<std::uint16_t> filled(static_cast<std::size_t>(size.x) * static_cast<std::size_t>(size.y), 0);
    for (std::size_t m = 0; m < masks.size(); ++m) {
        const std::vector<double>& outline = masks[m].outline;
        const std::size_t corners = outline.size() / 2;
        for (int y = 0; y < size.y; ++y) {
            const double middle = y + 0.5;
            std::vector<double> crossings;
            for (std::size_t i = 0, j = corners - 1; i < corners; j = i++) {
                const double x0 = outline[2 * j], y0 = outline[2 * j + 1], x1 = outline[2 * i],
                             y1 = outline[2 * i + 1];
                if ((y0 > middle) != (y1 > middle))
                    crossings.push_back(x0 + (middle - y0) / (y1 - y0) * (x1 - x0));
            }
            std::sort(crossings.begin(), crossings.end());
            for (std::size_t i = 0; i + 1 < crossings.size(); i += 2) {
                const auto edge = [&](double at) {
                    return static_cast<int>(std::clamp(std::ceil(at - 0.5), 0.0, double(size.x)));
                };
                const auto row = filled.begin() + static_cast<std::ptrdiff_t>(y) * size.x;
                std::fill(row + edge(crossings[i]), row + edge(crossings[i + 1]),
                          static_cast<std::uint16_t>(m + 1));
            }
        }
    }
    return filled;
}

bool SkyLook::is_like(const glm::vec3& linear) const {
    const double sum = static_cast<double>(linear.x) + linear.y + linear.z;
    if (!(luminance > 0) || !(sum > 0) || luminance_of(glm::dvec3(linear)) < least_of_sky * luminance)
        return false;
    const glm::dvec3 off = glm::abs(glm::dvec3(linear) / sum - share);
    return std::max({off.x, off.y, off.z}) < most_off_colour;
}

std::vector<bool> find_sky(const PhotoPixels& picture, const std::vector<FaceKey>& faces,
                           const std::vector<std::uint16_t>& masks, std::span<const PhotoMask> kinds,
                           int slack, SkyLook& sky) {
    const auto width = static_cast<std::size_t>(picture.size.x),
               height = static_cast<std::size_t>(picture.size.y), count = width * height;
    const auto is_of = [&](std::size_t pixel, MaskKind kind) {
        return masks[pixel] > 0 && kinds[masks[pixel] - 1u].kind == kind;
    };
    std::vector<std::uint32_t> edge; // where sky can be told from
    const std::size_t upper = width * std::max<std::size_t>(3, height / 200);
    for (std::size_t pixel = 0; pixel < count; ++pixel)
        if (is_of(pixel, MaskKind::sky) ||
            (pixel < upper && faces[pixel] == no_face && !is_of(pixel, MaskKind::unlit)))
            edge.push_back(static_cast<std::uint32_t>(pixel));
    std::vector<bool> is_sky(count, false);
    if (edge.empty())
        return is_sky;
    std::vector<double> values;
    for (const std::uint32_t pixel : edge)
        values.push_back(luminance_of(glm::dvec3(picture.linear_at(pixel))));
    const auto bright =
        values.begin() + static_cast<std::ptrdiff_t>(0.6 * static_cast<double>(values.size()));
    std::nth_element(values.begin(), bright, values.end());
    sky.luminance = *bright;
    glm::dvec3 sum{0};
    for (const std::uint32_t pixel : edge) {
        const glm::dvec3 linear(picture.linear_at(pixel));
        if (luminance_of(linear) >= least_of_sky * sky.luminance)
            sum += linear;
    }
    sky.share = sum / std::max(1e-12, sum.x + sum.y + sum.z);

    std::vector<std::uint32_t> ring, next;
    const auto take = [&](std::size_t pixel, bool is_known) {
        if (!is_sky[pixel] &&
            (is_known || (!is_of(pixel, MaskKind::unlit) && sky.is_like(picture.linear_at(pixel))))) {
            is_sky[pixel] = true;
            next.push_back(static_cast<std::uint32_t>(pixel));
        }
    };
    const auto visit_neighbours = [&](std::size_t pixel, const auto& call) {
        const std::size_t x = pixel % width;
        if (x > 0)
            call(pixel - 1);
        if (x + 1 < width)
            call(pixel + 1);
        if (pixel >= width)
            call(pixel - width);
        if (pixel + width < count)
            call(pixel + width);
    };
    for (const std::uint32_t pixel : edge)
        take(pixel, is_of(pixel, MaskKind::sky));
    while (!next.empty()) {
        ring.swap(next);
        next.clear();
        for (const std::uint32_t pixel : ring)
            visit_neighbours(pixel, [&](std::size_t beside) {
                if (faces[beside] == no_face)
                    take(beside, false);
            });
    }
    // The site's edges are off by as much as the camera is: sky enters them, where it does not darken. White
    // trim is darker than the sky before which it stands.
    for (std::size_t pixel = 0; pixel < count; ++pixel)
        if (is_sky[pixel])
            next.push_back(static_cast<std::uint32_t>(pixel));
    const auto brightness_at = [&](std::size_t pixel) {
        return luminance_of(glm::dvec3(picture.linear_at(pixel)));
    };
    for (int step = 0; step < slack; ++step) {
        ring.swap(next);
        next.clear();
        for (const std::uint32_t pixel : ring)
            visit_neighbours(pixel, [&](std::size_t beside) {
                if (brightness_at(beside) > least_of_neighbour * brightness_at(pixel))
                    take(beside, false);
            });
    }
    return is_sky;
}

} // namespace duskcast
