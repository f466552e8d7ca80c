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
