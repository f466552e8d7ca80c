// Lamps, fixtures and catalogues; where fixtures stand is check_site.cpp's matter.

#include <algorithm>

#include "checker.hpp"
#include "duskcast/base/files.hpp"
#include "names.hpp"
#include "network_messages.hpp"

namespace duskcast {
namespace {

/// A tilt and the ends of its range may be rounded apart: 180 and "3.14159265358979 rad".
bool can_tilt(const FixtureModel& model, double tilt) {
    const double rounding = 1e-9; // radians
    return tilt >= model.least_tilt - rounding && tilt <= model.greatest_tilt + rounding;
}

} // namespace

const LampLight* Checker::light_of(const std::string& id) {
    const auto known = lights.find(id);
    if (known != lights.end())
        return known->second;
    for (const Lamp& offered : site.catalogue.lamps) // checked when the catalogue was read
        if (offered.id == id)
            return lights.emplace(id, &made_lights.of(offered)).first->second;
    return nullptr;
}

double Checker::lens_diameter(const Fixture& fixture) {
    const LampLight* light = light_of(fixture.lamp);
    const double metres = lens_diameter_of(fixture, light ? light->opening_diameter : 0);
    return metres > 0 && metres <= max_lens ? metres : usual_lens_diameter;
}

void Checker::check_electrical(const Lamp& lamp, const Faults& faults, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    if (!lamp.operating_volts || faults.contains("operating_volts"))
        return;
    const auto [low, high] = *lamp.operating_volts;
    if (!(low < high))
        error(at("operating_volts"),
              messages::wrong_order(print_number(low) + " V", print_number(high) + " V"));
    else if (lamp.max_volts && *lamp.max_volts < high)
        error(at("max_volts"),
              messages::bears_less_than_operating(print_number(*lamp.max_volts), print_number(high)));
}

void Checker::check_lamp(const Lamp& lamp, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    check_id(lamps, lamp.id, path);
    const Faults faults = check_fields(*lamp_fields(), &lamp, path);
    if (lamp.volt_amperes && !faults.contains("va") && *lamp.volt_amperes < lamp.watts)
        error(at("va"),
              messages::power_factor_contradicts(print_number(lamp.watts), print_number(*lamp.volt_amperes)));
    check_electrical(lamp, faults, path);
    if (faults.contains("lumens") || faults.contains("candela"))
        return; // nothing can be made of such figures

    std::error_code ignored;
    if (!lamp.file.empty() && !(lamp.figures == LampFigures{}))
        return error(at("file"), messages::file_and_figures());
    if (!lamp.file.empty() && !std::filesystem::is_regular_file(path_in(folder, lamp.file), ignored))
        return error(at("file"), messages::no_such_file(lamp.file));
    try {
        const LampLight& light = made_lights.of(lamp);
        problems.insert(problems.end(), light.warnings.begin(), light.warnings.end());
        if (!(light.watts > 0))
            warn(path, messages::watts_unknown());
        lights.emplace(lamp.id, &light);
    } catch (const InputError& fault) {
        for (Problem problem : fault.problems()) {
            if (problem.place.file.empty())
                problem.place.path =
                    join_path(path, problem.place.path.empty() ? "beam" : problem.place.path);
            problems.push_back(problem);
        }
    }
}

void Checker::check_lamps() {
    for (std::size_t i = 0; i < site.lamps.size(); ++i) {
        const std::string path = join_path("lamps", i);
        check_lamp(site.lamps[i], path);
        for (const Lamp& offered : site.catalogue.lamps)
            if (offered.id == site.lamps[i].id)
                error(join_path(path, "id"), messages::id_in_catalogue(offered.id));
    }
}

/// Lens and shielding.
void Checker::check_body(const Fixture& fixture, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    if (fixture.rim.diameter > 0 && fixture.rim.diameter < lens_diameter(fixture) - touch)
        error(join_path(at("rim"), "diameter"),
              messages::rim_too_narrow(shown(fixture.rim.diameter), shown(lens_diameter(fixture))));
}

/// Model and lamp, and whether they go together.
void Checker::check_choice(const Fixture& fixture, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    std::vector<std::string> known = ids_of(site.lamps);
    for (const Lamp& lamp : site.catalogue.lamps)
        known.push_back(lamp.id);
    const Lamp* lamp = find_lamp(site, fixture.lamp);
    if (!lamp)
        error(at("lamp"), messages::dangling("lamp", fixture.lamp, known));
    if (fixture.model.empty())
        return;
    const FixtureModel* model = find_model(site.catalogue, fixture.model);
    if (!model) {
        return error(at("model"), messages::dangling("fixture in the catalogue", fixture.model,
                                                     ids_of(site.catalogue.fixtures)));
    }
    if (model->usual.kind != fixture.kind)
        error(at("kind"), messages::not_of_its_kind(name_of(fixture_kind_names, fixture.kind), model->id,
                                                    name_of(fixture_kind_names, model->usual.kind)));
    if (lamp && !is_fitting(*model, *lamp)) {
        std::vector<std::string> fitting;
        for (const std::vector<Lamp>* list : {&site.lamps, &site.catalogue.lamps})
            for (const Lamp& one : *list)
                if (is_fitting(*model, one))
                    fitting.push_back(one.id);
        error(at("lamp"), messages::lamp_does_not_fit(lamp->id, model->id, fitting));
    }
    if (!can_tilt(*model, fixture.tilt))
        error(at("tilt"),
              messages::tilt_out_of_range(print_angle(fixture.tilt), model->id,
                                          print_angle(model->least_tilt), print_angle(model->greatest_tilt)));
}

void Checker::check_fixture(const Fixture& fixture, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    check_id(fixtures, fixture.id, path);
    check_choice(fixture, path);
    check_body(fixture, path);
    const bool is_place_good = !check_fields(*fixture_fields(), &fixture, path).contains("at");
    if (fixture.azimuth && fixture.turn != 0)
        error(at("turn"), messages::excludes_key("turn", "azimuth"));
    if (is_place_good)
        check_position(fixture, path);
}

void Checker::check_model(const FixtureModel& model, const Catalogue& catalogue, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    check_id(fixtures, model.id, path);
    check_body(model.usual, path);
    if (!check_fields(*model_fields(), &model, path).contains("tilt_range")) {
        if (model.least_tilt > model.greatest_tilt)
            error(at("tilt_range"),
                  messages::wrong_order(print_angle(model.least_tilt), print_angle(model.greatest_tilt)));
        else if (!can_tilt(model, model.usual.tilt))
            error(at("tilt"), messages::tilt_out_of_range(print_angle(model.usual.tilt), model.id,
                                                          print_angle(model.least_tilt),
                                                          print_angle(model.greatest_tilt)));
    }
    const std::vector<std::string> known = ids_of(catalogue.lamps);
    for (std::size_t i = 0; i < model.lamps.size(); ++i)
        if (std::find(known.begin(), known.end(), model.lamps[i]) == known.end())
            error(join_path(at("lamps"), i), messages::dangling("lamp", model.lamps[i], known));
}

std::vector<Problem> check_catalogue(const Catalogue& catalogue, LengthUnit units,
                                     const std::filesystem::path& folder) {
    Site stand_in; // for the units that messages speak in
    stand_in.units = units;
    LampLights lights(folder);
    Checker checker{stand_in, lights};
    for (std::size_t i = 0; i < catalogue.lamps.size(); ++i)
        checker.check_lamp(catalogue.lamps[i], join_path("lamps", i));
    for (std::size_t i = 0; i < catalogue.fixtures.size(); ++i)
        checker.check_model(catalogue.fixtures[i], catalogue, join_path("fixtures", i));
    return checker.problems;
}

} // namespace duskcast
