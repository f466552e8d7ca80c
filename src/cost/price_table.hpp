#pragma once
// A price list as a table: the columns that the first line names, the fields of a row by column, and reading
// them: words, figures, and what has to be empty.

#include <array>
#include <cstdint>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/csv.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/cost/money.hpp"
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

/// "12 AWG", "12awg" and "12" for the unit "awg": "12".
std::string_view without_unit(std::string_view text, std::string_view unit);

/// Gathers the faults of fields; each is named with its place and its column.
class PriceFieldReader {
public:
    explicit PriceFieldReader(const std::string& file) : file_(file) {}

protected:
    void error(const PriceRow& row, PriceColumn column, PriceMessage message);
    void refuse_word(const PriceRow& row, PriceColumn column, const char* noun,
                     const std::vector<std::string>& known);

    /// The word of a field that must be one of a few; otherwise empty.
    std::string read_word(const PriceRow& row, PriceColumn column, const char* noun,
                          const std::vector<std::string>& known);
    /// Nothing where the field is empty, or at fault.
    std::optional<std::int64_t> read_figure_of(const PriceRow& row, PriceColumn column, int decimals,
                                               std::int64_t most);
    /// A share written in per cent, which cannot be left out.
    Millionths read_percent(const PriceRow& row, std::int64_t most);
    bool read_taxed(const PriceRow& row);
    void check_unit(const PriceRow& row, const std::string& wanted);
    void check_empty(const PriceRow& row, std::initializer_list<PriceColumn> columns);

    const std::string& file_;
    std::vector<Problem> problems_;
};

} // namespace duskcast
