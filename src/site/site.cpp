#include "duskcast/site/site.hpp"

#include <algorithm>

#include "names.hpp"

namespace duskcast {
namespace {

template <class T> const T* find_by_id(const std::vector<T>& list, const std::string& id) {
    const auto found = std::find_if(list.begin(), list.end(), [&](const T& one) { return one.id == id; });
    return found == list.end() ? nullptr : &*found;
}

} // namespace

std::string name_of(LeafKind kind) {
    return name_of(leaf_kind_names, kind);
}

std::string name_of(Zone zone) {
    return name_of(zone_names, zone);
}

std::string name_of(WatchKind kind) {
    return name_of(watch_kind_names, kind);
}

std::string name_of(NightSky sky) {
    return name_of(night_sky_names, sky);
}

std::string name_of(GroundKind kind) {
    return name_of(ground_kind_names, kind);
}

std::string name_of(FixtureKind kind) {
    return name_of(fixture_kind_names, kind);
}

std::string name_of(Mount mount) {
    return name_of(mount_names, mount);
}

const Wall* find_wall(const Site& site, const std::string& id) {
    return find_by_id(site.walls, id);
}
const Tree* find_tree(const Site& site, const std::string& id) {
    return find_by_id(site.trees, id);
}
const Fixture* find_fixture(const Site& site, const std::string& id) {
    return find_by_id(site.fixtures, id);
}
const Lamp* find_lamp(const Site& site, const std::string& id) {
    const Lamp* own = find_by_id(site.lamps, id);
    return own ? own : find_by_id(site.catalogue.lamps, id);
}
const FixtureModel* find_model(const Catalogue& catalogue, const std::string& id) {
    return find_by_id(catalogue.fixtures, id);
}

bool is_uplight(FixtureKind kind) {
    return kind == FixtureKind::uplight || kind == FixtureKind::bullet || kind == FixtureKind::in_ground;
}

std::array<double, 2> operating_volts_of(const Lamp& lamp) {
    const bool is_filament = lamp.draw == Draw::halogen || lamp.draw == Draw::resistance;
    const std::array<double, 2> usual =
        is_filament ? std::array<double, 2>{10.8, 12} : std::array<double, 2>{9, 15};
    return lamp.operating_volts.value_or(usual);
}

bool is_dimmed_by_voltage(const Lamp& lamp) {
    return !lamp.is_regulated && (lamp.draw == Draw::halogen || lamp.draw == Draw::resistance);
}

double max_volts_of(const Lamp& lamp) {
    return lamp.max_volts.value_or(std::max(15.0, operating_volts_of(lamp)[1]));
}

double power_factor_of(const Lamp& lamp) {
    if (lamp.volt_amperes && *lamp.volt_amperes > 0 && lamp.watts > 0)
        return lamp.watts / *lamp.volt_amperes;
    return lamp.power_factor.value_or(1);
}

double lens_diameter_of(const Fixture& fixture, double opening_diameter) {
    return fixture.lens_diameter.value_or(opening_diameter > 0 ? opening_diameter : usual_lens_diameter);
}

bool is_fitting(const FixtureModel& model, const Lamp& lamp) {
    if (!model.lamps.empty())
        return std::find(model.lamps.begin(), model.lamps.end(), lamp.id) != model.lamps.end();
    return model.socket.empty() || model.socket == lamp.socket;
}

std::vector<const Lamp*> list_fitting_lamps(const Site& site, const Fixture& fixture) {
    const FixtureModel* model = find_model(site.catalogue, fixture.model);
    const Lamp* present = find_lamp(site, fixture.lamp);
    const bool is_of_a_piece = fixture.kind == FixtureKind::wash || fixture.kind == FixtureKind::path;
    std::vector<const Lamp*> fitting;
    for (const std::vector<Lamp>* lamps : {&site.lamps, &site.catalogue.lamps})
        for (const Lamp& lamp : *lamps) {
            const bool is_alike = present && !is_of_a_piece && lamp.socket == present->socket;
            if (model ? is_fitting(*model, lamp) : is_alike || &lamp == present)
                fitting.push_back(&lamp);
        }
    return fitting;
}

LightLoss light_loss_of(const Site& site, const Fixture& fixture) {
    LightLoss loss;
    const auto usual = [&](double factor) { return site.is_as_new ? 1 : factor; };
    const Lamp* lamp = find_lamp(site, fixture.lamp);
    const FixtureModel* model = find_model(site.catalogue, fixture.model);
    loss.tolerance = (lamp ? lamp->tolerance : std::nullopt).value_or(usual(usual_tolerance));
    loss.depreciation = (lamp ? lamp->depreciation : std::nullopt).value_or(usual(usual_depreciation));
    loss.dirt = (model ? model->dirt : std::nullopt).value_or(usual(usual_dirt));
    loss.own = fixture.light_loss_factor;
    return loss;
}

} // namespace duskcast
