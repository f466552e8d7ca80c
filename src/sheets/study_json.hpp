#pragma once
// Parts of JSON that the files of all studies share.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "duskcast/sheets/sweep_file.hpp"

namespace duskcast {

/// null where there is no value.
inline nlohmann::ordered_json json_of(const std::optional<double>& value) {
    return value ? nlohmann::ordered_json(*value) : nlohmann::ordered_json();
}
nlohmann::ordered_json json_of(const WrittenFigures& figures);

/// With its unit: "tilt_deg".
std::string key_of(Knob knob);

} // namespace duskcast
