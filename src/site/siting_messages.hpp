#pragma once
// The wording of what an experienced installer says of where lights and cables are.

#include "messages.hpp"

namespace duskcast::messages {

inline Message near_water(const string& distance, const string& water, const string& least, bool is_in) {
    return {is_in ? format("this stands in the water of \"{}\"", water)
                  : format("this is {} from the water of \"{}\"", distance, water),
            format("low-voltage lights and transformers usually keep {} away from pools, spas and fountains; "
                   "nearer, only what is listed for it, by somebody licensed to do it, as local code says",
                   least)};
}
inline Message cable_near_water(const string& distance, const string& water, const string& least) {
    return {format("the cable comes within {} of the water of \"{}\"", distance, water),
            format("buried cable usually keeps {} away from pools, spas and fountains; local code decides",
                   least)};
}
inline Message in_shrub(const string& shrub, const string& height, const string& lens) {
    return {format("the fixture stands among the leaves of \"{}\", which is {} high; its lens is at {}",
                   shrub, height, lens),
            "move it out in front, or raise it above the leaves"};
}
inline Message in_crown(const string& tree) {
    return {format("the lens is among the leaves of \"{}\"", tree),
            "move it out from under the crown, or have the lowest branches taken off"};
}
inline Message under_skirt(const string& tree, const string& gap) {
    return {format("leaves of \"{}\" hang {} above the lens and take most of its light", tree, gap),
            "move it out from under the crown, or have the lowest branches taken off"};
}
inline Message spike_in_paving(const string& area) {
    return {format("a spike cannot be driven into paving ({})", area),
            "move it into a bed beside it, or use a surface mount or an in-ground fixture set in the paving"};
}
inline Message stands_on_paving(const string& area) {
    return {format("the fixture stands up from paving ({}), where feet and wheels pass", area),
            "move it to the edge, or use an in-ground one made to be walked and driven over"};
}
inline Message stands_in_lawn() {
    return {"the fixture stands up from open lawn, in the way of the mower",
            "use an in-ground one, or move it to an edge or into a bed"};
}
inline Message hangs_high(const Words& ids, const string& height, const string& clearance, bool has_tree) {
    return {format("{} {} up to {} above the ground", fmt::join(ids, ", "),
                   ids.size() == 1 ? "hangs" : "hang", height),
            format("work on ladders in pairs and keep everything {} from overhead lines, further from "
                   "high-voltage ones{}",
                   clearance,
                   has_tree ? "; in a tree use stand-off mounts that leave the trunk room to grow" : "")};
}
inline Message beam_in_window(const string& wall, const string& window) {
    return {format("the middle of the beam goes into window \"{}\" of \"{}\"", window, wall),
            "move the fixture along, or aim it beside the window; people inside look into the light"};
}
inline Message shroud_takes(const string& share, bool has_shroud, bool has_hood) {
    const char* parts = has_shroud && has_hood ? "shroud and hood" : has_shroud ? "shroud" : "hood";
    return {format("{} of the lamp's lumens stay in the {}", share, parts),
            format("take a narrower lamp or a shorter {}", parts)};
}
inline Message in_roof(const string& roof, const string& underside, bool is_above) {
    return {is_above ? format("the lens is just above {}, on which its light falls", roof)
                     : format("the lens is inside {}, so that no light gets out", roof),
            format("put it at the underside, {} up, or below", underside)};
}
inline Message light_at_watch_point(const string& id, const string& light, const string& limit) {
    return {format("it sends {} towards \"{}\", leaves in between not counted", light, id),
            format("commonly {} at most is asked for there late at night: turn it away, shield it or take a "
                   "narrower lamp; duskcast light gives the figure with everything in between",
                   limit)};
}
inline Message beam_in_eyes(const string& who) {
    return {format("{} looks into the beam", who),
            "aim it lower or away, or give it a shroud, a hood or a louvre"};
}
inline Message crosses_unsleeved(const string& area, const string& length) {
    return {format("the cable crosses {} for {} without a sleeve", area, length),
            "lay it in conduit there and write \"sleeved\": true, or go round"};
}
inline Message same_name(const string& id, const string& kind, const string& other_kind,
                         const string& other_path) {
    return {format("a {} is called \"{}\" like the {} at {}", kind, id, other_kind, other_path),
            "on a plan nobody can tell them apart; give one another id"};
}

} // namespace duskcast::messages
