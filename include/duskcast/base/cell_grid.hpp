#pragma once
// Square cells side by side on a plane.

#include <cstddef>
#include <cstdint>
#include <vector>

namespace duskcast {

/// Column c covers u0 + c step .. u0 + (c+1) step, row r likewise from v0. A cell names an entry of a list of
/// values that is kept elsewhere.
struct CellGrid {
    double u0 = 0;
    double v0 = 0;
    double step = 0;
    int columns = 0;
    int rows = 0;
    std::vector<std::int32_t> sensor; ///< rows * columns, row-major from the lowest; -1: none there

    std::int32_t at(int column, int row) const {
        return sensor[static_cast<std::size_t>(row) * columns + column];
    }
    double u_of(int column) const { return u0 + (column + 0.5) * step; }
    double v_of(int row) const { return v0 + (row + 0.5) * step; }
};

} // namespace duskcast
