#pragma once
// A photo by night under a moving hand.

#include <cstdint>
#include <memory>
#include <vector>

#include "duskcast/photo/relight.hpp"

namespace duskcast {

/// The photo as it was last relit with everything, and what becomes of it when a few fixtures are moved,
/// turned or changed. Their direct light is taken out pixel by pixel and put in again from places some four
/// pixels apart, between which it runs evenly on each face; all else stays as it was, bounced light of those
/// fixtures too. Where none of them shines the picture keeps its bytes.
class PhotoGlance {
public:
    /// `light` (NightLight) and `rgba`, one a pixel of the plan's camera: what reaches the eye, cd/m2, and
    /// the picture of it, in the light of `fixtures`. The plan must outlive it.
    PhotoGlance(const RelightPlan& plan, std::vector<LitFixture> fixtures, std::vector<glm::vec3> light,
                std::vector<std::uint8_t> rgba);
    ~PhotoGlance();

    /// The picture with these in the place of the fixtures that it is known with: 8-bit sRGB with alpha 255,
    /// row by row. The first time that a fixture is changed takes longer than those that follow.
    std::vector<std::uint8_t> look(const std::vector<LitFixture>& fixtures);

private:
    struct State;
    std::unique_ptr<State> state_;
};

} // namespace duskcast
