// Trees and shrubs whose limbs end in twigs: foliage is gathered in boughs, and wood grows to it.

#include <algorithm>
#include <cmath>

#include "duskcast/site/layout.hpp"
#include "plant_plan.hpp"

namespace duskcast {
namespace {

constexpr int leaves_per_shoot = 10;

struct Bough {
    glm::dvec3 centre{0};
    double radius = 0; ///< level; its height is less by BoughStyle::flatness
};

/// How a crown's boughs are laid. Sizes count in radii of balls that share the crown's volume evenly.
struct BoughStyle {
    int count = 34;
    double size = 1.1;
    double smallest = 0.7, largest = 1.25; ///< over `size`
    double inside = 0.8;                   ///< middles stay within this share of the crown
    double flatness = 0.7;                 ///< height over width
    double rise = 0.7;                     ///< of the limbs (`grow_wood`)
};

class BranchedPlanner {
public:
    BranchedPlanner(const PlantBody& body, Random& random)
        : body_(body), random_(random), habit_(habit_of(body.words)), style_(find_style()),
          layer_(body, random, plan_) {}

    PlantPlan make() {
        boughs_ = lay_boughs();
        const std::vector<glm::dvec3> shoots = lay_shoots();
        set_up_stems();
        // Wood goes where foliage is; of many shoots some stand for all.
        constexpr std::size_t most_targets = 420;
        std::vector<glm::dvec3> targets;
        const std::size_t every = std::max<std::size_t>(1, shoots.size() / most_targets);
        for (std::size_t i = 0; i < shoots.size(); i += every)
            targets.push_back(shoots[i]);
        grow_wood(plan_.wood, targets, find_step(), style_.rise, 0.95 * body_.tree.base);
        const std::vector<int> nodes = join_shoots(shoots);
        set_radii(plan_.wood, trunk_diameter(body_.tree) / 2);
        if (habit_ == PlantHabit::hanging)
            hang_strands();
        leaf_out(shoots, nodes);
        scatter_rest();
        return std::move(plan_);
    }

private:
    double find_step() const { return std::max(0.02, std::max(body_.crown(), body_.tree.width) / 32); }

    /// Limbs of a tree that hangs are in the upper part of its crown; the rest is curtain.
    double lowest_bough() const {
        return body_.tree.base + (habit_ == PlantHabit::hanging ? 0.6 : 0.0) * body_.crown();
    }

    /// Boughs of a tree stay off the outline, so that they round it one by one; a dense shrub is as smooth as
    /// if it were cut.
    BoughStyle find_style() const {
        const bool is_low = body_.tree.height < 2.5;
        BoughStyle style;
        if (is_low && body_.tree.foliage.density == LeafDensity::dense)
            style = {.count = 40, .size = 1.3, .inside = 1.0};
        else if (body_.kind().is_parted)
            style = {
                .size = 0.95, .smallest = 0.6, .largest = 1.4, .inside = 0.88, .flatness = 0.6, .rise = 0.4};
        else if (is_low)
            style.count = 24;
        if (habit_ == PlantHabit::hanging)
            style.rise = 0.9;
        return style;
    }

    /// Each new bough goes to the farthest from the others of several places (Mitchell 1991).
    std::vector<Bough> lay_boughs() {
        const Tree& tree = body_.tree;
        constexpr int candidates = 10;
        const double volume = std::max(1e-6, crown_volume(tree));
        const double usual = std::cbrt(volume / style_.count / (4.0 / 3 * pi)) * style_.size;
        const double inside = style_.inside;
        const double middle = tree.base + 0.5 * body_.crown();
        std::vector<Bough> boughs;
        for (int i = 0; i < style_.count; ++i) {
            glm::dvec3 best{0};
            double farthest = -1;
            for (int j = 0; j < candidates; ++j) {
                glm::dvec3 place = find_place(body_, random_);
                place = {inside * place.x, inside * place.y, middle + inside * (place.z - middle)};
                place.z = std::max(place.z, lowest_bough());
                double nearest = 1e9;
                for (const Bough& other : boughs)
                    nearest = std::min(nearest, glm::distance(place, other.centre));
                if (nearest > farthest) {
                    farthest = nearest;
                    best = place;
                }
            }
            boughs.push_back({best, usual * random_.uniform(style_.smallest, style_.largest)});
        }
        return boughs;
    }

    std::vector<glm::dvec3> lay_shoots() {
        const double share = body_.tree.foliage.clumping * (habit_ == PlantHabit::hanging ? 0.4 : 1.0);
        const auto count = static_cast<std::size_t>(
            std::llround(share * static_cast<double>(body_.leaves) / leaves_per_shoot));
        std::vector<glm::dvec3> shoots;
        for (std::size_t i = 0; i < count; ++i) {
            const Bough& bough = boughs_[i % boughs_.size()];
            glm::dvec3 place = bough.centre;
            for (int attempt = 0; attempt < 20; ++attempt) {
                const glm::dvec3 way = random_.direction() * glm::dvec3(1, 1, style_.flatness);
                place = bough.centre + bough.radius * std::cbrt(random_.uniform()) * way;
                if (body_.contains(place))
                    break;
                place = bough.centre;
            }
            shoots.push_back(place);
        }
        return shoots;
    }

    void set_up_stems() {
        const Tree& tree = body_.tree;
        const double radius = trunk_diameter(tree) / 2;
        const bool has_many = habit_ == PlantHabit::stems;
        const bool is_shrub = tree.base < 0.1 * tree.height;
        const int stems = has_many ? (is_shrub ? 7 : 4) : 1;
        const double top = has_many                        ? 0.25
                           : habit_ == PlantHabit::leading ? 0.8
                           : habit_ == PlantHabit::hanging ? 0.55
                                                           : 0.4;
        for (int stem = 0; stem < stems; ++stem) {
            const double way = golden_angle * stem + random_.uniform(-0.3, 0.3);
            const double lean = has_many ? random_.uniform(0.5, 1.0) : 0.0;
            const double end = tree.base + top * body_.crown();
            const double sway = random_.uniform(0, 2 * pi);
            const glm::dvec3 out(std::cos(way), std::sin(way), 0);
            const int pieces = 16;
            int parent = -1;
            for (int piece = 0; piece <= pieces; ++piece) {
                const double up = static_cast<double>(piece) / pieces;
                const double z = up * end;
                // A single trunk stays within its own thickness: fixtures hang on it.
                glm::dvec3 at =
                    0.35 * radius * up * glm::dvec3(std::sin(5 * up + sway), std::cos(4 * up + sway), 0);
                if (has_many) {
                    const double spread = lean * 0.45 * std::max(crown_radius(tree, end), 0.2 * tree.width);
                    at += (radius * 1.3 + spread * up * up) * out;
                }
                at.z = z;
                plan_.wood.push_back({at, parent});
                parent = static_cast<int>(plan_.wood.size()) - 1;
            }
        }
    }

    /// A twig from the nearest wood to every shoot. Gives each shoot's node.
    std::vector<int> join_shoots(const std::vector<glm::dvec3>& shoots) {
        std::vector<int> nodes;
        const std::size_t grown = plan_.wood.size();
        constexpr std::size_t most_twigs = 900; // more are too thin and too many to be built
        for (const glm::dvec3& shoot : shoots) {
            std::size_t nearest = 0;
            double least = 1e18;
            for (std::size_t i = 0; i < grown; ++i) {
                const glm::dvec3 way = shoot - plan_.wood[i].at;
                if (const double square = glm::dot(way, way); square < least) {
                    least = square;
                    nearest = i;
                }
            }
            nodes.push_back(static_cast<int>(nearest));
        }
        const std::size_t every = std::max<std::size_t>(1, shoots.size() / most_twigs);
        for (std::size_t i = 0; i < shoots.size(); i += every)
            plan_.wood.push_back({shoots[i], nodes[i]});
        return nodes;
    }

    void leaf_out(const std::vector<glm::dvec3>& shoots, const std::vector<int>& nodes) {
        const PlantKind& kind = body_.kind();
        const glm::dvec3 middle(0, 0, body_.tree.base + 0.35 * body_.crown());
        for (std::size_t i = 0; i < shoots.size(); ++i) {
            const glm::dvec3 from = plan_.wood[static_cast<std::size_t>(nodes[i])].at;
            glm::dvec3 way = shoots[i] - from;
            way += 0.4 * glm::length(way) * glm::normalize(shoots[i] - middle + glm::dvec3(0, 0, 1e-6));
            if (glm::length(way) < 1e-6)
                way = glm::dvec3(0, 0, 1);
            bool is_blossom = body_.is_in_bloom() && random_.uniform() < kind.bloom;
            if (is_blossom && kind.truss > 0) // flowers open where the light is
                is_blossom = !body_.contains(shoots[i] +
                                             0.18 * body_.tree.width * glm::normalize(shoots[i] - middle)) ||
                             random_.uniform() < 0.25;
            layer_.add_shoot(shoots[i], way, leaves_per_shoot, is_blossom);
        }
    }

    /// Curtains from the limbs down to the hem.
    void hang_strands() {
        const Tree& tree = body_.tree;
        const std::size_t leaves = body_.leaves * 6 / 10;
        const std::size_t per_strand = 60;
        const std::size_t count = std::max<std::size_t>(1, leaves / per_strand);
        const double size = tree.foliage.leaf_size;
        const std::size_t limbs = plan_.wood.size();
        for (std::size_t i = 0; i < count; ++i) {
            // From a node high in the crown and away from the trunk.
            glm::dvec3 from{0};
            int node = 0;
            for (int attempt = 0; attempt < 30; ++attempt) {
                node = static_cast<int>(random_.uniform() * static_cast<double>(limbs));
                from = plan_.wood[static_cast<std::size_t>(node)].at;
                if (std::hypot(from.x, from.y) > 0.2 * tree.width && from.z > tree.base + 0.5 * body_.crown())
                    break;
            }
            const double level = std::max(std::hypot(from.x, from.y), 1e-6);
            const glm::dvec3 out(from.x / level, from.y / level, 0);
            const double fall = (from.z - tree.base) * (1 - 0.65 * random_.uniform() * random_.uniform());
            const double drift = random_.uniform(0.05, 0.25) * (tree.width / 2 - level);
            const auto at = [&](double share) {
                return from + drift * std::sqrt(share) * out - glm::dvec3(0, 0, fall * share);
            };
            for (std::size_t leaf = 0; leaf < per_strand; ++leaf) {
                const double share = (static_cast<double>(leaf) + random_.uniform()) / per_strand;
                const glm::dvec3 aside = random_.direction();
                const bool is_blossom = body_.is_in_bloom() && random_.uniform() < body_.kind().bloom;
                layer_.add(at(share) + 0.5 * size * aside, aside - glm::dvec3(0, 0, 1.2), is_blossom);
            }
            int parent = node;
            constexpr std::size_t most_strands = 160;
            for (const double share : {0.35, 0.98}) {
                if (i >= most_strands)
                    break;
                plan_.wood.push_back({at(share), parent, 0.004});
                parent = static_cast<int>(plan_.wood.size()) - 1;
            }
        }
    }

    /// The leaves that sit on no shoot.
    void scatter_rest() {
        while (!layer_.is_full()) {
            const glm::dvec3 place = find_loose_place();
            const bool is_blossom =
                body_.is_in_bloom() && body_.kind().truss == 0 && random_.uniform() < body_.kind().bloom;
            layer_.add(place, random_.direction() - glm::dvec3(0, 0, 0.3), is_blossom);
        }
    }

    /// Anywhere in the crown, but not in the sky between boughs that stand apart.
    glm::dvec3 find_loose_place() {
        glm::dvec3 place = find_place(body_, random_);
        if (!body_.kind().is_parted)
            return place;
        const auto is_within = [&](const Bough& bough) {
            return glm::length((place - bough.centre) / glm::dvec3(1, 1, style_.flatness)) < bough.radius;
        };
        for (int attempt = 0; attempt < 50 && std::none_of(boughs_.begin(), boughs_.end(), is_within);
             ++attempt)
            place = find_place(body_, random_);
        return place;
    }

    const PlantBody& body_;
    Random& random_;
    PlantHabit habit_;
    BoughStyle style_;
    PlantPlan plan_;
    std::vector<Bough> boughs_;
    LeafLayer layer_;
};

} // namespace

PlantPlan plan_branched(const PlantBody& body, Random& random) {
    return BranchedPlanner(body, random).make();
}

} // namespace duskcast
