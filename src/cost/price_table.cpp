#include "price_table.hpp"
#include "duskcast/base/text.hpp"

#include <algorithm>
#include <optional>
#include <utility>

namespace duskcast {

namespace {

using Order = std::array<std::size_t, price_columns.size()>; ///< of each column, its place in a record

Problem make_problem(const std::string& file, const CsvField& at, PriceMessage message) {
    return {.place = {.file = file, .line = at.line, .column = at.column},
            .what = std::move(message.what),
            .remedy = std::move(message.remedy)};
}

Order read_header(const CsvRecord& header, const std::string& file) {
    std::vector<Problem> problems;
    Order order{};
    std::vector<std::string> others, missing;
    for (const CsvField& field : header) {
        const std::string name = lower_case(trimmed(field.text));
        if (std::find(price_columns.begin(), price_columns.end(), name) == price_columns.end())
            others.push_back(name);
    }
    for (std::size_t i = 0; i < price_columns.size(); ++i) {
        const std::string name(price_columns[i]);
        std::optional<std::size_t> found;
        for (std::size_t at = 0; at < header.size(); ++at) {
            if (lower_case(trimmed(header[at].text)) != name)
                continue;
            if (found)
                problems.push_back(make_problem(file, header[at], price_messages::column_twice(name)));
            else
                found = at;
        }
        order[i] = found.value_or(0);
        if (found)
            continue;
        if (const std::string nearest = find_nearest_word(name, others); !nearest.empty()) {
            problems.push_back(
                make_problem(file, header.front(), price_messages::missing_column(name, nearest)));
        } else {
            missing.push_back(name);
        }
    }
    if (!missing.empty())
        problems.push_back(make_problem(file, header.front(), price_messages::missing_columns(missing)));
    if (!problems.empty())
        throw InputError(std::move(problems));
    return order;
}

} // namespace

std::vector<PriceRow> read_price_table(std::string_view text, const std::string& file,
                                       std::vector<Problem>& problems) {
    const std::vector<CsvRecord> records = read_csv(text, file, price_messages::start_with_header());
    const CsvRecord& header = records.front();
    const Order order = read_header(header, file);
    std::vector<PriceRow> rows;
    for (std::size_t i = 1; i < records.size(); ++i) {
        const CsvRecord& record = records[i];
        if (std::all_of(record.begin(), record.end(),
                        [](const CsvField& field) { return trimmed(field.text).empty(); }))
            continue;
        if (record.size() != header.size()) {
            problems.push_back(
                make_problem(file, record.front(),
                             record.size() < header.size()
                                 ? price_messages::too_few_fields(record.size(), header.size())
                                 : price_messages::too_many_fields(record.size(), header.size())));
            continue;
        }
        PriceRow& row = rows.emplace_back();
        row.line = record.front().line;
        for (std::size_t column = 0; column < order.size(); ++column) {
            row.fields[column] = record[order[column]];
            row.fields[column].text = std::string(trimmed(record[order[column]].text));
        }
    }
    return rows;
}

} // namespace duskcast
