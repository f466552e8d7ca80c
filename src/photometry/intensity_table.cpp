#include "duskcast/photometry/intensity_table.hpp"

#include <algorithm>
#include <cmath>

#include "bracket.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {

namespace {

constexpr double turn = 2 * pi;
constexpr int most_rows_symmetric = 32768, most_rows_turned = 8192, most_columns = 360;
constexpr double row_share = 1.8e-4, column_share = 0.2e-4; ///< allowed residue over the maximum

/// The distribution bends at its nodes and is all but linear in s between them, so that the largest
/// difference lies at the nodes. Left out: the last degree before the light ends, where it may jump, and
/// the last ten before gamma = 180, where s hardly moves.
double row_residue(const Distribution& distribution, int rows) {
    const std::vector<double>& gammas = distribution.gamma;
    const double last = std::min(gammas.back() - radians_from_degrees(1), radians_from_degrees(170));
    const double steps = rows - 1;
    const auto gamma_at = [&](double row) { return 2 * std::asin(std::min(row / steps, 1.0)); };
    double residue = 0;
    for (std::size_t i = 1; i < gammas.size() && gammas[i] <= last; ++i) {
        const double position = std::sin(gammas[i] / 2) * steps;
        const double row = std::floor(position), weight = position - row;
        const Bracket before = find_bracket(gammas, gamma_at(row));
        const Bracket after = find_bracket(gammas, gamma_at(row + 1));
        for (std::size_t plane = 0; plane < distribution.c.size(); ++plane) {
            const double* candela = distribution.candela.data() + plane * gammas.size();
            const auto at = [&](const Bracket& g) {
                return candela[g.low] + g.weight * (candela[g.high] - candela[g.low]);
            };
            residue =
                std::max(residue, std::abs(at(before) + weight * (at(after) - at(before)) - candela[i]));
        }
    }
    return residue;
}

/// Largest difference at the nodes of a tilted grid, which lie anywhere in the table's cells.
double node_residue(const Distribution& distribution, int rows, int columns) {
    constexpr std::size_t enough = 20'000; // nodes
    const std::size_t width = distribution.gamma.size();
    const std::size_t stride = std::max<std::size_t>(1, distribution.candela.size() / enough);
    const auto candela_at = [&](double row, double column) {
        const double gamma = 2 * std::asin(std::min(row / (rows - 1), 1.0)), c = column / columns * turn;
        return distribution.candela_towards(direction_at(c, gamma));
    };
    double residue = 0;
    for (std::size_t node = 0; node < distribution.candela.size(); node += stride) {
        const double g = distribution.gamma[node % width], c = distribution.c[node / width];
        const glm::dvec3 way = distribution.lamp_from_grid * direction_at(c, g);
        const double position = std::sqrt(std::max(0.0, (1 + way.z) / 2)) * (rows - 1);
        const double around = std::atan2(way.y, way.x) / turn * columns;
        const double row = std::floor(position), column = std::floor(around);
        const double low = std::lerp(candela_at(row, column), candela_at(row + 1, column), position - row);
        const double high =
            std::lerp(candela_at(row, column + 1), candela_at(row + 1, column + 1), position - row);
        residue =
            std::max(residue, std::abs(std::lerp(low, high, around - column) - distribution.candela[node]));
    }
    return residue;
}

/// Few rows keep the table in the cache; a narrow beam touches only the first of many.
int rows_for(const Distribution& distribution) {
    const double allowed = row_share * measure_max_candela(distribution);
    const int most = distribution.is_symmetric() ? most_rows_symmetric : most_rows_turned;
    int rows = distribution.is_symmetric() ? 2048 : 1024;
    double before = HUGE_VAL;
    while (rows < most) {
        const double residue = distribution.is_tilted() ? node_residue(distribution, rows, most_columns)
                                                        : row_residue(distribution, rows);
        // Across a tilted grid the columns set a limit that more rows do not lower.
        if (residue <= allowed || (distribution.is_tilted() && residue > 0.8 * before))
            break;
        before = residue;
        rows *= 2;
    }
    return rows;
}

/// The distribution is linear between its planes, and the table exact at its columns, so that the
/// largest difference lies at the planes.
double column_residue(const Distribution& distribution, int columns) {
    const std::size_t width = distribution.gamma.size();
    double residue = 0;
    for (std::size_t plane = 0; plane + 1 < distribution.c.size(); ++plane) {
        const double position = distribution.c[plane] / turn * columns;
        const double weight = position - std::floor(position);
        if (std::min(weight, 1 - weight) < 1e-9)
            continue;
        const double before = std::floor(position) / columns * turn;
        const double after = (std::floor(position) + 1) / columns * turn;
        for (std::size_t i = 0; i < width; ++i) {
            const double gamma = distribution.gamma[i];
            const double low = distribution.candela_at(before, gamma);
            const double high = distribution.candela_at(after, gamma);
            const double here = distribution.candela[plane * width + i];
            residue = std::max(residue, std::abs(low + weight * (high - low) - here));
        }
    }
    return residue;
}

int columns_for(const Distribution& distribution) {
    if (distribution.is_symmetric())
        return 1;
    if (distribution.is_tilted())
        return most_columns;
    // Steps of 5, 3, 2.5, 2 and 1 degree: one of them meets every usual set of planes exactly.
    const double allowed = column_share * measure_max_candela(distribution);
    for (const int columns : {72, 120, 144, 180})
        if (column_residue(distribution, columns) <= allowed)
            return columns;
    return most_columns;
}

/// A symmetric distribution as one that may be cut unevenly.
Distribution with_planes(Distribution distribution) {
    if (distribution.is_symmetric()) {
        distribution.c = {0, turn};
        const std::vector<double> plane = distribution.candela;
        distribution.candela.insert(distribution.candela.end(), plane.begin(), plane.end());
    }
    return distribution;
}

/// Integral of I sin g dg dC = 4 I s ds dC for s = sin(g / 2); exact for I linear in s.
double table_lumens(const std::vector<float>& values, int rows, int columns) {
    const double step = 1.0 / (rows - 1);
    double sum = 0;
    for (int column = 0; column < columns; ++column) {
        const float* row = values.data() + static_cast<std::size_t>(column) * (rows + 1);
        for (int i = 0; i + 1 < rows; ++i) {
            const double s0 = i * step, s1 = (i + 1) * step;
            sum += row[i] * (2 * s0 + s1) + row[i + 1] * (s0 + 2 * s1);
        }
    }
    return sum * (4 * step / 6) * (turn / columns);
}

} // namespace

IntensityTable::IntensityTable(const Distribution& given, const Shield& shield) {
    if (given.candela.empty())
        return;
    const bool is_cut_unevenly = !shield.is_symmetric();
    const Distribution distribution = is_cut_unevenly ? with_planes(given) : given;
    rows_ = rows_for(distribution);
    columns_ = is_cut_unevenly ? most_columns : columns_for(distribution);
    const int lines = is_symmetric() ? 1 : columns_ + 1;
    const std::size_t stride = static_cast<std::size_t>(rows_) + 1;
    std::vector<float> values(static_cast<std::size_t>(lines) * stride);

    if (distribution.is_tilted())
        fill_from_directions(distribution, shield, values);
    else
        fill_from_planes(distribution, shield, values);
    for (std::size_t line = 0; line < static_cast<std::size_t>(lines); ++line)
        values[line * stride + stride - 1] = values[line * stride + stride - 2];
    lumens_ = table_lumens(values, rows_, columns_);
    values_ = std::make_shared<const std::vector<float>>(std::move(values));
}

void IntensityTable::fill_from_planes(const Distribution& distribution, const Shield& shield,
                                      std::vector<float>& values) {
    const std::size_t stride = static_cast<std::size_t>(rows_) + 1;
    std::vector<Bracket> planes;
    for (std::size_t line = 0; line < values.size() / stride; ++line)
        planes.push_back(
            find_bracket(distribution.c, turn * static_cast<double>(line % columns_) / columns_));

    const std::vector<double>& gammas = distribution.gamma;
    for (int row = 0; row < rows_; ++row) {
        const double gamma = 2 * std::asin(static_cast<double>(row) / (rows_ - 1));
        if (gamma < gammas.front() || gamma > gammas.back())
            continue;
        const Bracket g = find_bracket(gammas, gamma);
        double share = visible_lens_share(shield, 0, gamma);
        const auto in_plane = [&](std::size_t plane) {
            const double* candela = distribution.candela.data() + plane * gammas.size();
            return candela[g.low] + g.weight * (candela[g.high] - candela[g.low]);
        };
        for (std::size_t line = 0; line < planes.size(); ++line) {
            const Bracket& plane = planes[line];
            if (!shield.is_symmetric())
                share =
                    visible_lens_share(shield, turn * static_cast<double>(line % columns_) / columns_, gamma);
            const double low = in_plane(plane.low);
            const double candela = low + plane.weight * (in_plane(plane.high) - low);
            values[line * stride + static_cast<std::size_t>(row)] = static_cast<float>(share * candela);
        }
    }
}

void IntensityTable::fill_from_directions(const Distribution& distribution, const Shield& shield,
                                          std::vector<float>& values) {
    const std::size_t stride = static_cast<std::size_t>(rows_) + 1;
    const std::size_t lines = values.size() / stride;
    for (int row = 0; row < rows_; ++row) {
        const double s = static_cast<double>(row) / (rows_ - 1), gamma = 2 * std::asin(s);
        const double sine = std::sin(gamma), cosine = std::cos(gamma);
        for (std::size_t line = 0; line < lines; ++line) {
            const double c = turn * static_cast<double>(line % columns_) / columns_;
            const double candela =
                distribution.candela_towards({sine * std::cos(c), sine * std::sin(c), -cosine});
            values[line * stride + static_cast<std::size_t>(row)] =
                candela > 0 ? static_cast<float>(visible_lens_share(shield, c, gamma) * candela) : 0.0f;
        }
    }
}

float IntensityTable::candela(const glm::vec3& direction_fixture) const {
    if (values_->empty())
        return 0;
    const float s = 0.5f * glm::length(direction_fixture - glm::vec3(0, 0, -1));
    const float position = std::min(s, 1.0f) * static_cast<float>(rows_ - 1);
    const int row = static_cast<int>(position);
    const float row_weight = position - static_cast<float>(row);
    const std::size_t stride = static_cast<std::size_t>(rows_) + 1;
    const auto in_line = [&](std::size_t line) {
        const float* at = values_->data() + line * stride + static_cast<std::size_t>(row);
        return at[0] + row_weight * (at[1] - at[0]);
    };
    if (is_symmetric())
        return in_line(0);
    const float c = std::atan2(direction_fixture.y, direction_fixture.x);
    const float around = (c < 0 ? c + static_cast<float>(turn) : c) * static_cast<float>(columns_ / turn);
    const int column = std::min(static_cast<int>(around), columns_ - 1);
    const float low = in_line(static_cast<std::size_t>(column));
    const float high = in_line(static_cast<std::size_t>(column) + 1);
    return low + (around - static_cast<float>(column)) * (high - low);
}

} // namespace duskcast
