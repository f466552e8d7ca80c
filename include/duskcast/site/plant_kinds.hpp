#pragma once
// Plants by their common names: what "maple, purple, 18 ft" says of form, leaves, branches and bark.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// How a plant is built.
enum class PlantHabit {
    forked,  ///< a trunk that parts into limbs: oak, elm
    leading, ///< one trunk to the top, limbs from its sides: linden, holly
    stems,   ///< several stems from the ground: birch clumps, most shrubs
    hanging, ///< limbs that arch over and hang as curtains: willow
    tiered,  ///< whorls of boughs with flat sprays: spruce, fir
    tufted,  ///< whorls of boughs with tufts of needles at their ends: pine
    upright, ///< a body of steep sprays round one trunk: arborvitae, cypress
    fronds,  ///< feathered fronds from one point: palm
    blades,  ///< arching blades from the ground: grasses
    rosette, ///< stalked leaves from the ground: hosta
    wands,   ///< thin upright stems, leafy from the foot, in bloom flowers at the tips: lavender
};

/// Metres: of a leaf that a file may give. A plant in words has none that are longer.
inline constexpr double longest_leaf = 1;

/// A kind of plant as it usually is. Sizes, colours and months are those of garden handbooks (Dirr, Manual of
/// Woody Landscape Plants; the Royal Horticultural Society's encyclopedia), from memory.
struct PlantKind {
    std::string_view name;
    std::string_view also; ///< other names, with commas between
    PlantHabit habit = PlantHabit::forked;
    CrownForm form = CrownForm::round;
    double height = 10;         ///< metres, where nobody says
    double base_share = 0.25;   ///< lowest leaves over height
    double width_share = 0.75;  ///< widest diameter over height
    double trunk_share = 0.025; ///< diameter at breast height over height
    LeafDensity density = LeafDensity::medium;
    double leaf_size = 0.1;   ///< of a facet, metres: a leaf, or a spray of small ones
    double leaf_ratio = 0.55; ///< width of a facet over its length
    LeafKind leaf = LeafKind::green;
    LeafKind autumn = LeafKind::yellow; ///< of those that lose their leaves
    std::optional<LeafKind> blossom{};  ///< none: flowers that nobody notices
    double bloom = 0.3;                 ///< share of the facets that are blossom when it blooms
    double truss = 0;                   ///< radius of a ball of flowers, metres; 0: flowers singly
    bool is_deciduous = true;
    std::string_view bark = "bark"; ///< a finish
    double furrow = 0.05;           ///< depth of the bark's ridges over the trunk's radius
    bool is_parted = false; ///< its boughs stand apart, with sky and bare limbs between, as an old oak's do
    /// Omega of the gaps P = exp(-G Omega u s) through the crown (Nilson 1971; Chen and Black 1992): what is
    /// left of the leaf area's hold on the light because leaves sit on twigs and twigs on boughs. Measured on
    /// crowns as they are built here; a word for the density is made good for it. Of fronds, blades, rosettes
    /// and wands, which fill no body evenly, it only says how many leaves there are.
    double clumping_index = 0.8;
};

const std::vector<PlantKind>& plant_kinds();

enum class PlantState { in_leaf, in_bloom, spring, autumn, bare };

/// What words such as "cherry, in bloom, 15 ft" or "multi-stem birch, 20 ft tall, 12 ft wide" say.
struct PlantWords {
    const PlantKind* kind = nullptr;
    PlantState state = PlantState::in_leaf;
    std::optional<LeafKind> leaf;    ///< a colour other than the kind's
    std::optional<LeafKind> blossom; ///< of what blooms now
    std::optional<CrownForm> form;
    std::optional<LeafDensity> density;
    std::optional<double> height, width; ///< metres
    bool has_many_stems = false;
};

/// Throws InputError, its place left empty, for a kind that is not in the table (with the nearest), for words
/// that mean nothing here, and for a size without its unit.
PlantWords read_plant(const std::string& words);

/// The name of every plant, for people.
std::vector<std::string> list_plant_names();

/// How the plant of these words is built.
PlantHabit habit_of(const PlantWords& words);

/// The tree as the words have it, `height` metres high; none: as high as the words say, or their kind is. Its
/// id and place are left empty. Leaves are drawn larger where the crown would have more than 80,000 of them.
Tree make_usual_tree(const std::string& plant, const std::optional<double>& height = {});

/// The same of a shrub, all but where it stands and a hedge's width.
Shrub make_usual_shrub(const std::string& plant, const std::optional<double>& height = {});

/// Share of the leaf area that keeps its hold on the light (PlantKind::clumping_index), with the plant's own
/// clumping; 1 for a plant without words, whose leaves are taken to lie at random.
double clumping_index(const std::string& plant, const Foliage& foliage);

/// The share of a kind's leaves that sit on shoots, unless a site file says otherwise with "clumping".
inline constexpr double usual_shoot_share = 0.85;

} // namespace duskcast
