#pragma once
// Prices in words, where they are typed: what a line of the list is called, what of it is needed, and the
// sums.

#include <string>
#include <vector>

#include "duskcast/cost/take_off.hpp"

namespace duskcast {

/// What people call something that is bought: the lamp's or the model's name, "Stake", "12 AWG cable". For a
/// line of a list that has a description this is that.
std::string call_item(const Site& site, ItemKind kind, const std::string& id);

/// "5 needed", "192 ft needed", "2 of these rolls for 620 ft", "not needed here".
std::string print_need(const TakeOff& take_off, const TakeOffLine& line, LengthUnit unit);

struct SumWords {
    std::string what; ///< "Labour, 6.3 hours"
    std::string sum;  ///< "1,234.50"
};

/// Materials, labour and tax as charged, and the total, which is called what is known as long as it is not
/// all. With the currency at the total only.
std::vector<SumWords> print_sums(const TakeOff& take_off);

/// That something is still missing; empty where nothing is.
std::string print_gaps(const TakeOff& take_off);

} // namespace duskcast
