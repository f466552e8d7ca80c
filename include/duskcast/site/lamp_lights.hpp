#pragma once
// Many sites with the same lamps: their light made once.

#include <deque>
#include <filesystem>
#include <utility>

#include "duskcast/site/site_file.hpp"

namespace duskcast {

/// The light of lamps, each made when first asked for and then kept.
class LampLights {
public:
    explicit LampLights(std::filesystem::path folder) : folder_(std::move(folder)) {}

    /// Throws InputError as make_lamp_light.
    const LampLight& of(const Lamp& lamp);
    const std::filesystem::path& folder() const { return folder_; } ///< the site file's

private:
    std::filesystem::path folder_;
    std::deque<std::pair<Lamp, LampLight>> known_;
};

/// Whether check_site finds errors, without the advice that it also gives.
bool has_errors(const Site& site, LampLights& lights);

} // namespace duskcast
