#pragma once
// Rays against the stage.

#include <cstdint>
#include <functional>
#include <glm/glm.hpp>
#include <memory>
#include <span>
#include <vector>

#include "duskcast/stage/direction_grid.hpp"
#include "duskcast/stage/geometry.hpp"

namespace duskcast {

/// A shadow ray. The memory layout is Embree's, with which the tests compare (and check it when compiling).
struct alignas(16) Ray {
    glm::vec3 origin{0};
    float near_end = 0;
    glm::vec3 direction{0, 0, 1}; ///< need not be unit; ends count in its lengths
    float time = 0;
    float far_end = 0; ///< minus infinity after find_occluded when something was in the way
    std::uint32_t mask = 0xffffffffu;
    std::uint32_t id = 0;
    std::uint32_t flags = 0;

    bool is_occluded() const { return far_end < 0; }
};

enum class FacetKind : std::uint8_t { none, opaque, cutout, leaf };

/// The nearest thing along a ray.
struct Hit {
    FacetKind kind = FacetKind::none;
    std::uint32_t facet = 0; ///< index into the opaque or cut-out triangles, or into the leaves
    float distance = 0;      ///< in lengths of the direction given
    float u = 0;             ///< barycentric weights of the second and third corner (triangles)
    float v = 0;
    glm::vec3 normal{0, 0, 1}; ///< geometric, unit, as the facet is wound (not turned to the ray)

    explicit operator bool() const { return kind != FacetKind::none; }
};

/// Whether neighbouring rays run alike (a wall's sensors to one lamp) or not (leaves).
enum class Coherence { coherent, incoherent };

/// Where the spots lie that sensors look at: in a ball, cut off by level planes below and above its centre.
struct SpotBounds {
    glm::vec3 centre{0};
    float radius = 0;
    float below = 0; ///< how far down and up from the centre, each at most the radius
    float above = 0;
};

/// Where a sensor's rays start, and where they end, as a share of the way to each spot (0..1).
struct SpotSensor {
    glm::vec3 origin{0};
    float far_end = 1;
    std::uint32_t plan = 0; ///< which of the plans it looks by
};

inline constexpr int most_spots = 64; ///< in one look

/// Which spots are looked at: the pilots first, and where a sensor sees some and not all of them,
/// `from`..`to`-1, instead of the pilots or as well. At most most_spots at once; from == to: the pilots are
/// all.
struct SpotPlan {
    int pilots = 1;
    int from = 0;
    int to = 0;
    bool is_instead = false;
    Coherence coherence = Coherence::incoherent; ///< of neighbouring sensors
};

/// Spots `from`..`to`-1 as a sensor looks at them (by its number): their offsets from its origin into x, y,
/// z. Thread-safe.
using MakeSpots = std::function<void(std::size_t sensor, int from, int to, float* x, float* y, float* z)>;

/// How many spots a sensor sees, and of how many.
struct SpotsSeen {
    std::uint8_t visible = 0;
    std::uint8_t samples = 0;

    bool operator==(const SpotsSeen&) const = default;
};

/// The rays that it took a sensor to see that.
inline int count_rays(const SpotPlan& plan, const SpotsSeen& seen) {
    return plan.is_instead && seen.samples != plan.pilots ? plan.pilots + seen.samples : seen.samples;
}

enum class Instructions; // facet_tree.hpp

class RayKernel {
public:
    /// Builds the search tree; the geometry must outlive the kernel and stay where it is.
    /// Throws InputError when there are too many facets.
    RayKernel(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
              const std::vector<Material>& materials, const std::vector<Texture>& textures);
    /// The same with chosen loops: all give the same bits.
    RayKernel(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
              const std::vector<Material>& materials, const std::vector<Texture>& textures,
              Instructions instructions);
    ~RayKernel();
    RayKernel(const RayKernel&) = delete;
    RayKernel& operator=(const RayKernel&) = delete;

    /// Marks the rays that meet anything between their ends. Cut-outs of alpha below one half let light
    /// through. Thread-safe.
    void find_occluded(std::span<Ray> rays, Coherence coherence) const;

    /// The nearest hit between near_end and far_end. Thread-safe.
    Hit find_hit(const glm::vec3& origin, const glm::vec3& direction, float near_end, float far_end) const;

    /// find_hit in every direction of the grid from one point. `hits`: in the grid's order. Thread-safe.
    void find_hits(const glm::vec3& origin, const DirectionGrid& directions, float near_end, float far_end,
                   std::span<Hit> hits) const;

    /// What each sensor sees of spots that lie close together, the same as find_occluded would for every ray.
    /// `seen`: one a sensor. Thread-safe.
    void find_visible(const SpotBounds& bounds, std::span<const SpotPlan> plans, const MakeSpots& make_spots,
                      std::span<const SpotSensor> sensors, std::span<SpotsSeen> seen) const;

private:
    struct Scene; ///< the search tree
    std::unique_ptr<Scene> scene_;
};

} // namespace duskcast
