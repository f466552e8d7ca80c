#pragma once
// Fixtures for tests that light something.

#include <string>

#include "duskcast/light/lighting.hpp"

namespace duskcast::test {

/// A fixture of 100 cd whatever the direction, with a lens that is a point.
inline LitFixture make_point(const std::string& id, const glm::vec3& at) {
    LitFixture fixture;
    fixture.id = id;
    fixture.lens.centre = at;
    fixture.table = IntensityTable(Distribution{{0}, {0, pi}, {100, 100}}, {});
    return fixture;
}

} // namespace duskcast::test
