#pragma once
// The stage as Wavefront OBJ and MTL, for checks in other programs.

#include <filesystem>
#include <string>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

struct ObjText {
    std::string obj;
    std::string mtl;
};

/// Every facet and leaf in metres, z up, a group for each surface. Kd is the reflectance (linear sRGB), Tf the
/// transmittance of leaves, Ke what glows in cd/m2, map_Kd and map_d pictures as they are named from `folder`.
/// Ground areas, which have no facets in the stage, are cut out of the ground. `mtl_name` is what the OBJ
/// calls the MTL beside it.
ObjText print_obj(const Stage& stage, const std::string& mtl_name, const std::filesystem::path& folder);

} // namespace duskcast
