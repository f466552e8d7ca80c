#include "duskcast/power/route.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <initializer_list>
#include <numeric>
#include <optional>
#include <tuple>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/power/trench.hpp"
#include "duskcast/site/fountain_plan.hpp"
#include "duskcast/site/layout.hpp"
#include "run_sharing.hpp"
#include "trench_grid.hpp"

namespace duskcast {
namespace {

constexpr double stand_off = 0.3;                        ///< metres from the wall to a transformer's post
constexpr double candidate_gap = 1.5;                    ///< metres between places tried for the transformer
constexpr double most_amps = 25 * customary_share;       ///< that a proposed run is given
constexpr double most_drop = 2 * customary_drop;         ///< share of the tap, at the last lamp
constexpr double most_inside = 0.5;                      ///< metres of a crossing: cables begin at walls
constexpr double crossing_step = 0.1;                    ///< metres
constexpr double ratings[] = {150, 300, 600, 900, 1200}; ///< volt-amperes, as sold (common practice)

// Hubs, by common practice, without a source: so many lamps on leads so long; what the box costs with the
// splices in it, and a splice along a cable, in metres of trench through lawn.
constexpr std::size_t fewest_on_hub = 3, most_on_hub = 6;
constexpr double longest_lead = 25 * metres_per_foot;
constexpr double hub_cost = 2;
constexpr double splice_cost = 0.5;
constexpr double even_volts = 1;     ///< lamps of a run that are no farther apart look alike
constexpr double evened = 0.5;       ///< volts that a hub has to win where it costs more
constexpr double even_worth = 1.1;   ///< at most so many times the cost for it
constexpr double togetherness = 0.6; ///< lamps farther apart than that share of the way past them are a row
constexpr std::size_t most_for_hubs = 60; ///< fixtures; with more, no hub is looked for

struct Spot {
    std::string id;
    glm::dvec2 at{0};
    double volt_amperes = 0;
};

/// What one run feeds.
struct Group {
    std::vector<std::size_t> stops;
    std::optional<glm::dvec2> hub; ///< where their leads meet; none: one after the other
};

/// Metres of lead beside a metre of trench, as cable_price.
double lead_price(int gauge) {
    return gauge == 18 ? 0.15 : cable_price(gauge);
}

/// Where the sum of weights times distances is least (Weiszfeld 1937).
glm::dvec2 find_median(const std::vector<glm::dvec2>& points, const std::vector<double>& weights) {
    glm::dvec2 median(0);
    double whole = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        median += weights[i] * points[i];
        whole += weights[i];
    }
    median /= whole;
    for (int step = 0; step < 100; ++step) {
        glm::dvec2 sum(0);
        double pull = 0;
        for (std::size_t i = 0; i < points.size(); ++i) {
            const double near = weights[i] / std::max(1e-6, glm::distance(median, points[i]));
            sum += near * points[i];
            pull += near;
        }
        median = sum / pull;
    }
    return median;
}

class Router {
public:
    Router(const Site& site, const std::filesystem::path& folder, const LoadChoice& choice)
        : site_(site), folder_(folder), choice_(choice) {
        choice_.tap.reset();
        choice_.is_share_asked = false;
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
        transformer_ = {.id = find_free_id({"T", "TR"}, {}), .at = tidy(middle), .taps = {12, 13, 14, 15}};
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

    /// An id that nothing else on the plan has: some letters and a number.
    std::string find_free_id(std::initializer_list<const char*> words, const std::vector<Hub>& hubs) const {
        for (int number = 1;; ++number)
            for (const char* letters : words) {
                const std::string id = fmt::format("{}{}", letters, number);
                const auto has_it = [&](const auto& list) {
                    return std::any_of(list.begin(), list.end(),
                                       [&](const auto& one) { return lower_case(one.id) == lower_case(id); });
                };
                if (lower_case(transformer_.id) != lower_case(id) && !has_it(hubs) &&
                    !has_it(site_.fixtures) && !has_it(site_.trees) && !has_it(site_.walls) &&
                    !has_it(site_.shrubs) && !has_it(site_.ground.areas) && !has_it(site_.meshes))
                    return id;
            }
    }

    static bool is_before_opening(const Wall& wall, double along) {
        return std::any_of(wall.openings.begin(), wall.openings.end(), [&](const Opening& opening) {
            return along > opening.from - stand_off && along < opening.from + opening.width + stand_off;
        });
    }

    struct Plan {
        std::vector<Group> groups; ///< one a run
        std::vector<CableRun> runs;
        std::vector<Hub> hubs;
        std::size_t low = 0;   ///< lamps with less than is customary
        std::size_t thick = 0; ///< runs of more than 12 AWG
        double cost = 0;       ///< in metres of trench through lawn
        double uneven = 0;     ///< volts that lamps of one run are farther apart than even_volts; of all runs

        bool is_before(const Plan& other) const {
            return std::tie(low, cost) < std::tie(other.low, other.cost);
        }
    };

    /// Ways of sharing the fixtures out over one run, two, ...: each priced with the layout, gauge and tap
    /// that serve its lamps, until more runs cost more. Plans that leave a lamp low come after all
    /// that do not.
    Network find_cheapest(const TrenchGrid& grid) {
        const Stops stops = list_stops(grid);
        const double highest = transformer_.taps.back();
        RunSharing sharing(
            stops, {.most_volt_amperes = most_volt_amperes(),
                    .volts = transformer_.taps.front(),
                    .volts_to_lose = std::max(1.0, std::min(highest - customary_volts, most_drop * highest)),
                    .ohms = 2 * wire_resistance(12, choice_.wire)});
        Plan best;
        const std::size_t most_runs =
            std::min<std::size_t>(spots_.size(), std::max<std::size_t>(6, fewest_runs() + 2));
        for (std::size_t count = fewest_runs(); count <= most_runs; ++count) {
            const std::vector<std::vector<std::size_t>> groups = sharing.share_out(count);
            if (groups.size() < count)
                continue;
            std::vector<Group> chains;
            for (const std::vector<std::size_t>& group : groups)
                chains.push_back({group, {}});
            Plan plan = price(grid, chains);
            if (best.runs.empty() || plan.is_before(best))
                best = std::move(plan);
            else if (best.low == 0 && best.thick == 0 && count > fewest_runs() + 1)
                break;
        }
        if (spots_.size() <= most_for_hubs)
            while (add_hub(grid, best)) {
            }
        Network network;
        network.hubs = std::move(best.hubs);
        network.runs = std::move(best.runs);
        return network;
    }

    /// Takes lamps that stand together out of a run and feeds them from a hub, if that costs less or evens
    /// their volts. False: nothing helps.
    bool add_hub(const TrenchGrid& grid, Plan& best) {
        Plan found;
        for (std::size_t g = 0; g < best.groups.size(); ++g) {
            const std::vector<std::size_t> stops = best.groups[g].stops;
            if (best.groups[g].hub)
                continue;
            for (std::size_t first = 0; first + fewest_on_hub <= stops.size(); ++first)
                for (std::size_t count = fewest_on_hub; count <= most_on_hub && first + count <= stops.size();
                     ++count) {
                    const auto begin = stops.begin() + static_cast<std::ptrdiff_t>(first),
                               end = begin + static_cast<std::ptrdiff_t>(count);
                    Group on_hub{{begin, end}, {}};
                    on_hub.hub = find_hub_place(grid, on_hub.stops);
                    if (!on_hub.hub)
                        continue;
                    std::vector<Group> groups = best.groups;
                    groups[g].stops.assign(stops.begin(), begin);
                    groups[g].stops.insert(groups[g].stops.end(), end, stops.end());
                    if (groups[g].stops.empty())
                        groups.erase(groups.begin() + static_cast<std::ptrdiff_t>(g));
                    groups.push_back(on_hub);
                    Plan plan = price(grid, groups);
                    const bool is_even = plan.low <= best.low && plan.uneven <= best.uneven - evened &&
                                         plan.cost <= best.cost * even_worth;
                    if ((plan.is_before(best) || is_even) && (found.runs.empty() || plan.is_before(found)))
                        found = std::move(plan);
                }
        }
        if (found.runs.empty())
            return false;
        best = std::move(found);
        return true;
    }

    /// Where the home run and the leads to these stops cost least. None: they stand in a row more than round
    /// a place, a lead would be too long, or it would pass through a wall, a trunk or water or under paving.
    std::optional<glm::dvec2> find_hub_place(const TrenchGrid& grid,
                                             const std::vector<std::size_t>& stops) const {
        std::vector<glm::dvec2> lights;
        double chain = 0, across = 0;
        for (const std::size_t stop : stops) {
            lights.push_back(spots_[stop - 1].at);
            for (const glm::dvec2& other : lights)
                across = std::max(across, glm::distance(other, lights.back()));
            if (lights.size() > 1)
                chain += glm::distance(lights[lights.size() - 2], lights.back());
        }
        if (across > togetherness * chain)
            return std::nullopt;
        std::vector<glm::dvec2> ends = lights;
        ends.push_back(transformer_.at);
        std::vector<double> weights(stops.size(), 1 + lead_price(18));
        const glm::dvec2 among = find_median(lights, weights);
        weights.push_back(1 + cable_price(12));
        std::optional<glm::dvec2> best;
        double least = HUGE_VAL;
        for (const glm::dvec2& wanted : {among, find_median(ends, weights)}) {
            const int cell = grid.cell_near(wanted);
            const glm::dvec2 place = tidy(grid.middle_of(cell));
            double cost = ways_[0].cost[static_cast<std::size_t>(cell)];
            for (std::size_t i = 0; i < stops.size(); ++i) {
                const double length = glm::distance(place, lights[i]);
                cost += grid.line_cost(place, grid.middle_of(cells_[stops[i]]));
                const bool meets_trunk =
                    std::any_of(site_.trees.begin(), site_.trees.end(), [&](const Tree& tree) {
                        return distance_to_line(tree.at, {place, lights[i]}, false) <
                               trunk_diameter(tree) / 2;
                    });
                if (length > longest_lead || meets_trunk || !find_paving(site_, {place, lights[i]}).empty())
                    cost = HUGE_VAL;
            }
            if (cost < least) {
                least = cost;
                best = place;
            }
        }
        return best;
    }

    Stops list_stops(const TrenchGrid& grid) const {
        Stops stops{.volt_amperes = {0}, .columns = grid.columns()};
        for (const Spot& spot : spots_)
            stops.volt_amperes.push_back(spot.volt_amperes);
        for (const Ways& ways : ways_) {
            std::vector<std::vector<TrenchStep>>& way = stops.way.emplace_back();
            for (const int cell : cells_)
                way.push_back(grid.list_steps(ways, cell));
        }
        return stops;
    }

    std::size_t fewest_runs() const {
        double whole = 0;
        for (const Spot& spot : spots_)
            whole += spot.volt_amperes;
        return static_cast<std::size_t>(std::max(1.0, std::ceil(whole / most_volt_amperes())));
    }
    double most_volt_amperes() const { return most_amps * transformer_.taps.front(); }

    /// Every group with the cheapest cable that serves it.
    Plan price(const TrenchGrid& grid, const std::vector<Group>& groups) {
        Plan plan{.groups = groups};
        names_.clear();
        name_sides(groups);
        std::vector<std::vector<glm::dvec2>> lines;
        for (std::size_t i = 0; i < groups.size(); ++i) {
            const std::vector<std::size_t>& stops = groups[i].stops;
            const CableRun laid =
                groups[i].hub ? lay_home(grid, groups[i], i, plan.hubs) : lay_run(grid, stops, i);
            Suited suited = suit_run(laid, plan.hubs);
            plan.low += suited.low;
            plan.uneven += std::max(0.0, suited.apart - even_volts);
            if (suited.run.gauge != 12) {
                ++plan.thick;
                plan.cost += thick_cost;
            }
            plan.cost += suited.cable_cost;
            plan.cost += groups[i].hub ? hub_cost : splice_cost * static_cast<double>(stops.size());
            suited.run.is_sleeved = !find_paving(site_, suited.run.path).empty();
            lines.push_back(suited.run.path);
            plan.runs.push_back(suited.run);
        }
        for (const Group& group : groups)
            if (group.hub)
                for (const std::size_t stop : group.stops)
                    lines.push_back({*group.hub, spots_[stop - 1].at});
        for (const TrenchPiece& piece : list_trench_pieces(lines))
            if (const double cost = grid.line_cost(piece.from, piece.to); std::isfinite(cost))
                plan.cost += cost;
        return plan;
    }

    /// The front is where the first view looks from, or south of the house.
    void name_sides(const std::vector<Group>& groups) {
        const glm::dvec2 front =
            site_.views.empty() ? house_middle_ - glm::dvec2(0, 1) : glm::dvec2(site_.views.front().eye);
        const glm::dvec2 way = front - house_middle_;
        std::vector<double> forwards;
        for (const Group& group : groups) {
            double sum = 0;
            for (const std::size_t stop : group.stops)
                sum += glm::dot(spots_[stop - 1].at - house_middle_, way) /
                       static_cast<double>(group.stops.size());
            forwards.push_back(sum);
        }
        const bool is_pair = groups.size() == 2;
        for (std::size_t i = 0; i < groups.size(); ++i)
            names_.push_back(is_pair ? (forwards[i] >= forwards[1 - i] ? "front" : "back")
                                     : fmt::format("run-{}", i + 1));
        if (is_pair && names_[0] == names_[1])
            names_[1] = "back";
    }

    /// The cable's way past the stops.
    CableRun lay_run(const TrenchGrid& grid, const std::vector<std::size_t>& group, std::size_t index) const {
        CableRun run{.id = names_[index], .transformer = transformer_.id};
        run.path.push_back(transformer_.at);
        std::size_t before = 0;
        for (const std::size_t next : group) {
            add_way(grid, before, cells_[next], run.path);
            run.fixtures.push_back(spots_[next - 1].id);
            before = next;
        }
        if (run.path.size() < 2)
            run.path.clear();
        return run;
    }

    /// The home run to a group's hub, which is added to `hubs`.
    CableRun lay_home(const TrenchGrid& grid, const Group& group, std::size_t index,
                      std::vector<Hub>& hubs) const {
        hubs.push_back({find_free_id({"H", "HUB"}, hubs), group.hub.value()});
        CableRun run{.id = names_[index], .transformer = transformer_.id, .layout = RunLayout::hub};
        run.path.push_back(transformer_.at);
        add_way(grid, 0, grid.cell_near(*group.hub), run.path);
        if (glm::distance(run.path.back(), *group.hub) > 0.01)
            run.path.push_back(*group.hub);
        run.hub = hubs.back().id;
        for (const std::size_t stop : group.stops)
            run.fixtures.push_back(spots_[stop - 1].id);
        return run;
    }

    /// From a stop to a cell.
    void add_way(const TrenchGrid& grid, std::size_t stop, int cell, std::vector<glm::dvec2>& path) const {
        std::vector<glm::dvec2> way = grid.draw_way(ways_[stop], cell);
        // The transformer stands at a wall, and the middle of its cell may lie to its side.
        if (stop == 0 && way.size() > 1 && std::isfinite(grid.line_cost(transformer_.at, way[1])))
            way.erase(way.begin());
        for (const glm::dvec2& corner : way) {
            const glm::dvec2 point = tidy(corner);
            if (glm::distance(path.back(), point) > 0.01)
                path.push_back(point);
        }
    }

    /// As it would be written: to a quarter of a foot or to 5 cm.
    glm::dvec2 tidy(const glm::dvec2& point) const {
        if (site_.units == LengthUnit::foot)
            return glm::round(point / (metres_per_foot / 4)) * (metres_per_foot / 4);
        return glm::round(point * 20.0) / 20.0; // times 0.05 would not be written as 20.15
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
        double apart = 0; ///< volts between its lamps
    };

    /// 12 AWG along all fixtures, else fed at its middle, else thicker; each from the lowest tap at which
    /// every lamp gets what it works from and what is customary. The cheapest of these; where nothing serves
    /// all, what serves most.
    Suited suit_run(const CableRun& laid, const std::vector<Hub>& hubs) const {
        Suited best;
        if (laid.layout == RunLayout::hub) {
            for (const int gauge : {12, 10, 8})
                for (const int lead_gauge : {18, 12}) {
                    CableRun run = laid;
                    run.gauge = gauge;
                    run.lead_gauge = lead_gauge;
                    const Suited suited = suit_tap(std::move(run), hubs);
                    if (best.run.fixtures.empty() || suited.low < best.low)
                        best = suited;
                    if (best.low == 0)
                        return best;
                }
            return best;
        }
        for (const RunLayout layout : {RunLayout::daisy_chain, RunLayout::centre_fed})
            for (const int gauge : {12, 10, 8}) {
                if (layout == RunLayout::centre_fed && laid.fixtures.size() < 3)
                    continue;
                CableRun run = laid;
                run.layout = layout;
                run.gauge = gauge;
                const Suited suited = suit_tap(std::move(run), hubs);
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

    Suited suit_tap(CableRun run, const std::vector<Hub>& hubs) const {
        Site changed = site_;
        changed.network = Network{.transformers = {transformer_}, .hubs = hubs, .runs = {run}};
        CableRun& tried = changed.network->runs[0];
        Suited best{.run = run, .low = run.fixtures.size() + 1};
        for (const double tap : transformer_.taps) {
            if (!is_borne(run, tap))
                continue;
            tried.tap = tap;
            const LoadReport report = measure_load(changed, folder_, choice_);
            const std::size_t low = run.fixtures.size() - count_served(report);
            const RunLoad& load = report.runs[0];
            if (low < best.low)
                best = {.run = tried,
                        .low = low,
                        .cable_cost = load.cable_length * cable_price(run.gauge) +
                                      load.lead_length * lead_price(run.lead_gauge) + connection_cost,
                        .apart = load.most_volts - load.least_volts};
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
                       run.tap - one.volts <= most_drop * run.tap;
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
    std::vector<GroundBody> obstacles = list_ground_bodies(site);
    for (const Wall& wall : site.walls)
        if (wall.closed)
            obstacles.push_back({wall.id, {wall.path}});
    for (const Water& water : list_waters(site))
        obstacles.push_back({water.id, {water.outline}});
    std::vector<Crossing> crossings;
    for (std::size_t i = 0; i < report.runs.size(); ++i)
        for (const GroundBody& obstacle : obstacles) {
            double inside = 0;
            for (const CableLoad& cable : report.runs[i].cables)
                if (cable.part != CablePart::lead)
                    for (const std::vector<glm::dvec2>& outline : obstacle.outlines)
                        inside += length_inside(cable.course, outline);
            if (inside > most_inside)
                crossings.push_back({i, obstacle.id, inside});
        }
    return crossings;
}

} // namespace duskcast
