// Plants to choose from, each with a small picture of what the engine grows.

#include <algorithm>
#include <array>
#include <cmath>

#include "answers.hpp"
#include "duskcast/base/colour.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {
namespace {

constexpr double least_tree = 3; ///< metres; what stays lower is planted as a shrub

/// Facets seen level from the south, the nearest in front.
class SideDrawing {
public:
    SideDrawing(int size, double metres) : size_(size), scale_(size / metres), depth_(spots(), HUGE_VALF) {
        colour_.resize(spots(), glm::vec3(0));
    }

    /// In even light from the upper left, before the rest of the plant's own shade.
    void add(const glm::vec3& a, const glm::vec3& b, const glm::vec3& c, const glm::vec3& reflectance) {
        const glm::vec3 normal = glm::cross(b - a, c - a);
        const float length = glm::length(normal);
        if (!(length > 0))
            return;
        static const glm::vec3 to_light = glm::normalize(glm::vec3(-1, -1, 2));
        const float light = 0.45f + 0.55f * std::abs(glm::dot(normal / length, to_light));
        const std::array<glm::vec2, 3> at{place(a), place(b), place(c)};
        const float twice =
            (at[1].x - at[0].x) * (at[2].y - at[0].y) - (at[2].x - at[0].x) * (at[1].y - at[0].y);
        const auto from = glm::max(glm::ivec2(glm::floor(glm::min(at[0], glm::min(at[1], at[2])))), 0);
        const auto to = glm::min(glm::ivec2(glm::ceil(glm::max(at[0], glm::max(at[1], at[2])))), size_ - 1);
        const float nearest = std::min({a.y, b.y, c.y});
        for (int y = from.y; y <= to.y; ++y)
            for (int x = from.x; x <= to.x; ++x) {
                const glm::vec2 spot(static_cast<float>(x) + 0.5f, static_cast<float>(y) + 0.5f);
                bool is_in = twice != 0;
                for (std::size_t i = 0; i < 3 && is_in; ++i) {
                    const glm::vec2 &one = at[i], &next = at[(i + 1) % 3];
                    is_in =
                        ((next.x - one.x) * (spot.y - one.y) - (next.y - one.y) * (spot.x - one.x)) * twice >=
                        0;
                }
                const std::size_t i = static_cast<std::size_t>(y) * static_cast<std::size_t>(size_) +
                                      static_cast<std::size_t>(x);
                if (is_in && nearest < depth_[i]) {
                    depth_[i] = nearest;
                    colour_[i] = light * reflectance;
                }
            }
    }

    /// Means of `by` x `by` spots: 8-bit sRGB and how much of a pixel is covered.
    std::vector<std::uint8_t> shrink(int by) const {
        // Leaves return a tenth of the light; the picture shows them as in a drawing.
        constexpr float brighter = 2.6f;
        std::vector<std::uint8_t> rgba;
        for (int row = 0; row < size_ / by; ++row)
            for (int column = 0; column < size_ / by; ++column) {
                glm::vec3 sum(0);
                int count = 0;
                for (int j = 0; j < by; ++j)
                    for (int i = 0; i < by; ++i) {
                        const auto spot = static_cast<std::size_t>((row * by + j) * size_ + column * by + i);
                        if (depth_[spot] < HUGE_VALF) {
                            sum += colour_[spot];
                            ++count;
                        }
                    }
                for (int channel = 0; channel < 3; ++channel)
                    rgba.push_back(static_cast<std::uint8_t>(std::lround(
                        255 * encode_srgb(static_cast<double>(
                                  count > 0 ? brighter * sum[channel] / static_cast<float>(count) : 0.0f)))));
                rgba.push_back(static_cast<std::uint8_t>(255 * count / (by * by)));
            }
        return rgba;
    }

private:
    std::size_t spots() const { return static_cast<std::size_t>(size_) * static_cast<std::size_t>(size_); }
    glm::vec2 place(const glm::vec3& at) const {
        return {static_cast<float>(size_) * 0.5f + static_cast<float>(scale_) * at.x,
                static_cast<float>(size_) - static_cast<float>(scale_) * at.z};
    }

    int size_;
    double scale_;
    std::vector<float> depth_;
    std::vector<glm::vec3> colour_;
};

} // namespace

Json answer_plants() {
    Json plants = Json::array();
    for (const PlantKind& kind : plant_kinds())
        plants.push_back(
            {{"name", kind.name}, {"is_tree", kind.height > least_tree}, {"height", kind.height}});
    return {{"plants", std::move(plants)}};
}

Json answer_plant_picture(const Json& question, AnswerMaker& maker) {
    constexpr int spots_a_pixel = 3;
    const int size = count_of(question, "size", 0, 16, 256);
    Site site;
    site.ground.margin = 0;
    site.trees.push_back(make_usual_tree(question.at("plant").get<std::string>()));
    Tree& tree = site.trees.back();
    tree.id = "plant";
    // Leaves smaller than a pixel cost time and show nothing.
    tree.foliage.leaf_size =
        std::max(tree.foliage.leaf_size, std::max(tree.height, tree.width) / (1.5 * size));
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    double high = tree.height, wide = tree.width;
    for (const glm::vec3& corner : stage->leaves.corners) {
        high = std::max(high, static_cast<double>(corner.z));
        wide = std::max(wide, 2 * std::abs(static_cast<double>(corner.x)));
    }
    SideDrawing drawing(spots_a_pixel * size, 1.02 * std::max(high, wide));
    const auto reflectance = [&](std::uint16_t material) { return stage->materials[material].reflectance; };
    for (const Triangles* triangles : {&stage->opaque, &stage->cutouts})
        for (std::size_t i = 0; i < triangles->size(); ++i)
            if (stage->surfaces[triangles->surface[i]].kind == SurfaceKind::tree) {
                const glm::uvec3& corner = triangles->corners[i];
                drawing.add(triangles->vertices[corner.x], triangles->vertices[corner.y],
                            triangles->vertices[corner.z], reflectance(triangles->material[i]));
            }
    for (std::size_t i = 0; i < stage->leaves.size(); ++i) {
        const glm::vec3* corners = &stage->leaves.corners[4 * i];
        const glm::vec3 colour = reflectance(stage->leaves.material[i]);
        drawing.add(corners[0], corners[1], corners[2], colour);
        drawing.add(corners[0], corners[2], corners[3], colour);
    }
    return {{"size", size}, {"rgba", maker.add(drawing.shrink(spots_a_pixel))}};
}

} // namespace duskcast
