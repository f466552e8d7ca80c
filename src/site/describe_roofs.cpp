// The keys of roofs and of what stands on and under them.

#include "described.hpp"
#include "duskcast/site/finish.hpp"
#include "object_rules.hpp"

namespace duskcast {

const Fields* chimney_fields() {
    static const Fields fields = describe<Chimney>(
        "chimney", "A stack above the roof, with a cap.",
        {surface_id_row(&Chimney::id),
         {"at", point(&Chimney::at), needed, "Its middle in the plan, within the roof's footprint."},
         {"width", length(&Chimney::width), within(size(max_height)), "Along the roof's front."},
         {"depth", length(&Chimney::depth), within(size(max_height)), "Square to the roof's front."},
         {"height", length(&Chimney::height), within(size(max_height)),
          "Of its top above the level ground; left out: 2 ft above the ridge."},
         {"finish", finish(&Chimney::finish), {}, "What it is made of."}},
        Chimney{.finish = make_finish(default_chimney_finish)});
    return &fields;
}

const Fields* dormer_fields() {
    static const Fields fields = describe<Dormer>(
        "dormer", "A small house with a window that stands on a slope of the roof.",
        {surface_id_row(&Dormer::id),
         {"form", word(&Dormer::form, dormer_form_names), {}, "How its roof slopes."},
         {"side", count(&Dormer::side), within(between(1, 40)),
          "On which side of the roof: 1 is the front, 2 the one to the right of it, and so on round it."},
         {"from", length(&Dormer::from), needed_in(distance(max_length)),
          "Left edge along that side of the house, seen from before it."},
         {"width", length(&Dormer::width), needed_in(size(max_length)),
          "From the left edge to the right one."},
         {"back", length(&Dormer::back), within(distance(max_length)),
          "How far its front stands back from that side of the house."},
         {"height", length(&Dormer::height), within(size(max_height)),
          "Of its front, from the roof up to its eave."},
         {"slope", number(&Dormer::rise_in_12), within(between(0.1, 36)),
          "Inches of rise in 12 of run; left out: a gable's as the roof's, a shed's a quarter of that."},
         {"overhang", length(&Dormer::overhang), within(distance(2)), "Of its roof beyond its walls."},
         {"finish", finish(&Dormer::finish), {}, "Of its walls; left out: that of the roof's gables."},
         {"cladding",
          word(&Dormer::cladding, cladding_names),
          {},
          "Of its walls, as pictures show it; left out: even."},
         {"window",
          object(&Dormer::window, opening_fields),
          {},
          "In its front; \"from\" and \"sill\" count from the left edge and from the roof there. Left out: "
          "as "
          "large as fits."}});
    return &fields;
}

const Fields* columns_fields() {
    static const Fields fields = describe<Columns>(
        "columns", "A row of columns under the roof's front side, from end to end.",
        {{"count", count(&Columns::count), within(between(1, 40)), "How many."},
         {"form", word(&Columns::form, column_form_names), {}, "Their shape."},
         {"diameter", length(&Columns::diameter), within(size(max_lantern)),
          "At the foot; of a square one its side."},
         {"top_diameter", length(&Columns::top_diameter), within(size(max_lantern)),
          "At the top; left out: not tapered."},
         {"foot", length(&Columns::foot), within(around_zero(max_height)), "Height of what they stand on."},
         {"finish", finish(&Columns::finish), {}, "What they are made of."}},
        Columns{.finish = make_finish(default_soffit_finish)});
    return &fields;
}

const Fields* roof_fields() {
    static const Fields fields = [] {
        Fields made = describe<Roof>(
            "roof", "Sloping planes over a wall's house or over an outline.",
            {surface_id_row(&Roof::id),
             {"form", word(&Roof::form, roof_form_names), {}, "How its sides slope."},
             {"wall",
              reference(&Roof::wall),
              {},
              "Id of the wall whose house it covers; its longest segment is the roof's front. Each gable of "
              "the "
              "wall gets a roof of its own that runs back into this one."},
             {"depth", length(&Roof::depth), within(size(max_length)),
              "How far the house goes back behind a wall that is one straight segment."},
             {"outline",
              outline(&Roof::outline),
              {},
              "The footprint of a roof over no wall, such as a porch's; its first side is the front. A shed "
              "roof rises from there."},
             {"height",
              length(&Roof::height),
              {.range = size(max_height), .is_varying = true},
              "Of its underside above the level ground; left out: the wall's top."},
             {"ridge",
              word(&Roof::ridge, ridge_run_names),
              {},
              "Of a gable roof: along the front, or back from it."},
             {"slope", number(&Roof::rise_in_12), within(between(0.25, 24)), "Inches of rise in 12 of run."},
             {"overhang", length(&Roof::overhang), within(distance(max_lantern)),
              "Beyond the footprint, where no eave of the wall says."},
             {"thickness", length(&Roof::thickness), within(size(2)),
              "Of its edge, where no eave of the wall says."},
             {"cover", word(&Roof::cover, roof_cover_names), {}, "What it is covered with."},
             {"finish", finish(&Roof::finish), {}, "Of the covering; left out: as usual for its kind."},
             {"gable_finish",
              finish(&Roof::gable_finish),
              {},
              "Of its upright ends; left out: the wall's, or white paint."},
             {"trim", finish(&Roof::trim), {}, "Of its edges, underside and gutters."},
             {"gutters", truth(&Roof::has_gutters), {}, "Whether gutters hang along the eaves."},
             {"chimneys", objects(&Roof::chimneys, chimney_fields), {}, "Stacks above it."},
             {"dormers", objects(&Roof::dormers, dormer_fields), {}, "Dormers on it."},
             {"columns",
              object(&Roof::columns, columns_fields),
              {},
              "What carries the front of a porch; left out: nothing."}},
            Roof{.trim = make_finish(default_soffit_finish)});
        made.rules = hook(check_roof_keys);
        made.schema_rules = R"({"oneOf": [{"required": ["wall"], "not": {"required": ["outline"]}},
            {"required": ["outline", "height"], "not": {"anyOf": [{"required": ["wall"]},
            {"required": ["depth"]}]}}]})";
        return made;
    }();
    return &fields;
}

} // namespace duskcast
