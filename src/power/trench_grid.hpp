#pragma once
// Where a cable can be buried, and at what cost: a grid over the plan.

#include <cstdint>
#include <glm/glm.hpp>
#include <string>
#include <vector>

#include "duskcast/site/fountain_plan.hpp"

namespace duskcast {

/// Ways over the grid from one cell.
struct Ways {
    std::vector<double> cost; ///< one a cell; infinite where no way leads
    std::vector<int> before;  ///< the cell before on the way; -1 at the start
};

/// One cell farther on a way.
struct TrenchStep {
    int cell = 0;    ///< that it leads to
    double cost = 0; ///< of digging it, in metres through lawn
    double metres = 0;
};

/// What stands on the ground but is no house, and no trench can be dug under: porch floors, bays, steps.
struct GroundBody {
    std::string id; ///< of its surface
    std::vector<std::vector<glm::dvec2>> outlines;
};

std::vector<GroundBody> list_ground_bodies(const Site& site);

class TrenchGrid {
public:
    /// Covers the places, with room to go round what stands between them.
    TrenchGrid(const Site& site, const std::vector<glm::dvec2>& places);

    /// The free cell nearest to a place.
    int cell_near(const glm::dvec2& place) const;
    glm::dvec2 middle_of(int cell) const;
    Ways find_ways(int start) const;                                      ///< Dijkstra, eight neighbours
    std::vector<TrenchStep> list_steps(const Ways& ways, int cell) const; ///< from the ways' start to a cell
    int columns() const { return columns_; }

    /// Metres times what digging there costs, straight from one point to another; infinite where it would
    /// meet a wall, a floor that stands on the ground, or water.
    double line_cost(const glm::dvec2& from, const glm::dvec2& to) const;

    /// From the ways' start to a cell, drawn with as few corners as cost no more.
    std::vector<glm::dvec2> draw_way(const Ways& ways, int cell) const;

private:
    double cost_at(const glm::dvec2& point) const; ///< a metre of trench; infinite where none can be dug
    bool is_walled(const glm::dvec2& from, const glm::dvec2& to) const;
    int column(int cell) const { return cell % columns_; }
    int row(int cell) const { return cell / columns_; }

    glm::dvec2 corner_{0};
    double step_ = 0.3;
    int columns_ = 1, rows_ = 1;
    std::vector<double> cost_;          ///< one a cell
    std::vector<std::uint8_t> is_open_; ///< one a cell: a bit for each neighbour that no wall parts from it
    struct Segment {
        glm::dvec2 from, to;
    };
    std::vector<Segment> walls_;
    std::vector<GroundBody> bodies_;
    const Site& site_;
    std::vector<Water> waters_;
};

} // namespace duskcast
