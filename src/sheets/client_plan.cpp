#include "duskcast/sheets/client_plan.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "duskcast/draw/labels.hpp"
#include "duskcast/draw/page.hpp"
#include "duskcast/sheets/client_words.hpp"
#include "duskcast/sheets/html.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/roof_plan.hpp"
#include "plan_inks.hpp"

namespace duskcast {

namespace {

constexpr double most_plan_width = 1500, most_client_height = 1000; ///< pixels
constexpr double least_plan_width = 320;
constexpr double plan_border = 2;    ///< metres round everything
constexpr double plan_foot = 64;     ///< of the scale bar, pixels
constexpr double number_radius = 15; ///< pixels

class ClientPlan {
public:
    ClientPlan(const Site& site, const Colour& accent, PictureFormat format)
        : site_(site), accent_(accent), box_(find_box()),
          canvas_(std::ceil(box_.right + box_.left), std::ceil(box_.bottom + plan_foot), format) {}

    std::string draw() {
        canvas_.fill(box_, ground_ink(site_.ground.base));
        for (const GroundArea& area : site_.ground.areas) {
            canvas_.fill(at(area.outline), ground_ink(area.kind));
            canvas_.line(at(area.outline), true, 1.2, {{0.75, 0.74, 0.72}, 1});
        }
        for (const Fountain& fountain : site_.fountains)
            draw_plan_fountain(canvas_, site_, fountain, at(fountain.at), scale_);
        draw_client_plants();
        draw_plan_bodies(canvas_, site_, [&](const std::vector<glm::dvec2>& outline) { return at(outline); });
        for (const std::vector<glm::dvec2>& house : list_house_footprints(site_))
            canvas_.fill(at(house), plan_house_ink);
        for (const Wall& wall : site_.walls) {
            if (wall.closed)
                canvas_.fill(at(wall.path), plan_house_ink);
            canvas_.line(at(wall.path), wall.closed, 6, plan_wall_ink);
        }
        for (const Tree& tree : site_.trees)
            space_.take(Box::round(at(tree.at), glm::dvec2(16))); // of the trunk
        place_marks();
        draw_names();
        draw_marks();
        draw_foot();
        return canvas_.finish();
    }

private:
    Box find_box() {
        std::tie(low_, high_) = plan_bounds(site_);
        low_ -= plan_border;
        high_ += plan_border;
        const glm::dvec2 size = high_ - low_;
        scale_ = std::min((most_plan_width - 4) / size.x, (most_client_height - plan_foot) / size.y);
        // Wide enough for the scale bar, however narrow the lot.
        const double spare = std::max(0.0, (least_plan_width - size.x * scale_) / 2);
        return {2 + spare, 2, 2 + spare + size.x * scale_, 2 + size.y * scale_};
    }

    glm::dvec2 at(const glm::dvec2& point) const {
        return {box_.left + (point.x - low_.x) * scale_, box_.bottom - (point.y - low_.y) * scale_};
    }
    std::vector<glm::dvec2> at(const std::vector<glm::dvec2>& points) const {
        std::vector<glm::dvec2> placed;
        for (const glm::dvec2& point : points)
            placed.push_back(at(point));
        return placed;
    }

    void draw_client_plants() {
        for (const Shrub& shrub : site_.shrubs) {
            if (shrub.outline.empty())
                canvas_.line(at(shrub.path), false, std::max(3.0, shrub.width * scale_),
                             {crown_ink.colour, 0.3});
            else
                canvas_.fill(at(shrub.outline), {crown_ink.colour, 0.3});
        }
        for (const Tree& tree : site_.trees) {
            canvas_.fill_disk(at(tree.at), tree.width / 2 * scale_, {crown_ink.colour, 0.14});
            canvas_.circle(at(tree.at), tree.width / 2 * scale_, 1.8, crown_ink, {9, 6});
            canvas_.fill_disk(at(tree.at), std::max(5.0, trunk_diameter(tree) / 2 * scale_), crown_ink);
        }
    }

    /// Numbers stand on their fixtures, moved apart where they would lie on one another.
    void place_marks() {
        for (const Fixture& fixture : site_.fixtures) {
            const PlacedFixture placed = place_fixture(site_, fixture);
            const glm::dvec2 spot = at(glm::dvec2(placed.position));
            const glm::dvec2 stem{beam_axis(placed.aim).x, -beam_axis(placed.aim).y};
            // Behind the lens, so that the way it points stays free.
            const glm::dvec2 back = glm::length(stem) > 0.02 ? -glm::normalize(stem) : glm::dvec2(0, 1);
            std::vector<Box> candidates;
            for (const double far : {26.0, 60.0, 94.0})
                for (const double turn : {0.0, 0.6, -0.6, 1.2, -1.2, 2.0, -2.0, pi}) {
                    const glm::dvec2 way{back.x * std::cos(turn) - back.y * std::sin(turn),
                                         back.x * std::sin(turn) + back.y * std::cos(turn)};
                    candidates.push_back(Box::round(spot + far * way, glm::dvec2(2 * number_radius + 2)));
                }
            std::erase_if(candidates, [&](const Box& one) { return !box_.contains(one); });
            const Box box =
                space_.take_first_free(candidates).value_or(Box::round(spot, glm::dvec2(2 * number_radius)));
            space_.take(Box::round(spot, glm::dvec2(12)));
            marks_.push_back({spot, stem, box.middle()});
        }
    }

    void draw_marks() {
        const Colour ink =
            find_contrast(accent_, {1, 1, 1}) >= 4.5 ? Colour{1, 1, 1} : Colour{0.1, 0.1, 0.12};
        for (const Mark& mark : marks_) {
            canvas_.line({mark.spot, mark.number}, false, 1.4, text_ink);
            if (glm::length(mark.stem) > 0.02)
                canvas_.line({mark.spot, mark.spot + 16.0 * glm::normalize(mark.stem)}, false, 3, text_ink);
            canvas_.fill_disk(mark.spot, 5, text_ink);
        }
        for (std::size_t i = 0; i < marks_.size(); ++i) {
            canvas_.fill_disk(marks_[i].number, number_radius, {accent_, 1});
            canvas_.circle(marks_[i].number, number_radius, 1.6, plan_paper_ink);
            canvas_.text(std::to_string(i + 1), marks_[i].number, Anchor::middle,
                         {.size = 17, .is_bold = true, .ink = {ink, 1}});
        }
    }

    void draw_name(const std::string& id, const glm::dvec2& middle) {
        const TextStyle style{.size = 20, .ink = {{0.32, 0.33, 0.36}, 1}};
        const std::string name = spoken_name(id);
        const glm::dvec2 size = measure_text(name, style) + glm::dvec2(8, 4);
        std::vector<Box> candidates;
        for (const double lift : {0.0, 30.0, -30.0, 60.0, -60.0})
            candidates.push_back(Box::round(middle + glm::dvec2(0, lift), size));
        std::erase_if(candidates, [&](const Box& one) { return !box_.contains(one); });
        if (const auto box = space_.take_first_free(candidates))
            canvas_.text(name, box->middle(), Anchor::middle, style);
    }

    static glm::dvec2 mean_of(const std::vector<glm::dvec2>& points) {
        return std::accumulate(points.begin(), points.end(), glm::dvec2(0)) /
               static_cast<double>(points.size());
    }

    void draw_names() {
        for (std::size_t i = 0; i < site_.walls.size(); ++i) {
            const std::vector<glm::dvec2>& path = site_.walls[i].path;
            const bool is_storey = std::any_of( // over one that is named
                site_.walls.begin(), site_.walls.begin() + static_cast<std::ptrdiff_t>(i),
                [&](const Wall& below) { return below.path == path; });
            if (!path.empty() && !is_storey)
                draw_name(site_.walls[i].id, at(mean_of(path)));
        }
        for (const Tree& tree : site_.trees)
            draw_name(tree.id, at(tree.at) + glm::dvec2(0, 30));
        for (const Fountain& fountain : site_.fountains)
            draw_name(fountain.id, at(fountain.at) + glm::dvec2(0, fountain.width / 2 * scale_ + 14));
        const auto is_planted = [](const GroundArea& area) {
            return area.kind == GroundKind::bed || area.kind == GroundKind::mulch;
        };
        for (const GroundArea& area : site_.ground.areas)
            if (!area.outline.empty() && !is_planted(area)) // beds are many, and their colour tells
                draw_name(area.id, at(mean_of(area.outline)));
    }

    void draw_foot() {
        const double middle = box_.bottom + plan_foot / 2;
        draw_scale_bar(canvas_, {box_.right - 60, middle}, scale_, site_.units);
        const glm::dvec2 foot{box_.right - 22, middle + 14};
        canvas_.line({foot, foot - glm::dvec2(0, 26)}, false, 2, text_ink);
        canvas_.fill({foot - glm::dvec2(0, 36), foot + glm::dvec2(-8, -18), foot + glm::dvec2(8, -18)},
                     text_ink);
        canvas_.text("N", foot + glm::dvec2(-18, -14), Anchor::middle, {.size = 18, .is_bold = true});
    }

    struct Mark {
        glm::dvec2 spot{0}, stem{0}, number{0};
    };

    const Site& site_;
    Colour accent_;
    glm::dvec2 low_{0}, high_{0};
    double scale_ = 1;
    Box box_;
    Canvas canvas_;
    LabelSpace space_;
    std::vector<Mark> marks_;
};

} // namespace

std::string draw_client_plan(const Site& site, const Colour& accent, PictureFormat format) {
    return ClientPlan(site, accent, format).draw();
}

} // namespace duskcast
