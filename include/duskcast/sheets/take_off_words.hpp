#pragma once
// The take-off and a year's energy: for people, for a spreadsheet and for a machine.

#include <string>
#include <vector>

#include "duskcast/cost/energy.hpp"
#include "duskcast/cost/take_off.hpp"

namespace duskcast {

/// A missing price in words: `what` is 'price of fixture "well"', `hint` why, or what may be meant.
struct MissingPriceWords {
    std::string what;
    std::string hint;
};
MissingPriceWords describe_missing(const MissingPrice& missing);

/// "Price of materials: the cost and a markup of 40 % of the cost."
std::string print_surcharge(const char* what, const Surcharge& surcharge);

/// For the business alone: "costs 2,187.00 USD, charged 3,061.80 USD before tax: 874.80 USD over cost, 28.6 %
/// of the price."
std::string print_earnings(const TakeOff& take_off);

/// For people: a table and the verdict on the total, one line each.
std::vector<std::string> print_take_off(const TakeOff& take_off, LengthUnit unit);

/// "96 W for 5 h on 365 nights: 175 kWh a year, 28.47 USD at 0.1625 USD a kWh"
std::string print_yearly_energy(const YearlyEnergy& energy, const std::string& currency);

/// For a spreadsheet: RFC 4180, UTF-8, lines that end in CR LF; with a byte order mark where it holds more
/// than ASCII, without which spreadsheets take it for another encoding. Each amount stands once, and the last
/// row is the total.
std::string print_take_off_csv(const TakeOff& take_off, LengthUnit unit);

/// For a machine: one JSON object, lengths in metres, money in the currency, null for what is not known.
std::string print_take_off_json(const TakeOff& take_off);

} // namespace duskcast
