#pragma once
// The pictures of studies: what a study found, handed to the picture room.

#include "duskcast/study/compare.hpp"
#include "duskcast/study/sweep.hpp"
#include "output_folder.hpp"

namespace duskcast {

/// curves.png and curves.svg.
void draw_sweep_charts(const Site& site, const Sweep& sweep, OutputFolder& folder);

} // namespace duskcast
