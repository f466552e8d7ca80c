// Conifers: boughs in whorls round one trunk, with flat sprays or tufts of needles; and bodies of steep
// sprays. A leaf facet stands for a shoot with its needles.

#include <algorithm>
#include <cmath>

#include "duskcast/site/layout.hpp"
#include "plant_plan.hpp"

namespace duskcast {
namespace {

struct ConiferBough {
    glm::dvec3 from{0}, bend{0}, tip{0};

    glm::dvec3 at(double share) const {
        const double rest = 1 - share;
        return rest * rest * from + 2 * rest * share * bend + share * share * tip;
    }
    glm::dvec3 way(double share) const {
        return glm::normalize((1 - share) * (bend - from) + share * (tip - bend) + glm::dvec3(0, 0, 1e-9));
    }
    double length() const { return glm::distance(from, tip); }
};

class ConiferPlanner {
public:
    ConiferPlanner(const PlantBody& body, Random& random)
        : body_(body), tree_(body.tree), random_(random), layer_(body, random, plan_) {}

    PlantPlan make() {
        set_up_trunk();
        if (habit_of(body_.words) == PlantHabit::upright) {
            lay_plumes();
        } else {
            const bool is_tufted = habit_of(body_.words) == PlantHabit::tufted;
            lay_boughs(is_tufted);
            build_boughs();
            if (is_tufted)
                lay_tufts();
            else
                lay_sprays();
        }
        while (!layer_.is_full())
            boughs_.empty() ? lay_inner_spray() : hang_branchlet();
        return std::move(plan_);
    }

private:
    static constexpr int trunk_pieces = 24;

    void set_up_trunk() {
        const double radius = trunk_diameter(tree_) / 2;
        for (int i = 0; i <= trunk_pieces; ++i) {
            const double up = static_cast<double>(i) / trunk_pieces;
            plan_.wood.push_back({{0, 0, trunk_top() * up}, i - 1, radius * (1 - 0.95 * up)});
        }
    }

    double trunk_top() const {
        return (habit_of(body_.words) == PlantHabit::upright ? 0.75 : 0.97) * tree_.height;
    }

    int trunk_node_at(double z) const {
        const double up = std::clamp(z / trunk_top(), 0.0, 1.0);
        return static_cast<int>(std::lround(up * trunk_pieces));
    }

    void lay_boughs(bool is_tufted) {
        const double crown = body_.crown();
        const int whorls = is_tufted ? std::clamp(static_cast<int>(crown / 0.9), 6, 12)
                                     : std::clamp(static_cast<int>(crown / 0.55), 9, 26);
        const int per_whorl = is_tufted ? 5 : 7;
        for (int whorl = 0; whorl < whorls; ++whorl)
            for (int i = 0; i < per_whorl; ++i) {
                const double up = (whorl + random_.uniform(0.1, 0.9)) / whorls;
                const double angle =
                    2 * pi * i / per_whorl + golden_angle * whorl + random_.uniform(-0.3, 0.3);
                // Low boughs hang under their weight and lift their tips; high ones stand.
                const double rise = is_tufted ? 0.25 + 0.5 * up : -0.3 + 0.75 * up;
                const double z = tree_.base + crown * (0.02 + 0.95 * up);
                double reach = crown_radius(tree_, z);
                for (int turn = 0; turn < 4; ++turn) { // the tip lies on the outline, wherever that takes it
                    const double tip_z = std::clamp(z + rise * reach, tree_.base, tree_.height);
                    reach = 0.5 * (reach + crown_radius(tree_, tip_z));
                }
                reach *= random_.uniform(0.82, 1.0);
                const glm::dvec3 out(std::cos(angle), std::sin(angle), 0);
                ConiferBough bough;
                bough.from = {0, 0, z};
                bough.tip = bough.from + reach * out + glm::dvec3(0, 0, rise * reach);
                bough.tip.z = std::clamp(bough.tip.z, tree_.base, tree_.height);
                bough.bend =
                    0.5 * (bough.from + bough.tip) - glm::dvec3(0, 0, (is_tufted ? 0.1 : 0.14) * reach);
                boughs_.push_back(bough);
            }
    }

    void build_boughs() {
        for (const ConiferBough& bough : boughs_) {
            const double thick = std::max(0.006, 0.017 * bough.length());
            int parent = trunk_node_at(bough.from.z);
            plan_.wood.push_back({bough.from, parent, thick});
            for (const double share : {0.5, 0.95}) {
                parent = static_cast<int>(plan_.wood.size()) - 1;
                plan_.wood.push_back({bough.at(share), parent, thick * (1 - 0.8 * share)});
            }
        }
    }

    /// A bough, in proportion to the area it spreads over, and a share of its length, more of them outwards.
    const ConiferBough& choose_bough() {
        if (weights_.empty())
            for (const ConiferBough& bough : boughs_)
                weights_.push_back((weights_.empty() ? 0.0 : weights_.back()) +
                                   std::pow(bough.length() + 0.02 * tree_.width, 1.6));
        const double drawn = random_.uniform() * weights_.back();
        const auto found = std::upper_bound(weights_.begin(), weights_.end(), drawn);
        return boughs_[std::min(static_cast<std::size_t>(found - weights_.begin()), boughs_.size() - 1)];
    }

    /// Flat sprays on both sides of every bough, pointing forward.
    void lay_sprays() {
        const double size = tree_.foliage.leaf_size;
        const auto count =
            static_cast<std::size_t>(tree_.foliage.clumping * static_cast<double>(body_.leaves));
        while (plan_.leaves.size() < count) {
            const ConiferBough& bough = choose_bough();
            const double share = 0.12 + 0.86 * std::pow(random_.uniform(), 0.7);
            const double rest = (1 - share) * bough.length();
            const glm::dvec3 way = bough.way(share);
            const glm::dvec3 aside = glm::normalize(glm::dvec3(-way.y, way.x, 1e-9));
            const double half_width = 0.04 + std::min(0.45 * rest, 0.28 * bough.length());
            const double side = random_.uniform(-1, 1);
            glm::dvec3 place = bough.at(share) + side * half_width * aside;
            place.z += random_.uniform(-0.5, 0.25) * size - 0.25 * std::abs(side) * half_width;
            place.z = std::max(place.z, 2 * tree_.base - place.z); // no flat skirt where boughs lie low
            const glm::dvec3 axis =
                way + 1.1 * side * aside - glm::dvec3(0, 0, 0.25 + 0.2 * random_.uniform());
            layer_.add_along(place, axis, 0.55);
        }
    }

    /// Bundles of long needles round the outer shoots.
    void lay_tufts() {
        const double size = tree_.foliage.leaf_size;
        const auto count =
            static_cast<std::size_t>(tree_.foliage.clumping * static_cast<double>(body_.leaves));
        constexpr int per_tuft = 26;
        while (plan_.leaves.size() < count) {
            const ConiferBough& bough = choose_bough();
            const double share = 0.35 + 0.63 * random_.uniform();
            const glm::dvec3 way = bough.way(share);
            const glm::dvec3 aside = glm::normalize(glm::dvec3(-way.y, way.x, 1e-9));
            const double side = random_.uniform(-0.38, 0.38), lift = random_.uniform(0.0, 0.16);
            const glm::dvec3 tuft =
                bough.at(share) + bough.length() * (side * aside + glm::dvec3(0, 0, lift));
            const glm::dvec3 middle = way + glm::dvec3(0, 0, 0.5);
            for (int i = 0; i < per_tuft; ++i) {
                const glm::dvec3 axis = glm::normalize(0.7 * glm::normalize(middle) + random_.direction());
                layer_.add_along(tuft + (0.5 * size + 0.06 * i / per_tuft) * axis, axis, 0.2);
            }
        }
    }

    /// Steep sprays, gathered in plumes just inside the outline.
    void lay_plumes() {
        constexpr int per_plume = 24;
        const auto count =
            static_cast<std::size_t>(tree_.foliage.clumping * static_cast<double>(body_.leaves));
        while (plan_.leaves.size() < count) {
            // Most of the green is near the light, and the skin of a cone is not as unlike at both ends as
            // its thickness.
            const double z = tree_.base + body_.crown() * 0.97 * random_.uniform();
            const double edge = crown_radius(tree_, z);
            if (random_.uniform() * tree_.width / 2 > edge + 0.03 * tree_.width)
                continue;
            const double angle = random_.uniform(0, 2 * pi);
            const glm::dvec3 out(std::cos(angle), std::sin(angle), 0);
            const glm::dvec3 foot = edge * std::pow(random_.uniform(), 0.22) * out + glm::dvec3(0, 0, z);
            const glm::dvec3 axis =
                glm::normalize(glm::dvec3(0, 0, 1) + 0.35 * out + 0.3 * random_.direction());
            const double length = std::min(0.12 * body_.crown(), 0.6);
            for (int i = 0; i < per_plume; ++i) {
                const glm::dvec3 aside = random_.direction();
                const double up = random_.uniform(-0.5, 0.5), off = random_.uniform();
                const glm::dvec3 place = foot + length * up * axis + 0.05 * (1 + edge) * off * aside;
                layer_.add_along(place, axis + 0.5 * aside, 0.0);
            }
        }
    }

    /// Anywhere in the body. (Draws one after the other: compilers differ in the order of arguments.)
    void lay_inner_spray() {
        const glm::dvec3 place = find_place(body_, random_);
        layer_.add_along(place, random_.direction(), 0.3);
    }

    /// A few shoots one below the other, hanging from a bough as far as about the next whorl.
    void hang_branchlet() {
        constexpr int shoots = 5;
        const double size = tree_.foliage.leaf_size;
        const ConiferBough& bough = choose_bough();
        const double share = random_.uniform(0.08, 0.98), side = random_.uniform(-1, 1);
        const glm::dvec3 way = bough.way(share);
        const glm::dvec3 aside = glm::normalize(glm::dvec3(-way.y, way.x, 1e-9));
        const double half_width = 0.04 + std::min(0.5 * (1 - share), 0.3) * bough.length();
        glm::dvec3 place = bough.at(share) + side * half_width * aside;
        const glm::dvec3 fall = glm::normalize(0.35 * (way + side * aside) - glm::dvec3(0, 0, 1));
        for (int i = 0; i < shoots; ++i) {
            place += size * random_.uniform(0.35, 0.8) * fall;
            if (place.z < tree_.base)
                return;
            const glm::dvec3 turn = random_.direction();
            layer_.add_along(place, fall + 0.7 * turn, 0.1);
        }
    }

    const PlantBody& body_;
    const Tree& tree_;
    Random& random_;
    PlantPlan plan_;
    LeafLayer layer_;
    std::vector<ConiferBough> boughs_;
    std::vector<double> weights_; ///< running sums
};

} // namespace

PlantPlan plan_conifer(const PlantBody& body, Random& random) {
    return ConiferPlanner(body, random).make();
}

} // namespace duskcast
