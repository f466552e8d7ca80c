#pragma once
// Figures as JSON, the same in every study's file.

#include <nlohmann/json_fwd.hpp>

#include "duskcast/study/figures.hpp"

namespace duskcast {

nlohmann::ordered_json json_of(const Figures& figures, const Focus& focus);

} // namespace duskcast
