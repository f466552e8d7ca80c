// The keys of walls, of what is in and on them, of lanterns and of meshes.

#include "described.hpp"
#include "duskcast/site/finish.hpp"
#include "object_rules.hpp"

namespace duskcast {

const Fields* glow_fields() {
    // The brightest frosted lamps have some 100,000 cd/m2 (from memory).
    static const Fields fields = [] {
        Fields made = describe<Glow>(
            "glow",
            "Light that a surface gives off of itself, evenly to all sides: by its luminance or by its "
            "lumens.",
            {{"luminance", number(&Glow::luminance), within(size(1e6), "cd/m2"),
              "In cd/m2. A room's light through curtains about 10, a bright room behind clear glass 100, a "
              "lantern's frosted glass some thousands."},
             {"lumens", number(&Glow::lumens), within(size(1e6), "lm"), "Of the whole surface."},
             {"cct", number(&Glow::cct), within(between(1000, 20000), "K"),
              "Colour temperature in kelvin."}});
        made.schema_rules = R"({"oneOf": [{"required": ["luminance"]}, {"required": ["lumens"]}]})";
        return made;
    }();
    return &fields;
}

const Fields* opening_fields() {
    static const Fields fields = describe<Opening>(
        "opening", "A window or a door in the wall.",
        {surface_id_row(&Opening::id),
         {"kind", word(&Opening::kind, opening_kind_names), {}, "What it is."},
         {"from", length(&Opening::from), needed_in(distance(max_length)),
          "Left edge along the run, seen from outside. On a projection the run is left flank, front, right "
          "flank."},
         {"width", length(&Opening::width), needed_in(size(max_length)),
          "From the left edge to the right one."},
         {"sill", length(&Opening::sill), needed_in(distance(max_height)),
          "Height of the lower edge above the wall's foot."},
         {"height", length(&Opening::height), needed_in(size(max_height)),
          "From the lower edge to the upper one."},
         {"reveal", length(&Opening::reveal), within(distance(max_height)), "How far the pane is set back."},
         {"finish", finish(&Opening::finish), {}, "Of the pane or leaf."},
         {"glow", object(&Opening::glow, glow_fields), {}, "Light from inside; left out: dark."},
         {"style",
          word(&Opening::style, opening_style_names),
          {},
          "Frame, sashes and panels in pictures; left out: by its kind in a wall with a cladding, else "
          "none."},
         {"trim", finish(&Opening::trim), {}, "Of frame and sashes; left out: old white paint."},
         {"room",
          word(&Opening::room, room_names),
          {},
          "What is seen behind glass; left out: lit where it glows, else curtains. A lit room without a glow "
          "has 8 cd/m2."},
         {"casing", length(&Opening::casing), within(distance(1)),
          "Width of the boards round it, in pictures; left out: none."},
         {"shutters",
          word(&Opening::shutters, shutters_names),
          {},
          "Leaves that hang open beside it, in pictures; left out: none."},
         {"shutter_finish", finish(&Opening::shutter_finish), {}, "Of the shutters; left out: dark green."}},
        Opening{.finish = make_finish(default_opening_finish)});
    return &fields;
}

const Fields* gable_fields() {
    static const Fields fields = describe<Gable>(
        "gable", "The triangle of wall between the slopes of a roof.",
        {surface_id_row(&Gable::id),
         {"from", length(&Gable::from), needed_in(distance(max_length)),
          "Left edge along the run; a gable lies within one segment."},
         {"width", length(&Gable::width), needed_in(size(max_length)),
          "From the left edge to the right one."},
         {"peak", length(&Gable::peak), needed_in(size(max_height)),
          "Height of the peak above the wall's foot."},
         {"cladding", word(&Gable::cladding, cladding_names), {}, "The wall's when left out."}});
    return &fields;
}

const Fields* projection_fields() {
    static const Fields fields = describe<Projection>(
        "projection", "A box that stands out from the wall.",
        {surface_id_row(&Projection::id),
         {"kind", word(&Projection::kind, projection_kind_names), {}, "What it is."},
         {"from", length(&Projection::from), needed_in(distance(max_length)),
          "Left edge along the wall's run."},
         {"width", length(&Projection::width), needed_in(size(max_length)),
          "From the left edge to the right one."},
         {"depth", length(&Projection::depth), needed_in(size(max_height)), "How far it stands out."},
         {"bottom", length(&Projection::bottom), within(distance(max_height)),
          "Height of its underside above the wall's foot."},
         {"height", length(&Projection::height), needed_in(size(max_height)),
          "Height of its top above the wall's foot."},
         {"finish", finish(&Projection::finish), {}, "The wall's when left out."},
         {"cladding", word(&Projection::cladding, cladding_names), {}, "The wall's when left out."},
         {"openings", objects(&Projection::openings, opening_fields), {}, "Windows and doors in it."}});
    return &fields;
}

const Fields* eave_fields() {
    static const Fields fields = describe<Eave>(
        "eave", "The overhang of the roof.",
        {{"depth", length(&Eave::depth), needed_in(distance(max_height)), "Out from the wall's face."},
         {"thickness", length(&Eave::thickness), within(size(max_height)), "From its underside to its top."},
         {"rake_depth", length(&Eave::rake_depth), within(distance(max_height)),
          "Overhang along the gables' slopes; 0: none."},
         {"soffit", finish(&Eave::soffit), {}, "Of its underside."}},
        Eave{.soffit = make_finish(default_soffit_finish)});
    return &fields;
}

const Fields* house_number_fields() {
    static const Fields fields = describe<HouseNumber>(
        "house_number", "The number of the house on its plate, as pictures show it.",
        {{"text", text(&HouseNumber::text), needed, "Its figures."},
         {"along", length(&HouseNumber::along), needed_in(distance(max_length)),
          "Where its middle is along the wall's run."},
         {"up", length(&HouseNumber::up), needed_in(distance(max_height)),
          "Height of its middle above the wall's foot."},
         {"height", length(&HouseNumber::height), within(between(0.02, 1)), "Of a figure."},
         {"finish", finish(&HouseNumber::finish), {}, "Of the figures."}},
        HouseNumber{.finish = make_finish(default_metal_finish)});
    return &fields;
}

const Fields* wall_fields() {
    static const Fields fields = describe<Wall>(
        "wall", "A facade: straight segments seen from outside, left to right.",
        {surface_id_row(&Wall::id),
         {"path", path(&Wall::path), needed,
          "Corners in the plan, left to right seen from outside: a house is walked round counter-clockwise."},
         {"closed", truth(&Wall::closed), {}, "Whether the last point joins the first."},
         {"foot", length(&Wall::foot), within(around_zero(max_height)),
          "Height of its lower edge, which need not be on the ground."},
         {"height", length(&Wall::height), needed_in(size(max_height)), "From the foot to the eave."},
         {"finish", finish(&Wall::finish), {}, "What it is made of."},
         {"cladding",
          word(&Wall::cladding, cladding_names),
          {},
          "Courses, boards or grain, as pictures show them; the finish stays their mean. Left out: even."},
         {"gables", objects(&Wall::gables, gable_fields), {}, "Gables on the wall."},
         {"projections", objects(&Wall::projections, projection_fields), {}, "Bays and chimneys."},
         {"eave", object(&Wall::eave, eave_fields), {}, "The overhang of the roof; left out: none."},
         {"openings", objects(&Wall::openings, opening_fields), {}, "Windows and doors."},
         {"corner_boards", length(&Wall::corner_boards), within(distance(1)),
          "Width of the boards at its corners and ends, in pictures; left out: none."},
         {"frieze", length(&Wall::frieze), within(distance(2)),
          "Height of the board along its upper edge, in pictures; left out: none."},
         {"trim",
          finish(&Wall::trim),
          {},
          "Of its boards and the plate of its number; left out: old white paint."},
         {"number",
          object(&Wall::number, house_number_fields),
          {},
          "The number of the house; left out: none."}});
    return &fields;
}

const Fields* pole_fields() {
    static const Fields fields = describe<Pole>(
        "pole", "What a lantern stands on, or hangs from by an arm.",
        {{"foot", length(&Pole::foot), within(around_zero(max_height)), "Height of its lower end."},
         {"diameter", length(&Pole::diameter), within(between(0.01, 1)), "How thick it is."},
         {"arm", length(&Pole::arm), within(distance(max_lantern)),
          "From its top over to the lantern's middle, as of a street lamp; left out: it stands below that."},
         {"azimuth", angle(&Pole::arm_azimuth), within(full_turn),
          "Where the arm reaches from the pole, clockwise from north."},
         {"finish", finish(&Pole::finish), {}, "What pole, arm and hood are made of."}},
        Pole{.finish = make_finish(default_metal_finish)});
    return &fields;
}

const Fields* lantern_fields() {
    static const Fields fields = [] {
        Fields made = describe<Lantern>(
            "lantern",
            "A small body that gives light all over, or from its underside: a porch light, a street lamp.",
            {surface_id_row(&Lantern::id),
             {"form", word(&Lantern::form, lantern_form_names), {}, "Its shape."},
             {"wall", reference(&Lantern::wall), {}, "Id of the wall it hangs on."},
             {"along",
              length(&Lantern::along),
              {.range = distance(max_length), .is_varying = true},
              "On a wall: along its run.",
              [](const Lantern& lantern) { return !lantern.wall.empty(); }},
             {"up",
              length(&Lantern::up),
              {.range = around_zero(max_height), .is_varying = true},
              "On a wall: height of its middle above the wall's foot.",
              [](const Lantern& lantern) { return !lantern.wall.empty(); }},
             {"setback", length(&Lantern::setback), within(distance(max_height)),
              "From the wall's face to its middle; left out: a bracket keeps it 2 in off."},
             {"at",
              place(&Lantern::at),
              {},
              "Where its middle is when it hangs on no wall: east, north, up."},
             {"width", length(&Lantern::width), needed_in(size(max_lantern)),
              "Its diameter; of a box along the wall."},
             {"height", length(&Lantern::height), within(size(max_lantern)),
              "Of a cylinder or a box; left out: its width."},
             {"depth", length(&Lantern::depth), within(size(max_lantern)), "Of a box; left out: its width."},
             {"turn", angle(&Lantern::turn), within(full_turn), "Of a box, clockwise seen from above."},
             {"finish", finish(&Lantern::finish), {}, "Of its glass."},
             {"glow", object(&Lantern::glow, glow_fields), needed, "Its light."},
             {"hooded",
              truth(&Lantern::is_hooded),
              {},
              "Closed above and round it, so that light leaves its underside alone, as of a street lamp."},
             {"pole", object(&Lantern::pole, pole_fields), {}, "Of a lantern at a place; left out: none."}},
            Lantern{.finish = make_finish(default_opening_finish)});
        made.rules = hook(check_lantern_keys);
        made.schema_rules =
            R"({"oneOf": [{"required": ["wall", "along", "up"], "not": {"anyOf": [{"required": ["at"]},
            {"required": ["pole"]}]}},
            {"required": ["at"], "not": {"anyOf": [{"required": ["wall"]}, {"required": ["along"]},
            {"required": ["up"]}, {"required": ["setback"]}]}}]})";
        return made;
    }();
    return &fields;
}

const Fields* mesh_fields() {
    static const Fields fields =
        describe<Mesh>("mesh", "A shape from an OBJ file.",
                       {surface_id_row(&Mesh::id),
                        {"file", file(&Mesh::file), needed, "OBJ file, beside the site file."},
                        {"scale", metres(&Mesh::scale), within(size(max_length)),
                         "Length of one unit of the OBJ: a number in metres, or text such as \"1 ft\"."},
                        {"up", word(&Mesh::up, up_axis_names), {}, "The OBJ's upward axis."},
                        {"at", place(&Mesh::at), {}, "Where its origin goes."},
                        {"turn", angle(&Mesh::turn), within(full_turn), "Clockwise seen from above."},
                        {"finish", finish(&Mesh::finish), {}, "Where the OBJ has no material."}});
    return &fields;
}

} // namespace duskcast
