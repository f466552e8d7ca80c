// The keys of steps, railings and fountains.

#include "described.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/fountain_plan.hpp"
#include "object_rules.hpp"

namespace duskcast {

const Fields* railing_fields() {
    static const Fields fields = describe<Railing>(
        "railing", "A railing along a line, with posts at its ends and corners and on the way.",
        {surface_id_row(&Railing::id),
         {"path", path(&Railing::path), needed, "Its middle line in the plan."},
         {"foot", length(&Railing::foot), within(around_zero(max_height)),
          "Height of what it stands on, where its path begins."},
         {"end_foot", length(&Railing::end_foot), within(around_zero(max_height)),
          "Height of what it stands on where its path ends, as beside steps; left out: level."},
         {"height", length(&Railing::height), within(between(0.2, 3)),
          "Of the top of its handrail above that."},
         {"post_spacing", length(&Railing::post_spacing), within(between(0.3, 30)),
          "Between posts, at most."},
         {"form", word(&Railing::form, railing_form_names), {}, "What fills it."},
         {"finish", finish(&Railing::finish), {}, "What it is made of."}},
        Railing{.finish = make_finish(default_soffit_finish)});
    return &fields;
}

const Fields* steps_fields() {
    static const Fields fields = [] {
        Fields made = describe<Steps>(
            "steps", "A flight of steps that goes down from a wall, such as below a door, or from a place.",
            {surface_id_row(&Steps::id),
             {"wall", reference(&Steps::wall), {}, "Id of the wall that it goes down from."},
             {"along",
              length(&Steps::along),
              {.range = distance(max_length), .is_varying = true},
              "On a wall: its middle along the wall's run.",
              [](const Steps& steps) { return !steps.wall.empty(); }},
             {"setback", length(&Steps::setback), within(distance(max_length)),
              "On a wall: of its highest edge from the wall's face, such as where a porch ends."},
             {"at",
              point(&Steps::at),
              {},
              "Where the middle of its highest edge is when it goes down from no wall."},
             {"facing",
              angle(&Steps::facing),
              {.range = full_turn, .is_varying = true},
              "Of steps at a place: where they go down to, clockwise from north.",
              [](const Steps& steps) { return steps.at.has_value(); }},
             {"width", length(&Steps::width), within(between(0.2, max_length)), "From side to side."},
             {"foot", length(&Steps::foot), within(around_zero(max_height)),
              "Height of what it goes down to."},
             {"height", length(&Steps::height), needed_in(size(max_height)),
              "Of its highest tread above the foot."},
             {"riser", length(&Steps::riser), within(between(0.02, 0.5)),
              "Height of one step at most: there are as many as that takes, all alike."},
             {"tread", length(&Steps::tread), within(between(0.1, 10)), "Depth of a step."},
             {"landing", length(&Steps::landing), within(between(0.1, max_length)),
              "Depth of the highest tread; left out: as the others."},
             {"railing",
              word(&Steps::railing, railing_sides_names),
              {},
              "On which side somebody who goes up has a railing; left out: on none."},
             {"railing_form", word(&Steps::railing_form, railing_form_names), {}, "What fills the railing."},
             {"railing_height", length(&Steps::railing_height), within(between(0.2, 3)),
              "Of the handrail's top above the noses of the steps."},
             {"finish", finish(&Steps::finish), {}, "What the steps are made of."},
             {"railing_finish", finish(&Steps::railing_finish), {}, "What the railing is made of."}},
            Steps{.finish = make_finish("concrete"), .railing_finish = make_finish(default_soffit_finish)});
        made.rules = hook(check_steps_keys);
        made.schema_rules = R"({"oneOf": [{"required": ["wall", "along"], "not": {"anyOf": [
            {"required": ["at"]}, {"required": ["facing"]}]}}, {"required": ["at", "facing"],
            "not": {"anyOf": [{"required": ["wall"]}, {"required": ["along"]},
            {"required": ["setback"]}]}}]})";
        return made;
    }();
    return &fields;
}

const Fields* fountain_fields() {
    static const Fields fields = describe<Fountain>(
        "fountain", "A round basin of water, with bowls on a pedestal and a jet where it has them.",
        {surface_id_row(&Fountain::id),
         {"at", point(&Fountain::at), needed, "Its middle."},
         {"foot", length(&Fountain::foot), within(around_zero(max_height)),
          "Height of what it stands on; left out: on the ground there."},
         {"width", length(&Fountain::width), within(between(0.3, 30)), "Of the basin, outside."},
         {"rim", length(&Fountain::rim), within(between(0.02, 2)),
          "Height of the basin's rim above the foot."},
         {"bowls", count(&Fountain::bowls), within(between(0, most_bowls)),
          "How many bowls it has above the basin, the higher the smaller."},
         {"height", length(&Fountain::height), within(size(max_lantern)),
          "Of the highest bowl's rim above the foot; left out: by the basin's width."},
         {"jet", length(&Fountain::jet), within(distance(max_height)),
          "How high water rises above the highest bowl; left out: it does not."},
         {"finish", finish(&Fountain::finish), {}, "What basin and bowls are made of."},
         {"glow",
          object(&Fountain::glow, glow_fields),
          {},
          "Light from lamps in the basin, as its water gives it off; left out: dark."}},
        Fountain{.finish = make_finish("limestone pale")});
    return &fields;
}

} // namespace duskcast
