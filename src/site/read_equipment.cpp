#include "read_equipment.hpp"

namespace duskcast {

namespace {

using Reader = ObjectReader;

void read_shielding(Reader& reader, Fixture& fixture) {
    reader.length("shroud_length", fixture.shroud_length);
    reader.length("hood_length", fixture.hood_length);
    reader.object("rim", [&](Reader& one) {
        require_all(one, {"diameter", "distance"});
        one.length("diameter", fixture.rim.diameter);
        one.length("distance", fixture.rim.distance);
    });
    reader.object("louvre", [&](Reader& one) {
        require_all(one, {"cell", "depth"});
        one.length("cell", fixture.louvre.cell);
        one.length("depth", fixture.louvre.depth);
    });
}

void read_position(Reader& reader, Fixture& fixture) {
    reader.text("wall", fixture.wall);
    reader.text("tree", fixture.tree);
    if (glm::dvec2 at{0}; reader.point("at", at))
        fixture.at = at;
    const int positions = reader.has("wall") + reader.has("tree") + reader.has("at");
    if (positions == 0)
        reader.report("at", messages::no_position());
    if (positions > 1)
        reader.report(reader.has("at") ? "at" : "tree", messages::two_positions());
    reader.length("along", fixture.along);
    reader.angle("bearing", fixture.bearing);
    reader.maybe(&Reader::length, "setback", fixture.setback);
    if (reader.has("wall"))
        reader.require("along");
    else if (reader.has("along"))
        reader.report("along", messages::needs_key("along", "wall"));
    if (reader.has("bearing") && !reader.has("tree"))
        reader.report("bearing", messages::needs_key("bearing", "tree"));
    if (reader.has("setback") && !reader.has("wall") && !reader.has("tree"))
        reader.report("setback", messages::needs_key("setback", "wall\" or \"tree"));
}

} // namespace

void require_all(Reader& reader, std::initializer_list<const char*> keys) {
    for (const char* key : keys)
        reader.require(key);
}

void read_id(Reader& reader, std::string& id) {
    reader.require("id");
    reader.text("id", id);
}

void read_lamp(Reader& reader, Lamp& lamp) {
    read_id(reader, lamp.id);
    reader.text("name", lamp.name);
    reader.text("file", lamp.file);
    reader.number("watts", lamp.watts);
    reader.maybe(&Reader::number, "va", lamp.volt_amperes);
    reader.maybe(&Reader::number, "power_factor", lamp.power_factor);
    if (reader.has("va") && reader.has("power_factor"))
        reader.report("power_factor", messages::excludes_key("power_factor", "va"));
    reader.number("cct", lamp.cct);
    reader.text("socket", lamp.socket);
    reader.truth("regulated", lamp.is_regulated);
    reader.number("tolerance", lamp.tolerance);
    reader.number("depreciation", lamp.depreciation);
    reader.maybe(&Reader::number, "price", lamp.price);
    reader.word("draw", draw_names, lamp.draw);
    reader.number("rated_volts", lamp.rated_volts);
    reader.maybe(&Reader::number, "measured_watts", lamp.measured_watts);
    if (std::array<double, 2> window{}; reader.numbers("window", window))
        lamp.operating_volts = window;
    reader.maybe(&Reader::number, "max_volts", lamp.max_volts);
    if (reader.has("file")) {
        for (const char* figure : {"lumens", "candela", "beam", "field", "peak", "ring", "profile"}) {
            if (reader.has(figure)) {
                reader.report(figure, messages::file_and_figures());
                break;
            }
        }
        return;
    }
    LampFigures& figures = lamp.figures;
    reader.require("beam");
    reader.maybe(&Reader::number, "lumens", figures.lumens);
    reader.maybe(&Reader::number, "candela", figures.centre_candela);
    reader.spread("beam", figures.beam_angle, figures.beam_angle_across);
    if (double along = 0; reader.spread("field", along, figures.field_angle_across))
        figures.field_angle = along;
    reader.angle("peak", figures.peak_angle);
    reader.maybe(&Reader::angle, "ring", figures.ring_angle);
    reader.word("profile", profile_names, figures.profile);
}

void read_fixture_body(Reader& reader, Fixture& fixture) {
    reader.length("lens_height", fixture.lens_height);
    reader.maybe(&Reader::length, "lens_diameter", fixture.lens_diameter);
    read_shielding(reader, fixture);
}

void read_fixture(Reader& reader, const Catalogue& catalogue, Fixture& fixture) {
    std::string model_id;
    reader.text("model", model_id);
    const FixtureModel* model = find_model(catalogue, model_id);
    FixtureKind kind = model ? model->usual.kind : FixtureKind::uplight;
    if (!reader.has("model") && !reader.has("kind"))
        reader.report("kind", messages::kind_or_model());
    reader.word("kind", fixture_kind_names, kind);
    fixture = default_fixture(kind, reader.has("wall"), model);
    fixture.model = model_id;
    read_id(reader, fixture.id);
    reader.require("lamp");
    reader.text("lamp", fixture.lamp);
    read_position(reader, fixture);
    read_fixture_body(reader, fixture);
    if (kind == FixtureKind::downlight)
        reader.require("lens_height");
    reader.angle("tilt", fixture.tilt);
    reader.maybe(&Reader::angle, "azimuth", fixture.azimuth);
    reader.angle("turn", fixture.turn);
    if (reader.has("azimuth") && reader.has("turn"))
        reader.report("turn", messages::excludes_key("turn", "azimuth"));
    reader.angle("spin", fixture.spin);
    reader.word("mount", mount_names, fixture.mount);
    reader.number("light_loss_factor", fixture.light_loss_factor);
    reader.number("dimming", fixture.dimming);
}

Fixture default_fixture(FixtureKind kind, bool is_at_wall, const FixtureModel* model) {
    Fixture fixture;
    if (model && model->usual.kind == kind) {
        fixture = model->usual;
        fixture.model = model->id;
        if (kind == FixtureKind::downlight && is_at_wall)
            fixture.mount = Mount::wall;
        return fixture;
    }
    fixture.kind = kind;
    switch (kind) {
    case FixtureKind::uplight:
    case FixtureKind::bullet:
    case FixtureKind::wash:
        break;
    case FixtureKind::in_ground:
        fixture.lens_height = 0;
        fixture.mount = Mount::surface;
        break;
    case FixtureKind::path:
        fixture.lens_height = 0.45;
        fixture.tilt = radians_from_degrees(180);
        break;
    case FixtureKind::downlight:
        fixture.tilt = radians_from_degrees(180);
        fixture.mount = is_at_wall ? Mount::wall : Mount::tree;
        break;
    }
    return fixture;
}

} // namespace duskcast
