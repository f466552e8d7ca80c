#include "duskcast/draw/contour.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>

namespace duskcast {
namespace {

// Stands for no light at all in the logarithm; far below any level that is drawn.
constexpr double dark_lx = 1e-3;

/// A side of a square of the lattice of cell centres: from node (column, row) to the right or upwards.
/// As one number, so that both squares beside it name it alike.
using Side = std::int64_t;

struct Lattice {
    const CellGrid& grid;
    const std::vector<double>& lux;
    double level;

    double log_lux(int column, int row) const {
        return std::log(std::max(lux[static_cast<std::size_t>(grid.at(column, row))], dark_lx));
    }
    Side side(int column, int row, bool is_upward) const {
        return 2 * (static_cast<Side>(row) * grid.columns + column) + (is_upward ? 1 : 0);
    }
    /// The crossing on a side.
    glm::dvec2 crossing(Side side) const {
        const bool is_upward = side % 2 != 0;
        const int column = static_cast<int>(side / 2 % grid.columns);
        const int row = static_cast<int>(side / 2 / grid.columns);
        const double here = log_lux(column, row);
        const double there = is_upward ? log_lux(column, row + 1) : log_lux(column + 1, row);
        const double share = (std::log(level) - here) / (there - here);
        const glm::dvec2 from(grid.u_of(column), grid.v_of(row));
        return from + (is_upward ? glm::dvec2(0, share) : glm::dvec2(share, 0)) * grid.step;
    }
};

struct Piece {
    Side from, to;
};

/// Marching squares (Lorensen and Cline 1987, in the plane): the pieces of line in one square.
void add_pieces(const Lattice& lattice, int column, int row, std::vector<Piece>& pieces) {
    const CellGrid& grid = lattice.grid;
    // Corners and sides going round counter-clockwise from the lower left corner and the lower side.
    const std::array<std::array<int, 2>, 4> corner = {
        {{column, row}, {column + 1, row}, {column + 1, row + 1}, {column, row + 1}}};
    double mean = 0;
    std::array<bool, 4> is_above{};
    for (int i = 0; i < 4; ++i) {
        if (grid.at(corner[i][0], corner[i][1]) < 0)
            return;
        const double value = lattice.log_lux(corner[i][0], corner[i][1]);
        is_above[i] = value >= std::log(lattice.level);
        mean += value / 4;
    }
    const std::array<Side, 4> side = {lattice.side(column, row, false), lattice.side(column + 1, row, true),
                                      lattice.side(column, row + 1, false), lattice.side(column, row, true)};
    std::vector<int> crossed;
    for (int i = 0; i < 4; ++i)
        if (is_above[i] != is_above[(i + 1) % 4])
            crossed.push_back(i);
    if (crossed.size() == 2) {
        pieces.push_back({side[crossed[0]], side[crossed[1]]});
    } else if (crossed.size() == 4) {
        // A saddle: the middle says which two opposite corners hang together.
        const bool joins_first = (mean >= std::log(lattice.level)) == is_above[0];
        const int shift = joins_first ? 0 : 3;
        pieces.push_back({side[shift], side[(shift + 1) % 4]});
        pieces.push_back({side[(shift + 2) % 4], side[(shift + 3) % 4]});
    }
}

} // namespace

std::vector<std::vector<glm::dvec2>> find_contours(const CellGrid& grid, const std::vector<double>& lux,
                                                   double level_lx) {
    if (!(level_lx > dark_lx))
        return {};
    const Lattice lattice{grid, lux, level_lx};
    std::vector<Piece> pieces;
    for (int row = 0; row + 1 < grid.rows; ++row)
        for (int column = 0; column + 1 < grid.columns; ++column)
            add_pieces(lattice, column, row, pieces);

    std::map<Side, std::vector<std::size_t>> pieces_at;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        pieces_at[pieces[i].from].push_back(i);
        pieces_at[pieces[i].to].push_back(i);
    }
    std::vector<char> is_used(pieces.size(), 0);
    std::vector<std::vector<glm::dvec2>> lines;
    const auto follow = [&](Side start) {
        std::vector<glm::dvec2> line{lattice.crossing(start)};
        Side at = start;
        for (;;) {
            const std::vector<std::size_t>& touching = pieces_at[at];
            const auto next =
                std::find_if(touching.begin(), touching.end(), [&](std::size_t i) { return !is_used[i]; });
            if (next == touching.end())
                break;
            is_used[*next] = 1;
            at = pieces[*next].from == at ? pieces[*next].to : pieces[*next].from;
            line.push_back(lattice.crossing(at));
        }
        if (line.size() > 1)
            lines.push_back(std::move(line));
    };
    for (const auto& [side, touching] : pieces_at)
        if (touching.size() == 1)
            follow(side);
    for (const Piece& piece : pieces)
        follow(piece.from);
    return lines;
}

} // namespace duskcast
