// The keys of lamps, fixtures and fixtures as they are sold.

#include "described.hpp"
#include "object_rules.hpp"

namespace duskcast {
namespace {

constexpr double most_watts = 5000;
constexpr double most_price = 1e6;
constexpr KeyRange lamp_volts = between(1, 30); ///< low-voltage lighting: at most 30 V (NEC article 411)
constexpr double max_rim = 2;                   // metres
constexpr KeyRange half_turn = between(0, pi);

/// Lens and shielding: of a fixture, or of a model's usual one.
template <class Object, class... Whole> std::vector<Row<Object>> body_rows(Whole... whole) {
    return {
        {"lens_height",
         length(whole..., &Fixture::lens_height),
         {.range = distance(max_height), .is_varying = true},
         "Centre of the lens above the ground there; left out: 0.15 m, in-ground 0, path 0.45 m. A "
         "downlight's has "
         "to be given."},
        {"lens_diameter", length(whole..., &Fixture::lens_diameter), within(size(max_lens)),
         "Left out: the luminous opening of the lamp's file, or 0.05 m."},
        {"shroud_length", length(whole..., &Fixture::shroud_length), within(distance(1)),
         "Length of the tube in front of the lens."},
        {"hood_length", length(whole..., &Fixture::hood_length), within(distance(1)),
         "Length of a half tube in front of the lens, on the side away from what it leans to."},
        {"rim",
         object(whole..., &Fixture::rim, rim_fields),
         {},
         "The edge of a hat in front of the lens, turning with it; over an in-ground lens the edge of the "
         "well, "
         "which stays level."},
        {"louvre",
         object(whole..., &Fixture::louvre, louvre_fields),
         {},
         "A honeycomb in front of the lens; level over an in-ground one."},
        {"tilt",
         angle(whole..., &Fixture::tilt),
         {.range = half_turn, .is_varying = true},
         "From straight up: 0 upright, 180 straight down. Left out: 0; path and downlight 180."},
        {"finish",
         word(whole..., &Fixture::finish, body_finish_names),
         {.is_varying = true},
         "What its body looks like in pictures; left out: bronze."},
    };
}

template <class Object> void append(std::vector<Row<Object>>& rows, const std::vector<Row<Object>>& more) {
    rows.insert(rows.end(), more.begin(), more.end());
}

const char* const mount_help = "What holds it. Left out: spike; in-ground surface; downlight wall or tree.";

} // namespace

const Fields* rim_fields() {
    static const Fields fields = describe<Rim>(
        "rim", "The rim of an opening in front of the lens.",
        {{"diameter", length(&Rim::diameter), needed_in(size(max_rim)), "At least the lens's."},
         {"distance", length(&Rim::distance), needed_in(distance(1)), "From the lens, along its axis."}});
    return &fields;
}

const Fields* louvre_fields() {
    static const Fields fields = describe<Louvre>(
        "louvre", "A honeycomb of cells.",
        {{"cell", length(&Louvre::cell), needed_in(size(max_lens)), "Width of a cell across its flats."},
         {"depth", length(&Louvre::depth), needed_in(distance(1)), "Of the cells."}});
    return &fields;
}

const Fields* lamp_fields() {
    static const Fields fields = [] {
        const auto figures = &Lamp::figures;
        Fields made = describe<Lamp>(
            "lamp", "A lamp: from the figures on its box, or from an LM-63 file.",
            {id_row(&Lamp::id),
             {"name", text(&Lamp::name), {}, "What people call it."},
             {"file", file(&Lamp::file), {}, "LM-63 file, beside the site file."},
             {"watts", number(&Lamp::watts), within(between(0, most_watts), "W"), "Power taken."},
             {"va", number(&Lamp::volt_amperes), within(between(0, 10000), "VA"),
              "Apparent power in volt-amperes; not together with \"power_factor\"."},
             {"power_factor", number(&Lamp::power_factor), within(between(0.1, 1)),
              "Watts over volt-amperes."},
             {"cct", number(&Lamp::cct), within(between(1000, 20000), "K"), "Colour temperature in kelvin."},
             {"socket", text(&Lamp::socket), {}, "What it plugs into, as fixtures name it."},
             {"regulated",
              truth(&Lamp::is_regulated),
              {},
              "Gives the same light over its range of voltages."},
             {"tolerance", share(&Lamp::tolerance), within(share_range),
              "Share of the rated lumens that a poor sample gives at least; left out: 0.95."},
             {"depreciation", share(&Lamp::depreciation), within(share_range),
              "Share of the first lumens that is left when the lamp is due to be changed; left out: 0.9."},
             {"price", number(&Lamp::price), within(between(0, most_price)),
              "Price of one, in the catalogue's currency."},
             {"draw",
              word(&Lamp::draw, draw_names),
              {},
              "What its watts do as the voltage changes: \"power\" the same, as with a regulated driver; "
              "\"current\" constant current; \"resistance\" constant resistance; \"halogen\" a filament."},
             {"rated_volts", number(&Lamp::rated_volts), within(lamp_volts, "V"),
              "Volts at which it takes its watts."},
             {"measured_watts", number(&Lamp::measured_watts), within(between(0, most_watts), "W"),
              "Power that one really takes, where that is not what the box says."},
             {"operating_volts",
              number_span(&Lamp::operating_volts),
              {.range = lamp_volts, .unit = "V", .older_key = "window"},
              "Lowest and highest volts at which it works well; left out: 9 to 15, halogen and resistance "
              "10.8 to "
              "12."},
             {"max_volts", number(&Lamp::max_volts), within(lamp_volts, "V"),
              "Most volts that the tap feeding it may have; left out: 15, or the end of its operating "
              "volts."},
             {"lumens", number(figures, &LampFigures::lumens), within(any_size, "lm"), "Luminous flux."},
             {"candela", number(figures, &LampFigures::centre_candela), within(any_size, "cd"),
              "Centre-beam intensity (CBCP)."},
             {"beam",
              found<Lamp>(
                  KeyQuantity::spread,
                  [](Lamp& lamp) {
                      return SpreadSlot{&lamp.figures.beam_angle, nullptr, &lamp.figures.beam_angle_across};
                  }),
              {.is_varying = true},
              "Full angle at 50 % of the maximum; of a ring its full width."},
             {"field",
              found<Lamp>(
                  KeyQuantity::spread,
                  [](Lamp& lamp) {
                      return SpreadSlot{nullptr, &lamp.figures.field_angle, &lamp.figures.field_angle_across};
                  }),
              {},
              "Full angle at 10 % of the maximum."},
             {"peak",
              angle(figures, &LampFigures::peak_angle),
              {},
              "How far off the axis the middle of the beam lies, towards what the fixture leans to."},
             {"ring",
              angle(figures, &LampFigures::ring_angle),
              {},
              "Angle from the axis at which a ring of light, as under a hat, is brightest."},
             {"profile",
              word(figures, &LampFigures::profile, profile_names),
              {},
              "Family of the fall-off."}});
        made.rules = hook(check_lamp_keys);
        made.schema_rules = R"({
            "oneOf": [
              {"required": ["file"],
               "not": {"anyOf": [{"required": ["lumens"]}, {"required": ["candela"]}, {"required": ["beam"]},
                                 {"required": ["field"]}, {"required": ["peak"]}, {"required": ["ring"]},
                                 {"required": ["profile"]}]}},
              {"required": ["beam"], "anyOf": [{"required": ["lumens"]}, {"required": ["candela"]}]}],
            "not": {"anyOf": [{"required": ["va", "power_factor"]},
                              {"required": ["operating_volts", "window"]}]}})";
        return made;
    }();
    return &fields;
}

const Fields* fixture_fields() {
    static const Fields fields = [] {
        std::vector<Row<Fixture>> rows = {
            id_row(&Fixture::id),
            {"model", reference(&Fixture::model), {}, "Id of a fixture in the catalogue."},
            {"kind",
             word(&Fixture::kind, fixture_kind_names),
             {.is_varying = true},
             "What it is; the model's where there is one.",
             [](const Fixture& fixture) { return fixture.model.empty(); }},
            {"lamp", reference(&Fixture::lamp), needed, "Id of its lamp."},
            {"wall", reference(&Fixture::wall), {}, "Id of the wall it stands at."},
            {"along",
             length(&Fixture::along),
             {.is_varying = true},
             "How far along the wall's run.",
             [](const Fixture& fixture) { return !fixture.wall.empty(); }},
            {"tree", reference(&Fixture::tree), {}, "Id of the tree it stands at."},
            {"bearing", angle(&Fixture::bearing), {}, "From the trunk, clockwise from north."},
            {"at", point(&Fixture::at), {}, "Where it stands, by coordinates."},
            {"setback",
             length(&Fixture::setback),
             {},
             "Plan distance from the wall's or trunk's face to the centre of the lens; left out: 15 in, or "
             "0.1 m "
             "when mounted on wall or tree."},
        };
        append(rows, body_rows<Fixture>());
        append(rows,
               {{"azimuth", angle(&Fixture::azimuth), within(full_turn),
                 "Clockwise from north. Left out: square to the wall, or at the trunk; north with \"at\"."},
                {"turn", angle(&Fixture::turn), within(full_turn),
                 "Clockwise from that default direction; not together with \"azimuth\"."},
                {"spin", angle(&Fixture::spin), within(full_turn), "Of the lamp about its own axis."},
                {"mount", word(&Fixture::mount, mount_names), {.is_varying = true}, mount_help},
                {"light_loss_factor", share(&Fixture::light_loss_factor), within(share_range),
                 "Share of the light left after that, for what is special about this one."},
                {"dimming", share(&Fixture::dimming), within(share_range), "0 off, 1 full."}});
        for (Row<Fixture>& row : rows)
            if (row.key == "lens_height")
                row.is_needed = [](const Fixture& fixture) { return fixture.kind == FixtureKind::downlight; };
        Fields made =
            describe<Fixture>("fixture", "A fixture, placed at a wall, at a tree, or by coordinates.", rows);
        made.usual = [](const void* object, const Catalogue& catalogue) {
            const Fixture fixture = object ? *static_cast<const Fixture*>(object) : Fixture{};
            const FixtureModel* model = find_model(catalogue, fixture.model);
            auto usual =
                std::make_shared<Fixture>(default_fixture(fixture.kind, !fixture.wall.empty(), model));
            usual->kind = model ? model->usual.kind : fixture.kind;
            usual->model.clear();
            return usual;
        };
        made.prepare = hook(prepare_fixture);
        made.rules = hook(check_fixture_keys);
        made.schema_rules = R"({
            "anyOf": [{"required": ["kind"]}, {"required": ["model"]}],
            "oneOf": [{"required": ["wall", "along"]}, {"required": ["tree"]}, {"required": ["at"]}],
            "if": {"properties": {"kind": {"const": "downlight"}}, "required": ["kind"]},
            "then": {"required": ["lens_height"]},
            "dependencies": {"along": ["wall"], "bearing": ["tree"],
                             "setback": {"anyOf": [{"required": ["wall"]}, {"required": ["tree"]}]}},
            "not": {"required": ["azimuth", "turn"]}})";
        return made;
    }();
    return &fields;
}

const Fields* model_fields() {
    static const Fields fields = [] {
        const auto usual = &FixtureModel::usual;
        std::vector<Row<FixtureModel>> rows = {
            id_row(&FixtureModel::id),
            {"name", text(&FixtureModel::name), {}, "What people call it."},
            {"kind", word(usual, &Fixture::kind, fixture_kind_names), needed, "What it is."},
        };
        append(rows, body_rows<FixtureModel>(usual));
        append(
            rows,
            {{"mount", word(usual, &Fixture::mount, mount_names), {.is_varying = true}, mount_help},
             {"socket",
              text(&FixtureModel::socket),
              {},
              "Lamps with this socket fit, unless \"lamps\" names them."},
             {"lamps", references(&FixtureModel::lamps), {}, "Ids of the lamps of this catalogue that fit."},
             {"tilt_range",
              found<FixtureModel>(KeyQuantity::angle_span,
                                  [](FixtureModel& model) {
                                      return AnglePairSlot{&model.least_tilt, &model.greatest_tilt};
                                  }),
              {.range = half_turn, .is_varying = true},
              "Least and greatest tilt it can be set to; left out: 0 to 180."},
             {"dirt", share(&FixtureModel::dirt), within(share_range),
              "Share of the light that a lens lets through before it is cleaned; left out: 0.9."},
             {"price", number(&FixtureModel::price), within(between(0, most_price)),
              "Price of one, in the catalogue's currency."}});
        Fields made = describe<FixtureModel>("model",
                                             "A fixture as it is sold; what it says holds for every fixture "
                                             "of a site that names it as its model and "
                                             "does not say otherwise.",
                                             rows);
        made.prepare = hook(prepare_model);
        return made;
    }();
    return &fields;
}

} // namespace duskcast
