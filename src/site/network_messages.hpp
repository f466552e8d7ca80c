#pragma once
// The wording of what is said about the "network" of a site file.

#include "messages.hpp"

namespace duskcast::messages {

inline Message of_another_layout(const string& key, const string& layout) {
    return {format("\"{}\" has no meaning with this layout", key),
            format("write \"layout\": \"{}\", or delete it", layout)};
}
inline Message hub_follows_nothing() {
    return {"the leads of a hub go straight to their fixtures and follow nothing",
            "delete \"follow\"; a \"path\" leads to the hub"};
}
inline Message bears_less_than_operating(const string& most, const string& high) {
    return {format("the lamp bears {} V, less than the {} V at the end of its operating volts", most, high),
            "check \"max_volts\" and \"operating_volts\""};
}
inline Message no_transformer() {
    return {"the network has no transformer", "add one to \"transformers\""};
}
inline Message no_runs() {
    return {"the network has no run of cable", "add one to \"runs\", or delete \"network\""};
}
inline Message which_transformer(const Words& known) {
    return {"it is not said which transformer feeds this run",
            format("write \"transformer\": one of {}", fmt::join(known, ", "))};
}
inline Message no_taps() {
    return {"the transformer has no tap", "give its volts, as in \"taps\": [12, 13, 14]"};
}
inline Message taps_not_rising() {
    return {"the taps are not in order, low to high", "write each once, the lowest first"};
}
inline Message unknown_tap(const string& volts, const string& id, const Words& known) {
    return {format("transformer \"{}\" has no tap of {} V", id, volts),
            format("it has {} V", fmt::join(known, ", "))};
}
inline Message unknown_secondary(int number, const string& id, int count) {
    return {format("transformer \"{}\" has no secondary {}", id, number),
            count == 1 ? string("it has one; give it \"secondaries\", or delete this")
                       : format("it has 1 to {}", count)};
}
inline Message unknown_gauge(int gauge, const std::vector<int>& known) {
    return {format("{} AWG is not a gauge of low-voltage cable", gauge),
            format("known are {}", fmt::join(known, ", "))};
}
inline Message tap_over_rating(const string& tap, const string& fixture, const string& lamp,
                               const string& limit) {
    return {format("the tap of {} V is over the {} V that lamp \"{}\" of fixture \"{}\" bears", tap, limit,
                   lamp, fixture),
            "use a lower tap, or give the lamp's \"max_volts\" if it bears more"};
}
inline Message feeds_nothing() {
    return {"the run leads nowhere: it feeds no fixture", "name its fixtures, or delete it"};
}
inline Message on_no_run(const string& id) {
    return {format("fixture \"{}\" is on no run of the network", id),
            "add it to the \"fixtures\" of the run that feeds it"};
}
inline Message on_two_runs(const string& id, const string& other) {
    return {format("fixture \"{}\" is already on run \"{}\"", id, other), "keep it on one of them"};
}
inline Message twice_on_run(const string& id) {
    return {format("fixture \"{}\" is listed twice on this run", id), "delete one of them"};
}
inline Message loop_not_allowed(const string& layout) {
    return {format("the path comes back to where it began, which a {} run must not", layout),
            "write \"layout\": \"loop\" if both ends go to the transformer, or delete the last point"};
}
inline Message no_length() {
    return {"the run has no length: its fixtures stand where the transformer is",
            "check the path and the positions"};
}
inline Message against_the_path(const string& id, const string& other, const string& along,
                                const string& other_along) {
    return {format("the cable reaches \"{}\" at {} of its path, before \"{}\" at {}", id, along, other,
                   other_along),
            "list the fixtures in the order the cable reaches them"};
}
inline Message far_from_cable(const string& id, const string& distance) {
    return {format("fixture \"{}\" stands {} from the cable", id, distance),
            "its lead wire has to go that far; lay the path nearer"};
}

} // namespace duskcast::messages
