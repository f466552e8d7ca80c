#include "object_rules.hpp"

#include <algorithm>

#include "duskcast/base/files.hpp"
#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "names.hpp"
#include "network_messages.hpp"

namespace duskcast {

namespace {

template <class Plant>
void prepare_plant(ObjectReader& reader, Plant& plant, Plant (*make)(const std::string&)) {
    const std::string words = reader.peek("plant");
    if (words.empty())
        return;
    try {
        plant = make(words);
    } catch (const InputError& error) { // has no place
        reader.report("plant", {error.problems().front().what, error.problems().front().remedy});
    }
}

} // namespace

void prepare_tree(ObjectReader& reader, Tree& tree) {
    prepare_plant<Tree>(reader, tree, [](const std::string& words) { return make_usual_tree(words); });
}

void prepare_shrub(ObjectReader& reader, Shrub& shrub) {
    prepare_plant<Shrub>(reader, shrub, [](const std::string& words) { return make_usual_shrub(words); });
}

void take_height(ObjectReader&, Tree& tree) {
    if (tree.plant.empty() || !(tree.height > 0))
        return;
    const Tree usual = make_usual_tree(tree.plant, tree.height);
    tree.base = usual.base;
    tree.width = usual.width;
    tree.trunk_diameter = usual.trunk_diameter;
    tree.foliage.leaf_size = usual.foliage.leaf_size;
}

void check_tree_keys(ObjectReader& reader, Tree& tree) {
    tree.stands_on_ground = !reader.has("foot");
    if (!reader.has("plant"))
        for (const char* key : {"height", "base", "width"})
            reader.require(key);
    if (reader.has("density") && reader.has("leaf_area_density"))
        reader.report("density", messages::excludes_key("density", "leaf_area_density"));
}

void check_shrub_keys(ObjectReader& reader, Shrub& shrub) {
    shrub.stands_on_ground = !reader.has("foot");
    if (!reader.has("plant"))
        reader.require("height");
    if (reader.has("density") && reader.has("leaf_area_density"))
        reader.report("density", messages::excludes_key("density", "leaf_area_density"));
    if (reader.has("outline") == reader.has("path"))
        reader.report(reader.has("path") ? "path" : "outline", messages::outline_or_path());
    else if (reader.has("path"))
        reader.require("width");
    else if (reader.has("width"))
        reader.report("width", messages::needs_key("width", "path"));
}

void check_lantern_keys(ObjectReader& reader, Lantern&) {
    if (reader.has("wall")) {
        reader.require("along");
        reader.require("up");
        if (reader.has("at"))
            reader.report("at", messages::excludes_key("at", "wall"));
        if (reader.has("pole"))
            reader.report("pole", messages::needs_key("pole", "at"));
        return;
    }
    if (!reader.has("at"))
        reader.report("at", messages::lantern_without_place());
    for (const char* key : {"along", "up", "setback"})
        if (reader.has(key))
            reader.report(key, messages::needs_key(key, "wall"));
}

void check_roof_keys(ObjectReader& reader, Roof&) {
    if (reader.has("wall") == reader.has("outline"))
        reader.report(reader.has("wall") ? "wall" : "outline", messages::roof_over_what());
    else if (reader.has("outline"))
        reader.require("height");
    if (reader.has("depth") && !reader.has("wall"))
        reader.report("depth", messages::needs_key("depth", "wall"));
}

void check_steps_keys(ObjectReader& reader, Steps&) {
    if (reader.has("wall") == reader.has("at"))
        return reader.report(reader.has("at") ? "at" : "wall", reader.has("at")
                                                                   ? messages::excludes_key("at", "wall")
                                                                   : messages::steps_without_place());
    reader.require(reader.has("wall") ? "along" : "facing");
    for (const char* key : {"along", "setback"})
        if (reader.has(key) && !reader.has("wall"))
            reader.report(key, messages::needs_key(key, "wall"));
    if (reader.has("facing") && !reader.has("at"))
        reader.report("facing", messages::needs_key("facing", "at"));
}

void check_lamp_keys(ObjectReader& reader, Lamp& lamp) {
    if (reader.has("va") && reader.has("power_factor"))
        reader.report("power_factor", messages::excludes_key("power_factor", "va"));
    if (!reader.has("file")) {
        reader.require("beam");
        return;
    }
    lamp.figures = {};
    for (const char* figure : {"lumens", "candela", "beam", "field", "peak", "ring", "profile"})
        if (reader.has(figure))
            return reader.report(figure, messages::file_and_figures());
}

void prepare_fixture(ObjectReader& reader, Fixture& fixture) {
    const FixtureModel* model = find_model(reader.reading().catalogue, reader.peek("model"));
    FixtureKind kind = model ? model->usual.kind : FixtureKind::uplight;
    if (!reader.has("model") && !reader.has("kind"))
        reader.report("kind", messages::kind_or_model());
    for (const auto& [one, name] : fixture_kind_names)
        if (name == reader.peek("kind"))
            kind = one;
    fixture = default_fixture(kind, reader.has("wall"), model);
    fixture.model.clear();
}

void check_fixture_keys(ObjectReader& reader, Fixture& fixture) {
    const int positions = reader.has("wall") + reader.has("tree") + reader.has("at");
    if (positions == 0)
        reader.report("at", messages::no_position());
    if (positions > 1)
        reader.report(reader.has("at") ? "at" : "tree", messages::two_positions());
    if (reader.has("wall"))
        reader.require("along");
    else if (reader.has("along"))
        reader.report("along", messages::needs_key("along", "wall"));
    if (reader.has("bearing") && !reader.has("tree"))
        reader.report("bearing", messages::needs_key("bearing", "tree"));
    if (reader.has("setback") && !reader.has("wall") && !reader.has("tree"))
        reader.report("setback", messages::needs_key("setback", "wall\" or \"tree"));
    if (fixture.kind == FixtureKind::downlight)
        reader.require("lens_height");
    if (reader.has("azimuth") && reader.has("turn"))
        reader.report("turn", messages::excludes_key("turn", "azimuth"));
}

void prepare_model(ObjectReader& reader, FixtureModel& model) {
    for (const auto& [kind, name] : fixture_kind_names)
        if (name == reader.peek("kind"))
            model.usual = default_fixture(kind, false);
    model.greatest_tilt = pi;
}

/// What belongs to one layout only.
void check_run_keys(ObjectReader& reader, CableRun& run) {
    const std::string layout = reader.peek("layout");
    const bool is_known = std::any_of(run_layout_names.begin(), run_layout_names.end(),
                                      [&](const auto& one) { return one.second == layout; });
    if (reader.has("layout") && !is_known)
        return;
    if (run.layout == RunLayout::hub)
        reader.require("hub");
    else if (reader.has("hub"))
        reader.report("hub", messages::of_another_layout("hub", name_of(RunLayout::hub)));
    if (run.layout != RunLayout::centre_fed && reader.has("home"))
        reader.report("home", messages::of_another_layout("home", name_of(RunLayout::centre_fed)));
    if (run.layout == RunLayout::hub && reader.has("follow"))
        reader.report("follow", messages::hub_follows_nothing());
    if (reader.has("path") && reader.has("follow"))
        reader.report("follow", messages::excludes_key("follow", "path"));
}

void take_length_unit(ObjectReader& reader, Site& site) {
    reader.reading().units = site.units;
}

void take_light_unit(ObjectReader& reader, Site& site) {
    reader.reading().light = site.light;
}

void take_catalogue_unit(ObjectReader& reader, CatalogueFile& file) {
    reader.reading().units = file.units;
}

void take_catalogue(ObjectReader& reader, Site& site) {
    Reading& reading = reader.reading();
    const std::filesystem::path file = path_in(reading.folder, site.catalogue_file);
    std::error_code ignored;
    reading.is_whole = false;
    if (!std::filesystem::is_regular_file(file, ignored))
        return reader.report("catalogue", messages::no_such_file(site.catalogue_file));
    try {
        CatalogueFile read = read_catalogue_file(file);
        site.catalogue = std::move(read.catalogue);
        reading.catalogue_warnings = std::move(read.warnings);
    } catch (const InputError& fault) {
        reading.problems.insert(reading.problems.end(), fault.problems().begin(), fault.problems().end());
        return;
    }
    reading.is_whole = true;
    const std::filesystem::path between_folders = path_in({}, site.catalogue_file).parent_path();
    for (Lamp& lamp : site.catalogue.lamps)
        if (!lamp.file.empty())
            lamp.file = text_of(path_in(between_folders, lamp.file));
    reading.catalogue = site.catalogue;
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

std::vector<double> default_levels() {
    std::vector<double> levels;
    for (const double footcandles : {0.5, 1.0, 2.0, 5.0})
        levels.push_back(footcandles * lux_per_footcandle);
    return levels;
}

} // namespace duskcast
