#pragma once
// A property on the night that its lights are aimed: the sheet to aim by, and what a night's readings tell.

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/sheets/aim_sheet.hpp"
#include "duskcast/sheets/night_words.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

/// A site lit as a meter finds it.
struct AimNight {
    SiteFile site_file;
    std::shared_ptr<const Stage> stage;
    Lighting lighting;
    std::optional<MeterModel> model; ///< of the lighting
    std::optional<LoadReport> load;  ///< none: no network
    std::string origin;              ///< which version of which program drew it from which file
};

/// What may be known already.
struct NightStart {
    std::shared_ptr<const Stage> stage; ///< of the site; null: it is built
    BounceSetup bounce;                 ///< on that stage; may be empty
    std::function<void(const std::vector<MeterPoint>&)>
        on_points; ///< called before light is traced; or empty
};

/// Lights the site; `is_aged`: with the losses of lamps near their end, else as new. Throws InputError as
/// building a stage does.
std::unique_ptr<AimNight> light_night(SiteFile site_file, bool is_aged, NightStart start,
                                      const Progress& progress = {});

/// With the next brighter and dimmer state of every fixture.
AimSheet make_night_sheet(const AimNight& night);

/// As readings name them.
std::vector<std::string> list_fixture_ids(const Site& site);

/// Of readings that name the fixtures of the night.
NightCheck check_night(const AimNight& night, Readings readings, const MeterTolerances& tolerances = {});

} // namespace duskcast
