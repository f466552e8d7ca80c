#pragma once
// A small property to be changed: a wall with a gable, a tree, three fixtures and targets. Quick to light.

#include <nlohmann/json.hpp>
#include <string>

namespace duskcast::test {

using Json = nlohmann::ordered_json;

inline Json make_garden() {
    return Json::parse(R"({
  "duskcast": 1, "name": "Garden", "units": "ft", "light": "fc", "levels": [0.5, 1, 5], "ambient": "0.1 lx",
  "sensor_spacing": "1 ft", "ground_spacing": "2 ft", "leaf_sensors": 60,
  "ground": {"base": "lawn", "margin": "3 ft", "areas": [
    {"id": "bed", "kind": "mulch", "outline": [[-1, -4], [21, -4], [21, 0], [-1, 0]]}]},
  "walls": [{"id": "front", "path": [[0, 0], [20, 0]], "height": "10 ft", "finish": "brick red common",
    "gables": [{"id": "gable", "from": "4 ft", "width": "12 ft", "peak": "16 ft"}],
    "eave": {"depth": "1 ft"},
    "openings": [{"id": "door", "kind": "door", "from": "8 ft", "width": "3 ft", "sill": 0, "height": "7 ft"}]}],
  "trees": [{"id": "maple", "at": [26, -8], "form": "round", "height": "12 ft", "base": "5 ft", "width": "8 ft",
    "leaf_size": "8 in"}],
  "lamps": [
    {"id": "faint", "name": "faint 3 W, 36°", "watts": 3, "lumens": 200, "beam": 36},
    {"id": "usual", "name": "usual 4 W, 36°", "watts": 4, "lumens": 280, "beam": 36},
    {"id": "narrow", "name": "narrow 5 W, 24°", "watts": 5, "lumens": 400, "beam": 24}],
  "fixtures": [
    {"id": "U1", "kind": "uplight", "lamp": "usual", "wall": "front", "along": "4 ft", "setback": "15 in", "tilt": 8},
    {"id": "U2", "kind": "uplight", "lamp": "usual", "wall": "front", "along": "15 ft", "setback": "15 in",
     "tilt": 8},
    {"id": "T1", "kind": "uplight", "lamp": "narrow", "tree": "maple", "bearing": 200, "setback": "2 ft",
     "tilt": 10}],
  "targets": [{"id": "brickwork", "on": "front", "level": "1 fc", "share": 0.5},
    {"id": "crown", "on": "maple", "level": "0.5 fc", "share": 0.2}],
  "views": [{"id": "street", "eye": [10, -40, 5.5], "look_at": [10, 0, 6]}],
  "variants": [
    {"id": "bright", "name": "brighter", "changes": [{"fixtures": ["U1"], "lamp": "narrow"}]},
    {"id": "few", "without": ["U2"]}]
})");
}

inline std::string text_of(const Json& site) {
    return site.dump(1);
}

} // namespace duskcast::test
