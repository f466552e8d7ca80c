#pragma once
// What surfaces and leaves reflect and let through.

#include <glm/glm.hpp>
#include <string>
#include <vector>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// One row of the finish table: linear sRGB reflectance whose luminance (0.2126, 0.7152, 0.0722)
/// is the visible reflectance, with its source.
struct FinishRow {
    std::string name;
    glm::dvec3 reflectance;
    std::string source;
};

const std::vector<FinishRow>& finish_table();

/// The row as a Finish; throws InputError with the nearest name when unknown.
Finish make_finish(const std::string& name);

/// Of the opening's frame and sashes: its own, or old white paint.
Finish trim_of(const Opening& opening);

/// The kind's own finish where an area gives none.
Finish finish_of(GroundKind kind);

/// What is usual for a covering.
Finish finish_of(RoofCover cover);

/// Linear sRGB reflectance and transmittance of a leaf, sum below one in each channel.
struct LeafColour {
    LeafKind kind = LeafKind::green;
    glm::dvec3 reflectance;
    glm::dvec3 transmittance;
    std::string source;
};

const std::vector<LeafColour>& leaf_colours();
const LeafColour& leaf_colour(LeafKind kind);

} // namespace duskcast
