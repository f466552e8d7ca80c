// Dormers: a front wall of four pieces round its window, a solid house behind it, and a covering that runs
// back into the roof. All are closed bodies over convex pieces of the plan.

#include <algorithm>
#include <cmath>

#include "build_dormers.hpp"

namespace duskcast {
namespace {

constexpr double dormer_slab = 0.06;    ///< thickness of the covering, whose edges are boards
constexpr double in_the_roof = 0.1;     ///< how far the walls reach down below the roof's covering
constexpr double slab_clearance = 1e-4; ///< between faces that would lie in one place

/// Square to the side of the roof that it stands on: x along that side, y behind it.
class DormerBuilder {
public:
    DormerBuilder(StageBuilder& builder, const DormerSite& at, const Dormer& dormer)
        : builder_(builder), at_(at), dormer_(dormer), plan_(plan_dormer(at.plan, dormer)),
          way_(glm::normalize(plan_.side->end - plan_.side->start)), inward_(-way_.y, way_.x),
          surface_(builder.add_surface(at.roof.id + "." + dormer.id, SurfaceKind::roof, at.roof.id)),
          bodies_{at.bodies.triangles, surface_, surface_},
          finish_(dormer.finish ? *dormer.finish : at.end_finish), walls_(builder.add_material(finish_)) {}

    void build() {
        build_walls();
        build_covering();
        build_window();
    }

private:
    glm::dvec2 plan_at(double x, double y) const { return plan_.side->start + x * way_ + y * inward_; }
    std::vector<glm::dvec2> rectangle(double x0, double x1, double y0, double y1) const {
        return {plan_at(x0, y0), plan_at(x1, y0), plan_at(x1, y1), plan_at(x0, y1)};
    }
    HeightPlane level(double z) const { return {glm::dvec2(0), z, glm::dvec2(0)}; }
    /// The roof's covering, and as far below it.
    HeightPlane roof_less(double below) const {
        return {plan_at(0, 0), at_.plan.plane_at(*plan_.side, plan_at(0, 0)) - below,
                at_.plan.slope * inward_};
    }
    /// Above the walls, on the half to the left (1) or right (-1) of a gable's ridge.
    HeightPlane top(double turn, double above) const {
        if (dormer_.form == DormerForm::shed)
            return {plan_at(plan_.left, plan_.face), plan_.eave + above, plan_.slope * inward_};
        return {plan_at(turn > 0 ? plan_.left : plan_.right, plan_.face), plan_.eave + above,
                turn * plan_.slope * way_};
    }
    /// Halves under a gable's slopes, or the whole under a shed's.
    struct Half {
        double left, right, turn;
    };
    std::vector<Half> halves(double left, double right) const {
        if (dormer_.form == DormerForm::shed)
            return {{left, right, 1}};
        const double middle = (plan_.left + plan_.right) / 2;
        std::vector<Half> cut;
        if (left < middle)
            cut.push_back({left, std::min(right, middle), 1});
        if (right > middle)
            cut.push_back({std::max(left, middle), right, -1});
        return cut;
    }

    void add_wall(const std::vector<glm::dvec2>& piece, const HeightPlane& lower, const HeightPlane& upper) {
        add_body(bodies_, piece, lower, upper, {walls_, walls_, walls_, way_, at_.course_size});
    }

    void build_walls() {
        const Opening& window = plan_.window;
        const double front = plan_.face, pane = front + window.reveal, sill = plan_.foot + window.sill,
                     head = sill + window.height, from = plan_.left + window.from, to = from + window.width;
        for (const Half& half : halves(plan_.left, plan_.right))
            add_wall(rectangle(half.left, half.right, pane, plan_.back), roof_less(in_the_roof),
                     top(half.turn, 0));
        const auto add_beside = [&](double left, double right) {
            for (const Half& half : halves(left, right))
                add_wall(rectangle(half.left, half.right, front, pane), roof_less(in_the_roof),
                         top(half.turn, 0));
        };
        add_beside(plan_.left, from);
        add_beside(to, plan_.right);
        add_wall(rectangle(from, to, front, pane), roof_less(in_the_roof), level(sill));
        for (const Half& half : halves(from, to))
            add_wall(rectangle(half.left, half.right, front, pane), level(head), top(half.turn, 0));
        UprightFace face;
        face.run = run_of({plan_at(plan_.left, plan_.back), plan_at(plan_.left, front),
                           plan_at(plan_.right, front), plan_at(plan_.right, plan_.back)},
                          false);
        face.foot = plan_.foot;
        if (dormer_.cladding)
            builder_.add_cladding(surface_, face, *dormer_.cladding, finish_);
        Opening on_run = window; // which begins with its left cheek
        on_run.from += face.run[1].along;
        builder_.add_trim(surface_, face, {on_run}, nullptr);
    }

    void build_covering() {
        // Of the roof's own surface, as its courses are those of the roof.
        BodyMaker covering{at_.bodies.triangles, at_.bodies.top_surface, at_.bodies.side_surface};
        const double over = dormer_.overhang;
        const auto add_slab = [&](const std::vector<glm::dvec2>& piece, double turn,
                                  const glm::dvec2& across) {
            HeightPlane lower = top(turn, 0);
            lower.height += slab_clearance;
            add_body(covering, piece, lower, top(turn, dormer_slab),
                     {at_.cover, at_.trim, at_.trim, across, at_.course_size});
        };
        const double back = plan_.back + dormer_slab / at_.plan.slope;
        if (dormer_.form == DormerForm::shed) {
            add_slab(rectangle(plan_.left - over, plan_.right + over, plan_.face - over,
                               plan_.back + dormer_slab / (at_.plan.slope - plan_.slope)),
                     1, way_);
        } else {
            const double middle = (plan_.left + plan_.right) / 2;
            add_slab(rectangle(plan_.left - over, middle, plan_.face - over, back), 1, -inward_);
            add_slab(rectangle(middle, plan_.right + over, plan_.face - over, back), -1, inward_);
        }
        at_.bodies.covered += covering.covered;
    }

    void build_window() {
        const Opening& window = plan_.window;
        const std::uint16_t surface = builder_.add_surface(at_.roof.id + "." + dormer_.id + "." + window.id,
                                                           SurfaceKind::opening, at_.roof.id);
        const std::uint16_t material =
            builder_.add_material(window.finish, glow_of(window), window.width * window.height);
        const double left = plan_.left + window.from, sill = plan_.foot + window.sill;
        // A little before the house behind it.
        const auto corner = [&](double x, double y, double up) {
            return glm::dvec3(plan_at(left + x, y), sill + up);
        };
        const auto rectangle_at = [&](double y) {
            return std::vector{corner(0, y, 0), corner(window.width, y, 0),
                               corner(window.width, y, window.height), corner(0, y, window.height)};
        };
        const std::vector<glm::dvec3> pane = rectangle_at(plan_.face + window.reveal - 2e-3);
        Triangles& triangles = at_.bodies.triangles;
        const auto first = static_cast<unsigned>(triangles.vertices.size());
        for (const glm::dvec3& point : pane)
            triangles.vertices.emplace_back(point);
        triangles.add({first, first + 1, first + 2}, material, surface, false);
        triangles.add({first, first + 2, first + 3}, material, surface, false);
        builder_.add_opening_relief(surface, window, {glm::dvec2(pane[0]), way_, -inward_, 0, window.width},
                                    sill);
        builder_.add_glow_source(surface, material, {GlowFace(pane)}, {}, rectangle_at(plan_.face));
    }

    StageBuilder& builder_;
    const DormerSite& at_;
    const Dormer& dormer_;
    DormerPlan plan_;
    glm::dvec2 way_, inward_;
    std::uint16_t surface_;
    BodyMaker bodies_;
    Finish finish_;
    std::uint16_t walls_;
};

} // namespace

void build_dormer(StageBuilder& builder, const DormerSite& at, const Dormer& dormer) {
    DormerBuilder(builder, at, dormer).build();
}

} // namespace duskcast
