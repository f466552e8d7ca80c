// Roofs over footprints, cross roofs over gables, dormers, chimneys, gutters and columns. Everything is a closed body
// over a convex piece of the plan; where bodies overlap, light meets the outermost.

#include <algorithm>
#include <cmath>

#include "build_dormers.hpp"
#include "builder.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/roof_plan.hpp"
#include "roof_body.hpp"

namespace duskcast {
namespace {

constexpr double behind_face =
    0.4; ///< how far behind a gable roofs are solid: panes lie set back before that
constexpr double into_gable = 0.05;    ///< how far a rake reaches into the wall
constexpr double slab = 0.1;           ///< thickness of the covering between the two
constexpr double cover_on_rake = 0.03; ///< how thick the covering lies on a rake board of the wall
/// How far a body's underside is above the plane that it lies on. An eave or a gable's edge of the wall ends
/// in that plane: two faces in one place would leave it to the last bit which of them a ray meets.
constexpr double clearance_below = 1e-4;
constexpr double gutter_size = 0.12;                   ///< 5 in: usual on houses (common practice, no source)
constexpr double cap_height = 0.12, cap_beyond = 0.06; ///< of a chimney's cap
constexpr double plinth_height = 0.12,
                 plinth_beyond = 0.12; ///< of a column's foot and head; a share of its width

/// A stretch of a roof's side, counted from its start.
struct Span {
    double from = 0, to = 0;
};

class RoofBuilder {
public:
    RoofBuilder(StageBuilder& builder, const Roof& roof)
        : builder_(builder), roof_(roof), plan_(plan_roof(builder.site, roof)),
          wall_(roof.wall.empty() ? nullptr : find_wall(builder.site, roof.wall)),
          bodies_{builder.stage.opaque, builder.add_surface(roof.id, SurfaceKind::roof, roof.id),
                  builder.add_surface(roof.id + ".trim", SurfaceKind::roof, roof.id)},
          trim_(builder.add_material(roof.trim)), ends_(builder.add_material(end_finish())),
          courses_(course_size(roof.cover)),
          cover_(builder.add_material(cover_material(builder.stage, roof))) {}

    void build() {
        for (const RoofSide& side : plan_.sides)
            if (side.is_sloping)
                build_plane(side);
        for (const RoofSide& side : plan_.sides)
            if (side.segment >= 0)
                build_cross_roofs(side);
        for (const Chimney& chimney : roof_.chimneys)
            build_chimney(chimney);
        const DormerSite slopes{roof_, plan_, bodies_, cover_, trim_, end_finish(), courses_};
        for (const Dormer& dormer : roof_.dormers)
            build_dormer(builder_, slopes, dormer);
        if (roof_.columns)
            build_columns(*roof_.columns);
        builder_.stage.surfaces[bodies_.top_surface].area = bodies_.covered;
    }

private:
    Finish end_finish() const {
        if (roof_.gable_finish)
            return *roof_.gable_finish;
        return wall_ ? wall_->finish : roof_.trim;
    }

    HeightPlane level(double z) const { return {glm::dvec2(0), z, glm::dvec2(0)}; }
    HeightPlane plane_of(const RoofSide& side, double lower = 0) const {
        const glm::dvec2 way = glm::normalize(side.end - side.start);
        return {side.start, plan_.plane_at(side, side.start) - lower,
                plan_.slope * glm::dvec2(-way.y, way.x)};
    }
    BodyLook look(const glm::dvec2& across, std::uint16_t sides) const {
        return {cover_, sides, trim_, across, courses_};
    }

    /// A body that stands a little off the plane it lies on.
    void add(const std::vector<glm::dvec2>& piece, HeightPlane lower, const HeightPlane& upper,
             const BodyLook& look) {
        lower.height += clearance_below;
        add_body(bodies_, piece, lower, upper, look);
    }

    void build_plane(const RoofSide& side) {
        const glm::dvec2 way = glm::normalize(side.end - side.start);
        const std::vector<glm::dvec2> part = plan_.part_below(side, plan_.outline(true));
        build_eave(side, keep_inside(part, side.end, side.start));
        std::vector<glm::dvec2> rest = keep_inside(part, side.start, side.end);
        for (const RoofSide& other : plan_.sides) {
            if (&other == &side || rest.empty())
                continue;
            // Before an upright end the covering overhangs alone.
            add(keep_inside(rest, other.end, other.start),
                other.is_sloping ? level(plan_.underside) : plane_of(side, side.edge), plane_of(side),
                look(way, trim_));
            rest = keep_inside(rest, other.start, other.end);
        }
        // Behind a gable of the wall there is room for its panes.
        const glm::dvec2 inward(-way.y, way.x);
        const auto cut = [&](double from, double to, double behind) {
            const glm::dvec2 left = side.start + from * way, right = side.start + to * way,
                             back = behind * inward;
            std::vector<glm::dvec2> piece =
                keep_inside(keep_inside(rest, left + inward, left), right, right + inward);
            if (behind > 0)
                piece = keep_inside(piece, side.start + back, side.end + back);
            add(piece, level(plan_.underside), plane_of(side), look(way, ends_));
        };
        for (const Span& span : free_spans(side))
            cut(span.from, span.to, 0);
        for (const Span& span : gables_on(side))
            cut(span.from, span.to, behind_face);
    }

    /// What of a side's length is free of gables. Beyond the ends of the footprint the overhang goes on.
    std::vector<Span> free_spans(const RoofSide& side) const {
        constexpr double beyond = 100;
        const double length = glm::distance(side.start, side.end);
        std::vector<Span> spans{{-beyond, length + beyond}};
        for (const Span& gable : gables_on(side)) {
            const Span last = spans.back();
            spans.pop_back();
            if (gable.from > last.from)
                spans.push_back({last.from, std::max(last.from, gable.from)});
            spans.push_back({std::max(last.from, gable.to), last.to});
        }
        return spans;
    }

    std::vector<Span> gables_on(const RoofSide& side) const {
        std::vector<Span> spans;
        if (side.segment < 0)
            return spans;
        const RunSegment segment = run_of(*wall_)[static_cast<std::size_t>(side.segment)];
        for (const Gable& gable : wall_->gables)
            if (gable.from > segment.along - 1e-6 && gable.from < segment.along + segment.length - 1e-6)
                spans.push_back({gable.from - segment.along, gable.from + gable.width - segment.along});
        sort_stably(spans, [](const Span& a, const Span& b) { return a.from < b.from; });
        return spans;
    }

    /// The overhang before a sloping side. Where an eave of the wall is, it lies on that.
    void build_eave(const RoofSide& side, const std::vector<glm::dvec2>& strip) {
        const glm::dvec2 way = glm::normalize(side.end - side.start);
        const glm::dvec2 inward(-way.y, way.x);
        const double length = glm::distance(side.start, side.end);
        const bool has_eave = side.segment >= 0 && wall_->eave && wall_->eave->depth > 0;
        for (const Span& span : free_spans(side)) {
            const auto cut = [&](double from, double to, double lower) {
                const glm::dvec2 left = side.start + from * way, right = side.start + to * way;
                const std::vector<glm::dvec2> piece =
                    keep_inside(keep_inside(strip, left + inward, left), right, right + inward);
                add(piece, level(lower), plane_of(side), look(way, trim_));
                if (roof_.has_gutters)
                    hang_gutter(side, way, piece);
            };
            if (!has_eave) {
                cut(span.from, span.to, plan_.underside);
                continue;
            }
            // The wall's eave goes round a corner of its run, and ends where the run does.
            const bool is_joined_before = is_on_wall(side, -1), is_joined_after = is_on_wall(side, 1);
            const double from = is_joined_before ? span.from : std::max(span.from, 0.0);
            const double to = is_joined_after ? span.to : std::min(span.to, length);
            if (from > span.from)
                cut(span.from, from, plan_.underside);
            if (to > from)
                cut(from, to, plan_.underside + side.edge);
            if (to < span.to)
                cut(to, span.to, plan_.underside);
        }
    }

    /// Whether the neighbouring side is a part of the wall as well.
    bool is_on_wall(const RoofSide& side, int step) const {
        const auto count = plan_.sides.size();
        const auto own = static_cast<std::size_t>(&side - plan_.sides.data());
        return plan_.sides[(own + count + static_cast<std::size_t>(step)) % count].segment >= 0;
    }

    void hang_gutter(const RoofSide& side, const glm::dvec2& way, const std::vector<glm::dvec2>& piece) {
        double from = 1e9, to = -1e9;
        for (const glm::dvec2& point : piece)
            if (side.inside(point) < -side.overhang + 1e-6) {
                from = std::min(from, glm::dot(point - side.start, way));
                to = std::max(to, glm::dot(point - side.start, way));
            }
        if (to < from + gutter_size)
            return;
        const glm::dvec2 outward(way.y, -way.x);
        const glm::dvec2 left = side.start + from * way + side.overhang * outward,
                         right = side.start + to * way + side.overhang * outward;
        const double top = plan_.underside + side.edge;
        add({left + gutter_size * outward, right + gutter_size * outward, right, left},
            level(top - gutter_size), level(top), {trim_, trim_, trim_, way, courses_});
    }

    /// A roof over each gable of the wall on this side, with its ridge running back into the planes or, where
    /// it is higher than they are, to the far side.
    void build_cross_roofs(const RoofSide& side) {
        for (const Gable& gable : wall_->gables) {
            const RunSegment segment = run_of(*wall_)[static_cast<std::size_t>(side.segment)];
            const double from = gable.from - segment.along;
            if (from > -1e-6 && from + gable.width < segment.length + 1e-6)
                build_cross_roof(side, from, gable);
        }
    }

    void build_cross_roof(const RoofSide& side, double from, const Gable& gable) {
        const double rise = gable.peak - wall_->height, half = gable.width / 2;
        const double slope = rise / half, middle = from + half;
        const glm::dvec2 way = glm::normalize(side.end - side.start);
        const glm::dvec2 inward(-way.y, way.x);
        const double depth = cross_roof_depth(side, middle, rise);
        // Beside the gable it goes on for as long as it is above the wall's top.
        const double beside = std::max(0.0, side.edge - 0.02) / slope;
        const double low = wall_->foot + wall_->height;
        const bool has_rakes = wall_->eave && wall_->eave->rake_depth > 0;
        const double before = has_rakes ? wall_->eave->rake_depth + 0.02 : roof_.overhang;
        for (const double turn : {1.0, -1.0}) {
            const double foot = turn > 0 ? from : from + gable.width;
            const glm::dvec2 at_foot = side.start + foot * way;
            // Above the gable's edge by `above`.
            const auto slope_at = [&](double above) {
                return HeightPlane{at_foot, low + above, turn * slope * way};
            };
            const auto piece = [&](double outer, double front, double back) {
                std::vector<glm::dvec2> corners;
                for (const glm::dvec2& corner : {glm::dvec2(foot - turn * outer, front),
                                                 {middle, front},
                                                 {middle, back},
                                                 {foot - turn * outer, back}})
                    corners.push_back(side.start + corner.x * way + corner.y * inward);
                if (turn < 0)
                    std::reverse(corners.begin(), corners.end());
                return corners;
            };
            // The overhang beside it goes on until the gable's slope is as high.
            const double run = plan_.slope * (side.overhang + behind_face) / slope;
            if (side.is_sloping && run > 0 && run < half) {
                const glm::dvec2 back = at_foot + behind_face * inward;
                std::vector<glm::dvec2> valley{at_foot - side.overhang * inward, back + turn * run * way,
                                               back};
                if (turn < 0)
                    std::reverse(valley.begin(), valley.end());
                add(valley, slope_at(side.edge), plane_of(side), look(way, trim_));
            }
            const glm::dvec2 across = turn > 0 ? -inward : inward; // the eave's direction, roof on its left
            add(piece(beside, behind_face, depth), level(low), slope_at(side.edge), look(across, ends_));
            add(piece(beside, into_gable, behind_face), slope_at(side.edge - std::min(slab, side.edge)),
                slope_at(side.edge), look(across, trim_));
            add(piece(has_rakes ? 0 : beside, -before, into_gable), slope_at(has_rakes ? side.edge : 0),
                slope_at(side.edge + (has_rakes ? cover_on_rake : 0)), look(across, trim_));
        }
    }

    double cross_roof_depth(const RoofSide& side, double middle, double rise) const {
        double far_side = 0;
        for (const RoofSide& other : plan_.sides)
            far_side = std::max(far_side, side.inside(other.start));
        if (!side.is_sloping)
            return far_side;
        const glm::dvec2 way = glm::normalize(side.end - side.start);
        const double meeting = rise / plan_.slope - side.overhang;
        const glm::dvec2 point = side.start + middle * way + meeting * glm::dvec2(-way.y, way.x);
        const bool is_met = meeting < far_side && plan_.top_at(point) > plan_.plane_at(side, point) - 1e-6;
        return is_met ? std::max(meeting, 2 * behind_face) : far_side;
    }

    /// A box that stands square to the roof's front.
    void add_block(const glm::dvec2& middle, double width, double depth, double low, double high,
                   std::uint16_t material, std::uint16_t surface) {
        const glm::dvec2 way = glm::normalize(plan_.sides[0].end - plan_.sides[0].start);
        const glm::dvec2 across = width / 2 * way, inward = depth / 2 * glm::dvec2(-way.y, way.x);
        std::array<glm::dvec3, 8> corners;
        const std::array<glm::dvec2, 4> around{middle - across - inward, middle + across - inward,
                                               middle + across + inward, middle - across + inward};
        for (std::size_t i = 0; i < 4; ++i) {
            corners[i] = {around[i], low};
            corners[i + 4] = {around[i], high};
        }
        add_box(corners, material, surface, builder_.stage.opaque);
    }

    void build_chimney(const Chimney& chimney) {
        const std::uint16_t surface =
            builder_.add_surface(roof_.id + "." + chimney.id, SurfaceKind::roof, roof_.id);
        const double top = chimney.height.value_or(plan_.ridge() + chimney_above_ridge);
        const double neck = std::max(plan_.underside, top - cap_height);
        add_block(chimney.at, chimney.width, chimney.depth, plan_.underside, neck,
                  builder_.add_material(chimney.finish), surface);
        add_block(chimney.at, chimney.width + 2 * cap_beyond, chimney.depth + 2 * cap_beyond, neck, top,
                  builder_.add_material(make_finish("concrete")), surface);
    }

    void build_columns(const Columns& columns) {
        const RoofSide& front = plan_.sides[0];
        const glm::dvec2 way = glm::normalize(front.end - front.start);
        const double inset = columns.diameter * (1 + plinth_beyond) / 2;
        const double length = glm::distance(front.start, front.end);
        const std::uint16_t material = builder_.add_material(columns.finish);
        const double top_width = columns.top_diameter.value_or(columns.diameter);
        for (int i = 0; i < columns.count; ++i) {
            const double share = columns.count > 1 ? i / (columns.count - 1.0) : 0.5;
            const glm::dvec2 at = front.start + (inset + share * (length - 2 * inset)) * way +
                                  inset * glm::dvec2(-way.y, way.x);
            const double low = columns.foot + plinth_height, high = plan_.underside - plinth_height;
            const double wide = 1 + plinth_beyond;
            add_block(at, wide * columns.diameter, wide * columns.diameter, columns.foot, low, material,
                      bodies_.side_surface);
            add_block(at, wide * top_width, wide * top_width, high, plan_.underside, material,
                      bodies_.side_surface);
            const bool is_round = columns.form == ColumnForm::round;
            const double to_corner = is_round ? 1 : std::sqrt(2.0);
            add_shaft(builder_.stage.opaque, {at, low}, {at, high}, to_corner * columns.diameter / 2,
                      to_corner * top_width / 2, is_round ? 20 : 4,
                      std::atan2(way.y, way.x) + pi / (is_round ? 20 : 4), material, bodies_.side_surface);
        }
    }

    StageBuilder& builder_;
    const Roof& roof_;
    RoofPlan plan_;
    const Wall* wall_;
    BodyMaker bodies_;
    std::uint16_t trim_;
    std::uint16_t ends_;
    glm::dvec2 courses_; ///< size of a repeat
    std::uint16_t cover_;
};

} // namespace

void StageBuilder::build_roofs() {
    for (const Roof& roof : site.roofs)
        RoofBuilder(*this, roof).build();
}

} // namespace duskcast
