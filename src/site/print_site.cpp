// The text of a site file: the same site again when read, with nothing in it that the reader would assume.

#include "duskcast/site/finish.hpp"
#include "duskcast/site/site_file.hpp"
#include "names.hpp"
#include "print_network.hpp"
#include "site_text.hpp"

namespace duskcast {
namespace {

class Printer : private TextMaker {
public:
    explicit Printer(const Site& described) : TextMaker(described.units, described.light), site_(described) {}

    Text site() const;

private:
    template <class T>
    void add_list(Object& object, const std::string& key, const std::vector<T>& things,
                  Text (Printer::*print_one)(const T&) const) const {
        if (!things.empty())
            object.add(key, list_of(things, [&](const T& thing) { return (this->*print_one)(thing); }));
    }

    static void add_finish(Object& object, const char* key, const Finish& value, const Finish& usual) {
        if (value != usual)
            object.add(key, finish(value));
    }

    static Text finish(const Finish& finish);
    void add_foliage(Object& object, const Foliage& foliage) const;
    Text opening(const Opening& opening) const;
    Text gable(const Gable& gable) const;
    Text projection(const Projection& projection) const;
    Text wall(const Wall& wall) const;
    Text tree(const Tree& tree) const;
    Text shrub(const Shrub& shrub) const;
    Text area(const GroundArea& area) const;
    Text mesh(const Mesh& mesh) const;
    Text lamp(const Lamp& lamp) const;
    Text fixture(const Fixture& fixture) const;
    Text target(const Target& target) const;
    Text view(const View& view) const;
    Text watch_point(const WatchPoint& point) const;
    Text eye(const Eye& eye) const;
    Text change(const Change& change) const;
    Text variant(const Variant& variant) const;

    const Site& site_;
};

Text Printer::finish(const Finish& finish) {
    for (const FinishRow& row : finish_table())
        if (row.name == finish.name && row.reflectance == finish.reflectance)
            return word(finish.name);
    const glm::dvec3& rgb = finish.reflectance;
    Object object;
    object.add("reflectance", rgb.x == rgb.y && rgb.y == rgb.z
                                  ? number(rgb.x)
                                  : list({number(rgb.x), number(rgb.y), number(rgb.z)}));
    return object.text;
}

void Printer::add_foliage(Object& object, const Foliage& foliage) const {
    const Foliage usual;
    add_word(object, "leaf", name_of(leaf_kind_names, foliage.leaf), name_of(leaf_kind_names, usual.leaf));
    add_number(object, "leaf_area_density", foliage.leaf_area_density, usual.leaf_area_density);
    add_length(object, "leaf_size", foliage.leaf_size, usual.leaf_size);
    add_number(object, "leaf_angle_index", foliage.leaf_angle_index, usual.leaf_angle_index);
    add_number(object, "clumping", foliage.clumping, usual.clumping);
    if (foliage.seed != usual.seed)
        object.add("seed", scalar(std::to_string(foliage.seed)));
    if (!foliage.is_deciduous)
        object.add("deciduous", scalar("false"));
    add_number(object, "twig_area_index", foliage.twig_area_index, usual.twig_area_index);
}

Text Printer::opening(const Opening& opening) const {
    const Opening usual;
    Object object;
    object.add("id", word(opening.id));
    add_word(object, "kind", name_of(opening_kind_names, opening.kind),
             name_of(opening_kind_names, usual.kind));
    object.add("from", length(opening.from));
    object.add("width", length(opening.width));
    object.add("sill", length(opening.sill));
    object.add("height", length(opening.height));
    add_length(object, "reveal", opening.reveal, usual.reveal);
    add_finish(object, "finish", opening.finish, make_finish(default_opening_finish));
    return object.text;
}

Text Printer::gable(const Gable& gable) const {
    Object object;
    object.add("id", word(gable.id));
    object.add("from", length(gable.from));
    object.add("width", length(gable.width));
    object.add("peak", length(gable.peak));
    return object.text;
}

Text Printer::projection(const Projection& projection) const {
    const Projection usual;
    Object object;
    object.add("id", word(projection.id));
    add_word(object, "kind", name_of(projection_kind_names, projection.kind),
             name_of(projection_kind_names, usual.kind));
    object.add("from", length(projection.from));
    object.add("width", length(projection.width));
    object.add("depth", length(projection.depth));
    add_length(object, "bottom", projection.bottom, usual.bottom);
    object.add("height", length(projection.height));
    if (projection.finish)
        object.add("finish", finish(*projection.finish));
    add_list(object, "openings", projection.openings, &Printer::opening);
    return object.text;
}

Text Printer::wall(const Wall& wall) const {
    const Wall usual;
    Object object;
    object.add("id", word(wall.id));
    object.add("path", points(wall.path));
    if (wall.closed)
        object.add("closed", scalar("true"));
    add_length(object, "foot", wall.foot, usual.foot);
    object.add("height", length(wall.height));
    add_finish(object, "finish", wall.finish, usual.finish);
    add_list(object, "gables", wall.gables, &Printer::gable);
    add_list(object, "projections", wall.projections, &Printer::projection);
    if (wall.eave) {
        const Eave usual_eave;
        Object eave;
        eave.add("depth", length(wall.eave->depth));
        add_length(eave, "thickness", wall.eave->thickness, usual_eave.thickness);
        add_length(eave, "rake_depth", wall.eave->rake_depth, usual_eave.rake_depth);
        add_finish(eave, "soffit", wall.eave->soffit, make_finish(default_soffit_finish));
        object.add("eave", eave.text);
    }
    add_list(object, "openings", wall.openings, &Printer::opening);
    return object.text;
}

Text Printer::tree(const Tree& tree) const {
    const Tree usual;
    Object object;
    object.add("id", word(tree.id));
    object.add("at", point(tree.at));
    add_length(object, "foot", tree.foot, usual.foot);
    add_word(object, "form", name_of(crown_form_names, tree.form), name_of(crown_form_names, usual.form));
    object.add("height", length(tree.height));
    object.add("base", length(tree.base));
    object.add("width", length(tree.width));
    add_length(object, "trunk_diameter", tree.trunk_diameter, usual.trunk_diameter);
    add_foliage(object, tree.foliage);
    if (tree.growth) {
        Object growth;
        growth.add("height", length(tree.growth->height));
        growth.add("width", length(tree.growth->width));
        for (const auto& [key, value] : {std::pair("trunk_diameter", tree.growth->trunk_diameter),
                                         std::pair("mature_height", tree.growth->mature_height),
                                         std::pair("mature_width", tree.growth->mature_width)})
            if (value)
                growth.add(key, length(*value));
        object.add("growth", growth.text);
    }
    return object.text;
}

Text Printer::shrub(const Shrub& shrub) const {
    const Shrub usual;
    Object object;
    object.add("id", word(shrub.id));
    if (!shrub.outline.empty())
        object.add("outline", points(shrub.outline));
    if (!shrub.path.empty())
        object.add("path", points(shrub.path));
    add_length(object, "width", shrub.width, usual.width);
    add_length(object, "foot", shrub.foot, usual.foot);
    object.add("height", length(shrub.height));
    add_foliage(object, shrub.foliage);
    return object.text;
}

Text Printer::area(const GroundArea& area) const {
    Object object;
    object.add("id", word(area.id));
    object.add("kind", word(name_of(ground_kind_names, area.kind)));
    object.add("outline", points(area.outline));
    if (area.finish)
        object.add("finish", finish(*area.finish));
    return object.text;
}

Text Printer::mesh(const Mesh& mesh) const {
    const Mesh usual;
    Object object;
    object.add("id", word(mesh.id));
    object.add("file", word(mesh.file));
    add_number(object, "scale", mesh.scale, usual.scale); // a bare number is metres here
    add_word(object, "up", name_of(up_axis_names, mesh.up), name_of(up_axis_names, usual.up));
    if (mesh.at != usual.at)
        object.add("at", point(mesh.at));
    add_angle(object, "turn", mesh.turn, usual.turn);
    add_finish(object, "finish", mesh.finish, usual.finish);
    return object.text;
}

Text Printer::lamp(const Lamp& lamp) const {
    const Lamp usual;
    Object object;
    object.add("id", word(lamp.id));
    add_word(object, "name", lamp.name, usual.name);
    add_word(object, "file", lamp.file, usual.file);
    add_number(object, "watts", lamp.watts, usual.watts);
    if (lamp.volt_amperes)
        object.add("va", number(*lamp.volt_amperes));
    if (lamp.power_factor)
        object.add("power_factor", number(*lamp.power_factor));
    add_number(object, "cct", lamp.cct, usual.cct);
    add_word(object, "socket", lamp.socket, usual.socket);
    if (lamp.is_regulated)
        object.add("regulated", scalar("true"));
    add_number(object, "tolerance", lamp.tolerance, usual.tolerance);
    add_number(object, "depreciation", lamp.depreciation, usual.depreciation);
    if (lamp.price)
        object.add("price", number(*lamp.price));
    add_word(object, "draw", name_of(draw_names, lamp.draw), name_of(draw_names, usual.draw));
    add_number(object, "rated_volts", lamp.rated_volts, usual.rated_volts);
    if (lamp.measured_watts)
        object.add("measured_watts", number(*lamp.measured_watts));
    if (lamp.operating_volts)
        object.add("window", list({number((*lamp.operating_volts)[0]), number((*lamp.operating_volts)[1])}));
    if (lamp.max_volts)
        object.add("max_volts", number(*lamp.max_volts));
    if (!lamp.file.empty())
        return object.text;
    const LampFigures& figures = lamp.figures;
    if (figures.lumens)
        object.add("lumens", number(*figures.lumens));
    if (figures.centre_candela)
        object.add("candela", number(*figures.centre_candela));
    object.add("beam", spread(figures.beam_angle, figures.beam_angle_across));
    if (figures.field_angle)
        object.add("field", spread(*figures.field_angle, figures.field_angle_across));
    add_angle(object, "peak", figures.peak_angle, usual.figures.peak_angle);
    if (figures.ring_angle)
        object.add("ring", angle(*figures.ring_angle));
    add_word(object, "profile", name_of(profile_names, figures.profile),
             name_of(profile_names, usual.figures.profile));
    return object.text;
}

Text Printer::fixture(const Fixture& fixture) const {
    const FixtureModel* model = find_model(site_.catalogue, fixture.model);
    const Fixture usual = default_fixture(fixture.kind, !fixture.wall.empty(), model);
    Object object;
    object.add("id", word(fixture.id));
    add_word(object, "model", fixture.model, "");
    if (!model || model->usual.kind != fixture.kind)
        object.add("kind", word(name_of(fixture_kind_names, fixture.kind)));
    object.add("lamp", word(fixture.lamp));
    if (!fixture.wall.empty()) {
        object.add("wall", word(fixture.wall));
        object.add("along", length(fixture.along));
    }
    add_word(object, "tree", fixture.tree, "");
    add_angle(object, "bearing", fixture.bearing, usual.bearing);
    if (fixture.at)
        object.add("at", point(*fixture.at));
    if (fixture.setback)
        object.add("setback", length(*fixture.setback));
    if (fixture.kind == FixtureKind::downlight || fixture.lens_height != usual.lens_height)
        object.add("lens_height", length(fixture.lens_height));
    if (fixture.lens_diameter && fixture.lens_diameter != usual.lens_diameter)
        object.add("lens_diameter", length(*fixture.lens_diameter));
    add_length(object, "shroud_length", fixture.shroud_length, usual.shroud_length);
    add_length(object, "hood_length", fixture.hood_length, usual.hood_length);
    if (fixture.rim != usual.rim)
        object.add("rim", pair("diameter", fixture.rim.diameter, "distance", fixture.rim.distance));
    if (fixture.louvre != usual.louvre)
        object.add("louvre", pair("cell", fixture.louvre.cell, "depth", fixture.louvre.depth));
    add_angle(object, "tilt", fixture.tilt, usual.tilt);
    if (fixture.azimuth)
        object.add("azimuth", angle(*fixture.azimuth));
    add_angle(object, "turn", fixture.turn, usual.turn);
    add_angle(object, "spin", fixture.spin, usual.spin);
    add_word(object, "mount", name_of(mount_names, fixture.mount), name_of(mount_names, usual.mount));
    add_number(object, "light_loss_factor", fixture.light_loss_factor, usual.light_loss_factor);
    add_number(object, "dimming", fixture.dimming, usual.dimming);
    return object.text;
}

Text Printer::target(const Target& target) const {
    const Target usual;
    Object object;
    object.add("id", word(target.id));
    object.add("on", word(target.on));
    add_word(object, "gable", target.gable, usual.gable);
    if (target.between)
        object.add("between", list({length((*target.between)[0]), length((*target.between)[1])}));
    if (target.along)
        object.add("along", list({length((*target.along)[0]), length((*target.along)[1])}));
    object.add("level", illuminance(target.level));
    object.add("share", number(target.share));
    return object.text;
}

Text Printer::view(const View& view) const {
    const View usual;
    Object object;
    object.add("id", word(view.id));
    object.add("eye", point(view.eye));
    object.add("look_at", point(view.look_at));
    add_angle(object, "field_of_view", view.field_of_view, usual.field_of_view);
    return object.text;
}

Text Printer::watch_point(const WatchPoint& watch) const {
    const WatchPoint usual;
    Object object;
    object.add("id", word(watch.id));
    add_word(object, "kind", name_of(watch_kind_names, watch.kind), name_of(watch_kind_names, usual.kind));
    object.add("at", point(watch.at));
    if (watch.facing)
        object.add("facing", angle(*watch.facing));
    return object.text;
}

Text Printer::eye(const Eye& eye) const {
    Object object;
    object.add("id", word(eye.id));
    object.add("at", point(eye.at));
    if (eye.look_at)
        object.add("look_at", point(*eye.look_at));
    return object.text;
}

Text Printer::change(const Change& change) const {
    Object object;
    if (!change.fixtures.empty())
        object.add("fixtures", words(change.fixtures));
    for (const Setting& setting : change.settings) {
        const Text value = setting.knob == Knob::lamp ? word(setting.lamp)
                           : is_length(setting.knob)  ? length(setting.value)
                           : is_angle(setting.knob)   ? angle(setting.value)
                                                      : number(setting.value);
        object.add(name_of(setting.knob), value);
    }
    return object.text;
}

Text Printer::variant(const Variant& variant) const {
    Object object;
    object.add("id", word(variant.id));
    add_word(object, "name", variant.name, "");
    add_list(object, "added", variant.added, &Printer::fixture);
    add_list(object, "changes", variant.changes, &Printer::change);
    if (!variant.without.empty())
        object.add("without", words(variant.without));
    if (variant.plants) {
        object.add("season", word(name_of(season_names, variant.plants->season)));
        add_number(object, "years_on", variant.plants->years_on, 0);
    }
    return object.text;
}

Text Printer::site() const {
    const Site usual;
    Object object;
    add_word(object, "$schema", site_.schema, usual.schema);
    object.add("duskcast", scalar("1"));
    object.add("name", word(site_.name));
    object.add("units", word(name_of(length_unit_names, site_.units)));
    object.add("light", word(name_of(light_unit_names, site_.light)));
    if (site_.levels != default_levels())
        object.add("levels", list_of(site_.levels, [&](double one) { return illuminance(one); }));
    add_length(object, "sensor_spacing", site_.sensor_spacing, usual.sensor_spacing);
    add_length(object, "ground_spacing", site_.ground_spacing, usual.ground_spacing);
    add_number(object, "leaf_sensors", site_.leaf_sensors, usual.leaf_sensors);
    if (site_.ambient != usual.ambient)
        object.add("ambient", illuminance(site_.ambient));
    Object ground;
    add_word(ground, "base", name_of(ground_kind_names, site_.ground.base),
             name_of(ground_kind_names, usual.ground.base));
    add_length(ground, "margin", site_.ground.margin, usual.ground.margin);
    add_list(ground, "areas", site_.ground.areas, &Printer::area);
    if (!ground.text.items.empty())
        object.add("ground", ground.text);
    add_list(object, "walls", site_.walls, &Printer::wall);
    add_list(object, "trees", site_.trees, &Printer::tree);
    add_list(object, "shrubs", site_.shrubs, &Printer::shrub);
    add_list(object, "meshes", site_.meshes, &Printer::mesh);
    add_word(object, "catalogue", site_.catalogue_file, "");
    add_list(object, "lamps", site_.lamps, &Printer::lamp);
    add_list(object, "fixtures", site_.fixtures, &Printer::fixture);
    add_list(object, "targets", site_.targets, &Printer::target);
    add_list(object, "views", site_.views, &Printer::view);
    if (site_.zone)
        object.add("zone", word(name_of(zone_names, *site_.zone)));
    add_list(object, "watch_points", site_.watch_points, &Printer::watch_point);
    add_list(object, "eyes", site_.eyes, &Printer::eye);
    add_list(object, "variants", site_.variants, &Printer::variant);
    if (site_.network)
        object.add("network", make_network_text(*site_.network, site_.units));
    return object.text;
}

} // namespace

std::string print_site(const Site& site) {
    return print_text(Printer(site).site(), 0, 0) + "\n";
}

} // namespace duskcast
