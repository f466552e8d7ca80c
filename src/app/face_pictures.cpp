#include "duskcast/app/face_pictures.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "duskcast/base/colour.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {
namespace {

/// Whole stretchers and whole pairs of stretcher and header go into it.
constexpr double piece_length = 96 * metres_per_foot / 12;
constexpr int piece_pixels = 320;        ///< along a side: a joint of brick is wider than one
constexpr float opening_pixel = 0.012f;  ///< metres
constexpr int most_opening_pixels = 256; ///< along a side
constexpr float through_glass = 0.77f;   ///< of light that falls in and comes back from a curtain (by eye)
constexpr float most_glow = 2.5f;        ///< times its mean that a lit room shows
constexpr int probes = 24;               ///< spots by which claddings are told apart

struct PictureScale {
    glm::vec2 size{1}; ///< metres
    int width = 1, height = 1;
};

int pixels_along(float length) {
    return std::clamp(static_cast<int>(std::lround(length / opening_pixel)), 8, most_opening_pixels);
}

PictureScale scale_of(const ReliefArea& area) {
    if (const double course = area.relief->course(); course > 0) {
        // Rows of two kinds take turns: an even number of them.
        const double pairs = std::max(1.0, std::round(piece_length / (2 * course)));
        return {glm::vec2(piece_length, 2 * pairs * course), piece_pixels, piece_pixels};
    }
    const float length = static_cast<float>(area.run.front().length);
    return {{length, length}, pixels_along(length), pixels_along(length)}; // how high, its pane says
}

FacePicture draw_relief(const Relief& relief, const PictureScale& scale, const glm::dvec3& luminance) {
    FacePicture picture{
        .width = scale.width, .height = scale.height, .glow = static_cast<double>(most_glow) * luminance};
    const bool is_lit = luminance != glm::dvec3(0);
    const glm::vec2 step = scale.size / glm::vec2(scale.width, scale.height);
    picture.rgba.reserve(4 * static_cast<std::size_t>(scale.width) * static_cast<std::size_t>(scale.height));
    const auto byte = [](double share) {
        return static_cast<std::uint8_t>(std::lround(255 * std::clamp(share, 0.0, 1.0)));
    };
    for (int row = 0; row < scale.height; ++row)
        for (int column = 0; column < scale.width; ++column) {
            const glm::vec2 at = step * (glm::vec2(column, row) + 0.5f);
            const ReliefSpot spot = relief.spot(at);
            const glm::vec3 colour = spot.is_glass ? through_glass * spot.room : spot.reflectance;
            for (glm::length_t channel = 0; channel < 3; ++channel)
                picture.rgba.push_back(byte(encode_srgb(static_cast<double>(colour[channel]))));
            picture.rgba.push_back(is_lit ? byte(static_cast<double>(spot.glow / most_glow)) : 0);
        }
    return picture;
}

/// By what two claddings that look the same agree.
std::vector<float> signature_of(const Relief& relief) {
    std::vector<float> signature{relief.course(), relief.depth()};
    for (int i = 0; i < probes; ++i) {
        const ReliefSpot spot =
            relief.spot({0.137f * static_cast<float>(i), 0.0913f * static_cast<float>(i)});
        for (glm::length_t channel = 0; channel < 3; ++channel)
            signature.push_back(spot.reflectance[channel]);
    }
    return signature;
}

class PictureMaker {
public:
    PictureMaker(const Stage& stage, const StageMesh& mesh)
        : stage_(stage), mesh_(mesh), luminance_of_(stage.surfaces.size()) {
        for (const GlowSource& source : stage.glow_sources)
            luminance_of_[static_cast<std::size_t>(source.surface)] = source.luminance;
    }

    FacePictures make() {
        made_.picture.assign(mesh_.size(), -1);
        made_.uv.assign(6 * mesh_.size(), 0.0f);
        for (std::size_t i = 0; i < mesh_.size(); ++i)
            find_picture(i);
        if (made_.pictures.empty())
            made_.uv.clear();
        return std::move(made_);
    }

private:
    glm::dvec3 corner(std::size_t triangle, std::size_t number) const {
        const float* at = mesh_.position.data() + 9 * triangle + 3 * number;
        return {at[0], at[1], at[2]};
    }

    void find_picture(std::size_t triangle) {
        if (mesh_.relief[triangle] < 0)
            return;
        const ReliefArea& area = stage_.reliefs[static_cast<std::size_t>(mesh_.relief[triangle])];
        const glm::dvec3 middle = (corner(triangle, 0) + corner(triangle, 1) + corner(triangle, 2)) / 3.0;
        put(triangle, area, segment_at(area.run, unfold(area.run, area.foot, middle).x));
    }

    static const RunSegment& segment_at(const std::vector<RunSegment>& run, double along) {
        const auto found = std::find_if(run.rbegin(), run.rend(),
                                        [&](const RunSegment& segment) { return along >= segment.along; });
        return found == run.rend() ? run.front() : *found;
    }

    void put(std::size_t triangle, const ReliefArea& area, const RunSegment& segment) {
        const auto& [index, size] = picture_of(area, triangle);
        made_.picture[triangle] = index;
        for (std::size_t i = 0; i < 3; ++i) {
            // All corners by one segment: at a corner of the house the nearest may be the next one.
            const glm::dvec3 at = corner(triangle, i);
            const double along = segment.along + glm::dot(glm::dvec2(at) - segment.start, segment.direction);
            made_.uv[6 * triangle + 2 * i] = static_cast<float>(along) / size.x;
            made_.uv[6 * triangle + 2 * i + 1] = static_cast<float>(at.z - area.foot) / size.y;
        }
    }

    const std::pair<std::int32_t, glm::vec2>& picture_of(const ReliefArea& area, std::size_t triangle) {
        const auto known = by_relief_.find(area.relief.get());
        if (known != by_relief_.end())
            return known->second;
        PictureScale scale = scale_of(area);
        std::vector<float> signature;
        if (area.relief->course() > 0) {
            signature = signature_of(*area.relief);
            if (const auto same = by_signature_.find(signature); same != by_signature_.end())
                return by_relief_.emplace(area.relief.get(), same->second).first->second;
        } else {
            scale.size.y = height_of(area, triangle);
            scale.height = pixels_along(scale.size.y);
        }
        const std::pair made(static_cast<std::int32_t>(made_.pictures.size()), scale.size);
        made_.pictures.push_back(
            draw_relief(*area.relief, scale, luminance_of_[static_cast<std::size_t>(area.surface)]));
        if (!signature.empty())
            by_signature_.emplace(std::move(signature), made);
        return by_relief_.emplace(area.relief.get(), made).first->second;
    }

    /// Of an opening: up to its pane's highest corner.
    float height_of(const ReliefArea& area, std::size_t triangle) const {
        double top = 0;
        for (std::size_t i = triangle; i < mesh_.size() && mesh_.surface[i] == mesh_.surface[triangle]; ++i)
            for (std::size_t number = 0; number < 3; ++number)
                top = std::max(top, corner(i, number).z - area.foot);
        return static_cast<float>(std::max(top, 0.1));
    }

    const Stage& stage_;
    const StageMesh& mesh_;
    std::vector<glm::dvec3> luminance_of_; ///< one a surface, cd/m2
    std::map<const Relief*, std::pair<std::int32_t, glm::vec2>> by_relief_;
    std::map<std::vector<float>, std::pair<std::int32_t, glm::vec2>> by_signature_;
    FacePictures made_;
};

} // namespace

FacePictures make_face_pictures(const Stage& stage, const StageMesh& mesh) {
    return PictureMaker(stage, mesh).make();
}

} // namespace duskcast
