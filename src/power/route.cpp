#include "duskcast/power/route.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/power/trench.hpp"
#include "duskcast/site/layout.hpp"
#include "trench_grid.hpp"

namespace duskcast {
namespace {

constexpr double stand_off = 0.3;                        ///< metres from the wall to a transformer's post
constexpr double candidate_gap = 1.5;                    ///< metres between places tried for the transformer
constexpr double most_amps = 25 * customary_share;       ///< that a proposed run is given
constexpr double most_inside = 0.5;                      ///< metres of a crossing: cables begin at walls
constexpr double crossing_step = 0.1;                    ///< metres
constexpr double ratings[] = {150, 300, 600, 900, 1200}; ///< volt-amperes, as sold (common practice)

// What a metre costs beside a metre of trench through lawn, dug, filled and tidied by hand; and the ends of
// one run: wire strippers, lugs, a tap of the transformer, its own timer line (common practice, no source).
constexpr double price_12_awg = 0.35, price_10_awg = 0.6, price_8_awg = 1.1;
constexpr double connection_cost = 3;

double cable_price(int gauge) {
    return gauge == 12 ? price_12_awg : gauge == 10 ? price_10_awg : price_8_awg;
}

struct Spot {
    std::string id;
    glm::dvec2 at{0};
    double volt_amperes = 0;
};

class Router {
public:
    Router(const Site& site, const std::filesystem::path& folder, const LoadChoice& choice)
        : site_(site), folder_(folder), choice_(choice) {
        choice_.tap.reset();
    }

    Network propose() {
        find_spots();
        place_transformer();
        std::vector<glm::dvec2> places{transformer_.at};
        for (const Spot& spot : spots_)
            places.push_back(spot.at);
        const TrenchGrid grid(site_, places);
        for (const glm::dvec2& place : places) {
            cells_.push_back(grid.cell_near(place));
            ways_.push_back(grid.find_ways(cells_.back()));
        }
        Network network = find_cheapest(grid);
        set_transformers(network);
        return network;
    }

private:
    void find_spots() {
        if (site_.fixtures.empty())
            throw InputError(Problem{.place = {.path = "fixtures"},
                                     .what = "the site has no fixtures to feed",
                                     .remedy = "add \"fixtures\""});
        // A run for each fixture by itself tells what it asks for.
        Site alone = site_;
        Network& network = alone.network.emplace();
        network.transformers = {{.id = "T1", .rating = 300}};
        for (const Fixture& fixture : site_.fixtures)
            network.runs.push_back({.id = fixture.id, .fixtures = {fixture.id}});
        const LoadReport report = measure_load(alone, folder_, choice_);
        for (std::size_t i = 0; i < site_.fixtures.size(); ++i)
            spots_.push_back({.id = site_.fixtures[i].id,
                              .at = glm::dvec2(place_fixture(site_, site_.fixtures[i]).position),
                              .volt_amperes = report.runs[i].asked_volt_amperes});
    }

    /// The largest closed wall, else the longest open one; none: the site has no walls.
    const Wall* find_house() const {
        const Wall* house = nullptr;
        for (const Wall& wall : site_.walls)
            if (wall.closed &&
                (house == nullptr || std::abs(signed_area(wall.path)) > std::abs(signed_area(house->path))))
                house = &wall;
        if (house == nullptr)
            for (const Wall& wall : site_.walls)
                if (house == nullptr || line_length(wall.path) > line_length(house->path))
                    house = &wall;
        return house;
    }

    /// Where it is given; else at the wall where the ways to all fixtures are shortest as the crow flies.
    void place_transformer() {
        glm::dvec2 middle(0);
        for (const Spot& spot : spots_)
            middle += spot.at / static_cast<double>(spots_.size());
        transformer_ = {.id = find_free_id(), .at = tidy(middle), .taps = {12, 13, 14, 15}};
        house_middle_ = middle;
        if (const Wall* house = find_house()) {
            house_middle_ = std::accumulate(house->path.begin(), house->path.end(), glm::dvec2(0)) /
                            static_cast<double>(house->path.size());
            double least = HUGE_VAL;
            for (const RunSegment& segment : run_of(*house))
                for (double along = candidate_gap / 2; along < segment.length; along += candidate_gap) {
                    const glm::dvec2 place =
                        segment.start + along * segment.direction + stand_off * segment.outward;
                    double sum = 0;
                    for (const Spot& spot : spots_)
                        sum += spot.volt_amperes * glm::distance(place, spot.at);
                    if (sum < least - 1e-9 && !is_before_opening(*house, segment.along + along)) {
                        least = sum;
                        transformer_.at = place;
                    }
                }
        }
        if (site_.network && !site_.network->transformers.empty()) {
            transformer_ = site_.network->transformers.front();
            transformer_.tap.reset();
        }
    }

    /// An id that nothing else on the plan has.
    std::string find_free_id() const {
        for (int number = 1;; ++number)
            for (const char* letters : {"T", "TR"}) {
                const std::string id = fmt::format("{}{}", letters, number);
                const auto has_it = [&](const auto& list) {
                    return std::any_of(list.begin(), list.end(),
                                       [&](const auto& one) { return lower_case(one.id) == lower_case(id); });
                };
                if (!has_it(site_.fixtures) && !has_it(site_.trees) && !has_it(site_.walls) &&
                    !has_it(site_.shrubs) && !has_it(site_.ground.areas) && !has_it(site_.meshes))
                    return id;
            }
    }

    static bool is_before_opening(const Wall& wall, double along) {
        return std::any_of(wall.openings.begin(), wall.openings.end(), [&](const Opening& opening) {
            return along > opening.from - stand_off && along < opening.from + opening.width + stand_off;
        });
    }

    /// Between stops: 0 is the transformer, then the spots in order.
    double cost_of(std::size_t a, std::size_t b) const {
        return ways_[a].cost[static_cast<std::size_t>(cells_[b])];
    }

    /// Ways of sharing the fixtures out over one run, two, ...: each priced with the layout, gauge and tap
    /// that serve its lamps, until more runs cost more. Plans that leave a lamp low come after all
    /// that do not.
    Network find_cheapest(const TrenchGrid& grid) {
        std::vector<std::size_t> all(spots_.size());
        std::iota(all.begin(), all.end(), std::size_t{1});
        const std::vector<std::size_t> round = find_order(all, true);
        Plan best;
        const std::size_t most_runs =
            std::min<std::size_t>(round.size() - 1, std::max<std::size_t>(6, fewest_runs() + 2));
        for (std::size_t count = fewest_runs(); count <= most_runs; ++count) {
            const std::vector<std::vector<std::size_t>> groups = share_out(round, count);
            if (groups.size() < count)
                continue;
            Plan plan = price(grid, groups);
            const bool is_first = best.runs.empty();
            if (is_first || plan.low < best.low || (plan.low == best.low && plan.cost < best.cost))
                best = std::move(plan);
            else if (best.low == 0 && count > fewest_runs() + 1)
                break;
        }
        Network network;
        network.runs = std::move(best.runs);
        return network;
    }

    struct Plan {
        std::vector<CableRun> runs;
        std::size_t low = 0; ///< lamps with less than is customary
        double cost = 0;     ///< in metres of trench through lawn
    };

    std::size_t fewest_runs() const {
        double whole = 0;
        for (const Spot& spot : spots_)
            whole += spot.volt_amperes;
        return static_cast<std::size_t>(std::max(1.0, std::ceil(whole / most_volt_amperes())));
    }
    double most_volt_amperes() const { return most_amps * transformer_.taps.front(); }

    /// The round's stops in so many stretches, none with more than a run may carry, that cost least in trench
    /// and in cable of the gauge that their drop asks for; each in the order in which its cable comes past.
    /// Fewer: no such stretches.
    std::vector<std::vector<std::size_t>> share_out(const std::vector<std::size_t>& round,
                                                    std::size_t count) const {
        const std::size_t stops = round.size() - 1; // the transformer stands first
        // Sums over the stops so far: way from the first stop, volt-amperes, volt-amperes times that way.
        std::vector<double> way(stops + 1, 0), carried(stops + 1, 0), moment(stops + 1, 0);
        for (std::size_t i = 1; i <= stops; ++i) {
            const double volt_amperes = spots_[round[i] - 1].volt_amperes;
            way[i] = i == 1 ? 0 : way[i - 1] + cost_of(round[i - 1], round[i]);
            carried[i] = carried[i - 1] + volt_amperes;
            moment[i] = moment[i - 1] + volt_amperes * way[i];
        }
        const double ohms = 2 * wire_resistance(12, choice_.wire); // out and back
        const double volts_to_lose = transformer_.taps.back() - customary_volts;
        const auto cost_between = [&](std::size_t first, std::size_t last) {
            const double load = carried[last] - carried[first - 1];
            if (first != last && load > most_volt_amperes())
                return HUGE_VAL;
            const double turned = moment[last] - moment[first - 1], length = way[last] - way[first];
            double least = HUGE_VAL;
            for (const bool is_forwards : {true, false}) {
                const double leg = cost_of(0, round[is_forwards ? first : last]);
                const double reach =
                    leg * load + (is_forwards ? turned - way[first] * load : way[last] * load - turned);
                const double drop = reach / transformer_.taps.front() * ohms;
                const double thickness = drop / std::max(volts_to_lose, 1.0); // beside 12 AWG
                const int gauge = thickness <= 1 ? 12 : thickness <= 1.59 ? 10 : 8;
                const double too_much = thickness <= 2.53 ? 1 : thickness;
                // A metre for each volt, so that of equally long ways the more even ones are taken.
                least = std::min(least, (leg + length) * (1 + cable_price(gauge) * too_much) + drop);
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
        std::vector<std::vector<std::size_t>> groups;
        if (!std::isfinite(least[count][stops]))
            return groups;
        for (std::size_t k = count, last = stops; k > 0; --k) {
            const std::size_t first = begin[k][last];
            groups.insert(groups.begin(), {round.begin() + static_cast<std::ptrdiff_t>(first),
                                           round.begin() + static_cast<std::ptrdiff_t>(last) + 1});
            last = first - 1;
        }
        return groups;
    }

    /// Every group with the cheapest cable that serves it.
    Plan price(const TrenchGrid& grid, const std::vector<std::vector<std::size_t>>& groups) {
        Plan plan;
        names_.clear();
        name_sides(groups);
        for (std::size_t i = 0; i < groups.size(); ++i) {
            const Suited suited = suit_run(lay_run(grid, groups[i], i));
            plan.low += suited.low;
            plan.cost += suited.cable_cost;
            plan.runs.push_back(suited.run);
        }
        std::vector<std::vector<glm::dvec2>> lines;
        for (CableRun& run : plan.runs) {
            lines.push_back(run.path);
            run.is_sleeved = !find_paving(site_, run.path).empty();
        }
        for (const TrenchPiece& piece : list_trench_pieces(lines))
            if (const double cost = grid.line_cost(piece.from, piece.to); std::isfinite(cost))
                plan.cost += cost;
        return plan;
    }

    /// The front is where the first view looks from, or south of the house.
    void name_sides(const std::vector<std::vector<std::size_t>>& groups) {
        const glm::dvec2 front =
            site_.views.empty() ? house_middle_ - glm::dvec2(0, 1) : glm::dvec2(site_.views.front().eye);
        const glm::dvec2 way = front - house_middle_;
        std::vector<double> forwards;
        for (const std::vector<std::size_t>& group : groups) {
            double sum = 0;
            for (const std::size_t stop : group)
                sum += glm::dot(spots_[stop - 1].at - house_middle_, way) / static_cast<double>(group.size());
            forwards.push_back(sum);
        }
        const bool is_pair = groups.size() == 2;
        for (std::size_t i = 0; i < groups.size(); ++i)
            names_.push_back(is_pair ? (forwards[i] >= forwards[1 - i] ? "front" : "back")
                                     : fmt::format("run-{}", i + 1));
        if (is_pair && names_[0] == names_[1])
            names_[1] = "back";
    }

    /// The shortest sensible order, and the cable's way through it.
    CableRun lay_run(const TrenchGrid& grid, const std::vector<std::size_t>& group, std::size_t index) const {
        const std::vector<std::size_t> order = find_order(group, false);
        CableRun run{.id = names_[index], .transformer = transformer_.id};
        run.path.push_back(transformer_.at);
        for (std::size_t i = 0; i + 1 < order.size(); ++i) {
            const std::size_t next = order[i + 1];
            for (const glm::dvec2& corner : grid.draw_way(ways_[order[i]], cells_[next])) {
                const glm::dvec2 point = tidy(corner);
                if (glm::distance(run.path.back(), point) > 0.01)
                    run.path.push_back(point);
            }
            run.fixtures.push_back(spots_[next - 1].id);
        }
        if (run.path.size() < 2)
            run.path.clear();
        return run;
    }

    /// As it would be written: to a quarter of a foot or to 5 cm.
    glm::dvec2 tidy(const glm::dvec2& point) const {
        const double unit = site_.units == LengthUnit::foot ? metres_per_foot / 4 : 0.05;
        return glm::round(point / unit) * unit;
    }

    /// From the transformer through all stops, and back for a round: nearest neighbour, then reversing
    /// stretches as long as that shortens it. The transformer, 0, stands first.
    std::vector<std::size_t> find_order(const std::vector<std::size_t>& stops, bool is_round) const {
        std::vector<std::size_t> order{0}, left = stops;
        while (!left.empty()) {
            const auto nearest =
                std::min_element(left.begin(), left.end(), [&](std::size_t a, std::size_t b) {
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
        const double gain = 1e-9;
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

    /// As few as carry the runs within the customary share, each with a secondary for every 300 VA.
    void set_transformers(Network& network) {
        double whole = 0;
        for (const Spot& spot : spots_)
            whole += spot.volt_amperes;
        const double losses = 1.1; ///< cables take a share, and low volts raise the current
        const double largest = ratings[std::size(ratings) - 1];
        const double count = std::max(1.0, std::ceil(whole * losses / (customary_share * largest)));
        const double each = whole * losses / count;
        transformer_.rating = largest;
        for (const double rating : ratings)
            if (each <= customary_share * rating) {
                transformer_.rating = rating;
                break;
            }
        transformer_.secondaries = std::max(1, static_cast<int>(transformer_.rating / 300));
        const std::string first = transformer_.id;
        for (int i = 0; i < static_cast<int>(count); ++i) {
            transformer_.id = i == 0 ? first : fmt::format("{}-{}", first, i + 1);
            network.transformers.push_back(transformer_);
        }
        std::size_t next = 0; // circuits are filled in turn
        for (CableRun& run : network.runs) {
            const std::size_t circuits = static_cast<std::size_t>(transformer_.secondaries);
            run.transformer = network.transformers[next / circuits % network.transformers.size()].id;
            run.secondary = static_cast<int>(next % circuits) + 1;
            ++next;
        }
    }

    struct Suited {
        CableRun run;
        std::size_t low = 0;
        double cable_cost = 0;
    };

    /// 12 AWG along all fixtures, else fed at its middle, else thicker; each from the lowest tap at which
    /// every lamp gets what it works from and what is customary. The cheapest of these; where nothing serves
    /// all, what serves most.
    Suited suit_run(const CableRun& laid) const {
        Suited best;
        for (const RunLayout layout : {RunLayout::daisy_chain, RunLayout::centre_fed})
            for (const int gauge : {12, 10, 8}) {
                if (layout == RunLayout::centre_fed && laid.fixtures.size() < 3)
                    continue;
                CableRun run = laid;
                run.layout = layout;
                run.gauge = gauge;
                const Suited suited = suit_tap(std::move(run));
                if (best.run.fixtures.empty() || suited.low < best.low ||
                    (suited.low == best.low && suited.cable_cost < best.cable_cost - 1e-9))
                    best = suited;
                if (suited.low == 0 && layout == RunLayout::daisy_chain && gauge == 12)
                    return best; // nothing costs less
                if (suited.low == 0)
                    break; // thicker cable costs more
            }
        return best;
    }

    Suited suit_tap(CableRun run) const {
        Site changed = site_;
        changed.network = Network{.transformers = {transformer_}, .runs = {run}};
        CableRun& tried = changed.network->runs[0];
        Suited best{.run = run, .low = run.fixtures.size() + 1};
        for (const double tap : transformer_.taps) {
            if (!is_borne(run, tap))
                continue;
            tried.tap = tap;
            const LoadReport report = measure_load(changed, folder_, choice_);
            const std::size_t low = run.fixtures.size() - count_served(report);
            if (low < best.low)
                best = {.run = tried,
                        .low = low,
                        .cable_cost = report.runs[0].cable_length * cable_price(run.gauge) + connection_cost};
            if (low == 0)
                break;
        }
        return best;
    }

    /// Lamps within their operating range and with the customary volts and drop, where they bear more than
    /// the customary volts at all.
    static std::size_t count_served(const LoadReport& report) {
        const RunLoad& run = report.runs[0];
        if (!run.is_found)
            return 0;
        return static_cast<std::size_t>(
            std::count_if(run.fixtures.begin(), run.fixtures.end(), [&](std::size_t i) {
                const FixtureLoad& one = report.fixtures[i];
                return one.state == VoltageState::good &&
                       (one.volts >= customary_volts || one.operating_volts[1] < customary_volts) &&
                       run.tap - one.volts <= 2 * customary_drop * run.tap;
            }));
    }

    bool is_borne(const CableRun& run, double tap) const {
        return std::all_of(site_.fixtures.begin(), site_.fixtures.end(), [&](const Fixture& fixture) {
            const Lamp* lamp = find_lamp(site_, fixture.lamp);
            return std::find(run.fixtures.begin(), run.fixtures.end(), fixture.id) == run.fixtures.end() ||
                   tap <= max_volts_of(*lamp);
        });
    }

    const Site& site_;
    const std::filesystem::path& folder_;
    LoadChoice choice_;
    Transformer transformer_;
    glm::dvec2 house_middle_{0};
    std::vector<Spot> spots_;
    std::vector<int> cells_; ///< of the transformer, then of the spots
    std::vector<Ways> ways_; ///< from each of these
    std::vector<std::string> names_;
};

/// Metres of a line within an outline, in steps.
double length_inside(const std::vector<glm::dvec2>& line, const std::vector<glm::dvec2>& outline) {
    double inside = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const double length = glm::distance(line[i], line[i + 1]);
        const int steps = static_cast<int>(length / crossing_step) + 1;
        for (int s = 0; s < steps; ++s)
            if (is_inside(outline, glm::mix(line[i], line[i + 1], (s + 0.5) / steps)))
                inside += length / steps;
    }
    return inside;
}

} // namespace

Network propose_network(const Site& site, const std::filesystem::path& folder, const LoadChoice& choice) {
    return Router(site, folder, choice).propose();
}

std::vector<Crossing> find_crossings(const Site& site, const LoadReport& report) {
    struct Obstacle {
        std::string id;
        const std::vector<glm::dvec2>* outline;
    };
    std::vector<Obstacle> obstacles;
    for (const Wall& wall : site.walls)
        if (wall.closed)
            obstacles.push_back({wall.id, &wall.path});
    for (const GroundArea& area : site.ground.areas)
        if (area.kind == GroundKind::water)
            obstacles.push_back({area.id, &area.outline});
    std::vector<Crossing> crossings;
    for (std::size_t i = 0; i < report.runs.size(); ++i)
        for (const Obstacle& obstacle : obstacles) {
            double inside = 0;
            for (const CableLoad& cable : report.runs[i].cables)
                if (cable.part != CablePart::lead)
                    inside += length_inside(cable.course, *obstacle.outline);
            if (inside > most_inside)
                crossings.push_back({i, obstacle.id, inside});
        }
    return crossings;
}

} // namespace duskcast
