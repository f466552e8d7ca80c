#include "duskcast/cost/price_edit.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "duskcast/base/csv.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/cost/cable_rolls.hpp"
#include "duskcast/cost/price_list.hpp"
#include "price_table.hpp"

namespace duskcast {

namespace {

constexpr std::string_view labour_kind = "labour", energy_kind = "energy", currency_kind = "currency";

bool is_share(std::string_view kind) {
    return kind == "tax" || kind == "markup" || kind == "margin" || kind == "waste";
}

/// Whether a line says if what it is of is taxed.
bool is_bought(std::string_view kind) {
    return !is_share(kind) && kind != labour_kind && kind != energy_kind && kind != currency_kind;
}

PriceColumn column_of(PriceField field) {
    switch (field) {
    case PriceField::price:
        return PriceColumn::price;
    case PriceField::labour_hours:
        return PriceColumn::labour_hours;
    case PriceField::taxed:
        return PriceColumn::taxed;
    }
    return PriceColumn::price;
}

/// Without what people put round a figure: "$ 85.00", "85 €", "40 %".
std::string without_marks(std::string_view text) {
    text = trimmed(text);
    for (const std::string_view mark : {"$", "€", "£", "%"}) {
        if (text.starts_with(mark))
            text.remove_prefix(mark.size());
        if (text.ends_with(mark))
            text.remove_suffix(mark.size());
        text = trimmed(text);
    }
    return std::string(text);
}

/// Of a roll, tenths of a millimetre; nothing where it is no length.
std::optional<std::int64_t> count_roll_ticks(const std::string& unit) {
    try {
        return count_length_ticks(read_length(unit));
    } catch (const InputError&) {
        return std::nullopt;
    }
}

/// One word for each way of writing an id.
std::string plain_item_id(const std::string& kind, const std::string& id) {
    return lower_case(kind == name_of(ItemKind::cable)         ? without_unit(id, "awg")
                      : kind == name_of(ItemKind::transformer) ? without_unit(id, "va")
                                                               : id);
}

class PriceListEditor {
public:
    PriceListEditor(std::string_view text, const PriceList& list, const std::string& file) : list_(list) {
        const std::string empty = make_empty_price_list();
        records_ = read_csv(trimmed(text).empty() ? empty : text, file, price_messages::start_with_header());
        for (std::size_t column = 0; column < price_columns.size(); ++column)
            for (std::size_t at = 0; at < records_.front().size(); ++at)
                if (lower_case(trimmed(records_.front()[at].text)) == price_columns[column])
                    order_[column] = at;
    }

    void edit(const PriceEdit& edit) {
        auto record = std::find_if(records_.begin() + 1, records_.end(),
                                   [&](const CsvRecord& one) { return is_line_of(one, edit); });
        const std::string value = without_marks(edit.value);
        if (value.empty() && edit.field == PriceField::price &&
            (is_share(edit.kind) || edit.kind == currency_kind)) {
            if (record != records_.end())
                records_.erase(record);
            return;
        }
        if (record == records_.end())
            record = records_.insert(find_place(edit.kind), make_record(edit));
        set(*record, edit.kind == currency_kind ? PriceColumn::id : column_of(edit.field), value);
    }

    std::string print() const {
        std::string text;
        for (const CsvRecord& record : records_) {
            for (std::size_t i = 0; i < record.size(); ++i)
                text += (i == 0 ? "" : ",") + print_csv_field(record[i].text);
            text += '\n';
        }
        return text;
    }

private:
    std::string read(const CsvRecord& record, PriceColumn column) const {
        const std::size_t at = order_[static_cast<std::size_t>(column)];
        return at < record.size() ? std::string(trimmed(record[at].text)) : std::string();
    }
    void set(CsvRecord& record, PriceColumn column, const std::string& text) {
        record[order_[static_cast<std::size_t>(column)]].text = text;
    }

    bool is_line_of(const CsvRecord& record, const PriceEdit& edit) const {
        if (lower_case(read(record, PriceColumn::kind)) != edit.kind)
            return false;
        if (edit.kind == currency_kind)
            return true;
        if (plain_item_id(edit.kind, read(record, PriceColumn::id)) != plain_item_id(edit.kind, edit.id))
            return false;
        return edit.kind != name_of(ItemKind::cable) ||
               count_roll_ticks(read(record, PriceColumn::unit)) == count_roll_ticks(edit.unit);
    }

    /// After the last line of the kind.
    std::vector<CsvRecord>::iterator find_place(const std::string& kind) {
        for (auto record = records_.end(); record != records_.begin() + 1; --record)
            if (lower_case(read(*(record - 1), PriceColumn::kind)) == kind)
                return record;
        return records_.end();
    }

    CsvRecord make_record(const PriceEdit& edit) {
        CsvRecord record(records_.front().size());
        set(record, PriceColumn::kind, edit.kind);
        set(record, PriceColumn::id, edit.id);
        set(record, PriceColumn::unit, edit.unit);
        set(record, PriceColumn::description, edit.description);
        if (is_bought(edit.kind))
            set(record, PriceColumn::taxed, is_taxed_at_first(list_, edit.kind) ? "yes" : "no");
        else if (edit.kind == labour_kind)
            set(record, PriceColumn::taxed, "no");
        return record;
    }

    const PriceList& list_;                                 ///< as it was
    std::vector<CsvRecord> records_;                        ///< the first names the columns
    std::array<std::size_t, price_columns.size()> order_{}; ///< of each column, its place in a record
};

} // namespace

std::string make_empty_price_list() {
    std::string header;
    for (const std::string_view column : price_columns)
        header.append(header.empty() ? "" : ",").append(column);
    return header + '\n';
}

bool is_taxed_at_first(const PriceList& list, std::string_view kind) {
    int own = 0, all = 0; // taxed lines less those that are not
    bool has_own = false;
    for (const PriceItem& item : list.items) {
        const int step = item.is_taxed ? 1 : -1;
        all += step;
        if (name_of(item.kind) != kind)
            continue;
        own += step;
        has_own = true;
    }
    return (has_own ? own : all) >= 0;
}

std::string edit_price_list(std::string_view text, const PriceEdit& edit, const std::string& file) {
    PriceList list;
    if (!trimmed(text).empty())
        list = read_price_list(text, path_in({}, file)); // a list at fault is not written to
    PriceListEditor editor(text, list, file);
    editor.edit(edit);
    std::string edited = editor.print();
    read_price_list(edited, path_in({}, file));
    return edited;
}

} // namespace duskcast
