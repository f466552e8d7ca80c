// Any bytes as a price list: refused with InputError, or read; a take-off priced with it adds up.
#include "duskcast/sheets/take_off_words.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    const auto prices =
        fuzz::read_or_refuse([&] { return read_price_list(fuzz::text_of(data, size), "fuzz.csv"); });
    if (!prices)
        return 0;
    TakeOffQuantities quantities;
    quantities.cable = {{10, 40}, {12, 137.16}};
    quantities.connectors = {{"", 2}};
    quantities.hours = 1.5;
    for (const PriceItem& item : prices->items) {
        if (item.kind == ItemKind::fixture)
            quantities.fixtures[item.id] = 3;
        if (item.kind == ItemKind::lamp)
            quantities.lamps[item.id] = 3;
    }
    const TakeOff made = make_take_off(quantities, *prices);
    Cents sum = made.tax + made.labour.price.value_or(0);
    for (const TakeOffLine& line : made.lines)
        sum += line.price.value_or(0);
    fuzz::require(sum == made.sum && sum >= 0);
    for (const CableTakeOff& cable : made.cable)
        fuzz::require(cable.bought <= 0 || cable.left_over() >= -1e-4);
    print_take_off(made, LengthUnit::foot);
    print_take_off_csv(made, LengthUnit::metre);
    print_take_off_json(made);
    return 0;
}
