#include <algorithm>

#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/site_file.hpp"
#include "json_text.hpp"
#include "object_reader.hpp"
#include "read_equipment.hpp"
#include "read_network.hpp"
#include "site_folder.hpp"

namespace duskcast {
namespace {

using Reader = ObjectReader;

void read_foliage(Reader& reader, Foliage& foliage) {
    reader.word("leaf", leaf_kind_names, foliage.leaf);
    reader.number("leaf_area_density", foliage.leaf_area_density);
    reader.length("leaf_size", foliage.leaf_size);
    reader.number("leaf_angle_index", foliage.leaf_angle_index);
    reader.number("clumping", foliage.clumping);
    reader.integer("seed", foliage.seed);
    reader.truth("deciduous", foliage.is_deciduous);
    reader.number("twig_area_index", foliage.twig_area_index);
}

void read_opening(Reader& reader, Opening& opening) {
    read_id(reader, opening.id);
    reader.word("kind", opening_kind_names, opening.kind);
    require_all(reader, {"from", "width", "sill", "height"});
    reader.length("from", opening.from);
    reader.length("width", opening.width);
    reader.length("sill", opening.sill);
    reader.length("height", opening.height);
    reader.length("reveal", opening.reveal);
    opening.finish = make_finish(default_opening_finish);
    reader.finish("finish", opening.finish);
}

void read_openings(Reader& reader, std::vector<Opening>& openings) {
    reader.each("openings", [&](Reader& one) { read_opening(one, openings.emplace_back()); });
}

void read_projection(Reader& reader, Projection& projection) {
    read_id(reader, projection.id);
    reader.word("kind", projection_kind_names, projection.kind);
    require_all(reader, {"from", "width", "depth", "height"});
    reader.length("from", projection.from);
    reader.length("width", projection.width);
    reader.length("depth", projection.depth);
    reader.length("bottom", projection.bottom);
    reader.length("height", projection.height);
    reader.maybe(&Reader::finish, "finish", projection.finish);
    read_openings(reader, projection.openings);
}

void read_wall(Reader& reader, Wall& wall) {
    read_id(reader, wall.id);
    require_all(reader, {"path", "height"});
    reader.points("path", wall.path);
    reader.truth("closed", wall.closed);
    reader.length("foot", wall.foot);
    reader.length("height", wall.height);
    reader.finish("finish", wall.finish);
    reader.each("gables", [&](Reader& one) {
        Gable& gable = wall.gables.emplace_back();
        read_id(one, gable.id);
        require_all(one, {"from", "width", "peak"});
        one.length("from", gable.from);
        one.length("width", gable.width);
        one.length("peak", gable.peak);
    });
    reader.each("projections", [&](Reader& one) { read_projection(one, wall.projections.emplace_back()); });
    reader.object("eave", [&](Reader& one) {
        Eave& eave = wall.eave.emplace();
        one.require("depth");
        one.length("depth", eave.depth);
        one.length("thickness", eave.thickness);
        one.length("rake_depth", eave.rake_depth);
        eave.soffit = make_finish(default_soffit_finish);
        one.finish("soffit", eave.soffit);
    });
    read_openings(reader, wall.openings);
}

void read_tree(Reader& reader, Tree& tree) {
    read_id(reader, tree.id);
    require_all(reader, {"at", "height", "base", "width"});
    reader.point("at", tree.at);
    reader.length("foot", tree.foot);
    reader.word("form", crown_form_names, tree.form);
    reader.length("height", tree.height);
    reader.length("base", tree.base);
    reader.length("width", tree.width);
    reader.length("trunk_diameter", tree.trunk_diameter);
    read_foliage(reader, tree.foliage);
    reader.object("growth", [&](Reader& one) {
        Growth& growth = tree.growth.emplace();
        require_all(one, {"height", "width"});
        one.length("height", growth.height);
        one.length("width", growth.width);
        one.maybe(&Reader::length, "trunk_diameter", growth.trunk_diameter);
        one.maybe(&Reader::length, "mature_height", growth.mature_height);
        one.maybe(&Reader::length, "mature_width", growth.mature_width);
    });
}

void read_shrub(Reader& reader, Shrub& shrub) {
    read_id(reader, shrub.id);
    reader.require("height");
    if (reader.has("outline") == reader.has("path"))
        reader.report(reader.has("path") ? "path" : "outline", messages::outline_or_path());
    else if (reader.has("path"))
        reader.require("width");
    else if (reader.has("width"))
        reader.report("width", messages::needs_key("width", "path"));
    reader.points("outline", shrub.outline);
    reader.points("path", shrub.path);
    reader.length("width", shrub.width);
    reader.length("foot", shrub.foot);
    reader.length("height", shrub.height);
    read_foliage(reader, shrub.foliage);
}

void read_ground(Reader& reader, Ground& ground) {
    reader.word("base", ground_kind_names, ground.base);
    reader.length("margin", ground.margin);
    reader.each("areas", [&](Reader& one) {
        GroundArea& area = ground.areas.emplace_back();
        read_id(one, area.id);
        require_all(one, {"kind", "outline"});
        one.word("kind", ground_kind_names, area.kind);
        one.points("outline", area.outline);
        one.maybe(&Reader::finish, "finish", area.finish);
    });
}

void read_mesh(Reader& reader, Mesh& mesh) {
    read_id(reader, mesh.id);
    reader.require("file");
    reader.text("file", mesh.file);
    reader.metres_or_length("scale", mesh.scale);
    reader.word("up", up_axis_names, mesh.up);
    reader.point("at", mesh.at);
    reader.angle("turn", mesh.turn);
    reader.finish("finish", mesh.finish);
}

void read_target(Reader& reader, Target& target) {
    read_id(reader, target.id);
    reader.require("on");
    reader.text("on", target.on);
    reader.text("gable", target.gable);
    reader.maybe(&Reader::lengths, "between", target.between);
    reader.maybe(&Reader::lengths, "along", target.along);
    reader.illuminance("level", target.level);
    reader.number("share", target.share);
}

void read_view(Reader& reader, View& view) {
    read_id(reader, view.id);
    require_all(reader, {"eye", "look_at"});
    reader.point("eye", view.eye);
    reader.point("look_at", view.look_at);
    reader.angle("field_of_view", view.field_of_view);
}

void read_watch_point(Reader& reader, WatchPoint& point) {
    read_id(reader, point.id);
    reader.require("at");
    reader.word("kind", watch_kind_names, point.kind);
    reader.point("at", point.at);
    reader.maybe(&Reader::angle, "facing", point.facing);
}

void read_eye(Reader& reader, Eye& eye) {
    read_id(reader, eye.id);
    reader.require("at");
    reader.point("at", eye.at);
    glm::dvec3 look_at{0};
    if (reader.point("look_at", look_at))
        eye.look_at = look_at;
}

void read_change(Reader& reader, Change& change) {
    reader.texts("fixtures", change.fixtures);
    for (const auto& [knob, name] : knob_names) {
        const std::string key(name);
        Setting setting{.knob = knob};
        bool is_set = false;
        if (knob == Knob::lamp)
            is_set = reader.text(key, setting.lamp);
        else if (is_length(knob))
            is_set = reader.length(key, setting.value);
        else if (is_angle(knob))
            is_set = reader.angle(key, setting.value);
        else
            is_set = reader.number(key, setting.value);
        if (is_set)
            change.settings.push_back(setting);
    }
}

void read_variant(Reader& reader, const Site& site, Variant& variant) {
    read_id(reader, variant.id);
    reader.text("name", variant.name);
    reader.each("added",
                [&](Reader& one) { read_fixture(one, site.catalogue, variant.added.emplace_back()); });
    reader.each("changes", [&](Reader& one) { read_change(one, variant.changes.emplace_back()); });
    reader.texts("without", variant.without);
    SeasonChoice plants;
    const bool has_season = reader.word("season", season_names, plants.season);
    const bool has_years = reader.number("years_on", plants.years_on);
    if (has_season || has_years)
        variant.plants = plants;
}

/// Whether the site can be judged: what it takes from a faulty catalogue would only echo.
bool read_site_catalogue(Reader& reader, Reading& reading, SiteFile& made) {
    Site& site = made.site;
    if (!reader.text("catalogue", site.catalogue_file))
        return true;
    const std::filesystem::path file = path_in(made.folder(), site.catalogue_file);
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(file, ignored)) {
        reader.report("catalogue", messages::no_such_file(site.catalogue_file));
        return false;
    }
    try {
        CatalogueFile read = read_catalogue_file(file);
        site.catalogue = std::move(read.catalogue);
        made.warnings = std::move(read.warnings);
    } catch (const InputError& fault) {
        reading.problems.insert(reading.problems.end(), fault.problems().begin(), fault.problems().end());
        return false;
    }
    const std::filesystem::path between = path_in({}, site.catalogue_file).parent_path();
    for (Lamp& lamp : site.catalogue.lamps)
        if (!lamp.file.empty())
            lamp.file = text_of(between / path_in({}, lamp.file));
    return true;
}

bool read_root(Reader& reader, Reading& reading, SiteFile& made) {
    Site& site = made.site;
    reader.text("$schema", site.schema);
    if (int version = 0; reader.require("duskcast") && reader.integer("duskcast", version) && version != 1)
        reader.report("duskcast", messages::wrong_version());
    reader.text("name", site.name);
    reader.word("units", length_unit_names, site.units);
    reader.word("light", light_unit_names, site.light);
    reading.units = site.units;
    reading.light = site.light;
    site.levels = default_levels();
    reader.illuminances("levels", site.levels);
    reader.length("sensor_spacing", site.sensor_spacing);
    reader.length("ground_spacing", site.ground_spacing);
    reader.integer("leaf_sensors", site.leaf_sensors);
    reader.illuminance("ambient", site.ambient);
    reader.object("ground", [&](Reader& one) { read_ground(one, site.ground); });
    reader.each("walls", [&](Reader& one) { read_wall(one, site.walls.emplace_back()); });
    reader.each("trees", [&](Reader& one) { read_tree(one, site.trees.emplace_back()); });
    reader.each("shrubs", [&](Reader& one) { read_shrub(one, site.shrubs.emplace_back()); });
    reader.each("meshes", [&](Reader& one) { read_mesh(one, site.meshes.emplace_back()); });
    const bool is_whole = read_site_catalogue(reader, reading, made);
    reader.each("lamps", [&](Reader& one) { read_lamp(one, site.lamps.emplace_back()); });
    reader.each("fixtures",
                [&](Reader& one) { read_fixture(one, site.catalogue, site.fixtures.emplace_back()); });
    reader.each("targets", [&](Reader& one) { read_target(one, site.targets.emplace_back()); });
    reader.each("views", [&](Reader& one) { read_view(one, site.views.emplace_back()); });
    if (Zone zone{}; reader.word("zone", zone_names, zone))
        site.zone = zone;
    reader.each("watch_points",
                [&](Reader& one) { read_watch_point(one, site.watch_points.emplace_back()); });
    reader.each("eyes", [&](Reader& one) { read_eye(one, site.eyes.emplace_back()); });
    reader.each("variants", [&](Reader& one) { read_variant(one, site, site.variants.emplace_back()); });
    reader.object("network", [&](Reader& one) { read_network(one, site.network.emplace()); });
    return is_whole;
}

} // namespace

std::vector<double> default_levels() {
    std::vector<double> levels;
    for (const double footcandles : {0.5, 1.0, 2.0, 5.0})
        levels.push_back(footcandles * lux_per_footcandle);
    return levels;
}

SiteFile read_site(std::string_view text, const std::filesystem::path& file) {
    SiteFile made;
    made.file = file;
    Reading reading;
    reading.file = file.string();

    const JsonValue root = read_json(text, reading.file, "duskcast");
    Reader reader(reading, root, "");
    const bool is_whole = read_root(reader, reading, made);
    reader.close();
    add_findings(reading, is_whole ? check_site(made.site, made.folder()) : std::vector<Problem>{},
                 made.warnings);
    made.places = std::move(reading.places);
    return made;
}

} // namespace duskcast
