#pragma once
// The bodies of fixtures as pictures show them: bullets on stakes, wells, hats on stems, cans on brackets.
// They are not on the stage. So they hide no light, their own lamp's least of all, and no figure depends on
// them.

#include <memory>
#include <vector>

#include "duskcast/view/view_trace.hpp"

namespace duskcast {

struct FixtureBodies {
    std::unique_ptr<Stage> parts; ///< opaque facets and their materials alone; no surfaces, no sensors
    /// The facets of fixture i are first[i]..first[i + 1] - 1.
    std::vector<std::uint32_t> first;
};

/// Stakes and stems end at the ground below; brackets reach to the wall or trunk.
FixtureBodies build_fixture_bodies(const Site& site);

/// The image with the bodies before what they stand before, and their lenses as they were. They are lit
/// straight by the fixtures and by what glows, and by what one more ray sees of the stage round about (no ray
/// where `bounced` is empty). A quarter of a pixel is the finest that is seen of them.
ViewImage show_bodies(const FixtureBodies& bodies, const Stage& stage,
                      const std::vector<LitFixture>& fixtures, double ambient_lx, const BouncedLight& bounced,
                      ViewImage image);

} // namespace duskcast
