// Any bytes as a figure that is typed into a price list, a line each for kind, id, unit, description, field
// and value, and as the list behind them: refused with InputError, or a list that is read, in which the same
// figure typed again changes nothing.
#include "duskcast/cost/price_edit.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    std::string_view text = fuzz::text_of(data, size);
    const auto take_line = [&] {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const std::string line(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
        return line;
    };
    PriceEdit edit;
    edit.kind = take_line();
    edit.id = take_line();
    edit.unit = take_line();
    edit.description = take_line();
    const std::string field = take_line();
    edit.field = field == "hours"   ? PriceField::labour_hours
                 : field == "taxed" ? PriceField::taxed
                                    : PriceField::price;
    edit.value = take_line();
    const auto edited = fuzz::read_or_refuse([&] { return edit_price_list(text, edit, "fuzz.csv"); });
    if (!edited)
        return 0;
    const PriceList list = read_price_list(*edited, "edited.csv");
    is_taxed_at_first(list, edit.kind);
    fuzz::require(edit_price_list(*edited, edit, "edited.csv") == *edited);
    return 0;
}
