#pragma once
// The wording of everything said about a price list. One function, one message.

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <string>
#include <vector>

namespace duskcast {

/// What is wrong, and what would be right.
struct PriceMessage {
    std::string what;
    std::string remedy;
};

namespace price_messages {

using fmt::format;
using std::string;
using Words = std::vector<string>;

inline const char* const header = "kind,id,description,unit,price,labour_hours,taxed";

// The file.
inline PriceMessage cannot_read() {
    return {"the file cannot be read", "check its name and folder"};
}
inline PriceMessage too_large_a_file() {
    return {"the file is larger than 16 MB", "no price list is, check its name"};
}
inline string start_with_header() {
    return format("start with the line {}", header);
}

// Columns.
inline PriceMessage missing_column(const string& name, const string& nearest) {
    return {format("the column \"{}\" is missing", name), format("did you mean it by \"{}\"?", nearest)};
}
inline PriceMessage missing_columns(const Words& names) {
    return {names.size() == 1 ? format("the column \"{}\" is missing", names.front())
                              : format("the columns \"{}\" are missing", fmt::join(names, "\", \"")),
            format("the first line names the columns: {}", header)};
}
inline PriceMessage column_twice(const string& name) {
    return {format("the column \"{}\" is given twice", name), "keep one of the two"};
}
inline PriceMessage too_few_fields(std::size_t given, std::size_t wanted) {
    return {format("this line has {} {}, the first line {}", given, given == 1 ? "field" : "fields", wanted),
            "write a comma for each field that is left empty"};
}
inline PriceMessage too_many_fields(std::size_t given, std::size_t wanted) {
    return {format("this line has {} fields, the first line {}", given, wanted),
            "put a field that holds a comma in double quotes, and write decimals with a point"};
}

// Fields.
inline PriceMessage unknown_word(const string& noun, const string& word, const string& nearest,
                                 const Words& known) {
    return {word.empty() ? format("the {} is empty", noun) : format("the {} \"{}\" is not known", noun, word),
            nearest.empty() ? format("known are {}", fmt::join(known, ", "))
                            : format("did you mean \"{}\"?", nearest)};
}
inline PriceMessage empty_id(const string& kind) {
    return {format("this line of kind {} has no id", kind),
            "write the id that the site or its catalogue gives it"};
}
inline PriceMessage id_not_wanted(const string& kind, const string& id) {
    return {format("a line of kind {} has no id, and \"{}\" is given", kind, id), "leave it empty"};
}
inline PriceMessage not_a_gauge(const string& id) {
    return {format("\"{}\" is no gauge of cable", id), "write a whole number of AWG up to 40, as 12 AWG"};
}
inline PriceMessage not_a_rating(const string& id) {
    return {format("\"{}\" is no rating of a transformer", id), "write its volt-amperes, as 300 VA"};
}
inline PriceMessage not_a_currency(const string& id) {
    return {id.empty() ? string("the currency is not named") : format("\"{}\" is no currency", id),
            "write its code of three capital letters as the id, as USD"};
}
inline PriceMessage wrong_unit(const string& unit, const string& kind, const string& wanted) {
    return {unit.empty() ? string("the unit is missing")
                         : format("the unit \"{}\" does not fit a line of kind {}", unit, kind),
            format("write {}", wanted)};
}
inline PriceMessage unit_not_wanted(const string& unit, const string& kind) {
    return {format("a line of kind {} has no unit, and \"{}\" is given", kind, unit), "leave it empty"};
}
inline PriceMessage roll_out_of_range(const string& unit) {
    return {format("\"{}\" is no length of a roll", unit), "it must be 1 ft to 10,000 ft"};
}
inline PriceMessage not_a_number(const string& text) {
    return {format("\"{}\" is not a number", text),
            "write digits only, with a point before the decimals: 85.50"};
}
inline PriceMessage comma_in_number(const string& text) {
    return {format("\"{}\" holds a comma", text),
            "write decimals with a point and thousands without a mark: 1250.50"};
}
inline PriceMessage negative(const string& text) {
    return {format("{} is below 0", text), "it must be 0 or more"};
}
inline PriceMessage too_fine(const string& text, int decimals) {
    return {format("{} has more than {} decimals", text, decimals), "round it"};
}
inline PriceMessage too_large(const string& text, const string& most) {
    return {format("{} is too large", text), format("it must be {} or less", most)};
}
inline PriceMessage neither_yes_nor_no(const string& text) {
    return {text.empty() ? string("it is not said whether this is taxed")
                         : format("\"{}\" is neither yes nor no", text),
            "write yes or no"};
}
inline PriceMessage must_be_given(const string& kind) {
    return {format("this line of kind {} says no figure", kind), "write it, or delete the line"};
}
inline PriceMessage must_be_empty(const string& kind, const string& text) {
    return {format("\"{}\" has no meaning on a line of kind {}", text, kind), "leave it empty"};
}

// Lines together.
inline PriceMessage item_twice(const string& item, int line) {
    return {format("{} is given on line {} already", item, line), "keep one of the two"};
}
inline PriceMessage too_many_rolls(const string& id, std::size_t most) {
    return {format("{} is given in more than {} lengths of roll", id, most), "keep those that are bought"};
}
inline PriceMessage markup_and_margin(const string& what, int line) {
    return {format("both markup and margin are given for {}, the other on line {}", what, line),
            "a markup is a share of the cost, a margin a share of the price; keep one of the two"};
}

} // namespace price_messages
} // namespace duskcast
