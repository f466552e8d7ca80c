#pragma once
// A table in plain text for people: columns padded with blanks.

#include <string>
#include <utility>
#include <vector>

namespace duskcast {

enum class TableAlign { left, right };

struct TableColumn {
    std::string head;
    TableAlign align = TableAlign::right;
    std::size_t width = 0; ///< of the widest cell expected, with the gap between columns
};

/// Rows of cells in columns of fixed width, as `head` begins them: a cell longer than its column moves the
/// rest of its row and no other. Widths count characters of UTF-8.
class Table {
public:
    explicit Table(std::vector<TableColumn> columns) : columns_(std::move(columns)) {}

    std::string print_head() const;
    /// A row may end early or go on past the last column; what goes on is not padded.
    std::string print_row(const std::vector<std::string>& cells) const;

private:
    std::vector<TableColumn> columns_;
};

} // namespace duskcast
