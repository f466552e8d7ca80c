#pragma once
// Reading the fields of a price list's row: words, figures, and what has to be empty.

#include <cstdint>
#include <initializer_list>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/cost/money.hpp"
#include "price_table.hpp"

namespace duskcast {

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
