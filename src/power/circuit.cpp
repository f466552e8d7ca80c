#include "duskcast/power/circuit.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <glm/glm.hpp>
#include <limits>
#include <optional>
#include <queue>
#include <stdexcept>
#include <utility>

namespace duskcast {
namespace {

using Complex = std::complex<double>;

/// As a real operator on (real part, imaginary part).
glm::dmat2 conductance(double siemens) {
    return glm::dmat2(siemens);
}

/// One off-diagonal block of the Jacobian.
struct Entry {
    std::size_t column = 0;
    glm::dmat2 block{0};
};

/// The Jacobian by 2x2 blocks. Cable networks are trees with a few loops: eliminated from the leaves
/// inwards they hardly fill up, so that a step costs about as much as there are nodes.
class BlockSystem {
public:
    explicit BlockSystem(std::size_t size) : diagonal_(size, glm::dmat2(0)), rows_(size) {}

    glm::dmat2& diagonal(std::size_t i) { return diagonal_[i]; }
    glm::dmat2& at(std::size_t row, std::size_t column) {
        for (Entry& entry : rows_[row])
            if (entry.column == column)
                return entry.block;
        return rows_[row].emplace_back(Entry{column, glm::dmat2(0)}).block;
    }

    /// Solves for `right`; none when a pivot is singular.
    std::optional<std::vector<glm::dvec2>> solve(std::vector<glm::dvec2> right);

    /// Whether every pivot's symmetric part was positive definite in `solve`; of a symmetric matrix that says
    /// the whole is.
    bool is_definite() const { return is_definite_; }

private:
    std::vector<glm::dmat2> diagonal_;
    std::vector<std::vector<Entry>> rows_; ///< without what is eliminated
    bool is_definite_ = true;
};

std::optional<std::vector<glm::dvec2>> BlockSystem::solve(std::vector<glm::dvec2> right) {
    const std::size_t size = diagonal_.size();
    // The row with the fewest entries is next (minimum degree), of several the first.
    using Turn = std::pair<std::size_t, std::size_t>; // entries, row
    std::priority_queue<Turn, std::vector<Turn>, std::greater<>> turns;
    const auto line_up = [&](std::size_t row) { turns.emplace(rows_[row].size(), row); };
    for (std::size_t row = 0; row < size; ++row)
        line_up(row);
    std::vector<bool> is_done(size, false);
    std::vector<std::size_t> order;
    std::vector<std::vector<Entry>> eliminated(size);
    is_definite_ = true;
    while (order.size() < size) {
        const std::size_t entries = turns.top().first, pivot = turns.top().second;
        turns.pop();
        if (is_done[pivot] || entries != rows_[pivot].size())
            continue; // as it was before a neighbour went
        is_done[pivot] = true;
        order.push_back(pivot);
        const glm::dmat2& block = diagonal_[pivot];
        const double determinant = glm::determinant(block);
        if (determinant == 0 || !std::isfinite(determinant))
            return std::nullopt;
        const double mixed = (block[0][1] + block[1][0]) / 2;
        is_definite_ = is_definite_ && block[0][0] > 0 && block[0][0] * block[1][1] > mixed * mixed;
        const glm::dmat2 inverse = glm::inverse(block);
        for (const Entry& down : rows_[pivot]) {
            const std::size_t row = down.column; // the pattern is symmetric
            const auto back = std::find_if(rows_[row].begin(), rows_[row].end(),
                                           [&](const Entry& entry) { return entry.column == pivot; });
            const glm::dmat2 factor = back->block * inverse;
            rows_[row].erase(back);
            right[row] -= factor * right[pivot];
            for (const Entry& across : rows_[pivot])
                (across.column == row ? diagonal_[row] : at(row, across.column)) -= factor * across.block;
            line_up(row);
        }
        eliminated[pivot] = std::move(rows_[pivot]);
        rows_[pivot].clear();
    }
    std::vector<glm::dvec2> solution(size, glm::dvec2(0));
    for (auto pivot = order.rbegin(); pivot != order.rend(); ++pivot) {
        glm::dvec2 rest = right[*pivot];
        for (const Entry& entry : eliminated[*pivot])
            rest -= entry.block * solution[entry.column];
        solution[*pivot] = glm::inverse(diagonal_[*pivot]) * rest;
    }
    return solution;
}

/// S / V^exponent at the rated voltage, conjugated: what the current is a multiple of.
Complex load_factor(const CircuitLoad& load, double share) {
    const double reactive = std::sqrt(std::max(0.0, 1 - load.power_factor * load.power_factor));
    const Complex apparent = load.watts * share * Complex(1, reactive / load.power_factor);
    return std::conj(apparent) / std::pow(load.rated_volts, load.exponent);
}

/// Current over volts.
Complex load_admittance(const CircuitLoad& load, const Complex& factor, const Complex& volts) {
    return factor * std::pow(std::abs(volts), load.exponent - 2);
}

Complex load_current(const CircuitLoad& load, double share, const Complex& volts) {
    return std::abs(volts) > 0 ? load_admittance(load, load_factor(load, share), volts) * volts : Complex(0);
}

/// Derivative of the current by the voltage's real and imaginary part.
glm::dmat2 load_derivative(const CircuitLoad& load, const Complex& admittance, const Complex& volts) {
    const double size = std::abs(volts);
    const auto column = [&](const Complex& step) {
        const double along = (std::conj(volts) * step).real() / (size * size);
        const Complex change = admittance * (step + (load.exponent - 2) * along * volts);
        return glm::dvec2(change.real(), change.imag());
    };
    return {column({1, 0}), column({0, 1})};
}

struct Attempt {
    std::vector<Complex> volts;
    double residual = std::numeric_limits<double>::infinity();
    int steps = 0;
    bool is_good = false;
};

constexpr double least_residual = 1e-10; ///< amps
constexpr int most_steps = 80;

/// Currents left over at every node but the source; `admittances` one a load.
std::vector<Complex> find_surplus(const Circuit& circuit, const std::vector<Complex>& admittances,
                                  const std::vector<Complex>& volts) {
    std::vector<Complex> surplus(circuit.nodes, Complex(0));
    for (const CircuitCable& cable : circuit.cables) {
        const Complex amps = (volts[cable.from] - volts[cable.to]) / cable.ohms;
        surplus[cable.from] += amps;
        surplus[cable.to] -= amps;
    }
    for (std::size_t i = 0; i < circuit.loads.size(); ++i)
        surplus[circuit.loads[i].node] += admittances[i] * volts[circuit.loads[i].node];
    return surplus;
}

/// Rounding of the voltages alone leaves currents of this size.
double find_tolerance(const Circuit& circuit) {
    double most = 1;
    for (const CircuitCable& cable : circuit.cables)
        most = std::max(most, circuit.volts / cable.ohms);
    return least_residual + 1e-14 * most;
}

Attempt solve_share(const Circuit& circuit, double share) {
    Attempt attempt{.volts = std::vector<Complex>(circuit.nodes, Complex(circuit.volts, 0))};
    const std::size_t unknowns = circuit.nodes - 1;
    const double tolerance = find_tolerance(circuit);
    bool is_last = false;
    std::vector<Complex> factors, admittances(circuit.loads.size());
    for (const CircuitLoad& load : circuit.loads)
        factors.push_back(load_factor(load, share));
    for (attempt.steps = 0; attempt.steps <= most_steps; ++attempt.steps) {
        for (std::size_t i = 0; i < circuit.loads.size(); ++i)
            admittances[i] =
                load_admittance(circuit.loads[i], factors[i], attempt.volts[circuit.loads[i].node]);
        const std::vector<Complex> surplus = find_surplus(circuit, admittances, attempt.volts);
        attempt.residual = 0;
        for (std::size_t i = 1; i < circuit.nodes; ++i)
            attempt.residual = std::max(attempt.residual, std::abs(surplus[i]));
        if (!std::isfinite(attempt.residual))
            return attempt;
        // One step more than the tolerance asks for: it costs little and Newton doubles the digits.
        const bool is_converged = attempt.residual <= tolerance;
        BlockSystem system(unknowns);
        for (const CircuitCable& cable : circuit.cables) {
            const glm::dmat2 block = conductance(1 / cable.ohms);
            for (const std::size_t end : {cable.from, cable.to})
                if (end > 0)
                    system.diagonal(end - 1) += block;
            if (cable.from > 0 && cable.to > 0) {
                system.at(cable.from - 1, cable.to - 1) -= block;
                system.at(cable.to - 1, cable.from - 1) -= block;
            }
        }
        for (std::size_t i = 0; i < circuit.loads.size(); ++i)
            if (const CircuitLoad& load = circuit.loads[i]; load.node > 0)
                system.diagonal(load.node - 1) +=
                    load_derivative(load, admittances[i], attempt.volts[load.node]);
        std::vector<glm::dvec2> right;
        for (std::size_t i = 1; i < circuit.nodes; ++i)
            right.emplace_back(-surplus[i].real(), -surplus[i].imag());
        const auto step = system.solve(std::move(right));
        if (!step)
            return attempt;
        // Seen from above, the branch that begins without load ends where the Jacobian is no longer
        // definite; Newton comes down on it from above (the balance is convex there) and cannot have jumped.
        if (!system.is_definite())
            return attempt;
        if (is_converged && (is_last || unknowns == 0)) {
            attempt.is_good = true;
            return attempt;
        }
        is_last = is_converged;
        for (std::size_t i = 0; i < unknowns; ++i) {
            attempt.volts[i + 1] += Complex((*step)[i].x, (*step)[i].y);
            if (std::abs(attempt.volts[i + 1]) > 1e3 * circuit.volts || attempt.volts[i + 1].real() <= 0)
                return attempt; // past the end of the branch that begins without load
        }
    }
    return attempt;
}

void check_circuit(const Circuit& circuit) {
    const auto refuse = [](const char* what) { throw std::invalid_argument(what); };
    if (!(circuit.volts > 0) || circuit.nodes == 0)
        refuse("a circuit needs a source");
    std::vector<std::size_t> root(circuit.nodes);
    for (std::size_t i = 0; i < root.size(); ++i)
        root[i] = i;
    const auto find_root = [&](std::size_t node) {
        while (root[node] != node)
            node = root[node] = root[root[node]];
        return node;
    };
    for (const CircuitCable& cable : circuit.cables) {
        if (cable.from >= circuit.nodes || cable.to >= circuit.nodes || !(cable.ohms > 0))
            refuse("a cable ends nowhere or has no resistance");
        root[find_root(cable.from)] = find_root(cable.to);
    }
    for (std::size_t i = 0; i < circuit.nodes; ++i)
        if (find_root(i) != find_root(0))
            refuse("a node is not connected to the source");
    for (const CircuitLoad& load : circuit.loads)
        if (load.node >= circuit.nodes || !(load.watts >= 0) || !(load.power_factor > 0) ||
            !(load.power_factor <= 1) || !(load.rated_volts > 0) || !(load.exponent >= 0))
            refuse("a load's figures are out of range");
}

void fill_currents(const Circuit& circuit, double share, OperatingPoint& point) {
    for (const CircuitCable& cable : circuit.cables) {
        point.cable_amps.push_back((point.volts[cable.from] - point.volts[cable.to]) / cable.ohms);
        if (cable.from == 0)
            point.source_amps += point.cable_amps.back();
        if (cable.to == 0)
            point.source_amps -= point.cable_amps.back();
    }
    for (const CircuitLoad& load : circuit.loads) {
        const Complex volts = point.volts[load.node];
        point.load_amps.push_back(load_current(load, share, volts));
        point.load_apparent.push_back(volts * std::conj(point.load_amps.back()));
        if (load.node == 0)
            point.source_amps += point.load_amps.back();
    }
}

} // namespace

OperatingPoint solve_circuit(const Circuit& circuit, bool is_share_asked) {
    check_circuit(circuit);
    Attempt attempt = solve_share(circuit, 1);
    OperatingPoint point{
        .is_found = attempt.is_good, .residual = attempt.residual, .steps = attempt.steps, .volts = {}};
    if (!attempt.is_good && !is_share_asked)
        point.bearable_share = 0;
    else if (!attempt.is_good) {
        // Solvable at every share below the greatest one: less load never takes the point away.
        double low = 0, high = 1;
        attempt = solve_share(circuit, 0);
        for (int i = 0; i < 40; ++i) {
            const double middle = (low + high) / 2;
            Attempt part = solve_share(circuit, middle);
            (part.is_good ? low : high) = middle;
            if (part.is_good)
                attempt = std::move(part);
        }
        point.bearable_share = low;
    }
    point.volts = std::move(attempt.volts);
    fill_currents(circuit, point.bearable_share, point);
    return point;
}

} // namespace duskcast
