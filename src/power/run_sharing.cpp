#include "run_sharing.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "duskcast/base/sort_stably.hpp"

namespace duskcast {
namespace {

constexpr std::size_t most_searched = 60; ///< stops
constexpr std::size_t near_count = 8;     ///< stops beside which another may be put
constexpr double gain = 1e-6;

} // namespace

double cable_price(int gauge) {
    return gauge == 12 ? 0.35 : gauge == 10 ? 0.6 : 1.1;
}

RunSharing::RunSharing(const Stops& stops, const RunLimits& limits) : stops_(stops), limits_(limits) {
    const std::size_t count = stops.way.size();
    int cells = 0;
    for (std::size_t a = 0; a < count; ++a) {
        std::vector<double>& cost = cost_.emplace_back();
        std::vector<double>& metres = metres_.emplace_back();
        for (const std::vector<TrenchStep>& way : stops.way[a]) {
            cost.push_back(0);
            metres.push_back(0);
            for (const TrenchStep& step : way) {
                cost.back() += step.cost;
                metres.back() += step.metres;
                cells = std::max(cells, step.cell + 1);
            }
        }
        std::vector<std::size_t>& near = near_.emplace_back(count);
        std::iota(near.begin(), near.end(), std::size_t{0});
        sort_stably(near, [&](std::size_t one, std::size_t other) {
            return std::pair(cost[one], one) < std::pair(cost[other], other);
        });
        near.resize(std::min(near.size(), near_count + 1)); // itself first
        std::sort(near.begin(), near.end());
    }
    dug_.resize(static_cast<std::size_t>(cells) + 2 * static_cast<std::size_t>(stops.columns));
    dug_by_.resize(dug_.size());
}

std::vector<std::vector<std::size_t>> RunSharing::share_out(std::size_t count) {
    std::vector<std::size_t> all(stops_.way.size() - 1);
    std::iota(all.begin(), all.end(), std::size_t{1});
    Runs runs = cut_round(find_order(all, true), count);
    for (std::vector<std::size_t>& run : runs) {
        run = find_order(run, false);
        run.erase(run.begin()); // the transformer
    }
    if (runs.size() == count && all.size() <= most_searched) {
        double least = price(runs);
        while (improve(runs, least)) {
        }
    }
    return runs;
}

/// From the transformer through all stops, and back for a round: nearest neighbour, then reversing
/// stretches as long as that shortens it. The transformer, 0, stands first.
std::vector<std::size_t> RunSharing::find_order(const std::vector<std::size_t>& stops, bool is_round) const {
    std::vector<std::size_t> order{0}, left = stops;
    while (!left.empty()) {
        const auto nearest = std::min_element(left.begin(), left.end(), [&](std::size_t a, std::size_t b) {
            return cost_of(order.back(), a) < cost_of(order.back(), b);
        });
        order.push_back(*nearest);
        left.erase(nearest);
    }
    const std::size_t count = order.size();
    const auto onward = [&](std::size_t from, std::size_t to_place) { // to what stands there, if anything
        if (to_place < count)
            return cost_of(from, order[to_place]);
        return is_round ? cost_of(from, 0) : 0.0;
    };
    for (bool is_better = true; is_better;) {
        is_better = false;
        for (std::size_t i = 1; i + 1 < count; ++i)
            for (std::size_t j = i + 1; j < count; ++j) {
                const double before = cost_of(order[i - 1], order[i]) + onward(order[j], j + 1);
                const double after = cost_of(order[i - 1], order[j]) + onward(order[i], j + 1);
                if (after < before - gain) {
                    std::reverse(order.begin() + static_cast<std::ptrdiff_t>(i),
                                 order.begin() + static_cast<std::ptrdiff_t>(j) + 1);
                    is_better = true;
                }
            }
    }
    return order;
}

/// What serves at a drop that 12 AWG would have.
int RunSharing::gauge_for(double drop) const {
    const double thickness = drop / limits_.volts_to_lose;
    return thickness <= 1 ? 12 : thickness <= 1.59 ? 10 : 8;
}

/// The round's stops in so many stretches, none with more than a run may carry, that cost least in trench and
/// in cable of the gauge that their drop asks for. Empty: no such stretches.
RunSharing::Runs RunSharing::cut_round(const std::vector<std::size_t>& round, std::size_t count) const {
    const std::size_t stops = round.size() - 1; // the transformer stands first
    // Sums over the stops so far: way from the first stop, volt-amperes, volt-amperes times that way.
    std::vector<double> way(stops + 1, 0), carried(stops + 1, 0), moment(stops + 1, 0);
    for (std::size_t i = 1; i <= stops; ++i) {
        const double volt_amperes = stops_.volt_amperes[round[i]];
        way[i] = i == 1 ? 0 : way[i - 1] + cost_of(round[i - 1], round[i]);
        carried[i] = carried[i - 1] + volt_amperes;
        moment[i] = moment[i - 1] + volt_amperes * way[i];
    }
    const auto cost_between = [&](std::size_t first, std::size_t last) {
        const double load = carried[last] - carried[first - 1];
        if (first != last && load > limits_.most_volt_amperes)
            return HUGE_VAL;
        const double turned = moment[last] - moment[first - 1], length = way[last] - way[first];
        double least = HUGE_VAL;
        for (const bool is_forwards : {true, false}) {
            const double leg = cost_of(0, round[is_forwards ? first : last]);
            const double reach =
                leg * load + (is_forwards ? turned - way[first] * load : way[last] * load - turned);
            const double drop = reach / limits_.volts * limits_.ohms;
            const double too_much = std::max(1.0, drop / limits_.volts_to_lose / 2.53); // beyond 8 AWG
            // A metre for each volt, so that of equally long ways the more even ones are taken.
            least = std::min(least, (leg + length) * (1 + cable_price(gauge_for(drop)) * too_much) + drop);
        }
        return least;
    };
    // least[k][i]: the first i stops in k stretches.
    std::vector<std::vector<double>> least(count + 1, std::vector<double>(stops + 1, HUGE_VAL));
    std::vector<std::vector<std::size_t>> begin(count + 1, std::vector<std::size_t>(stops + 1, 0));
    least[0][0] = 0;
    for (std::size_t k = 1; k <= count; ++k)
        for (std::size_t i = k; i <= stops; ++i)
            for (std::size_t first = k; first <= i; ++first)
                if (const double sum = least[k - 1][first - 1] + cost_between(first, i);
                    sum < least[k][i] - 1e-9) {
                    least[k][i] = sum;
                    begin[k][i] = first;
                }
    Runs runs;
    if (!std::isfinite(least[count][stops]))
        return runs;
    for (std::size_t k = count, last = stops; k > 0; --k) {
        const std::size_t first = begin[k][last];
        runs.insert(runs.begin(), {round.begin() + static_cast<std::ptrdiff_t>(first),
                                   round.begin() + static_cast<std::ptrdiff_t>(last) + 1});
        last = first - 1;
    }
    return runs;
}

/// Trench, where no cable lies in the cell or beside it yet, and cable.
double RunSharing::price(const Runs& runs) {
    ++pricing_;
    std::uint32_t leg = 0;
    double sum = 0;
    const auto columns = static_cast<std::size_t>(stops_.columns);
    for (const std::vector<std::size_t>& run : runs) {
        double load = 0;
        for (const std::size_t stop : run)
            load += stops_.volt_amperes[stop];
        if (run.size() > 1 && load > limits_.most_volt_amperes)
            return HUGE_VAL;
        double reach = 0, length = 0;
        std::size_t before = 0;
        for (const std::size_t stop : run) {
            ++leg;
            length += metres_[before][stop];
            reach += load * metres_[before][stop];
            load -= stops_.volt_amperes[stop];
            for (const TrenchStep& step : stops_.way[before][stop]) {
                const std::size_t at = static_cast<std::size_t>(step.cell) + columns; // room below
                const auto is_dug = [&](std::size_t cell) {
                    return dug_[cell] == pricing_ && dug_by_[cell] != leg;
                };
                if (!is_dug(at) && !is_dug(at - 1) && !is_dug(at + 1) && !is_dug(at - columns) &&
                    !is_dug(at + columns))
                    sum += step.cost;
                if (dug_[at] != pricing_) {
                    dug_[at] = pricing_;
                    dug_by_[at] = leg;
                }
            }
            before = stop;
        }
        const double drop = reach / limits_.volts * limits_.ohms;
        const int gauge = gauge_for(drop);
        const double too_much = std::max(1.0, drop / limits_.volts_to_lose / 2.53);
        sum +=
            length * cable_price(gauge) * too_much + connection_cost + drop + (gauge == 12 ? 0 : thick_cost);
    }
    return sum;
}

bool RunSharing::is_near(std::size_t stop, std::size_t other) const {
    return std::binary_search(near_[stop].begin(), near_[stop].end(), other);
}

/// Moves up to three stops in a row to where they cost less, turned round or not, or exchanges the far ends
/// of two runs. False: nothing helps.
bool RunSharing::improve(Runs& runs, double& least) {
    const auto try_runs = [&](Runs& tried) {
        const double cost = price(tried);
        if (!(cost < least - gain))
            return false;
        least = cost;
        runs.swap(tried);
        return true;
    };
    const auto at = [](std::size_t i) { return static_cast<std::ptrdiff_t>(i); };
    Runs tried;
    for (std::size_t from = 0; from < runs.size(); ++from)
        for (std::size_t first = 0; first < runs[from].size(); ++first)
            for (std::size_t count = 1; count <= 3 && first + count <= runs[from].size(); ++count) {
                if (count == runs[from].size())
                    continue; // or the run would be empty
                const std::vector<std::size_t> moved(runs[from].begin() + at(first),
                                                     runs[from].begin() + at(first + count));
                std::vector<std::size_t> rest = runs[from];
                rest.erase(rest.begin() + at(first), rest.begin() + at(first + count));
                for (std::size_t to = 0; to < runs.size(); ++to) {
                    const std::vector<std::size_t>& other = to == from ? rest : runs[to];
                    for (std::size_t place = 0; place <= other.size(); ++place)
                        for (const bool is_turned : {false, true}) {
                            if (is_turned && count == 1)
                                continue;
                            const std::size_t head = is_turned ? moved.back() : moved.front();
                            const std::size_t tail = is_turned ? moved.front() : moved.back();
                            const std::size_t previous = place == 0 ? 0 : other[place - 1];
                            if (!is_near(head, previous) &&
                                (place == other.size() || !is_near(tail, other[place])))
                                continue;
                            tried = runs;
                            tried[from] = rest;
                            std::vector<std::size_t>& into = tried[to];
                            into.insert(into.begin() + at(place), moved.begin(), moved.end());
                            if (is_turned)
                                std::reverse(into.begin() + at(place), into.begin() + at(place + count));
                            if (try_runs(tried))
                                return true;
                        }
                }
            }
    for (std::size_t one = 0; one < runs.size(); ++one)
        for (std::size_t other = one + 1; other < runs.size(); ++other)
            for (std::size_t i = 0; i <= runs[one].size(); ++i)
                for (std::size_t j = 0; j <= runs[other].size(); ++j) {
                    const std::vector<std::size_t>&a = runs[one], &b = runs[other];
                    if (i + b.size() - j == 0 || j + a.size() - i == 0)
                        continue;
                    tried = runs;
                    tried[one].assign(a.begin(), a.begin() + at(i));
                    tried[one].insert(tried[one].end(), b.begin() + at(j), b.end());
                    tried[other].assign(b.begin(), b.begin() + at(j));
                    tried[other].insert(tried[other].end(), a.begin() + at(i), a.end());
                    if (try_runs(tried))
                        return true;
                }
    return false;
}

} // namespace duskcast
