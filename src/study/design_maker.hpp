#pragma once
// Designs of a search as sites, and the trade's rules for them.

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/site/lamp_lights.hpp"
#include "duskcast/study/design_search.hpp"

namespace duskcast {

/// Throws InputError that names what is to blame: an option of the search, or a key of the site file.
[[noreturn]] void refuse_for(std::string_view place, std::string_view what, std::string_view remedy);

class DesignMaker {
public:
    /// Throws InputError as search_designs does.
    DesignMaker(const Site& site, const std::filesystem::path& folder, const Freedom& freedom);

    /// Fixtures beyond the named ones are like the last; those not needed are left out.
    Site make(std::size_t count, const std::string& lamp, const std::vector<double>& values) const;

    /// Whether it passes the checks of a site: between ends that do, a row may still leave its wall, or a
    /// light stand inside what is there.
    bool can_be_built(const Site& made) { return !has_errors(made, lights_); }

    /// Values that a coarse search goes through.
    static std::vector<double> grid_of(const FreeKnob& knob);

    /// Ids of the spiked fixtures that stand in paving or water, or, where that is not allowed, in the lawn
    /// beside the beds.
    std::vector<std::string> list_off_beds(const Site& made) const;
    double measure_off_beds(const Site& made) const; ///< their share of the spiked ones

    std::vector<std::size_t> free_in(const Site& made) const; ///< indices of the fixtures searched over

    const std::vector<std::string>& lamps() const { return lamps_; }
    std::size_t least() const { return least_; }
    std::size_t most() const { return most_; }

    /// A starting point of the trade (common practice, no source).
    struct Rule {
        std::string name;
        std::string text;
        std::function<bool(std::size_t count, const std::string& lamp, const std::vector<double>& values)>
            is_kept;
        /// Changes a design, as little as need be within the ranges, so that it is kept where it can be.
        std::function<void(std::size_t& count, std::string& lamp, std::vector<double>& values)> lead;
    };
    /// Those that say something of what is free here and are asked for.
    std::vector<Rule> rules() const;

private:
    const Site& site_;
    const std::filesystem::path& folder_;
    const Freedom& freedom_;
    std::vector<std::size_t> named_;
    std::vector<std::string> lamps_;
    std::string host_; ///< the wall or tree; "" for fixtures by coordinates
    double host_height_ = 0, host_width_ = 0;
    bool is_tree_ = false, has_beds_ = false;
    LampLights lights_;
    std::size_t least_ = 0, most_ = 0;
};

} // namespace duskcast
