#include "duskcast/sheets/coverage_images.hpp"

#include <fmt/format.h>

#include "duskcast/base/files.hpp"
#include "duskcast/base/version.hpp"
#include "duskcast/draw/png_text.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/sheets/plate.hpp"
#include "duskcast/view/see.hpp"

namespace duskcast {

std::vector<CoverageImage> draw_coverage_images(const SiteFile& site_file, const Progress& progress) {
    const Site& site = site_file.site;
    const std::unique_ptr<Stage> stage = build_stage(site, site_file.folder());
    BounceSetup setup;
    const Lighting lighting = trace_all_light(*stage, make_fixtures(site, site_file.folder()), site.ambient,
                                              setup, [&](double share) {
                                                  if (progress)
                                                      progress(0.5 * share);
                                              });
    const Report report = measure_with_views(site, site_file.folder(), *stage, lighting);
    const PlateSource source{site, *stage, lighting, report};
    const std::vector<Plate> plates = list_plates(source);
    std::vector<CoverageImage> images;
    for (const Plate& plate : plates) {
        const std::vector<std::pair<std::string, std::string>> texts{
            {"Title", fmt::format("{}: {}", site.name, plate.id)},
            {"Software", fmt::format("duskcast {}", duskcast_version)},
            {"Source", fmt::format("{}, hash {:016x}", text_of(site_file.file.filename()), site_file.hash)},
            {"Comment", fmt::format("illuminance in {}, lengths in {}",
                                    site.light == LightUnit::lux ? "lux" : "foot-candles",
                                    site.units == LengthUnit::metre ? "metres" : "feet")}};
        images.push_back({plate.id, add_png_text(draw_plate(source, plate, PictureFormat::slide), texts)});
        if (progress)
            progress(0.5 + 0.5 * static_cast<double>(images.size()) / static_cast<double>(plates.size()));
    }
    return images;
}

} // namespace duskcast
