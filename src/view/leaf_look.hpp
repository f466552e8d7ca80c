#pragma once
// Leaves as pictures show them. The stage's rhombs each stand for a leaf, a spray of leaflets, a shoot of
// needles or, in winter, bare twigs; here each gets such an outline, of the rhomb's own area.

#include <cstdint>
#include <glm/glm.hpp>
#include <memory>
#include <optional>
#include <vector>

#include "duskcast/stage/stage.hpp"
#include "duskcast/view/camera.hpp"

namespace duskcast {

enum class LeafShape : std::uint8_t {
    rhomb,   ///< as the stage has it
    single,  ///< one pointed leaf
    spray,   ///< a twig's last leaves: one at its end and pairs behind it
    needles, ///< a shoot with needles on both sides
    twigs,   ///< what a bare crown has in a leaf's place
};

/// Where a leaf's outline lies, in half diagonals of its rhomb: x along it, y across.
struct LeafBox {
    glm::vec2 low{-1}, high{1};
};

LeafBox box_of(LeafShape shape);

/// One blade within an outline.
struct BladeSpot {
    int number = 0;  ///< of the outline's blades
    float aside = 0; ///< from the blade's midrib, -1 to 1 at its widest
};

/// What lies at a place of an outline, in half diagonals; nothing: one looks past it. All blades of an
/// outline together have the rhomb's area, 2 in these units.
std::optional<BladeSpot> find_blade(LeafShape shape, const glm::vec2& place);

/// The leaves of a stage with their outlines, as large as a camera can tell them apart.
class LeafLook {
public:
    /// Null where no leaf is large enough on the camera's image to show its outline.
    static std::unique_ptr<LeafLook> make(const Stage& stage, const Camera& camera);

    /// All that the stage has, with its numbers, leaves as their boxes.
    const RayKernel& kernel() const { return *kernel_; }

    /// Whether a look at a place in a leaf's box passes beside its blades.
    bool is_open(std::size_t leaf, const glm::vec3& position) const;

    /// Factor of a leaf's light at a place on it: its blades differ a little, the halves of a blade face a
    /// little apart, and its midrib is paler. The mean over the leaf is 1. `width`: metres that one look
    /// stands for; what is finer is left out.
    float level(std::size_t leaf, const glm::vec3& position, float width) const;

private:
    LeafLook(const Stage& stage, std::vector<LeafShape> shapes);
    glm::vec2 place_on(std::size_t leaf, const glm::vec3& position) const;

    const Leaves& leaves_;
    std::vector<LeafShape> shapes_; ///< one a leaf
    Leaves boxes_;
    std::optional<RayKernel> kernel_;
};

} // namespace duskcast
