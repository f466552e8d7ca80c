// Each thing that can be wrong with a site made by a program, one at a time: it is found where it stands, in
// its own words and once, and the same site without it is sound. Limits are tried on both sides. The limits
// are the program's own, but for 30 V (NEC article 411) and ids, which become names of files.

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "findings.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

Lamp make_lamp(const std::string& id) {
    Lamp lamp{.id = id, .watts = 5};
    lamp.figures.lumens = 300;
    lamp.figures.beam_angle = 0.6;
    return lamp;
}

/// One of each thing, none of them at fault.
Site make_sound() {
    Site site;
    Wall house{.id = "house", .path = {{0, 0}, {12, 0}, {12, 8}, {0, 8}}, .closed = true};
    house.height = 4;
    house.gables = {{"gable", 1, 4, 7}};
    house.projections = {{.id = "bay", .from = 8, .width = 2, .depth = 1, .bottom = 0.5, .height = 3}};
    house.projections[0].openings = {{.id = "pane", .from = 1.2, .width = 1, .sill = 1, .height = 1}};
    house.openings = {{.id = "door", .kind = OpeningKind::door, .from = 6, .width = 1, .height = 2},
                      {.id = "window", .from = 1, .width = 1, .sill = 1, .height = 1}};
    site.walls = {house};
    Tree oak{.id = "oak", .at = {30, 0}, .height = 9, .base = 3, .width = 5};
    oak.growth = Growth{.height = 0.3, .width = 0.2, .mature_height = 15, .mature_width = 12};
    site.trees = {oak};
    site.shrubs = {{.id = "box", .outline = {{20, -5}, {22, -5}, {22, -3}}, .height = 1},
                   {.id = "hedge", .path = {{20, 5}, {25, 5}}, .width = 0.6, .height = 1}};
    site.ground.areas = {{.id = "drive", .kind = GroundKind::paving, .outline = {{-9, 0}, {-3, 0}, {-3, 9}}}};
    site.meshes = {{.id = "stone", .file = "files/stone.obj", .at = {15, -15, 0}}};
    site.lanterns = {{.id = "porch", .wall = "house", .along = 7.5, .up = 2, .width = 0.2},
                     {.id = "step", .at = glm::dvec3(15, -9, 0.5), .width = 0.2}};
    for (Lantern& lantern : site.lanterns)
        lantern.glow.lumens = 300;
    site.lamps = {make_lamp("flood"), make_lamp("spot"), {.id = "read", .file = "files/narrow.ies"}};
    site.fixtures = {{.id = "up", .lamp = "flood", .wall = "house", .along = 5},
                     {.id = "at-oak", .lamp = "spot", .tree = "oak", .setback = 1},
                     {.id = "free", .lamp = "read", .at = glm::dvec2(15, -20)}};
    site.targets = {
        {.id = "front", .on = "house", .between = std::array{0.5, 3.0}, .along = std::array{1.0, 9.0}},
        {.id = "peak", .on = "house", .gable = "gable"},
        {.id = "of-bay", .on = "house.bay", .along = std::array{0.5, 3.5}},
        {.id = "crown", .on = "oak"},
        {.id = "top", .on = "stone.top"}};
    site.views = {{.id = "street", .eye = {6, -20, 1.6}, .look_at = {6, 0, 2}}};
    site.eyes = {{.id = "guest", .at = {-20, -20, 1.6}, .look_at = glm::dvec3(0, 0, 2)}};
    site.photos = {{.id = "phone", .file = "phone.jpg"}};
    site.photos[0].marks = {{.id = "sill", .pixel = {10, 20}, .wall = "house", .along = 1, .up = 1},
                            {.id = "kerb", .pixel = {10, 90}, .at = glm::dvec3(0, -5, 0)}};
    site.photos[0].lengths = {
        {.id = "door", .from = {10, 20}, .to = {10, 80}, .wall = "house", .along = 2, .length = 2.1},
        {.id = "slab", .from = {10, 90}, .to = {40, 90}, .length = 1}};
    site.photos[0].white = PhotoWhite{{5, 5}, 0.5};
    site.photos[0].masks = {{.plant = "oak", .outline = {0, 0, 9, 0, 9, 9}},
                            {.kind = MaskKind::sky, .outline = {0, 0, 9, 0, 9, 9}}};
    site.watch_points = {{.id = "neighbour", .at = {40, 40, 3}, .facing = 3}};
    site.variants = {{.id = "dim", .changes = {{{"up"}, {{Knob::dimming, 0.5, ""}}}}}};
    Network& network = site.network.emplace();
    network.transformers = {
        {.id = "T", .at = {-2, -1}, .rating = 150, .taps = {12, 13, 14}, .secondaries = 2},
        {.id = "S", .at = {50, 0}, .rating = 150}};
    network.hubs = {{"H", {20, -20}}};
    network.runs = {
        {.id = "one", .transformer = "T", .fixtures = {"up", "free"}},
        {.id = "two", .transformer = "S", .layout = RunLayout::hub, .hub = "H", .fixtures = {"at-oak"}}};
    return site;
}

} // namespace

TEST_CASE("faults of walls and of what is in them") {
    check_faults(make_sound(),
                 {
                     {"walls[0].height", "is too small", [](Site& s) { s.walls[0].height = 0; }},
                     {"walls[0].height", "is more than", [](Site& s) { s.walls[0].height = 121; }},
                     {"walls[0].path[2]", "is out of range",
                      [](Site& s) {
                          s.walls[0].path[2] = {12, 1001};
                      }},
                     {"walls[0].path[2]", "is out of range", [](Site& s) { s.walls[0].path[2].y = unknown; }},
                     {"walls[0].path[1]", "the same as the one before",
                      [](Site& s) {
                          s.walls[0].path.insert(s.walls[0].path.begin(), {0, 0.0005});
                      }},
                     {"walls[0].path[4]", "the last point is the same as the first",
                      [](Site& s) {
                          s.walls[0].path.push_back({0, 0});
                      }},
                     {"walls[0].finish.reflectance", "is out of range",
                      [](Site& s) { s.walls[0].finish.reflectance.g = 1.01; }},
                     {"walls[0].gables[0]", "straight piece of wall",
                      [](Site& s) { s.walls[0].gables[0].width = 11.01; }},
                     {"walls[0].gables[0].peak", "is not above the wall's height",
                      [](Site& s) { s.walls[0].gables[0].peak = 4; }},
                     {"walls[0].gables[1].id", "is taken by walls[0].gables[0]",
                      [](Site& s) {
                          s.walls[0].gables.push_back({"gable", 6, 4, 7});
                      }},
                     {"walls[0].projections[0].height", "is not above its bottom",
                      [](Site& s) {
                          s.walls[0].projections[0].height = 0.5;
                          s.walls[0].projections[0].openings.clear();
                      }},
                     {"walls[0].projections[0].depth", "is too small",
                      [](Site& s) {
                          s.walls[0].projections[0].depth = 0;
                          s.walls[0].projections[0].openings.clear();
                          s.targets[2].along.reset();
                      }},
                     {"walls[0].projections[0].openings[0]", "reaches below the bottom of the projection",
                      [](Site& s) { s.walls[0].projections[0].openings[0].sill = 0.49; }},
                     {"walls[0].projections[0].openings[0]", "above the wall's edge",
                      [](Site& s) { s.walls[0].projections[0].openings[0].height = 2.01; }},
                     {"walls[0].openings[0]", "lies behind projection",
                      [](Site& s) { s.walls[0].openings[0].width = 2.1; }},
                     {"walls[0].openings[1]", "door \"door\" and window \"window\" overlap",
                      [](Site& s) {
                          s.walls[0].openings[1].from = 6.99;
                          s.walls[0].openings[1].width = 0.5;
                      }},
                     {"walls[0].openings[1].id", "is taken by walls[0].openings[0]",
                      [](Site& s) { s.walls[0].openings[1].id = "door"; }},
                     {"walls[0].openings[1].room", "is dark, and it glows",
                      [](Site& s) {
                          s.walls[0].openings[1].glow = Glow{.luminance = 10};
                          s.walls[0].openings[1].room = Room::dark;
                      }},
                     {"walls[0].openings[1].glow", "by its luminance or by its lumens",
                      [](Site& s) { s.walls[0].openings[1].glow = Glow{}; }},
                     {"walls[0].openings[1].glow", "by its luminance or by its lumens",
                      [](Site& s) {
                          s.walls[0].openings[1].glow = Glow{10, 10};
                      }},
                     {"walls[0].openings[1].reveal", "is below 0",
                      [](Site& s) { s.walls[0].openings[1].reveal = -0.01; }},
                 });
}

TEST_CASE("faults of plants, ground, meshes and lanterns") {
    check_faults(
        make_sound(),
        {
            {"trees[0].base", "are not below the top", [](Site& s) { s.trees[0].base = 9; }},
            {"trees[0].growth.mature_height", "is 29 ft 6 1/2 in already",
             [](Site& s) { s.trees[0].growth->mature_height = 8.9; }},
            {"trees[0].growth.width", "is below 0", [](Site& s) { s.trees[0].growth->width = -0.01; }},
            {"trees[0].width", "is too small", [](Site& s) { s.trees[0].width = 0; }},
            {"trees[0].leaf_angle_index", "it must be -0.4 to 0.6",
             [](Site& s) { s.trees[0].foliage.leaf_angle_index = 0.61; }},
            {"trees[0].clumping", "is out of range", [](Site& s) { s.trees[0].foliage.clumping = 0.96; }},
            {"trees[0].leaf_size", "is out of range", [](Site& s) { s.trees[0].foliage.leaf_size = 1.01; }},
            {"trees[0].id", "is kept for the ground",
             [](Site& s) {
                 s.trees[0].id = "Ground";
                 s.fixtures[1] = {.id = "at-oak", .lamp = "spot", .at = glm::dvec2(15, -22)};
                 s.photos[0].masks[0].plant = "box";
                 s.targets.erase(s.targets.begin() + 3);
             }},
            {"shrubs[0]", "either an \"outline\" (a bed) or a \"path\"",
             [](Site& s) {
                 s.shrubs[0].path = {{0, 0}, {1, 0}};
             }},
            {"shrubs[1]", "either an \"outline\" (a bed) or a \"path\"",
             [](Site& s) { s.shrubs[1].path.clear(); }},
            {"shrubs[1].width", "is too small", [](Site& s) { s.shrubs[1].width = 0; }},
            {"shrubs[0].outline", "at least 3 points", [](Site& s) { s.shrubs[0].outline.pop_back(); }},
            {"shrubs[0].outline", "encloses nothing",
             [](Site& s) {
                 s.shrubs[0].outline = {{20, -5}, {22, -5}, {24, -5.0000001}};
             }},
            {"ground.areas[0].outline", "crosses or touches itself",
             [](Site& s) {
                 s.ground.areas[0].outline = {{-9, 0}, {-3, 0}, {-9, 9}, {-3, 9}};
             }},
            {"ground.areas[0].glow", "by its luminance", [](Site& s) { s.ground.areas[0].glow = Glow{}; }},
            {"ground.margin", "is below 0", [](Site& s) { s.ground.margin = -1; }},
            {"meshes[0].file", "does not exist", [](Site& s) { s.meshes[0].file = "files/none.obj"; }},
            {"meshes[0].file", "the name of the OBJ file is empty", [](Site& s) { s.meshes[0].file = ""; }},
            {"meshes[0].scale", "is too small", [](Site& s) { s.meshes[0].scale = 0; }},
            {"lanterns[0].along", "is past the end of the wall",
             [](Site& s) { s.lanterns[0].along = 40.01; }},
            {"lanterns[0].wall", "there is no wall \"hose\"", [](Site& s) { s.lanterns[0].wall = "hose"; }},
            {"lanterns[0].setback", "part of the lantern is inside",
             [](Site& s) { s.lanterns[0].setback = 0.099; }},
            {"lanterns[1].at", "into the ground", [](Site& s) { s.lanterns[1].at->z = 0.099; }},
            {"lanterns[0].up", "into the ground", [](Site& s) { s.lanterns[0].up = 0.099; }},
            {"lanterns[1]", "not said where the lantern is", [](Site& s) { s.lanterns[1].at.reset(); }},
            {"lanterns[1]", "\"wall\" and \"at\" are both given",
             [](Site& s) { s.lanterns[1].wall = "house"; }},
            {"lanterns[1].glow", "by its luminance", [](Site& s) { s.lanterns[1].glow.lumens.reset(); }},
            {"lanterns[1].glow.cct", "is out of range", [](Site& s) { s.lanterns[1].glow.cct = 999; }},
            {"sensor_spacing", "is out of range", [](Site& s) { s.sensor_spacing = 10.01; }},
            {"ambient", "is out of range", [](Site& s) { s.ambient = 100.1; }},
        });
}

TEST_CASE("faults of lamps and fixtures") {
    const auto free = [](Site& s) -> Fixture& { return s.fixtures[2]; };
    check_faults(
        make_sound(),
        {
            {"lamps[0].va", "5 W are more than 4 VA", [](Site& s) { s.lamps[0].volt_amperes = 4; }},
            {"lamps[0].operating_volts", "14 V is not below 11 V",
             [](Site& s) {
                 s.lamps[0].operating_volts = {14, 11};
             }},
            {"lamps[0].max_volts", "bears 14.5 V, less than the 15 V",
             [](Site& s) {
                 s.lamps[0].operating_volts = {9, 15};
                 s.lamps[0].max_volts = 14.5;
             }},
            {"lamps[0].max_volts", "it must be 1 to 30", [](Site& s) { s.lamps[0].max_volts = 30.1; }},
            {"lamps[2].file", "an LM-63 file and figures", [](Site& s) { s.lamps[2].figures.lumens = 9; }},
            {"lamps[2].file", "does not exist", [](Site& s) { s.lamps[2].file = "files/wide.ies"; }},
            {"lamps[0].lumens", "is too small", [](Site& s) { s.lamps[0].figures.lumens = 0; }},
            {"lamps[0].cct", "it must be 1,000 to 20,000", [](Site& s) { s.lamps[0].cct = 20001; }},
            {"lamps[0].tolerance", "it must be 0 to 1", [](Site& s) { s.lamps[0].tolerance = 1.01; }},
            {"lamps[1].id", "is taken by lamps[0]",
             [](Site& s) {
                 s.lamps[1].id = "flood";
                 s.fixtures[1].lamp = "flood";
             }},
            {"lamps[1].id", "differ only in capital letters",
             [](Site& s) {
                 s.lamps[1].id = "Flood";
                 s.fixtures[1].lamp = "Flood";
             }},
            {"lamps[0].id", "the catalogue has a lamp \"flood\" already",
             [](Site& s) { s.catalogue.lamps = {make_lamp("flood")}; }},
            {"fixtures[0].lamp", "no lamp \"floot\"; did you mean \"flood\"?",
             [](Site& s) { s.fixtures[0].lamp = "floot"; }},
            {"fixtures[0].model", "no fixture in the catalogue \"brass\"; there are none",
             [](Site& s) { s.fixtures[0].model = "brass"; }},
            {"fixtures[0].wall", "did you mean \"house\"?", [](Site& s) { s.fixtures[0].wall = "hous"; }},
            {"fixtures[1].tree", "did you mean \"oak\"?", [](Site& s) { s.fixtures[1].tree = "oek"; }},
            {"fixtures[0].along", "is past the end of the wall",
             [](Site& s) { s.fixtures[0].along = 40.01; }},
            {"fixtures[0].setback", "a negative setback puts the fixture inside the wall",
             [](Site& s) { s.fixtures[0].setback = -0.1; }},
            {"fixtures[1].setback", "a negative setback puts the fixture inside the trunk",
             [](Site& s) { s.fixtures[1].setback = -0.1; }},
            {"fixtures[1].bearing", "is out of range", [](Site& s) { s.fixtures[1].bearing = 6.3; }},
            {"fixtures[1].lens_height", "is above the top of the tree",
             [](Site& s) { s.fixtures[1].lens_height = 9.01; }},
            {"fixtures[2].at", "stands in the wall",
             [free](Site& s) {
                 free(s).at = {3, -0.01};
             }},
            {"fixtures[2]", "is inside the building \"house\"",
             [free](Site& s) {
                 free(s).at = {3, 3};
             }},
            {"fixtures[2]", "is inside projection \"bay\"",
             [free](Site& s) {
                 free(s).at = {9, -0.5};
                 free(s).lens_height = 1;
             }},
            {"fixtures[2].at", "is inside the trunk of \"oak\"",
             [free](Site& s) {
                 free(s).at = {30.1, 0};
             }},
            {"fixtures[2]", "is not said where the fixture stands", [free](Site& s) { free(s).at.reset(); }},
            {"fixtures[2]", "exclude each other", [free](Site& s) { free(s).tree = "oak"; }},
            {"fixtures[2].turn", "\"azimuth\" and \"turn\" are both given",
             [free](Site& s) {
                 free(s).azimuth = 1;
                 free(s).turn = 1;
             }},
            {"fixtures[2].rim.diameter", "narrower than the lens",
             [free](Site& s) {
                 free(s).lens_diameter = 0.06;
                 free(s).rim = {0.059, 0.01};
             }},
            {"fixtures[2].tilt", "it must be 0° to 180°", [free](Site& s) { free(s).tilt = 3.15; }},
            {"fixtures[2].dimming", "is out of range", [free](Site& s) { free(s).dimming = -0.01; }},
            {"fixtures[2].at", "is out of range",
             [free](Site& s) {
                 free(s).at = {1001, 0};
             }},
        });
}

TEST_CASE("faults of targets, places to look from and photos") {
    check_faults(
        make_sound(),
        {
            {"targets[0].on", "did you mean \"house\"?", [](Site& s) { s.targets[0].on = "hosue"; }},
            {"targets[0].between", "is not below",
             [](Site& s) {
                 s.targets[0].between = {3, 3};
             }},
            {"targets[0].along", "is past the end of the wall",
             [](Site& s) { (*s.targets[0].along)[1] = 40.01; }},
            {"targets[0].along", "is below 0", [](Site& s) { (*s.targets[0].along)[0] = -0.01; }},
            {"targets[0].level", "it must be above 0", [](Site& s) { s.targets[0].level = 0; }},
            {"targets[0].share", "it must be 0 to 1", [](Site& s) { s.targets[0].share = 1.01; }},
            {"targets[1].gable", "there is no gable \"gabel\"; did you mean \"gable\"?",
             [](Site& s) { s.targets[1].gable = "gabel"; }},
            {"targets[3].gable", "only a whole wall has gables",
             [](Site& s) { s.targets[3].gable = "gable"; }},
            {"targets[2].gable", "only a whole wall has gables",
             [](Site& s) { s.targets[2].gable = "gable"; }},
            {"targets[3].along", "a run to go along",
             [](Site& s) {
                 s.targets[3].along = {1, 2};
             }},
            {"targets[2].on", "there is no projection \"bow\"",
             [](Site& s) { s.targets[2].on = "house.bow"; }},
            {"targets[2].on", "there is no wall or mesh \"barn\"",
             [](Site& s) { s.targets[2].on = "barn.bay"; }},
            {"targets[2].along", "is past the end of the projection",
             [](Site& s) { (*s.targets[2].along)[1] = 4.01; }},
            {"views[0].look_at", "are the same point", [](Site& s) { s.views[0].look_at = s.views[0].eye; }},
            {"views[0].field_of_view", "it must be 1° to 170°",
             [](Site& s) { s.views[0].field_of_view = 3; }},
            {"eyes[0].look_at", "are the same point", [](Site& s) { s.eyes[0].look_at = s.eyes[0].at; }},
            {"eyes[0].at", "is out of range", [](Site& s) { s.eyes[0].at.z = 121; }},
            {"eyes[0].id", "is taken by views[0]", [](Site& s) { s.eyes[0].id = "street"; }},
            {"photos[0].marks[0].wall", "did you mean \"house\"?",
             [](Site& s) { s.photos[0].marks[0].wall = "hoose"; }},
            {"photos[0].marks[0].along", "is past the end of the wall",
             [](Site& s) { s.photos[0].marks[0].along = 40.01; }},
            {"photos[0].marks[0]", "both say where the mark is",
             [](Site& s) { s.photos[0].marks[0].at = glm::dvec3(0); }},
            {"photos[0].marks[1]", "is not said where the mark is",
             [](Site& s) { s.photos[0].marks[1].at.reset(); }},
            {"photos[0].marks[1].id", "is taken by photos[0].marks[0]",
             [](Site& s) { s.photos[0].marks[1].id = "sill"; }},
            {"photos[0].marks[0].pixel", "and these are 3",
             [](Site& s) { s.photos[0].marks[0].pixel.push_back(1); }},
            {"photos[0].lengths[0].wall", "did you mean \"house\"?",
             [](Site& s) { s.photos[0].lengths[0].wall = "hoose"; }},
            {"photos[0].lengths[0].along", "is past the end of the wall",
             [](Site& s) { s.photos[0].lengths[0].along = 40.01; }},
            {"photos[0].lengths[0].length", "it must be", [](Site& s) { s.photos[0].lengths[0].length = 0; }},
            {"photos[0].lengths[0].from", "and these are 3",
             [](Site& s) { s.photos[0].lengths[0].from.push_back(1); }},
            {"photos[0].lengths[0].to", "begins and ends at the same pixel",
             [](Site& s) {
                 s.photos[0].lengths[0].to = {11, 21};
             }},
            {"photos[0].lengths[1].along", "has no meaning on the ground",
             [](Site& s) { s.photos[0].lengths[1].along = 1; }},
            {"photos[0].lengths[1].id", "is taken by photos[0].marks[0]",
             [](Site& s) { s.photos[0].lengths[1].id = "sill"; }},
            {"photos[0].white.pixel", "and these are 1",
             [](Site& s) { s.photos[0].white->pixel.pop_back(); }},
            {"photos[0].white.reflectance", "it must be 0.05 to 1",
             [](Site& s) { s.photos[0].white->reflectance = 0.04; }},
            {"photos[0]", "needs where the sun stood", [](Site& s) { s.photos[0].taken = Daylight::sun; }},
            {"photos[0].sun", "was not taken in the sun",
             [](Site& s) {
                 s.photos[0].sun = PhotoSun{3, 1};
             }},
            {"photos[0].sun.elevation", "",
             [](Site& s) {
                 s.photos[0].taken = Daylight::sun;
                 s.photos[0].sun = PhotoSun{3, 2};
             }},
            {"photos[0].masks[0].outline", "pairs of numbers, and these are 7",
             [](Site& s) { s.photos[0].masks[0].outline.push_back(0); }},
            {"photos[0].masks[0]", "is not said which plant",
             [](Site& s) { s.photos[0].masks[0].plant = ""; }},
            {"photos[0].masks[0].plant", "no tree or shrub \"elm\"",
             [](Site& s) { s.photos[0].masks[0].plant = "elm"; }},
            {"photos[0].masks[1].plant", "no meaning for this kind of mask",
             [](Site& s) { s.photos[0].masks[1].plant = "oak"; }},
            {"photos[0].focal_35mm", "it must be 5 to 1,000", [](Site& s) { s.photos[0].focal_35mm = 4; }},
            {"watch_points[0].at", "is inside the building \"house\"",
             [](Site& s) {
                 s.watch_points[0].at = {6, 4, 2};
             }},
            {"watch_points[0].at", "is below 0", [](Site& s) { s.watch_points[0].at.z = -0.1; }},
            {"watch_points[0].facing", "is out of range", [](Site& s) { s.watch_points[0].facing = -6.3; }},
        });
}

TEST_CASE("faults of variants") {
    const auto change = [](const std::string& fixture, Setting setting) {
        return [=](Site& s) { s.variants[0].changes = {{{fixture}, {setting}}}; };
    };
    check_faults(
        make_sound(),
        {
            {"variants[0]", "changes nothing", [](Site& s) { s.variants[0].changes.clear(); }},
            {"variants[0]", "there is no fixture \"upp\"", change("upp", {Knob::tilt, 0, ""})},
            {"variants[0]", "there is no lamp \"candle\"", change("up", {Knob::lamp, 0, "candle"})},
            {"variants[0]", "\"free\" has no setback to set", change("free", {Knob::setback, 1, ""})},
            {"variants[0]", "\"up\" has no bearing to set", change("up", {Knob::bearing, 1, ""})},
            {"variants[0]", "\"free\" has no along to set", change("free", {Knob::along, 1, ""})},
            {"variants[0]", "is measured, so its beam cannot be set", change("free", {Knob::beam, 1, ""})},
            {"variants[0]", "needs two fixtures or more", change("up", {Knob::spacing, 1, ""})},
            {"variants[0]", "as this variant has it, fixtures[0].along",
             change("up", {Knob::along, 40.01, ""})},
            {"variants[0].changes[0].dimming", "it must be 0 to 1", change("up", {Knob::dimming, 1.01, ""})},
            {"variants[0].years_on", "it must be 0 to 100",
             [](Site& s) {
                 s.variants[0].plants = SeasonChoice{Season::bare, 101};
             }},
            {"variants[0]", "is named twice",
             [](Site& s) {
                 s.variants[0].without = {"up", "up"};
             }},
            {"variants[0]", "is there already", [](Site& s) { s.variants[0].added = {s.fixtures[2]}; }},
            {"variants[1].id", "is taken by variants[0]",
             [](Site& s) { s.variants.push_back(s.variants[0]); }},
        });
}

TEST_CASE("faults of networks") {
    const auto run = [](Site& s) -> CableRun& { return s.network->runs[0]; };
    check_faults(
        make_sound(),
        {
            {"network.transformers[0].taps", "the transformer has no tap",
             [](Site& s) { s.network->transformers[0].taps.clear(); }},
            {"network.transformers[0].taps", "are not in order",
             [](Site& s) {
                 s.network->transformers[0].taps = {12, 12, 14};
             }},
            {"network.transformers[0].taps[1]", "it must be 1 to 30", // NEC article 411
             [](Site& s) {
                 s.network->transformers[0].taps = {12, 30.1};
             }},
            {"network.transformers[0].tap", "has no tap of 15 V; it has 12, 13, 14 V",
             [](Site& s) { s.network->transformers[0].tap = 15; }},
            {"network.transformers[0].va", "is out of range",
             [](Site& s) { s.network->transformers[0].rating = 0.5; }},
            {"network.transformers[1].id", "is taken by network.transformers[0]",
             [](Site& s) {
                 s.network->transformers[1].id = "T";
                 s.network->runs[1].transformer = "T";
             }},
            {"network.hubs[0].id", "is taken by network.transformers[0]",
             [](Site& s) {
                 s.network->hubs[0].id = "T";
                 s.network->runs[1].hub = "T";
             }},
            {"network.runs[0].transformer", "no transformer \"U\"; known are T, S",
             [run](Site& s) { run(s).transformer = "U"; }},
            {"network.runs[0].transformer", "is not said which transformer",
             [run](Site& s) { run(s).transformer = ""; }},
            {"network.runs[0].tap", "has no tap of 12.5 V", [run](Site& s) { run(s).tap = 12.5; }},
            {"network.runs[0].secondary", "has no secondary 3; it has 1 to 2",
             [run](Site& s) { run(s).secondary = 3; }},
            {"network.runs[1].secondary", "has no secondary 2; it has one",
             [](Site& s) { s.network->runs[1].secondary = 2; }},
            {"network.runs[0]",
             "the tap of 12 V is over the 11 V that lamp \"flood\" of fixture \"up\" bears",
             [](Site& s) { s.lamps[0].max_volts = 11; }},
            {"network.runs[0].tap", "the tap of 14 V is over the 13 V",
             [run](Site& s) {
                 s.lamps[0].max_volts = 13;
                 run(s).tap = 14;
             }},
            {"network.runs[0].gauge", "13 AWG is not a gauge", [run](Site& s) { run(s).gauge = 13; }},
            {"network.runs[0].lead_gauge", "20 AWG is not a gauge",
             [run](Site& s) { run(s).lead_gauge = 20; }},
            {"network.runs[0].slack", "it must be 0 to 2", [run](Site& s) { run(s).slack = 2.01; }},
            {"network.runs[0].lead", "is more than", [run](Site& s) { run(s).lead = 30.01; }},
            {"network.runs[0].follow", "did you mean \"hedge\"?",
             [run](Site& s) { run(s).follow = "hegde"; }},
            {"network.runs[1].hub", "there is no hub \"I\"", [](Site& s) { s.network->runs[1].hub = "I"; }},
            {"network.runs[0].path[2]", "comes back to where it began, which a daisy-chain run must not",
             [run](Site& s) {
                 run(s).path = {{-2, -1}, {15, -20}, {-2, -1.0005}};
             }},
            {"network.runs[0].path[1]", "the same as the one before",
             [run](Site& s) {
                 run(s).path = {{1, -1}, {1, -1}, {15, -20}};
             }},
            {"network.runs[0].fixtures[1]", "there is no fixture \"fre\"",
             [run](Site& s) { run(s).fixtures[1] = "fre"; }},
            {"network.runs[0].fixtures[2]", "is listed twice on this run",
             [run](Site& s) { run(s).fixtures.push_back("up"); }},
            {"network.runs[1].fixtures[1]", "is already on run \"one\"",
             [](Site& s) { s.network->runs[1].fixtures.push_back("up"); }},
            {"fixtures[2]", "is on no run", [run](Site& s) { run(s).fixtures.pop_back(); }},
            {"network.runs[1].fixtures", "it feeds no fixture",
             [](Site& s) { s.network->runs[1].fixtures.clear(); }},
            {"network.runs[0].fixtures[1]", "list the fixtures in the order",
             [run](Site& s) {
                 run(s).path = {{0, -1}, {20, -20}};
                 run(s).fixtures = {"free", "up"};
             }},
            {"network.runs[1].id", "is taken by network.runs[0]",
             [](Site& s) { s.network->runs[1].id = "one"; }},
        });
}
