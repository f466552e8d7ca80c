#pragma once
// The charts of sweeps and searches, before they are drawn.

#include "duskcast/draw/chart.hpp"
#include "duskcast/study/design_search.hpp"
#include "duskcast/study/sweep.hpp"

namespace duskcast {

/// A chart of every quantity that some variant has, over the first range, one curve a value of the second;
/// heat maps where the second has more values than there can be curves.
ChartPage make_sweep_page(const Site& site, const Sweep& sweep);

/// Which variant a contact sheet of so many cells shows in one of them, and which cell shows the setting that
/// is recommended; none where the sheet leaves that out.
std::size_t variant_in_cell(const Sweep& sweep, std::size_t cell, std::size_t count);
std::optional<std::size_t> find_recommended_cell(const Sweep& sweep, std::size_t count);

/// The figure preferred of every design against spill, watts and price; of those in which no designs differ,
/// no chart.
ChartPage make_trade_off_page(const Site& site, const Freedom& freedom, const Wish& wish,
                              const DesignSearch& search);

} // namespace duskcast
