#pragma once
// A price list as a table: the columns that the first line names, and the fields of a row by column.

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/csv.hpp"
#include "duskcast/base/problem.hpp"
#include "price_messages.hpp"

namespace duskcast {

enum class PriceColumn { kind, id, description, unit, price, labour_hours, taxed };

inline constexpr std::array<std::string_view, 7> price_columns{"kind",  "id",           "description", "unit",
                                                               "price", "labour_hours", "taxed"};

struct PriceRow {
    int line = 0;
    std::array<CsvField, price_columns.size()>
        fields; ///< trimmed: RFC 4180 keeps blanks, and nobody means them

    const CsvField& field(PriceColumn column) const { return fields[static_cast<std::size_t>(column)]; }
    const std::string& text(PriceColumn column) const { return field(column).text; }
};

/// The rows of a price list that have as many fields as the first line, without those that are all blank.
/// Throws InputError where the columns are at fault; lines at fault are added to `problems`.
std::vector<PriceRow> read_price_table(std::string_view text, const std::string& file,
                                       std::vector<Problem>& problems);

} // namespace duskcast
