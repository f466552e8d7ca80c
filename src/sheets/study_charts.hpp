#pragma once
// The charts of sweeps and searches, before they are drawn.

#include "duskcast/draw/chart.hpp"
#include "duskcast/study/design_search.hpp"
#include "duskcast/study/sweep.hpp"

namespace duskcast {

/// A chart of every quantity that some variant has, over the first range, one curve a value of the second;
/// heat maps where the second has more values than there can be curves.
ChartPage make_sweep_page(const Site& site, const Sweep& sweep);

/// The figure preferred of every design against spill, watts and price; of those in which no designs differ,
/// no chart.
ChartPage make_trade_off_page(const Site& site, const Freedom& freedom, const Wish& wish,
                              const DesignSearch& search);

} // namespace duskcast
