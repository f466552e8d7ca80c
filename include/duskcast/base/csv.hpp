#pragma once
// The text of a CSV file as RFC 4180 has it: its records and fields, each with its place.

#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/problem.hpp"

namespace duskcast {

struct CsvField {
    std::string text;         ///< without the quotes around it, doubled ones single
    int line = 0, column = 0; ///< where it begins; columns count characters
};

using CsvRecord = std::vector<CsvField>; ///< never empty

/// The records of a text with commas (or the separator given) between the fields, quoted fields and lines
/// that end in CR LF, LF or CR. A byte order mark is passed over; lines without a single character are left
/// out. Throws InputError for the first fault: no text (`start` says what to begin with), no UTF-8, control
/// characters, a quote in the wrong place, a line too long, another separator than the one given.
std::vector<CsvRecord> read_csv(std::string_view text, const std::string& file, const std::string& start,
                                char separator = ',');

/// What separates the fields of the first line: a comma, else a semicolon, as spreadsheets write it where
/// decimals have commas, else a tab.
char find_csv_separator(std::string_view text);

/// A field as it has to stand in a CSV file (RFC 4180): in quotes where it holds a comma, a quote or a line's
/// end.
std::string print_csv_field(std::string_view text);

} // namespace duskcast
