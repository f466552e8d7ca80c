#pragma once
// The figures as files: summary.json and maps/SURFACE.csv.

#include <span>
#include <string>

#include "duskcast/light/reference.hpp"
#include "duskcast/measure/report.hpp"
#include "duskcast/measure/stats.hpp"

namespace duskcast {

/// The JSON text of summary.json (and of `--json`). `agreements`: with a reference, if one was traced.
std::string print_summary(const SiteFile& site_file, const Stage& stage, const Lighting& lighting,
                          const Report& report, const std::vector<Agreement>& agreements = {});

/// One row a sensor: x_m,y_m,z_m,nx,ny,nz,area_m2,direct_lx,bounced_lx,total_lx.
std::string print_map(const Stage& stage, const Lighting& lighting, const Surface& surface);

/// One row a sensor of the reference on a surface, in the reference's order:
/// x_m,y_m,z_m,direct_lx,bounced_lx,total_lx,standard_error_lx (of the total).
std::string print_reference_map(const Stage& stage, std::span<const ReferenceLight> reference,
                                const Surface& surface);

} // namespace duskcast
