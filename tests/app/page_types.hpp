#pragma once
// The page's own description of the engine's answers: the interfaces of src/app/engine.ts, read as far as
// they use the language, so that an answer can be held against them.

#include <cctype>
#include <doctest/doctest.h>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <vector>

#include "duskcast/app/engine.hpp"
#include "folder.hpp"

namespace duskcast::test {

struct PageType;
using PageTypeRef = std::shared_ptr<const PageType>;

struct PageField {
    std::string name;
    bool is_optional = false;
    PageTypeRef type;
};

/// A type of TypeScript: by its name, as an object, a list, a tuple, a union or one string.
struct PageType {
    enum class Kind { named, object, list, tuple, choice, word };
    Kind kind = Kind::named;
    std::string name; ///< of what is named; the word itself
    std::vector<PageField> fields;
    std::vector<PageTypeRef> parts; ///< of a list one; of what is named its arguments
};

/// All interfaces and type names that a file exports. A REQUIRE fails where it uses what is not read here.
class PageTypes {
public:
    explicit PageTypes(const std::string& source) {
        text_ = without_comments(source);
        for (const std::string begin : {"export interface ", "export type "})
            for (std::size_t at = text_.find(begin); at != std::string::npos;
                 at = text_.find(begin, at + 1)) {
                at_ = at + begin.size();
                const std::string name = read_name();
                if (begin == "export type ")
                    expect('=');
                else if (peek() != '{')
                    continue; // one that extends another
                if (is_of_data())
                    named_[name] = read_type();
            }
    }

    PageTypeRef find(const std::string& name) const {
        const auto found = named_.find(name);
        REQUIRE_MESSAGE(found != named_.end(), name);
        return found->second;
    }

    /// What does not fit, each with its place. `added`: keys of the outermost object that the page adds
    /// itself.
    std::vector<std::string> misfits(const nlohmann::ordered_json& value, const std::string& name,
                                     const std::vector<Block>& blocks,
                                     const std::set<std::string>& added = {}) const {
        std::vector<std::string> faults;
        check_object(value, *find(name), blocks, name, added, faults);
        return faults;
    }

private:
    using Json = nlohmann::ordered_json;

    static std::string without_comments(const std::string& source) {
        std::string kept;
        for (std::size_t i = 0; i < source.size();) {
            if (source.compare(i, 2, "/*") == 0)
                i = std::min(source.find("*/", i), source.size() - 2) + 2;
            else if (source.compare(i, 2, "//") == 0)
                i = std::min(source.find('\n', i), source.size());
            else
                kept += source[i++];
        }
        return kept;
    }

    /// Interfaces with functions are not of data.
    bool is_of_data() {
        if (peek() != '{')
            return true;
        int depth = 0;
        for (std::size_t i = at_; i < text_.size(); ++i) {
            depth += text_[i] == '{' ? 1 : text_[i] == '}' ? -1 : 0;
            if (depth == 1 && text_.compare(i, 3, "): ") == 0)
                return false;
            if (depth == 0)
                return true;
        }
        return false;
    }

    char peek() {
        while (at_ < text_.size() && std::isspace(static_cast<unsigned char>(text_[at_])))
            ++at_;
        REQUIRE(at_ < text_.size());
        return text_[at_];
    }
    bool take(char wanted) {
        if (peek() != wanted)
            return false;
        ++at_;
        return true;
    }
    void expect(char wanted) { REQUIRE_MESSAGE(take(wanted), text_.substr(at_, 40)); }
    std::string read_name() {
        peek();
        std::string name;
        while (std::isalnum(static_cast<unsigned char>(text_[at_])) || text_[at_] == '_')
            name += text_[at_++];
        REQUIRE_MESSAGE(!name.empty(), text_.substr(at_, 40));
        return name;
    }

    PageTypeRef read_type() {
        take('|');
        PageType choice{.kind = PageType::Kind::choice};
        do
            choice.parts.push_back(read_one());
        while (take('|'));
        return choice.parts.size() == 1 ? choice.parts.front()
                                        : std::make_shared<const PageType>(std::move(choice));
    }

    PageTypeRef read_one() {
        PageType type;
        if (take('(')) {
            const PageTypeRef inner = read_type();
            expect(')');
            type = *inner;
        } else if (take('"')) {
            type.kind = PageType::Kind::word;
            while (text_[at_] != '"')
                type.name += text_[at_++];
            ++at_;
        } else if (take('[')) {
            type.kind = PageType::Kind::tuple;
            do
                type.parts.push_back(read_type());
            while (take(','));
            expect(']');
        } else if (take('{')) {
            type.kind = PageType::Kind::object;
            while (!take('}')) {
                PageField field{.name = read_name()};
                field.is_optional = take('?');
                expect(':');
                field.type = read_type();
                type.fields.push_back(std::move(field));
                if (!take(';'))
                    take(',');
            }
        } else {
            type.name = read_name();
            if (take('<')) {
                do
                    type.parts.push_back(read_type());
                while (take(','));
                expect('>');
            }
        }
        auto made = std::make_shared<const PageType>(std::move(type));
        while (at_ + 1 < text_.size() && text_[at_] == '[' && text_[at_ + 1] == ']') {
            at_ += 2;
            made = std::make_shared<const PageType>(PageType{.kind = PageType::Kind::list, .parts = {made}});
        }
        return made;
    }

    template <class Value> static bool is_block(const Json& value, const std::vector<Block>& blocks) {
        return value.is_object() && value.contains("$block") && value.size() == 1 &&
               value["$block"].template get<std::size_t>() < blocks.size() &&
               std::holds_alternative<std::vector<Value>>(
                   blocks[value["$block"].template get<std::size_t>()]);
    }

    void check_object(const Json& value, const PageType& type, const std::vector<Block>& blocks,
                      const std::string& path, const std::set<std::string>& added,
                      std::vector<std::string>& faults) const {
        if (!value.is_object()) {
            faults.push_back(path + ": no object but " + value.dump().substr(0, 60));
            return;
        }
        std::set<std::string> known;
        for (const PageField& field : type.fields) {
            known.insert(field.name);
            // The page counts its documents and looks itself.
            const bool is_added =
                added.contains(field.name) || (field.name == "version" && field.type->name == "number");
            if (value.contains(field.name))
                check(value[field.name], *field.type, blocks, path + "." + field.name, faults);
            else if (!field.is_optional && !is_added)
                faults.push_back(path + "." + field.name + ": missing");
        }
        for (const auto& [key, member] : value.items())
            if (!known.contains(key))
                faults.push_back(path + "." + key + ": unknown to the page");
    }

    void check(const Json& value, const PageType& type, const std::vector<Block>& blocks,
               const std::string& path, std::vector<std::string>& faults) const {
        const auto expect_that = [&](bool is_good) {
            if (!is_good)
                faults.push_back(path + ": " + value.dump().substr(0, 60));
        };
        switch (type.kind) {
        case PageType::Kind::word:
            expect_that(value == type.name);
            return;
        case PageType::Kind::choice:
            for (const PageTypeRef& part : type.parts) {
                std::vector<std::string> own;
                check(value, *part, blocks, path, own);
                if (own.empty())
                    return;
                if (value.is_object() && part->kind == PageType::Kind::object)
                    faults.insert(faults.end(), own.begin(), own.end());
            }
            expect_that(false);
            return;
        case PageType::Kind::tuple:
            expect_that(value.is_array() && value.size() == type.parts.size());
            for (std::size_t i = 0; value.is_array() && i < std::min(value.size(), type.parts.size()); ++i)
                check(value[i], *type.parts[i], blocks, path + "." + std::to_string(i), faults);
            return;
        case PageType::Kind::list:
            expect_that(value.is_array());
            for (std::size_t i = 0; value.is_array() && i < value.size(); ++i)
                check(value[i], *type.parts[0], blocks, path + "." + std::to_string(i), faults);
            return;
        case PageType::Kind::object:
            check_object(value, type, blocks, path, {}, faults);
            return;
        case PageType::Kind::named:
            break;
        }
        if (type.name == "string")
            expect_that(value.is_string());
        else if (type.name == "number")
            expect_that(value.is_number());
        else if (type.name == "boolean")
            expect_that(value.is_boolean());
        else if (type.name == "null")
            expect_that(value.is_null());
        else if (type.name == "Float32Array")
            expect_that(is_block<float>(value, blocks));
        else if (type.name == "Int32Array")
            expect_that(is_block<std::int32_t>(value, blocks));
        else if (type.name == "Uint16Array")
            expect_that(is_block<std::uint16_t>(value, blocks));
        else if (type.name == "Uint8Array" || type.name == "Uint8ClampedArray")
            expect_that(is_block<std::uint8_t>(value, blocks));
        else if (type.name == "Record") {
            expect_that(value.is_object());
            for (const auto& [key, member] : value.items())
                check(member, *type.parts.at(1), blocks, path + "." + key, faults);
        } else
            check(value, *find(type.name), blocks, path, faults);
    }

    std::string text_;
    std::size_t at_ = 0;
    std::map<std::string, PageTypeRef> named_;
};

/// The types that the page is compiled with.
inline const PageTypes& page_types() {
    static const PageTypes types(read_bytes(DUSKCAST_SOURCE_DIR "/src/app/engine.ts"));
    return types;
}

} // namespace duskcast::test
