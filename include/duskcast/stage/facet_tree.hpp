#pragma once
// All facets in a search tree, and the ways to trace rays against them.

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "duskcast/stage/direction_grid.hpp"
#include "duskcast/stage/geometry.hpp"
#include "duskcast/stage/ray_kernel.hpp"

namespace duskcast {

/// Which loops to trace with; all give the same bits.
enum class Instructions { scalar, base, avx2 };

/// Those that this processor and this build have, the fastest last.
std::vector<Instructions> find_instructions();

/// Every ray's verdict is the same whatever it is traced with: one at a time, with others that share its
/// origin, with any instructions, any number of threads.
class FacetTree {
public:
    /// The geometry must outlive the tree and stay where it is. Throws InputError when there are too many
    /// facets.
    FacetTree(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
              const std::vector<Material>& materials, const std::vector<Texture>& textures,
              Instructions instructions = find_instructions().back());
    ~FacetTree();
    FacetTree(const FacetTree&) = delete;
    FacetTree& operator=(const FacetTree&) = delete;

    /// Whether anything is in the way between the ends. Cut-outs of alpha below one half let light through.
    bool is_occluded(const Ray& ray) const;

    /// Marks the rays of which that is so, as RayKernel::find_occluded does.
    void find_occluded(std::span<Ray> rays) const;

    /// The nearest hit between near_end and far_end; of several at one distance the first in the order
    /// opaque, cut-out, leaf, then by number.
    Hit find_hit(const glm::vec3& origin, const glm::vec3& direction, float near_end, float far_end) const;

    /// find_hit in every direction of the grid. `hits`: in the grid's order.
    void find_hits(const glm::vec3& origin, const DirectionGrid& directions, float near_end, float far_end,
                   std::span<Hit> hits) const;

    /// What each sensor sees of the spots, as if every ray were traced by itself. `seen`: one a sensor.
    void find_visible(const SpotBounds& bounds, std::span<const SpotPlan> plans, const MakeSpots& make_spots,
                      std::span<const SpotSensor> sensors, std::span<SpotsSeen> seen) const;

    std::size_t bytes() const; ///< of memory

private:
    struct Tree;
    std::unique_ptr<Tree> tree_;
};

/// Throws InputError, with the number that fits, when a tree of so many facets had no room in `bytes` of
/// memory or in its own 32-bit numbers.
void check_facet_count(std::size_t triangles, std::size_t leaves, std::size_t bytes = SIZE_MAX / 2);

} // namespace duskcast
