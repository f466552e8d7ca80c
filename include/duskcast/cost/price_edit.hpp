#pragma once
// Writing single figures into a price list as they are typed; everything else in it stays as the user wrote
// it.

#include <string>
#include <string_view>

#include "duskcast/cost/price_list.hpp"

namespace duskcast {

enum class PriceField { price, labour_hours, taxed };

/// A figure typed for a line of a price list, in the words of the list (price_list.hpp).
struct PriceEdit {
    std::string kind;        ///< "lamp", "labour", "tax" ...
    std::string id;          ///< "led-4w-24", "12 AWG", "materials"; empty where the kind has none
    std::string unit;        ///< "each", "250 ft", "hour", "percent"; with cable it tells the rolls apart
    std::string description; ///< of a line that is not there yet
    PriceField field = PriceField::price;
    std::string value; ///< of a currency its code; empty: not known. "$ 85.00" is 85.00, and "40 %" is 40
};

/// The text of a list without a line.
std::string make_empty_price_list();

/// Whether a new line for a thing of that kind ("lamp") begins as taxed: as most of its kind in the list are,
/// else as most things in it; where they are even, or there are none, it does.
bool is_taxed_at_first(const PriceList& list, std::string_view kind);

/// A list's text with this in it. A line that is not there yet comes after the last of its kind: things are
/// taxed as `is_taxed_at_first` says, labour is not, and what has not been typed is not known. A share without a figure has no line. An
/// empty text is a list that begins. Columns of the user's own and the order of lines and columns stay;
/// fields are quoted where they have to be, and lines that are blank are left out. Throws InputError where
/// the list, or what would become of it, is at fault; `file` names it in messages.
std::string edit_price_list(std::string_view text, const PriceEdit& edit, const std::string& file);

} // namespace duskcast
