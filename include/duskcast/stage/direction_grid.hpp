#pragma once
// Directions sorted by where they point.

#include <cstddef>
#include <cstdint>
#include <glm/glm.hpp>
#include <memory>
#include <span>

namespace duskcast {

/// Directions in the cells of a cube map, in which facets find those that they cover. Worth keeping where
/// several points look into the same directions.
class DirectionGrid {
public:
    /// `directions`: of any length but 0.
    explicit DirectionGrid(std::span<const glm::vec3> directions);
    ~DirectionGrid();
    DirectionGrid(const DirectionGrid&) = delete;
    DirectionGrid& operator=(const DirectionGrid&) = delete;

    std::size_t size() const { return order().size(); }

    /// Neighbours in the grid follow each other: which of the directions as they were given comes at each
    /// place, and the direction itself.
    std::span<const std::uint32_t> order() const;
    glm::vec3 direction(std::size_t place) const;

    struct Sorted; ///< for the ray kernels
    const Sorted& sorted() const { return *sorted_; }

private:
    std::unique_ptr<Sorted> sorted_;
};

} // namespace duskcast
