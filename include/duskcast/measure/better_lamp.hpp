#pragma once
// What another lamp in the same fixture would do. Sights are at hand, so no ray is traced.

#include <filesystem>

#include "duskcast/measure/report.hpp"

namespace duskcast {

/// Tries every lamp at hand that fits: for each line that falls short of its goal, in the fixture there; for
/// each target that is missed, in the fixture that gives it most light. Fills in `better` with the lamp of
/// least watts that is enough, else the one that does most; none where nothing does noticeably more. Bounced
/// light stays as it is. `folder`: of the site's files.
void find_better_lamps(const Site& site, const std::filesystem::path& folder, const Stage& stage,
                       const Lighting& lighting, Report& report);

} // namespace duskcast
