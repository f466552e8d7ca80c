#pragma once
// JSON text as values that know where they stand in the file.

#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/problem.hpp"

namespace duskcast {

struct JsonValue {
    enum class Kind { null, truth, number, text, list, object };

    Kind kind = Kind::null;
    int line = 0, column = 0;         ///< of the value's first character, from 1; columns count characters
    int key_line = 0, key_column = 0; ///< of the key, for a member of an object
    bool truth = false;
    double number = 0;
    std::string text;
    std::string key;              ///< for a member of an object
    std::vector<JsonValue> items; ///< of a list or an object, in file order

    const JsonValue* find(std::string_view member) const;
};

/// Throws InputError (line, column, path) for broken JSON, for a key given twice, for more than 64 levels
/// of brackets and for more than two million values. A byte-order mark is skipped. `first_key` is the key by
/// which such a file is known.
JsonValue read_json(std::string_view text, const std::string& file, const std::string& first_key);

/// The place of a path, or of its nearest ancestor that the file holds.
Place find_place(const std::map<std::string, Place>& places, const std::string& path,
                 const std::string& file);

/// The id of the fixture that a path leads into; nothing where there is none.
std::string find_fixture_name(const std::map<std::string, Place>& places, const std::string& path);

/// In file order; what lies in other files comes after, in the order met.
void sort_by_place(std::vector<Problem>& problems, const std::string& file);

/// "walls" and "path" to "walls.path"; "" and "walls" to "walls".
std::string join_path(const std::string& path, std::string_view key);
std::string join_path(const std::string& path, std::size_t index);

} // namespace duskcast
