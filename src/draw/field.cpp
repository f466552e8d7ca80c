#include "duskcast/draw/field.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>

namespace duskcast {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

constexpr int field_margin = 2; // cells that a field reaches beyond those with a value

/// Gives unknown cells beside known ones a value, so that colours and lines reach the outline: at each known
/// side the logarithm goes on as it ran, by a factor of two a cell at most; at corners it stays.
void grow(std::vector<double>& values, int columns, int rows) {
    constexpr double most = 0.7;
    const std::vector<double> before = values;
    const auto at = [&](int column, int row) {
        const bool is_there = column >= 0 && row >= 0 && column < columns && row < rows;
        return is_there ? before[static_cast<std::size_t>(row) * columns + column] : unknown;
    };
    constexpr std::array<std::array<int, 2>, 4> sides = {{{1, 0}, {-1, 0}, {0, 1}, {0, -1}}};
    constexpr std::array<std::array<int, 2>, 4> corners = {{{1, 1}, {-1, 1}, {1, -1}, {-1, -1}}};
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            double& value = values[static_cast<std::size_t>(row) * columns + column];
            if (!std::isnan(value))
                continue;
            double sum = 0;
            int count = 0;
            for (const auto& [x, y] : sides)
                if (const double next = at(column + x, row + y); !std::isnan(next)) {
                    const double slope = next - at(column + 2 * x, row + 2 * y);
                    sum += next + (std::isnan(slope) ? 0 : std::clamp(slope, -most, most));
                    ++count;
                }
            for (const auto& [x, y] : corners)
                if (const double next = at(column + x, row + y); count == 0 && !std::isnan(next)) {
                    sum = next;
                    count = 1;
                }
            if (count > 0)
                value = sum / count;
        }
}

// Stands for zero in the logarithm; far below any level that is drawn.
constexpr double nearly_zero = 1e-3;

/// A side of a square of the lattice of cell centres: from node (column, row) to the right or upwards.
/// As one number, so that both squares beside it name it alike.
using Side = std::int64_t;

struct Lattice {
    const CellGrid& grid;
    const std::vector<double>& values;
    double level;

    double log_value(int column, int row) const {
        return std::log(std::max(values[static_cast<std::size_t>(grid.at(column, row))], nearly_zero));
    }
    Side side(int column, int row, bool is_upward) const {
        return 2 * (static_cast<Side>(row) * grid.columns + column) + (is_upward ? 1 : 0);
    }
    /// The crossing on a side.
    glm::dvec2 crossing(Side side) const {
        const bool is_upward = side % 2 != 0;
        const int column = static_cast<int>(side / 2 % grid.columns);
        const int row = static_cast<int>(side / 2 / grid.columns);
        const double here = log_value(column, row);
        const double there = is_upward ? log_value(column, row + 1) : log_value(column + 1, row);
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
        const double value = lattice.log_value(corner[i][0], corner[i][1]);
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

std::vector<std::vector<glm::dvec2>> find_contours(const CellGrid& grid, const std::vector<double>& values,
                                                   double level) {
    if (!(level > nearly_zero))
        return {};
    const Lattice lattice{grid, values, level};
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

GridField::GridField(const CellGrid& grid, const std::vector<double>& values, double from, double to,
                     double least) {
    grid_.step = grid.step;
    grid_.u0 = grid.u0 - field_margin * grid.step;
    grid_.v0 = grid.v0 - field_margin * grid.step;
    grid_.columns = grid.columns + 2 * field_margin;
    grid_.rows = grid.rows + 2 * field_margin;
    log_value_.assign(static_cast<std::size_t>(grid_.columns) * grid_.rows, unknown);
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column)
            if (grid.at(column, row) >= 0 && grid.u_of(column) >= from && grid.u_of(column) <= to)
                log_value_[static_cast<std::size_t>(row + field_margin) * grid_.columns + column +
                           field_margin] =
                    std::log(std::max(values[static_cast<std::size_t>(grid.at(column, row))], least));
    for (int i = 0; i < field_margin; ++i)
        grow(log_value_, grid_.columns, grid_.rows);
}

GridField::GridField(const CellGrid& grid, const std::vector<double>& values, double least)
    : GridField(grid, values, -std::numeric_limits<double>::infinity(),
                std::numeric_limits<double>::infinity(), least) {}

std::optional<double> GridField::value_at(double u, double v) const {
    const double x = (u - grid_.u0) / grid_.step - 0.5, y = (v - grid_.v0) / grid_.step - 0.5;
    const int column = static_cast<int>(std::floor(x)), row = static_cast<int>(std::floor(y));
    double sum = 0, weights = 0;
    for (int r = std::max(0, row); r <= std::min(grid_.rows - 1, row + 1); ++r)
        for (int c = std::max(0, column); c <= std::min(grid_.columns - 1, column + 1); ++c) {
            const double value = log_value_[static_cast<std::size_t>(r) * grid_.columns + c];
            if (std::isnan(value))
                continue;
            const double weight = (1 - std::abs(x - c)) * (1 - std::abs(y - r));
            sum += weight * value;
            weights += weight;
        }
    if (weights < 1e-6)
        return std::nullopt;
    return std::exp(sum / weights);
}

std::vector<std::vector<glm::dvec2>> GridField::contours(double level) const {
    CellGrid fine;
    fine.u0 = grid_.u0;
    fine.v0 = grid_.v0;
    fine.step = grid_.step / 2;
    fine.columns = 2 * grid_.columns;
    fine.rows = 2 * grid_.rows;
    std::vector<double> values;
    for (int row = 0; row < fine.rows; ++row)
        for (int column = 0; column < fine.columns; ++column) {
            const std::optional<double> here = value_at(fine.u_of(column), fine.v_of(row));
            fine.sensor.push_back(here ? static_cast<std::int32_t>(values.size()) : -1);
            if (here)
                values.push_back(*here);
        }
    return find_contours(fine, values, level);
}

std::vector<std::vector<glm::dvec2>> cut_line(const std::vector<glm::dvec2>& line,
                                              const std::function<bool(const glm::dvec2&)>& is_inside) {
    const auto find_edge = [&](glm::dvec2 inside, glm::dvec2 outside) {
        for (int i = 0; i < 16; ++i) {
            const glm::dvec2 middle = (inside + outside) / 2.0;
            (is_inside(middle) ? inside : outside) = middle;
        }
        return inside;
    };
    std::vector<std::vector<glm::dvec2>> parts;
    bool was_inside = false;
    for (std::size_t i = 0; i < line.size(); ++i) {
        const bool now_inside = is_inside(line[i]);
        if (now_inside && !was_inside) {
            parts.emplace_back();
            if (i > 0)
                parts.back().push_back(find_edge(line[i], line[i - 1]));
        }
        if (now_inside)
            parts.back().push_back(line[i]);
        else if (was_inside)
            parts.back().push_back(find_edge(line[i - 1], line[i]));
        was_inside = now_inside;
    }
    return parts;
}

Raster shade(int width, int height, const std::function<std::optional<Colour>(double, double)>& colour_at) {
    Raster raster{width, height, {}, {}};
    const std::size_t count = static_cast<std::size_t>(width) * height;
    raster.colour.assign(count, Colour{0, 0, 0});
    raster.opacity.assign(count, 0.0);
    std::size_t i = 0;
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x, ++i)
            if (const std::optional<Colour> colour = colour_at((x + 0.5) / width, (y + 0.5) / height)) {
                raster.colour[i] = *colour;
                raster.opacity[i] = 1;
            }
    return raster;
}

} // namespace duskcast
