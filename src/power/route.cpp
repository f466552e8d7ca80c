#include "duskcast/power/route.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>

#include "duskcast/base/problem.hpp"
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
        Network network;
        for (const std::vector<std::size_t>& group : share_out())
            network.runs.push_back(lay_run(grid, group, network.runs.size()));
        set_transformers(network);
        suit_lamps(network);
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

    /// The largest closed wall; none: nothing to go round.
    const Wall* find_house() const {
        const Wall* house = nullptr;
        for (const Wall& wall : site_.walls)
            if (wall.closed &&
                (house == nullptr || std::abs(signed_area(wall.path)) > std::abs(signed_area(house->path))))
                house = &wall;
        return house;
    }

    /// Where it is given; else at the wall where the ways to all fixtures are shortest as the crow flies.
    void place_transformer() {
        glm::dvec2 middle(0);
        for (const Spot& spot : spots_)
            middle += spot.at / static_cast<double>(spots_.size());
        transformer_ = {.id = "T1", .at = middle, .taps = {12, 13, 14, 15}};
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

    static bool is_before_opening(const Wall& wall, double along) {
        return std::any_of(wall.openings.begin(), wall.openings.end(), [&](const Opening& opening) {
            return along > opening.from - stand_off && along < opening.from + opening.width + stand_off;
        });
    }

    /// Between stops: 0 is the transformer, then the spots in order.
    double cost_of(std::size_t a, std::size_t b) const {
        return ways_[a].cost[static_cast<std::size_t>(cells_[b])];
    }
    double volt_amperes_of(const std::vector<std::size_t>& stops) const {
        double sum = 0;
        for (const std::size_t stop : stops)
            sum += spots_[stop - 1].volt_amperes;
        return sum;
    }

    /// The shortest round from the transformer through all, cut where that saves most and the two ways out
    /// still carry about the same; each in as many parts as its amps need.
    std::vector<std::vector<std::size_t>> share_out() {
        std::vector<std::size_t> all(spots_.size());
        std::iota(all.begin(), all.end(), std::size_t{1});
        std::vector<std::size_t> round = find_order(all, true);
        round.erase(round.begin());
        const std::size_t fewest = 4; // a handful needs no second run
        std::vector<std::vector<std::size_t>> sides{round, {}};
        if (round.size() >= fewest) {
            const std::size_t cut = find_cut(round);
            const auto middle = round.begin() + static_cast<std::ptrdiff_t>(cut);
            sides = {{round.begin(), middle}, {round.rbegin(), std::make_reverse_iterator(middle)}};
        }
        std::vector<std::vector<std::size_t>> groups;
        for (const std::vector<std::size_t>& side : sides)
            split_by_amps(side, groups);
        name_sides(groups);
        return groups;
    }

    /// How many of the round's stops go one way.
    std::size_t find_cut(const std::vector<std::size_t>& round) const {
        const double uneven = 1.5, whole = volt_amperes_of(round);
        std::size_t best = round.size() / 2;
        double most = -1, evenest = HUGE_VAL, passed = 0;
        bool is_even_found = false;
        for (std::size_t cut = 1; cut < round.size(); ++cut) {
            passed += spots_[round[cut - 1] - 1].volt_amperes;
            const double ratio =
                std::max(passed, whole - passed) / std::max(1e-9, std::min(passed, whole - passed));
            const double saved = cost_of(round[cut - 1], round[cut]);
            if (ratio <= uneven ? saved > most : !is_even_found && ratio < evenest) {
                best = cut;
                is_even_found = is_even_found || ratio <= uneven;
                most = ratio <= uneven ? saved : most;
                evenest = ratio;
            }
        }
        return best;
    }

    void split_by_amps(const std::vector<std::size_t>& side,
                       std::vector<std::vector<std::size_t>>& groups) const {
        const double whole = volt_amperes_of(side);
        const double share =
            whole / std::max(1.0, std::ceil(whole / (most_amps * transformer_.taps.front())));
        std::vector<std::size_t> group;
        for (const std::size_t stop : side) {
            const double next = spots_[stop - 1].volt_amperes;
            if (!group.empty() && volt_amperes_of(group) + next / 2 > share) {
                groups.push_back(std::move(group));
                group.clear();
            }
            group.push_back(stop);
        }
        if (!group.empty())
            groups.push_back(std::move(group));
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

    /// The lowest tap and then the thinnest cable from 12 AWG on with which every lamp is within its
    /// operating range.
    void suit_lamps(Network& network) const {
        Site changed = site_;
        for (CableRun& run : network.runs) {
            Network one = network;
            run.gauge = 12;
            bool is_done = false;
            CableRun best = run;
            std::size_t most = 0;
            for (const int gauge : {12, 10, 8}) {
                for (const double tap : transformer_.taps) {
                    if (is_done || !is_borne(run, tap))
                        continue;
                    CableRun tried = run;
                    tried.gauge = gauge;
                    tried.tap = tap;
                    one.runs = {tried};
                    changed.network = one;
                    const LoadReport report = measure_load(changed, folder_, choice_);
                    const std::size_t good = count_good(report);
                    if (good > most) {
                        most = good;
                        best = tried;
                    }
                    is_done = is_run_good(report, report.runs[0]);
                }
            }
            run = best;
        }
    }

    static std::size_t count_good(const LoadReport& report) {
        const RunLoad& run = report.runs[0];
        return !run.is_found ? 0
                             : static_cast<std::size_t>(std::count_if(
                                   run.fixtures.begin(), run.fixtures.end(), [&](std::size_t i) {
                                       return report.fixtures[i].state == VoltageState::good;
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
