#pragma once
// Interreflection: an operator between patches, traced once for each stage, whatever the fixtures.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
#include <memory>
#include <span>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/light/patches.hpp"
#include "duskcast/light/point_links.hpp"
#include "duskcast/light/source_tree.hpp"

namespace duskcast {

/// What bounced light is wanted for.
enum class BounceUse : std::uint8_t {
    figures,  ///< light at the stage's sensors, and pictures
    pictures, ///< the same on all surfaces, but at no sensor: their own rays on leaves are spared
};

struct BounceOptions {
    PatchOptions patches;
    BounceUse use = BounceUse::figures;
    int rays = 0; ///< a patch or sensor; 0: six million shared between all, 128 to 1024 each. Leaves, of
                  ///< which many act together, and wide patches of the ground take a quarter.
    std::size_t lenses = 1; ///< that light will come from; where they are many, each is traced to fewer spots
};

/// Neighbours that are blurred into each other.
struct SmoothingLink {
    std::uint32_t first, second; ///< patches
    float of_first, of_second;   ///< share of the difference that each takes on in a step
};

/// Light of a sensor that is read off between that of others; what several of these say adds up.
struct SensorBetween {
    std::uint32_t sensor = 0;
    std::array<std::uint8_t, 4> rows{}; ///< of links, one number each of the others
    std::array<std::uint32_t, 4> row{}; ///< the first of those
    std::array<float, 4> weight{};      ///< sums to 1
};

/// Sensors with links of their own, and those between them.
struct LinkedSensors {
    std::vector<std::uint32_t> sensor; ///< ascending
    std::vector<std::uint32_t> row{0}; ///< one each and one more: where its rows of links begin
    PointLinks links; ///< by rows: what is farther away, and what nearer, where that is told apart
    std::vector<SensorBetween> between;

    std::size_t bytes() const;
};

/// Spots on the patches at which direct light is found: some on each of the flat and gathered patches, which
/// come first, and as many or fewer on each patch of leaves.
struct PatchSpots {
    static constexpr std::uint32_t on_flat = 4;
    Sensors sensors;
    std::uint32_t flat_patches = 0;
    std::uint32_t on_leaf = 1;
    std::vector<float> weight; ///< one a patch: takes the sum over its spots to its mean lux

    std::uint32_t first_of(std::uint32_t patch) const {
        return patch < flat_patches ? on_flat * patch
                                    : on_flat * flat_patches + on_leaf * (patch - flat_patches);
    }
};

/// How patches send light to each other. A pair's exchange area K = A_i F_ij (m2) is found from the rays of
/// both, c = c_ij + c_ji hits of N_i and N_j rays (two estimates of one set of lines, joined as one
/// sample):
///     K_ij = c / (N_i / A_i + N_j / A_j)
/// and the whole is balanced by factors d so that what leaves a patch arrives somewhere,
///     sum_j d_i K_ij d_j + d_i (sky_i + lost_i) = A_i,
/// which keeps reciprocity and closure exact whatever the noise (after Larsen and Howell 1986, who smooth
/// exchange areas by least squares; from memory).
struct Bounce {
    Patches patches;
    std::vector<std::uint32_t> row;       ///< patches + 1: where each patch's links begin
    std::vector<std::uint8_t> link;       ///< three each: step from the partner before, level of K
    std::vector<float> balance;           ///< d
    std::vector<float> sky;               ///< share of what a patch sends off that leaves for the sky
    std::vector<float> lost;              ///< share that ends on ground beyond the stage or inside of bodies
    std::vector<SmoothingLink> smoothing; ///< of light on the patches
    PatchSpots spots;                     ///< for direct light

    // Light at the sensors, and what the patches next to them send off, are read off by links.
    SourceTree tree;                         ///< of the flat patches as sources
    std::vector<std::uint32_t> linked_patch; ///< ascending
    PointLinks patch_links;                  ///< one each
    LinkedSensors from_flat_parts;           ///< and the sky
    LinkedSensors from_rest;                 ///< leaves and small facets; of sensors on leaves: everything
    std::vector<PatchBlend>
        sensors; ///< one a sensor of the stage, for those without links; none for pictures

    /// Spots on a patch of leaves where light comes from so many lenses.
    std::uint32_t count_leaf_spots(std::size_t lenses) const;
    /// Whether it is what trace_bounce gives for so many lenses.
    bool is_for(std::size_t lenses) const { return count_leaf_spots(lenses) == spots.on_leaf; }

    std::size_t bytes() const; ///< of the operator: links, factors and the patches' figures
};

/// Throws InputError for a stage of over a million patches. Same bytes for any number of threads.
std::unique_ptr<Bounce> trace_bounce(const Stage& stage, const BounceOptions& options = {},
                                     const Progress& progress = {});

struct BouncedState;

/// Luminance-weighted bounced and ambient lux on planes in space (a window, an eye). Planes at one spot share
/// their rays, lens_directions(), so that the brightest of them is not the one with the luckiest.
std::vector<double> bounced_on_planes(const Bounce& bounce, const BouncedState& state, const Sensors& planes);

} // namespace duskcast
