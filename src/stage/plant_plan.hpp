#pragma once
// A plant that is known by its words, before it becomes facets: its wood as a tree of nodes, its leaves as
// places. Lengths in metres from the plant's foot, z up.

#include <functional>
#include <glm/glm.hpp>
#include <vector>

#include "duskcast/base/random.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/stage/geometry.hpp"

namespace duskcast {

struct WoodNode {
    glm::dvec3 at{0};
    int parent = -1; ///< comes before its children; -1: a stem's foot
    double radius = 0;
};

struct LeafPlace {
    glm::dvec3 centre{0};
    glm::dvec3 axis{0};   ///< unit, from stalk to tip
    glm::dvec3 normal{0}; ///< unit
    bool is_blossom = false;
};

/// Where leaves may be. A single plant's is its crown; a hedge's is its run.
using Region = std::function<bool(const glm::dvec3&)>;

struct PlantPlan {
    std::vector<WoodNode> wood;
    std::vector<LeafPlace> leaves;
};

/// What a plan is made from.
struct PlantBody {
    Tree tree; ///< its sizes; where it stands does not matter
    PlantWords words;
    Region contains;
    std::size_t leaves = 0;

    const PlantKind& kind() const { return *words.kind; }
    bool is_in_bloom() const;
    double crown() const { return tree.height - tree.base; }
};

/// Lays leaves into a plan, all of them inside the plant's region.
class LeafLayer {
public:
    LeafLayer(const PlantBody& body, Random& random, PlantPlan& plan);

    bool is_full() const { return plan_.leaves.size() >= body_.leaves; }
    /// A leaf whose normal lies as the foliage's leaf angle index has it, and whose tip points as far towards
    /// `outward` as that allows.
    void add(const glm::dvec3& centre, const glm::dvec3& outward, bool is_blossom = false);
    /// A narrow leaf or a spray along `axis`, turned at random about it; towards lying flat by `flatness`
    /// 0..1.
    void add_along(const glm::dvec3& centre, const glm::dvec3& axis, double flatness,
                   bool is_blossom = false);
    /// A twig of leaves from `from` along `axis`, spaced by the golden angle round it; or, of a twig in bloom
    /// whose kind carries trusses, a ball of petals.
    void add_shoot(const glm::dvec3& from, const glm::dvec3& axis, int leaves, bool is_blossom);

private:
    /// The same place, drawn towards the middle of the plant if it is outside.
    glm::dvec3 draw_in(glm::dvec3 centre) const;

    const PlantBody& body_;
    Random& random_;
    PlantPlan& plan_;
    double ratio_;
};

/// A place in the crown's box that is in the region; the crown's middle where none is found.
glm::dvec3 find_place(const PlantBody& body, Random& random);

/// Grows wood to all targets by space colonisation (Runions, Lane and Prusinkiewicz 2007): each target draws
/// the node that reaches it with the least effort, nodes grow a step towards the mean of what draws them, and
/// a target that is reached is gone. `rise`: metres a limb likes to climb for each metre outwards. Nodes
/// below `lowest` stay without limbs; there must be one above.
void grow_wood(std::vector<WoodNode>& wood, const std::vector<glm::dvec3>& targets, double step, double rise,
               double lowest);

/// Radii from the tips down: r^n = sum of the branches' r^n with n = 2.3, between Leonardo's 2 and Murray's 3
/// (Murray 1927; Minamino and Tateno 2014 on Leonardo's rule), scaled to `stem_radius` at every stem's foot.
void set_radii(std::vector<WoodNode>& wood, double stem_radius);

/// Trees and shrubs of limbs and twigs.
PlantPlan plan_branched(const PlantBody& body, Random& random);
/// Conifers: whorls with sprays or tufts; bodies of steep sprays.
PlantPlan plan_conifer(const PlantBody& body, Random& random);
/// Plants without branches: palms and ferns, grasses, hostas, lavender.
PlantPlan plan_tuft(const PlantBody& body, Random& random);
PlantPlan plan_plant(const PlantBody& body, Random& random);

/// Limbs as closed, tapered tubes, at most `most_facets` of them; the thinnest are left out. The lower trunk
/// has ridges of `furrow` times its radius.
void build_wood(const std::vector<WoodNode>& wood, const glm::dvec3& foot, double furrow,
                std::size_t most_facets, std::uint16_t material, std::uint16_t surface, Triangles& triangles);

} // namespace duskcast
