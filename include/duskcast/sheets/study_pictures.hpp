#pragma once
// The pictures of studies.

#include <filesystem>

#include "duskcast/base/output_folder.hpp"
#include "duskcast/study/compare.hpp"
#include "duskcast/study/design_search.hpp"
#include "duskcast/study/sweep.hpp"

namespace duskcast {

/// curves.png and curves.svg.
void draw_sweep_charts(const Site& site, const Sweep& sweep, OutputFolder& folder);

/// contact-sheet.png: small plates of what the target is on, evenly chosen from the variants. `bench` lights
/// them again, so that there are plates to draw.
void draw_sweep_sheet(const Site& site, const std::filesystem::path& site_folder, const Sweep& sweep,
                      Workbench& bench, OutputFolder& folder);

/// plates/PLATE.png, one for each thing that has a target; of more than four variants several, with a number
/// behind. Of more than two also plates/PLATE.VARIANT.png, which shows what each changes from the first.
void draw_comparison_plates(const VariantComparison& comparison, OutputFolder& folder);

/// trade-off.png and trade-off.svg: the designs found, the figure preferred against spill, watts and price,
/// where designs differ in any; and plates/PLATE.png of the best design beside the site as it is drawn.
/// `bench` lights both for that.
void draw_search(const Site& site, const Freedom& freedom, const Wish& wish, const DesignSearch& search,
                 Workbench& bench, OutputFolder& folder);

} // namespace duskcast
