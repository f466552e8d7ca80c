#pragma once
// The flat parts of a stage and the grid of patches laid into each.

#include <cstdint>
#include <glm/glm.hpp>
#include <vector>

#include "duskcast/light/patches.hpp"
#include "duskcast/stage/solid_bodies.hpp"
#include "stage_facets.hpp"

namespace duskcast {

class Patches::Planner {
public:
    /// A line on which another face stands: at u (axis 0) or v, over a stretch of the other.
    struct Standing {
        int axis;
        double at, from, to;
    };

    /// What is known of a flat part before its grid is laid.
    struct Plan {
        std::vector<std::size_t> facets;
        glm::dvec2 low{1e30};
        glm::dvec2 high{-1e30};
        double area = 0;
        double open_share = 1; ///< of the area that is not within a body, where no light comes
        bool is_ground = false;
        bool is_along_plan = false; ///< ground whose axes are those of the plan: what is not steep
        bool has_back = false;
        std::vector<Standing> standings;
    };

    Planner(Patches& patches, const PatchOptions& options)
        : patches_(patches), stage_(patches.stage_), facets_(patches.stage_), bodies_(stage_.opaque),
          options_(options) {}

    /// Finds the flat parts, fills `faces_` and `face_of_` of the patches and lays edges so that there are no
    /// more cells in the open than the options allow.
    void plan();

    const std::vector<Plan>& plans() const { return plans_; } ///< one a face
    double size() const { return size_; }                     ///< side of a patch, metres

private:
    void group_triangles();
    /// Lays a frame into the plane; too small a part is left to be gathered with others.
    void plan_face(std::vector<std::size_t>& facets, std::uint64_t seed);
    double find_open_share(const Plan& plan, const glm::dvec3& normal) const;
    void lay_edges(std::size_t index);
    /// Where something stands on the ground.
    void find_built();
    /// The lines on which large faces meet this one, where they run along its grid.
    void find_standings(std::size_t index);
    std::uint64_t count_cells() const;

    Patches& patches_;
    const Stage& stage_;
    StageFacets facets_;
    SolidBodies bodies_;
    const PatchOptions& options_;
    double size_ = 0;
    std::vector<Plan> plans_;
    glm::dvec2 built_low_{1e30};
    glm::dvec2 built_high_{-1e30};
};

} // namespace duskcast
