#include "price_table.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include "duskcast/base/text.hpp"

namespace duskcast {

namespace {

constexpr int percent_decimals = 4;

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

std::string_view without_unit(std::string_view text, std::string_view unit) {
    if (text.size() >= unit.size() && lower_case(text.substr(text.size() - unit.size())) == unit)
        text.remove_suffix(unit.size());
    return trimmed(text);
}

void PriceFieldReader::error(const PriceRow& row, PriceColumn column, PriceMessage message) {
    const CsvField& field = row.field(column);
    problems_.push_back(
        {Severity::error,
         {file_, field.line, field.column, std::string(price_columns[static_cast<std::size_t>(column)])},
         std::move(message.what),
         std::move(message.remedy)});
}

void PriceFieldReader::refuse_word(const PriceRow& row, PriceColumn column, const char* noun,
                                   const std::vector<std::string>& known) {
    const std::string& word = row.text(column);
    error(row, column, price_messages::unknown_word(noun, word, find_nearest_word(word, known), known));
}

std::string PriceFieldReader::read_word(const PriceRow& row, PriceColumn column, const char* noun,
                                        const std::vector<std::string>& known) {
    const std::string word = lower_case(row.text(column));
    if (std::find(known.begin(), known.end(), word) != known.end())
        return word;
    refuse_word(row, column, noun, known);
    return {};
}

std::optional<std::int64_t> PriceFieldReader::read_figure_of(const PriceRow& row, PriceColumn column,
                                                             int decimals, std::int64_t most) {
    const std::string& text = row.text(column);
    if (text.empty())
        return std::nullopt;
    const Figure figure = read_figure(text, decimals, most);
    switch (figure.fault) {
    case FigureFault::none:
        return figure.value;
    case FigureFault::not_a_number:
        error(row, column, price_messages::not_a_number(text));
        break;
    case FigureFault::comma:
        error(row, column, price_messages::comma_in_number(text));
        break;
    case FigureFault::negative:
        error(row, column, price_messages::negative(text));
        break;
    case FigureFault::too_fine:
        error(row, column, price_messages::too_fine(text, decimals));
        break;
    case FigureFault::too_large:
        error(row, column, price_messages::too_large(text, print_figure(most, decimals)));
        break;
    }
    return std::nullopt;
}

Millionths PriceFieldReader::read_percent(const PriceRow& row, std::int64_t most) {
    if (row.text(PriceColumn::price).empty())
        error(row, PriceColumn::price, price_messages::must_be_given(row.text(PriceColumn::kind)));
    return read_figure_of(row, PriceColumn::price, percent_decimals, most).value_or(0);
}

void PriceFieldReader::check_unit(const PriceRow& row, const std::string& wanted) {
    if (lower_case(row.text(PriceColumn::unit)) != lower_case(wanted))
        error(row, PriceColumn::unit,
              price_messages::wrong_unit(row.text(PriceColumn::unit), row.text(PriceColumn::kind), wanted));
}

void PriceFieldReader::check_empty(const PriceRow& row, std::initializer_list<PriceColumn> columns) {
    for (const PriceColumn column : columns) {
        const std::string& text = row.text(column);
        if (text.empty())
            continue;
        const std::string& kind = row.text(PriceColumn::kind);
        if (column == PriceColumn::id)
            error(row, column, price_messages::id_not_wanted(kind, text));
        else if (column == PriceColumn::unit)
            error(row, column, price_messages::unit_not_wanted(text, kind));
        else
            error(row, column, price_messages::must_be_empty(kind, text));
    }
}

bool PriceFieldReader::read_taxed(const PriceRow& row) {
    const std::string word = lower_case(row.text(PriceColumn::taxed));
    if (word != "yes" && word != "no")
        error(row, PriceColumn::taxed, price_messages::neither_yes_nor_no(row.text(PriceColumn::taxed)));
    return word == "yes";
}

} // namespace duskcast
