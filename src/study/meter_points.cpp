// Where light is read at each fixture.

#include <algorithm>
#include <cmath>

#include "duskcast/measure/reach.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/study/meter.hpp"

namespace duskcast {

namespace {

constexpr double eye_level = 5 * metres_per_foot;
constexpr double low_level = 2.5 * metres_per_foot;
constexpr double side_step = 1.5 * metres_per_foot;
constexpr double meter_thickness = 0.01; ///< metres: a sensor before the wall it is held against
constexpr double hand_room = 0.1;        ///< metres beyond a meter that is held in the open
constexpr double nearest_wall = 3;       ///< metres: a wall further off is not the fixture's own
constexpr double least_direct = 0.2;     ///< lux: less is no reading

/// A spot of a wall that a meter can be held against; none in openings and beside the wall.
bool is_brick(const Surface& surface, double u, double v) {
    const std::optional<double> top = surface.upper_edge(u);
    if (!top || v > *top - 0.1)
        return false;
    for (const OutlineShape& shape : surface.outline)
        if (shape.role == OutlineShape::Role::opening || shape.role == OutlineShape::Role::projection)
            if (is_inside(shape.points, {u, v}))
                return false;
    return true;
}

class PointChooser {
public:
    PointChooser(const Site& site, const Stage& stage, const std::vector<LitFixture>& fixtures)
        : site_(site), stage_(stage), fixtures_(fixtures) {}

    std::vector<MeterPoint> choose() {
        for (std::size_t i = 0; i < fixtures_.size(); ++i)
            if (fixtures_[i].scale > 0)
                choose_for(i);
        return std::move(points_);
    }

private:
    void choose_for(std::size_t index) {
        const LitFixture& fixture = fixtures_[index];
        const std::size_t first = points_.size();
        const bool is_up = fixture.aim.tilt < radians_from_degrees(80);
        const std::optional<AimLine> line = is_up ? find_aim_line(stage_, fixture) : std::nullopt;
        if (line && add_on_wall(index, *line))
            return drop_dark(first);
        if (is_up)
            for (const auto& [ahead, aside] :
                 {std::pair(0.0, -side_step), std::pair(0.0, side_step), std::pair(side_step, 0.0)})
                add_free(index, MeterHold::looking_down, eye_level, ahead, aside);
        else
            add_on_ground(index);
        drop_dark(first);
    }

    bool add_on_wall(std::size_t index, const AimLine& line) {
        const Surface& surface = stage_.surfaces[static_cast<std::size_t>(line.surface)];
        const RunSegment& segment = segment_at(surface.run, line.along);
        const glm::dvec3 lens(fixtures_[index].lens.centre);
        const glm::dvec2 foot = segment.start + (line.along - segment.along) * segment.direction;
        if (glm::distance(foot, glm::dvec2(lens)) > nearest_wall)
            return false;
        // Seen from outside, the run goes to the right, as it does for somebody who faces the wall.
        std::size_t added = 0;
        for (const auto& [aside, height] :
             {std::pair(-side_step, eye_level), std::pair(side_step, eye_level), std::pair(0.0, low_level)}) {
            const double u = line.along + aside;
            if (u < segment.along || u > segment.along + segment.length || !is_brick(surface, u, height))
                continue;
            const glm::dvec2 plan =
                segment.start + (u - segment.along) * segment.direction + meter_thickness * segment.outward;
            MeterPoint point{
                .fixture = index, .hold = MeterHold::against_wall, .height = height, .aside = aside};
            point.position = {plan, surface.foot + height};
            point.facing = {segment.outward, 0};
            points_.push_back(point);
            ++added;
        }
        return added > 0;
    }

    void add_free(std::size_t index, MeterHold hold, double height, double ahead, double aside) {
        const LitFixture& fixture = fixtures_[index];
        const glm::dvec2 way(std::sin(fixture.aim.azimuth), std::cos(fixture.aim.azimuth));
        const glm::dvec2 right(way.y, -way.x);
        MeterPoint point{.fixture = index, .hold = hold, .height = height, .ahead = ahead, .aside = aside};
        const glm::dvec3 lens(fixture.lens.centre);
        const double ground = lens.z - lens_height_of(index);
        point.position = {glm::dvec2(lens) + ahead * way + aside * right, ground + height};
        point.facing = {0, 0, hold == MeterHold::looking_down ? -1 : 1};
        const bool is_plumb = std::min(fixture.aim.tilt, pi - fixture.aim.tilt) < radians_from_degrees(2);
        if (site_.fixtures[index].at && is_plumb)
            point.bearing = fixture.aim.azimuth + std::atan2(aside, ahead);
        if (is_room_for(point, glm::dvec2(lens)))
            points_.push_back(point);
    }

    /// Whether a hand with a meter gets there from over the lens: not into a wall, nor to the face of one.
    bool is_room_for(const MeterPoint& point, const glm::dvec2& lens) const {
        const glm::dvec3 from(lens, point.position.z);
        const double length = glm::distance(from, point.position);
        if (length < meter_thickness)
            return true;
        const Hit hit = stage_.kernel->find_hit(glm::vec3(from), glm::vec3((point.position - from) / length),
                                                0, static_cast<float>(length + hand_room));
        return hit.kind != FacetKind::opaque;
    }

    double lens_height_of(std::size_t index) const { return site_.fixtures[index].lens_height; }

    /// Where the beam comes down, if that is near enough, and a step to either side.
    void add_on_ground(std::size_t index) {
        const LitFixture& fixture = fixtures_[index];
        const glm::dvec3 axis = beam_axis(fixture.aim);
        const double height = lens_height_of(index);
        const double reach = axis.z < -0.2 ? -height * std::hypot(axis.x, axis.y) / axis.z : 2 * side_step;
        const double middle = std::min(reach, 4.0);
        // Round a path light the ground under it is dark.
        const double step = std::max(side_step, 0.3 * height);
        const double near = middle < 0.1 ? step : middle;
        for (const auto& [ahead, aside] :
             {std::pair(near, 0.0), std::pair(middle, -step), std::pair(middle, step)})
            add_free(index, MeterHold::looking_up, 0.02, ahead, aside);
    }

    /// Points that the fixture does not light, or that something else is in the way of, are left out.
    void drop_dark(std::size_t first) {
        Sensors sensors;
        for (std::size_t i = first; i < points_.size(); ++i)
            sensors.add(glm::vec3(points_[i].position), glm::vec3(points_[i].facing), 1);
        if (sensors.size() == 0)
            return;
        const LitFixture& fixture = fixtures_[points_[first].fixture];
        const Sight sight = trace_sight(stage_, sensors, static_cast<std::uint32_t>(sensors.size()),
                                        fixture.lens, Shadows::fine);
        std::vector<float> lux(sensors.size());
        evaluate_layer(sight, sensors, fixture.aim, fixture.table, fixture.scale, lux);
        std::vector<MeterPoint> kept(points_.begin(), points_.begin() + static_cast<std::ptrdiff_t>(first));
        for (std::size_t i = first; i < points_.size(); ++i)
            if (static_cast<double>(lux[i - first]) >= least_direct) {
                kept.push_back(points_[i]);
                kept.back().number = static_cast<int>(kept.size() - first);
            }
        points_ = std::move(kept);
    }

    const Site& site_;
    const Stage& stage_;
    const std::vector<LitFixture>& fixtures_;
    std::vector<MeterPoint> points_;
};

} // namespace

std::vector<MeterPoint> choose_meter_points(const Site& site, const Stage& stage,
                                            const std::vector<LitFixture>& fixtures) {
    return PointChooser(site, stage, fixtures).choose();
}

MeterModel::MeterModel(const Lighting& lighting, std::vector<MeterPoint> points)
    : lighting_(lighting), points_(std::move(points)) {
    for (const MeterPoint& point : points_)
        sensors_.add(glm::vec3(point.position), glm::vec3(point.facing), 1);
    for (const LitFixture& fixture : lighting.fixtures)
        sights_.push_back(trace_sight(*lighting.stage, sensors_, static_cast<std::uint32_t>(sensors_.size()),
                                      fixture.lens, Shadows::fine));
    if (lighting.bounced_on_planes && sensors_.size() > 0)
        bounced_ = lighting.bounced_on_planes(sensors_);
    bounced_.resize(points_.size(), 0.0);
}

std::vector<double> MeterModel::find_direct(std::size_t fixture, const FixtureOffset& offset) const {
    const LitFixture& lit = lighting_.fixtures[fixture];
    Aim aim = lit.aim;
    aim.tilt += offset.tilt;
    aim.azimuth += offset.azimuth;
    if (aim.tilt < 0) { // over the top, to the other side
        aim.tilt = -aim.tilt;
        aim.azimuth += pi;
        aim.spin += pi;
    }
    std::vector<double> lux(points_.size(), 0.0);
    add_layer(sights_[fixture], sensors_, aim, lit.table, lit.scale * offset.output, lux);
    return lux;
}

std::vector<double> MeterModel::find_lux(const std::vector<FixtureOffset>& offsets) const {
    std::vector<double> lux(points_.size());
    for (std::size_t i = 0; i < points_.size(); ++i)
        lux[i] = bounced_[i] * offsets[points_[i].fixture].output;
    for (std::size_t f = 0; f < lighting_.fixtures.size(); ++f) {
        const std::vector<double> own = find_direct(f, offsets[f]);
        for (std::size_t i = 0; i < lux.size(); ++i)
            lux[i] += own[i];
    }
    return lux;
}

} // namespace duskcast
