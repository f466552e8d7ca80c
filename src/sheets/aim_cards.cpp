// What there is to do at each fixture, in words.

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <numeric>

#include "duskcast/sheets/aim_sheet.hpp"
#include "duskcast/sheets/client_words.hpp"
#include "duskcast/sheets/fixture_words.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

double walk_length(const std::vector<std::size_t>& order, const std::vector<glm::dvec2>& spots,
                   const glm::dvec2& start) {
    glm::dvec2 last = start;
    double length = 0;
    for (const std::size_t i : order) {
        length += glm::distance(last, spots[i]);
        last = spots[i];
    }
    return length;
}

class CardMaker {
public:
    CardMaker(const Site& site, const Lighting& lighting, const Report& report)
        : site_(site), lighting_(lighting), report_(report) {}

    AimCard make(std::size_t index) const {
        const Fixture& fixture = site_.fixtures[index];
        const LitFixture& lit = lighting_.fixtures[index];
        const PlacedFixture placed = place_fixture(site_, fixture);
        AimCard card{.fixture = index, .id = fixture.id};
        card.kind = kind_of(fixture);
        card.lamp = describe_fixture(site_, fixture, std::nullopt, 0).lamp;
        card.place = print_fixture_place(site_, fixture);
        card.stands = print_stand(fixture);
        add_tilt(fixture, lit, placed.aim, card);
        card.way = print_fixture_way(site_, fixture);
        add_purpose(fixture, card);
        return card;
    }

private:
    std::string kind_of(const Fixture& fixture) const {
        if (const FixtureModel* model = find_model(site_.catalogue, fixture.model))
            return model->name.empty() ? model->id : model->name;
        return name_of(fixture.kind);
    }

    std::string print_stand(const Fixture& fixture) const {
        const std::string lens = "lens " + print_setback(fixture.lens_height, site_.units) + " up";
        if (fixture.wall.empty() && fixture.tree.empty())
            return lens;
        return fmt::format("{} back from the {}, {}", print_setback(setback_of(fixture), site_.units),
                           fixture.wall.empty() ? "bark" : "wall", lens);
    }

    void add_tilt(const Fixture& fixture, const LitFixture& lit, const Aim& aim, AimCard& card) const {
        if (aim.tilt > radians_from_degrees(90)) {
            const double down = pi - aim.tilt;
            card.tilt = down >= straight_aim                ? print_angle(down) + " from straight down"
                        : fixture.kind == FixtureKind::path ? "stake plumb, hat level"
                                                            : "straight down";
            return;
        }
        card.tilt = aim.tilt < radians_from_degrees(0.25) ? "straight up"
                                                          : print_angle(aim.tilt) + " from straight up";
        card.tilt_degrees = degrees_from_radians(aim.tilt);
        const double rim = static_cast<double>(lit.lens.diameter) * std::sin(aim.tilt);
        if (lit.lens.is_flush || aim.tilt > radians_from_degrees(60) || rim < 0.0008)
            return;
        card.rim = fmt::format("across the {} of its lens the {} side is {} lower",
                               print_fine_length(static_cast<double>(lit.lens.diameter), site_.units),
                               !fixture.wall.empty()   ? "wall"
                               : !fixture.tree.empty() ? "trunk"
                                                       : "far",
                               print_fine_length(rim, site_.units));
    }

    void add_purpose(const Fixture& fixture, AimCard& card) const {
        std::string on;
        for (const FixturePurpose& purpose : report_.purposes)
            if (purpose.fixture == fixture.id) {
                on = purpose.on;
                const std::string name = purpose.target.empty() ? purpose.on : purpose.target;
                card.lights = name.empty()       ? "nothing within reach"
                              : name == "ground" ? "the open ground"
                                                 : "the " + spoken_name(name);
            }
        for (const FixtureReach& reach : report_.reaches) {
            if (reach.fixture != fixture.id || !(reach.surface == on || reach.surface.starts_with(on + ".")))
                continue;
            for (const Reach& level : reach.levels)
                if (std::abs(level.level_lx - reach.level_lx) < 1e-9 * reach.level_lx && level.height)
                    card.stops = level.is_to_top
                                     ? fmt::format("at the top of the wall, {}; none past the edge",
                                                   print_height(level.wall_height, site_.units))
                                     : fmt::format("at about {} up: there {} ends",
                                                   print_height(*level.height, site_.units),
                                                   print_illuminance(level.level_lx, site_.light));
        }
        if (card.stops.empty() && find_tree(site_, on) != nullptr)
            for (const SeenFeature& seen : report_.seen)
                if (seen.on == on && seen.is_seen() && seen.sighting != Sighting::unlit) {
                    const LitStretches& lit = seen.sighting == Sighting::lit ? seen.lit : seen.faint;
                    card.stops = fmt::format("in the crown, about {} up; none past its edge",
                                             print_height(lit.main.to, site_.units));
                    break;
                }
        if (card.stops.empty())
            card.stops = "short of windows, roads and eyes";
    }

    const Site& site_;
    const Lighting& lighting_;
    const Report& report_;
};

} // namespace

std::vector<std::size_t> find_walk(const Site& site, const glm::dvec2& start) {
    std::vector<glm::dvec2> spots;
    for (const Fixture& fixture : site.fixtures)
        spots.emplace_back(place_fixture(site, fixture).position);
    std::vector<std::size_t> order, left(spots.size());
    std::iota(left.begin(), left.end(), std::size_t{0});
    glm::dvec2 last = start;
    while (!left.empty()) {
        const auto next = std::min_element(left.begin(), left.end(), [&](std::size_t a, std::size_t b) {
            return glm::distance(spots[a], last) < glm::distance(spots[b], last);
        });
        order.push_back(*next);
        last = spots[*next];
        left.erase(next);
    }
    // Turning a stretch round as long as that makes the walk shorter (2-opt, Croes 1958).
    for (bool is_shorter = true; is_shorter;) {
        is_shorter = false;
        for (std::size_t i = 0; i + 1 < order.size(); ++i)
            for (std::size_t k = i + 1; k < order.size(); ++k) {
                std::vector<std::size_t> other = order;
                std::reverse(other.begin() + static_cast<std::ptrdiff_t>(i),
                             other.begin() + static_cast<std::ptrdiff_t>(k + 1));
                if (walk_length(other, spots, start) < walk_length(order, spots, start) - 1e-6) {
                    order = std::move(other);
                    is_shorter = true;
                }
            }
    }
    return order;
}

std::string print_fine_length(double metres, LengthUnit unit) {
    if (unit == LengthUnit::metre)
        return fmt::format("{:.0f} mm", 1000 * metres);
    const long sixteenths = std::lround(metres / metres_per_inch * 16);
    const long whole = sixteenths / 16, part = sixteenths % 16;
    if (part == 0)
        return fmt::format("{} in", whole);
    const long common = std::gcd(part, 16L);
    return fmt::format("{}{}/{} in", whole > 0 ? fmt::format("{} ", whole) : "", part / common, 16 / common);
}

std::string print_meter_place(const MeterPoint& point, LengthUnit unit) {
    const auto side = [&](double metres) {
        return fmt::format("{} to the {}", print_setback(std::abs(metres), unit),
                           metres < 0 ? "left" : "right");
    };
    constexpr double none = 0.02;
    std::string from;
    if (std::abs(point.ahead) > none)
        from = print_setback(point.ahead, unit) + " ahead";
    if (std::abs(point.aside) > none)
        from += (from.empty() ? "" : ", ") + side(point.aside);
    if (point.bearing && !from.empty())
        from = fmt::format("{} to the {}", print_setback(std::hypot(point.ahead, point.aside), unit),
                           print_compass(*point.bearing, 8));
    switch (point.hold) {
    case MeterHold::against_wall:
        return fmt::format("flat on the wall, {} up, {}", print_length(point.height, unit),
                           from.empty() ? "in line with the light" : from);
    case MeterHold::looking_down:
        return fmt::format("level, looking down, {} up, {}", print_length(point.height, unit),
                           from.empty() ? "plumb over the lens" : from + " of the lens");
    case MeterHold::looking_up:
        break;
    }
    return fmt::format("on the ground, looking up, {}",
                       from.empty() ? "below the lens" : from + " of the light");
}

AimSheet make_aim_sheet(const Site& site, const Lighting& lighting, const Report& report,
                        const MeterModel& model, const std::vector<MeterRange>& ranges,
                        const std::optional<LoadReport>& load) {
    AimSheet sheet{.site_name = site.name, .light = site.light, .is_as_new = site.is_as_new};
    const glm::dvec2 start = site.network && !site.network->transformers.empty()
                                 ? site.network->transformers.front().at
                                 : plan_bounds(site).first;
    const std::vector<double> lux = model.find_lux(std::vector<FixtureOffset>(model.fixture_count()));
    const CardMaker maker(site, lighting, report);
    for (const std::size_t index : find_walk(site, start)) {
        AimCard card = maker.make(index);
        for (std::size_t i = 0; i < model.points().size(); ++i)
            if (model.points()[i].fixture == index)
                card.points.push_back({model.points()[i].number,
                                       print_meter_place(model.points()[i], site.units), lux[i], ranges[i]});
        if (load)
            for (const FixtureLoad& fed : load->fixtures)
                if (fed.id == card.id && load->runs[fed.run].is_found)
                    card.volts = fed.volts;
        sheet.cards.push_back(std::move(card));
    }
    return sheet;
}

} // namespace duskcast
