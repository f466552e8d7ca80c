#include "json_text.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <unordered_set>

#include "duskcast/base/sort_stably.hpp"
#include "messages.hpp"

namespace duskcast {
namespace {

constexpr std::size_t max_depth = 64;
constexpr std::size_t max_values = 2'000'000;

bool is_space(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

/// Of the number, true, false or null that the text begins with: of "01" and "12ft" only the part that is a
/// number, as the parser takes it.
std::size_t scalar_length(std::string_view text) {
    if (text.front() == 't' || text.front() == 'n')
        return 4;
    if (text.front() == 'f')
        return 5;
    std::size_t length = text.front() == '-' ? 1 : 0;
    const auto pass = [&](std::string_view characters) {
        while (length < text.size() && characters.find(text[length]) != std::string_view::npos)
            ++length;
    };
    if (length < text.size() && text[length] == '0')
        ++length;
    else
        pass("0123456789");
    if (length < text.size() && text[length] == '.')
        pass(".0123456789");
    if (length < text.size() && (text[length] == 'e' || text[length] == 'E')) {
        ++length;
        pass("+-");
        pass("0123456789");
    }
    return length;
}

/// Walks through the text token by token, in step with the parser, and counts lines and columns.
/// The parser's own events carry no positions.
class Cursor {
public:
    explicit Cursor(std::string_view text) : text_(text) {}

    int line() const { return line_; }
    int column() const { return column_; }
    bool at_end() const { return offset_ >= text_.size(); }
    char peek() const { return at_end() ? '\0' : text_[offset_]; }
    std::string_view rest() const { return text_.substr(offset_); }

    void step(std::size_t count = 1) {
        for (; count > 0 && !at_end(); --count) {
            const char c = text_[offset_++];
            if (c == '\n') {
                ++line_;
                column_ = 1;
            } else if ((static_cast<unsigned char>(c) & 0xC0) != 0x80) { // not inside a UTF-8 sequence
                ++column_;
            }
        }
    }

    void skip_space() {
        while (!at_end() && is_space(peek()))
            step();
    }

    /// To the first character of the next token that carries a value, a key or a bracket.
    void find_token() {
        while (!at_end() && (is_space(peek()) || peek() == ',' || peek() == ':'))
            step();
    }

    /// Past a token the parser has accepted.
    void pass_token() {
        const std::string_view left = rest();
        std::size_t length = 1;
        if (left.front() == '"') {
            while (length < left.size() && left[length] != '"')
                length += left[length] == '\\' ? 2 : 1;
            ++length;
        } else if (std::string_view("{}[]").find(left.front()) == std::string_view::npos) {
            length = scalar_length(left);
        }
        step(length);
    }

private:
    std::string_view text_;
    std::size_t offset_ = 0;
    int line_ = 1;
    int column_ = 1;
};

/// Receives the parser's events and builds the tree.
class TreeBuilder : public nlohmann::json_sax<nlohmann::json> {
public:
    TreeBuilder(std::string_view text, const std::string& file, const std::string& first_key)
        : cursor_(text), file_(file), first_key_(first_key) {}

    bool null() override { return add_scalar({}); }
    bool boolean(bool value) override {
        JsonValue made;
        made.kind = JsonValue::Kind::truth;
        made.truth = value;
        return add_scalar(std::move(made));
    }
    bool number_integer(number_integer_t value) override { return add_number(static_cast<double>(value)); }
    bool number_unsigned(number_unsigned_t value) override { return add_number(static_cast<double>(value)); }
    bool number_float(number_float_t value, const string_t&) override { return add_number(value); }
    bool string(string_t& value) override {
        JsonValue made;
        made.kind = JsonValue::Kind::text;
        made.text = std::move(value);
        return add_scalar(std::move(made));
    }
    bool binary(binary_t&) override { return false; } // not in JSON text
    bool start_object(std::size_t) override { return open(JsonValue::Kind::object); }
    bool start_array(std::size_t) override { return open(JsonValue::Kind::list); }
    bool end_object() override { return close(); }
    bool end_array() override { return close(); }

    bool key(string_t& name) override {
        cursor_.find_token();
        Level& level = levels_.back();
        key_line_ = cursor_.line();
        key_column_ = cursor_.column();
        if (!level.keys.insert(name).second)
            report(cursor_, messages::key_twice(name), join_path(path_of(levels_.size()), name));
        level.key = name;
        level.state = State::after_key;
        cursor_.pass_token();
        return true;
    }

    bool parse_error(std::size_t, const std::string&, const nlohmann::json::exception& error) override {
        problems_.clear();                         // the one fault explains what follows from it
        const bool is_too_large = error.id == 406; // number out of the range of a double
        diagnose(is_too_large);
        return false;
    }

    const std::vector<Problem>& problems() const { return problems_; }
    JsonValue& root() { return root_; }

private:
    enum class State { open, after_key, after_value };

    struct Level {
        JsonValue value;
        State state = State::open;
        std::string key; ///< of the member being read
        std::unordered_set<std::string> keys;
    };

    std::string path_of(std::size_t depth) const {
        std::string path;
        for (std::size_t i = 0; i + 1 < depth; ++i) {
            const Level& level = levels_[i];
            path = level.value.kind == JsonValue::Kind::object ? join_path(path, level.key)
                                                               : join_path(path, level.value.items.size());
        }
        return path;
    }

    void report(const Cursor& where, const Message& message, const std::string& path) {
        problems_.push_back(
            {Severity::error, {file_, where.line(), where.column(), path}, message.what, message.remedy});
    }

    void mark_place(JsonValue& value) {
        cursor_.find_token();
        value.line = cursor_.line();
        value.column = cursor_.column();
        if (!levels_.empty() && levels_.back().value.kind == JsonValue::Kind::object) {
            value.key = levels_.back().key;
            value.key_line = key_line_;
            value.key_column = key_column_;
        }
    }

    bool count_value() {
        if (++values_ <= max_values)
            return true;
        report(cursor_, messages::too_many_values(), path_of(levels_.size()));
        return false;
    }

    bool add(JsonValue value) {
        if (levels_.empty()) {
            root_ = std::move(value);
            is_done_ = true;
        } else {
            levels_.back().value.items.push_back(std::move(value));
            levels_.back().state = State::after_value;
        }
        return true;
    }

    bool add_scalar(JsonValue value) {
        mark_place(value);
        if (!count_value())
            return false;
        cursor_.pass_token();
        return add(std::move(value));
    }

    bool add_number(double number) {
        JsonValue made;
        made.kind = JsonValue::Kind::number;
        made.number = number;
        return add_scalar(std::move(made));
    }

    bool open(JsonValue::Kind kind) {
        Level level;
        level.value.kind = kind;
        mark_place(level.value);
        if (levels_.size() >= max_depth) {
            report(cursor_, messages::too_deep(max_depth), "");
            return false;
        }
        if (!count_value())
            return false;
        cursor_.pass_token();
        levels_.push_back(std::move(level));
        return true;
    }

    bool close() {
        cursor_.find_token();
        cursor_.pass_token();
        JsonValue value = std::move(levels_.back().value);
        levels_.pop_back();
        return add(std::move(value));
    }

    /// What is wrong at the first token the parser would not take, from what was read before it.
    void diagnose(bool is_too_large) {
        cursor_.skip_space();
        const bool in_object = !levels_.empty() && levels_.back().value.kind == JsonValue::Kind::object;
        const char closing = in_object ? '}' : ']';
        if (levels_.empty() && is_done_)
            return report(cursor_, messages::text_after_end(), "");
        if (!levels_.empty() && levels_.back().state == State::after_key) {
            if (cursor_.peek() != ':')
                return report(cursor_, cursor_.at_end() ? messages::file_ends(closing) : messages::no_colon(),
                              "");
            cursor_.step();
            cursor_.skip_space();
            return report(cursor_, value_fault(is_too_large), "");
        }
        if (!levels_.empty() && levels_.back().state == State::after_value) {
            if (cursor_.at_end())
                return report(cursor_, messages::file_ends(closing), "");
            if (cursor_.peek() != ',')
                return report(cursor_, is_comment() ? messages::comment() : messages::no_comma(closing), "");
            const Cursor comma = cursor_;
            cursor_.step();
            cursor_.skip_space();
            if (cursor_.peek() == closing || cursor_.peek() == ',')
                return report(comma, messages::comma_too_many(), "");
        }
        report(cursor_, in_object ? key_fault() : value_fault(is_too_large), "");
    }

    bool is_comment() const { return cursor_.rest().starts_with("//") || cursor_.rest().starts_with("/*"); }

    Message string_fault() {
        const std::string_view text = cursor_.rest();
        for (std::size_t i = 1; i < text.size() && text[i] != '\n'; i += text[i] == '\\' ? 2 : 1)
            if (text[i] == '"')
                return messages::bad_character();
        return messages::open_text();
    }

    Message key_fault() {
        if (cursor_.at_end())
            return messages::file_ends('}');
        if (is_comment())
            return messages::comment();
        return cursor_.peek() == '"' ? string_fault() : messages::no_key();
    }

    Message value_fault(bool is_too_large) {
        if (cursor_.at_end())
            return levels_.empty() ? messages::empty_file(first_key_)
                                   : messages::file_ends(
                                         levels_.back().value.kind == JsonValue::Kind::object ? '}' : ']');
        if (is_comment())
            return messages::comment();
        if (cursor_.peek() == '"')
            return string_fault();
        const std::string_view text = cursor_.rest();
        const std::string word(
            text.substr(0, std::min<std::size_t>(text.find_first_of(",]}:{[ \t\r\n\""), 30)));
        if (is_too_large)
            return messages::number_too_large(word);
        return messages::no_value(word.empty() ? std::string(1, text.front()) : word);
    }

    Cursor cursor_;
    std::string file_;
    std::string first_key_;
    JsonValue root_;
    bool is_done_ = false;
    std::size_t values_ = 0;
    std::vector<Level> levels_;
    std::vector<Problem> problems_;
    int key_line_ = 0, key_column_ = 0;
};

} // namespace

const JsonValue* JsonValue::find(std::string_view member) const {
    for (const JsonValue& item : items)
        if (item.key == member)
            return &item;
    return nullptr;
}

JsonValue read_json(std::string_view text, const std::string& file, const std::string& first_key) {
    if (text.starts_with("\xEF\xBB\xBF"))
        text.remove_prefix(3);
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
        throw InputError(Problem{
            .place = {.file = file}, .what = "the file is written in UTF-16", .remedy = "save it as UTF-8"});
    if (const std::size_t end = text.find('\0'); end != std::string_view::npos) { // the parser stops there
        Cursor cursor(text);
        cursor.step(end);
        const Message message = messages::bad_character();
        throw InputError(Problem{.place = {.file = file, .line = cursor.line(), .column = cursor.column()},
                                 .what = message.what,
                                 .remedy = message.remedy});
    }
    TreeBuilder builder(text, file, first_key);
    nlohmann::json::sax_parse(text.begin(), text.end(), &builder);
    if (!builder.problems().empty())
        throw InputError(builder.problems());
    return std::move(builder.root());
}

std::string join_path(const std::string& path, std::string_view key) {
    std::string joined = path;
    if (!path.empty())
        joined += '.';
    joined += key;
    return joined;
}

std::string join_path(const std::string& path, std::size_t index) {
    return path + "[" + std::to_string(index) + "]";
}

Place find_place(const std::map<std::string, Place>& places, const std::string& path,
                 const std::string& file) {
    std::string nearest = path;
    for (;;) {
        const auto found = places.find(nearest);
        if (found != places.end())
            return found->second;
        if (nearest.empty())
            return {file, 0, 0, path};
        const std::size_t end = nearest.find_last_of(".[");
        nearest.resize(end == std::string::npos ? 0 : end);
    }
}

std::string find_fixture_name(const std::map<std::string, Place>& places, const std::string& path) {
    const auto found =
        path.starts_with("fixtures[") ? places.find(path.substr(0, path.find(']') + 1)) : places.end();
    return found == places.end() ? std::string() : found->second.name;
}

void sort_by_place(std::vector<Problem>& problems, const std::string& file) {
    sort_stably(problems, [&](const Problem& a, const Problem& b) {
        const bool a_elsewhere = a.place.file != file, b_elsewhere = b.place.file != file;
        if (a_elsewhere || b_elsewhere)
            return !a_elsewhere && b_elsewhere;
        return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
    });
}

} // namespace duskcast
