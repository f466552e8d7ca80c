#pragma once
// A part of a stage for eye rays alone.

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// The stage without its plants, or its plants alone. Facets keep their numbers. The stage must outlive it.
class SeenPart {
public:
    enum class Keep { all_but_plants, plants };
    SeenPart(const Stage& stage, Keep keep);

    const RayKernel& kernel() const { return *kernel_; }

private:
    Triangles opaque_, cutouts_;
    Leaves no_leaves_;
    std::unique_ptr<RayKernel> kernel_;
};

bool is_plant(const Surface& surface);

} // namespace duskcast
