// One wall, opening or tree more changes no random number elsewhere.

#include <map>
#include <set>

#include "duskcast/light/bounce.hpp"
#include "make_stage.hpp"

using namespace duskcast;

namespace {

Site make_yard() {
    Site site = make_wall_site(4, 2.5, 0.25);
    site.walls[0].gables = {{"gable", 1, 2, 3.5}};
    Tree tree;
    tree.id = "tree";
    tree.at = {2, -3};
    tree.height = 3;
    tree.base = 1;
    tree.width = 1.6;
    tree.foliage.leaf_area_density = 0.6;
    site.trees = {tree};
    site.leaf_sensors = 60;
    return site;
}

/// Behind the wall, which hides it: a wall with a door, listed first.
Site add_shed(Site site) {
    Wall shed;
    shed.id = "shed";
    shed.path = {{1, 2}, {3, 2}};
    shed.height = 1.5;
    Opening door;
    door.id = "door";
    door.from = 0.5;
    door.width = 0.8;
    door.height = 1.2;
    shed.openings = {door};
    site.walls.insert(site.walls.begin(), shed);
    return site;
}

/// Seeds of the sensors by surface.
std::map<std::string, std::vector<std::uint64_t>> list_seeds(const Stage& stage) {
    std::map<std::string, std::vector<std::uint64_t>> seeds;
    for (const Surface& surface : stage.surfaces)
        seeds[surface.id].assign(stage.sensor_seed.begin() + surface.first,
                                 stage.sensor_seed.begin() + surface.first + surface.count);
    return seeds;
}

std::uint32_t first_of(const Stage& stage, const std::string& id) {
    return stage.surfaces[stage.find_surface(id)].first;
}

} // namespace

TEST_CASE("every sensor has a seed of its own, whatever else is on the site") {
    const std::unique_ptr<Stage> yard = build_stage(make_yard(), {}),
                                 more = build_stage(add_shed(make_yard()), {});
    for (const Stage* stage : {yard.get(), more.get()}) {
        CHECK(stage->sensor_seed.size() == stage->sensors.size());
        CHECK(std::set(stage->sensor_seed.begin(), stage->sensor_seed.end()).size() == stage->sensors.size());
    }
    auto seeds = list_seeds(*yard), with_shed = list_seeds(*more);
    CHECK(seeds.at("wall") == with_shed.at("wall"));
    CHECK(seeds.at("tree") == with_shed.at("tree"));
    CHECK(with_shed.at("shed").size() > 20);
    // The shed's own ground is taken from nobody; a taller tree elsewhere moves the ground's grid.
    Site wide = make_yard();
    wide.trees.push_back(wide.trees[0]);
    wide.trees[1].id = "other";
    wide.trees[1].at = {-6.3, -9.2};
    const std::unique_ptr<Stage> wider = build_stage(wide, {});
    const auto with_tree = list_seeds(*wider);
    CHECK(seeds.at("wall") == with_tree.at("wall"));
    CHECK(seeds.at("tree") == with_tree.at("tree"));
    const auto& ground = with_tree.at("ground");
    const std::set<std::uint64_t> known(ground.begin(), ground.end());
    std::size_t kept = 0;
    for (const std::uint64_t seed : seeds.at("ground"))
        kept += known.count(seed);
    CHECK(kept >= seeds.at("ground").size() - 2); // what the new trunk takes up
}

TEST_CASE(
    "direct light and the rays of patches and sensors stay as they are when something is built elsewhere") {
    const std::unique_ptr<Stage> yard = build_stage(make_yard(), {}),
                                 more = build_stage(add_shed(make_yard()), {});
    const Lens lens{.centre = {2, -1.1f, 0.2f}, .diameter = 0.05f};
    const Sight sight = trace_sight(*yard, lens), with_shed = trace_sight(*more, lens);
    const BounceOptions options{.rays = 64};
    const std::unique_ptr<Bounce> bounce = trace_bounce(*yard, options), other = trace_bounce(*more, options);
    // Share of the sky among a sensor's own rays, by the sensor's number on its surface.
    const auto list_sky = [](const Stage& stage, const Bounce& of) {
        std::map<std::uint32_t, float> sky;
        const Surface& surface = stage.surfaces[stage.find_surface("tree")];
        const LinkedSensors& linked = of.from_rest;
        for (std::size_t i = 0; i < linked.sensor.size(); ++i)
            if (linked.sensor[i] >= surface.first && linked.sensor[i] < surface.first + surface.count)
                sky[linked.sensor[i] - surface.first] = linked.links.sky[i];
        return sky;
    };
    for (const char* id : {"wall", "tree"}) {
        CAPTURE(id);
        const std::uint32_t count = yard->surfaces[yard->find_surface(id)].count;
        REQUIRE(count == more->surfaces[more->find_surface(id)].count);
        int lit = 0, different = 0;
        for (std::uint32_t i = 0; i < count; ++i) {
            const float lux = sight.transfer[first_of(*yard, id) + i];
            different += lux != with_shed.transfer[first_of(*more, id) + i];
            lit += lux > 0;
        }
        CHECK(lit > 10);
        CHECK(different == 0);
    }
    const auto sky = list_sky(*yard, *bounce), sky_with_shed = list_sky(*more, *other);
    CHECK(sky.size() > 20);
    CHECK(sky == sky_with_shed);
    // The ground's patches are laid anew about the shed; those of wall, trunk and leaves are not.
    const Patches laid(*yard, options.patches), laid_anew(*more, options.patches);
    const std::set<std::uint64_t> seeds(laid_anew.random_seed.begin(), laid_anew.random_seed.end());
    CHECK(seeds.size() == laid_anew.size());
    std::size_t leaves = 0, kept_leaves = 0, kept = 0;
    for (std::uint32_t i = 0; i < laid.size(); ++i) {
        const bool is_kept = seeds.contains(laid.random_seed[i]), is_leaf = laid.is_leaf(i);
        kept += is_kept && !is_leaf;
        leaves += is_leaf;
        kept_leaves += is_kept && is_leaf;
    }
    CHECK(leaves > 100);
    CHECK(kept_leaves == leaves);
    CHECK(kept > 4 * 2.5 / (0.15 * 0.15)); // of the wall alone
}
