// Plants whose leaves come from one place: palms and ferns, grasses, hostas, lavender.

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/site/layout.hpp"
#include "plant_plan.hpp"

namespace duskcast {
namespace {

class TuftPlanner {
public:
    TuftPlanner(const PlantBody& body, Random& random)
        : body_(body), tree_(body.tree), random_(random), layer_(body, random, plan_) {}

    PlantPlan make() {
        switch (habit_of(body_.words)) {
        case PlantHabit::fronds:
            lay_fronds();
            break;
        case PlantHabit::blades:
            lay_blades();
            break;
        case PlantHabit::rosette:
            lay_rosette();
            break;
        default:
            lay_wands();
        }
        while (!layer_.is_full()) { // draws one after the other: compilers differ in the order of arguments
            const glm::dvec3 place = find_place(body_, random_);
            layer_.add(place, random_.direction());
        }
        return std::move(plan_);
    }

private:
    glm::dvec3 outward(double angle) const { return {std::cos(angle), std::sin(angle), 0}; }

    /// Feathers that rise from one point, bend under their weight and carry leaflets on both sides.
    void lay_fronds() {
        const bool has_trunk = tree_.base > 0.2 * tree_.height;
        const double radius = trunk_diameter(tree_) / 2;
        const double top = has_trunk ? tree_.base + 0.45 * body_.crown() : 0.02 * tree_.height;
        int crown = -1;
        if (has_trunk)
            for (int i = 0; i <= 20; ++i) {
                const double up = i / 20.0;
                const double sway = 0.3 * radius * std::sin(3 * up);
                plan_.wood.push_back({{sway, 0, top * up}, i - 1, radius * (1 - 0.25 * up)});
                crown = i;
            }
        const int count = has_trunk ? 30 : 16;
        const glm::dvec3 from = has_trunk ? plan_.wood.back().at : glm::dvec3(0, 0, top);
        const auto per_frond = static_cast<int>((body_.leaves + static_cast<std::size_t>(count) - 1) /
                                                static_cast<std::size_t>(count));
        const double size = tree_.foliage.leaf_size;
        for (int i = 0; i < count; ++i) {
            const double age = (i + 0.5) / count; // the youngest stands, the oldest hangs
            const double steep = has_trunk ? 1.35 - 1.75 * age : 1.3 - 0.6 * age;
            const glm::dvec3 out = outward(golden_angle * i + random_.uniform(-0.15, 0.15));
            const double sag = has_trunk ? 0.55 : 0.4;
            double length = tree_.width;
            const auto at = [&](double share) {
                return from + length * (share * std::cos(steep) * out +
                                        glm::dvec3(0, 0, share * std::sin(steep) - sag * share * share));
            };
            for (int attempt = 0; attempt < 60; ++attempt, length *= 0.96)
                if (body_.contains(at(1)) && body_.contains(at(0.6)))
                    break;
            int parent = crown;
            constexpr int pieces = 4;
            for (int piece = has_trunk ? 1 : 0; piece <= pieces; ++piece) {
                const double share = static_cast<double>(piece) / pieces;
                plan_.wood.push_back({at(share), parent, (has_trunk ? 0.018 : 0.004) * (1.1 - share)});
                parent = static_cast<int>(plan_.wood.size()) - 1;
            }
            for (int leaf = 0; leaf < per_frond; ++leaf) {
                const double share = 0.12 + 0.88 * (leaf + random_.uniform()) / per_frond;
                const glm::dvec3 along = glm::normalize(at(std::min(share + 0.02, 1.02)) - at(share - 0.02));
                const glm::dvec3 aside =
                    glm::normalize(glm::cross(along, glm::dvec3(0, 0, 1)) + glm::dvec3(1e-9, 0, 0));
                const double side = leaf % 2 == 0 ? 1 : -1;
                const glm::dvec3 axis =
                    glm::normalize(side * aside + (0.5 + 0.8 * share) * along - glm::dvec3(0, 0, 0.45));
                layer_.add_along(at(share) + 0.5 * size * axis, axis, 0.6);
            }
        }
    }

    /// Blades of four facets each, that arch out of a tight foot; in bloom plumes above them.
    void lay_blades() {
        constexpr int pieces = 4;
        const double plume_share = body_.is_in_bloom() ? body_.kind().bloom : 0;
        const auto plumes = static_cast<std::size_t>(plume_share * static_cast<double>(body_.leaves));
        const auto blades = (body_.leaves - plumes) / pieces;
        for (std::size_t i = 0; i < blades; ++i) {
            const glm::dvec3 out = outward(random_.uniform(0, 2 * pi));
            const double off_middle = 0.08 * tree_.width * std::sqrt(random_.uniform());
            const glm::dvec3 foot = off_middle * outward(random_.uniform(0, 2 * pi));
            const double lean = std::pow(random_.uniform(), 0.8);
            const double high = tree_.height * random_.uniform(0.55, 1.0) * (1 - 0.3 * lean * lean);
            const double far = 0.48 * tree_.width * lean;
            const glm::dvec3 bend = foot + 0.45 * far * out + glm::dvec3(0, 0, (1.0 + 0.45 * lean) * high);
            const glm::dvec3 tip = foot + far * out + glm::dvec3(0, 0, high * (1 - 0.35 * lean));
            for (int piece = 0; piece < pieces; ++piece) {
                const double share = (piece + 0.5) / pieces, rest = 1 - share;
                const glm::dvec3 at = rest * rest * foot + 2 * rest * share * bend + share * share * tip;
                layer_.add_along(at, rest * (bend - foot) + share * (tip - bend), 0.3);
            }
        }
        while (!layer_.is_full()) {
            if (plumes == 0)
                break;
            const glm::dvec3 out = outward(random_.uniform(0, 2 * pi));
            const double level = 0.3 * tree_.width * std::sqrt(random_.uniform());
            const double z = tree_.height * random_.uniform(0.86, 0.99);
            layer_.add_along(level * out + glm::dvec3(0, 0, z), glm::dvec3(0, 0, 1) + 0.35 * out, 0, true);
        }
    }

    /// Broad leaves on stalks, the young upright in the middle, the old flat at the rim.
    void lay_rosette() {
        const double size = tree_.foliage.leaf_size;
        for (std::size_t i = 0; i < body_.leaves; ++i) {
            const double age = std::sqrt((static_cast<double>(i) + 0.5) / static_cast<double>(body_.leaves));
            const glm::dvec3 out =
                outward(golden_angle * static_cast<double>(i) + random_.uniform(-0.2, 0.2));
            const double level = 0.48 * tree_.width * age;
            const double z = tree_.height * (0.95 - 0.65 * age * age) * random_.uniform(0.7, 1.0);
            const glm::dvec3 axis =
                glm::normalize(out + glm::dvec3(0, 0, 0.9 - 1.5 * age + random_.uniform(-0.3, 0.3)));
            const glm::dvec3 tip = level * out + glm::dvec3(0, 0, z);
            layer_.add_along(tip - 0.5 * size * axis, axis, 0.65);
        }
    }

    /// Thin stems like an opening hand, leafy below; in bloom with flowers at their ends.
    void lay_wands() {
        constexpr int per_wand = 26;
        const double size = tree_.foliage.leaf_size;
        const double bloom = body_.is_in_bloom() ? body_.kind().bloom : 0;
        while (!layer_.is_full()) {
            const glm::dvec3 out = outward(random_.uniform(0, 2 * pi));
            const double lean = std::sqrt(random_.uniform());
            const glm::dvec3 foot = 0.25 * tree_.width * lean * out;
            const double high = tree_.height * random_.uniform(0.8, 1.0) * std::sqrt(1 - 0.6 * lean * lean);
            const glm::dvec3 tip = 0.46 * tree_.width * lean * out + glm::dvec3(0, 0, high);
            for (int leaf = 0; leaf < per_wand; ++leaf) {
                const double share = (leaf + random_.uniform()) / per_wand;
                const bool is_flower = share > 1 - bloom;
                const glm::dvec3 way = tip - foot;
                const glm::dvec3 aside = random_.direction();
                const glm::dvec3 axis = glm::normalize(glm::normalize(way) + (is_flower ? 1.0 : 0.7) * aside);
                layer_.add_along(foot + share * way + (is_flower ? 0.3 : 0.5) * size * axis, axis, 0,
                                 is_flower);
            }
        }
    }

    const PlantBody& body_;
    const Tree& tree_;
    Random& random_;
    PlantPlan plan_;
    LeafLayer layer_;
};

} // namespace

PlantPlan plan_tuft(const PlantBody& body, Random& random) {
    return TuftPlanner(body, random).make();
}

} // namespace duskcast
