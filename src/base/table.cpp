#include "duskcast/base/table.hpp"

#include "duskcast/base/text.hpp"

namespace duskcast {

std::string Table::print_head() const {
    std::vector<std::string> heads;
    for (const TableColumn& column : columns_)
        heads.push_back(column.head);
    return print_row(heads);
}

std::string Table::print_row(const std::vector<std::string>& cells) const {
    std::string row;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const std::string& cell = cells[i];
        const std::size_t characters = count_characters(cell);
        const std::size_t width = i < columns_.size() ? columns_[i].width : 0;
        const std::string blanks(width > characters ? width - characters : 0, ' ');
        row += i < columns_.size() && columns_[i].align == TableAlign::right ? blanks + cell : cell + blanks;
    }
    return row.erase(row.find_last_not_of(' ') + 1);
}

} // namespace duskcast
