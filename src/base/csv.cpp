#include "duskcast/base/csv.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "duskcast/base/text.hpp"

namespace duskcast {

namespace {

constexpr std::size_t longest_line = 10'000;
constexpr const char* save_as = "save it as CSV with commas, in UTF-8";

/// The first line with anything in it, without what stands in quotes.
std::string find_first_line(std::string_view text) {
    const std::size_t begin = std::min(text.find_first_not_of("\xEF\xBB\xBF\r\n"), text.size());
    std::string line;
    bool is_quoted = false;
    for (const char c : text.substr(begin)) {
        if (!is_quoted && (c == '\r' || c == '\n'))
            break;
        if (c == '"')
            is_quoted = !is_quoted;
        else if (!is_quoted)
            line += c;
    }
    return line;
}

class CsvReader {
public:
    CsvReader(std::string_view text, const std::string& file, const std::string& start, char separator)
        : text_(text), file_(file), start_(start), separator_(separator) {}

    std::vector<CsvRecord> read() {
        check_kind();
        std::vector<CsvRecord> records;
        while (!is_done()) {
            if (take_line_end())
                continue;
            CsvRecord& record = records.emplace_back();
            do
                record.push_back(read_field());
            while (take_separator());
            take_line_end();
        }
        return records;
    }

private:
    [[noreturn]] void refuse(int line, int column, std::string_view what, std::string_view remedy) const {
        throw InputError(Problem{.place = {.file = file_, .line = line, .column = column},
                                 .what = std::string(what),
                                 .remedy = std::string(remedy)});
    }

    [[noreturn]] void refuse_separator(const char* separators) const {
        refuse(line_, 0, fmt::format("the fields of this line are separated by {}", separators),
               "separate them by commas, and write decimals with a point");
    }

    /// With what the byte means in Latin-1, unless that is a control character.
    [[noreturn]] void refuse_byte(unsigned char byte) const {
        refuse(line_, column_,
               fmt::format("the byte {:02X} is not UTF-8{}", byte,
                           byte < 0xA0 ? std::string()
                                       : fmt::format(", in Latin-1 it is \"{}\"", utf8_of_latin1(byte))),
               save_as);
    }

    /// Refuses what is no CSV at all; passes over a byte order mark.
    void check_kind() {
        if (text_.starts_with("PK\x03\x04") || text_.starts_with("\xD0\xCF\x11\xE0"))
            refuse(0, 0, "this is a workbook, not text", save_as);
        // Without a mark, every other byte of western UTF-16 text is 0.
        if (text_.starts_with("\xFF\xFE") || text_.starts_with("\xFE\xFF") ||
            text_.substr(0, 4).find('\0') != std::string_view::npos)
            refuse(0, 0, "the file is UTF-16 text", save_as);
        if (text_.starts_with("\xEF\xBB\xBF"))
            text_.remove_prefix(3);
        while (take_line_end()) {
        }
        if (is_done())
            refuse(1, 1, "there is nothing in this file", start_);
        const std::string first = find_first_line(text_);
        if (separator_ != ',' || first.find(',') != std::string::npos)
            return;
        if (first.find(';') != std::string::npos)
            refuse_separator("semicolons");
        if (first.find('\t') != std::string::npos)
            refuse_separator("tabs");
    }

    bool is_done() const { return at_ >= text_.size(); }
    char peek() const { return is_done() ? '\0' : text_[at_]; }

    bool is_at_line_end() const { return is_done() || peek() == '\n' || peek() == '\r'; }

    bool take_separator() {
        if (is_done() || peek() != separator_)
            return false;
        take_character();
        return true;
    }

    /// CR LF, LF or CR.
    bool take_line_end() {
        if (is_done() || !is_at_line_end())
            return false;
        at_ += text_.substr(at_).starts_with("\r\n") ? 2 : 1;
        ++line_;
        column_ = 1;
        return true;
    }

    std::string_view take_character() {
        const std::size_t length = utf8_length(text_.substr(at_));
        const auto byte = static_cast<unsigned char>(text_[at_]);
        if (length == 0)
            refuse_byte(byte);
        if ((byte < 0x20 && byte != '\t') || byte == 0x7F)
            refuse(line_, column_, fmt::format("a control character stands here (byte {:02X})", byte),
                   "delete it");
        if (static_cast<std::size_t>(column_) > longest_line)
            refuse(line_, 0, fmt::format("this line is longer than {} characters", longest_line),
                   "a line holds one item");
        const std::string_view character = text_.substr(at_, length);
        at_ += length;
        ++column_;
        return character;
    }

    CsvField read_field() {
        CsvField field{{}, line_, column_};
        if (peek() == '"') {
            read_quoted(field);
            return field;
        }
        while (!is_at_line_end() && peek() != separator_) {
            if (peek() == '"')
                refuse(line_, column_, "a double quote stands inside a field that does not begin with one",
                       "put the whole field in double quotes and write each one inside it twice");
            field.text += take_character();
        }
        return field;
    }

    void read_quoted(CsvField& field) {
        take_character();
        while (!is_done()) {
            const std::size_t begin = at_;
            if (take_line_end()) {
                field.text += text_.substr(begin, at_ - begin);
                continue;
            }
            const std::string_view character = take_character();
            if (character != "\"") {
                field.text += character;
            } else if (peek() == '"') {
                field.text += take_character();
            } else {
                if (!is_at_line_end() && peek() != separator_)
                    refuse(line_, column_, "there is more text after the field's closing double quote",
                           "a double quote inside a quoted field is written twice");
                return;
            }
        }
        refuse(field.line, field.column, "the double quote that begins this field is never closed",
               "put one at the field's end");
    }

    std::string_view text_;
    const std::string& file_;
    const std::string& start_;
    char separator_;
    std::size_t at_ = 0;
    int line_ = 1, column_ = 1;
};

} // namespace

std::vector<CsvRecord> read_csv(std::string_view text, const std::string& file, const std::string& start,
                                char separator) {
    return CsvReader(text, file, start, separator).read();
}

char find_csv_separator(std::string_view text) {
    const std::string first = find_first_line(text);
    for (const char separator : {',', ';', '\t'})
        if (first.find(separator) != std::string::npos)
            return separator;
    return ',';
}

std::string print_csv_field(std::string_view text) {
    if (text.find_first_of(",\"\r\n") == std::string_view::npos)
        return std::string(text);
    std::string field = "\"";
    for (const char c : text)
        field += c == '"' ? std::string("\"\"") : std::string(1, c);
    return field + "\"";
}

} // namespace duskcast
