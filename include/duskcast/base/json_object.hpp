#pragma once
// JSON objects in a form that the page's module has room for: nlohmann's own braces make a list of pairs
// first, of each member a list itself, and work out at run time that an object is meant. Needs nlohmann_json.

#include <initializer_list>
#include <nlohmann/json.hpp>
#include <utility>

namespace duskcast {

struct JsonMember {
    const char* key;
    mutable nlohmann::ordered_json value; ///< moved out of a list, which is const
};

/// The members in their order; no key twice.
inline nlohmann::ordered_json json_object(std::initializer_list<JsonMember> members) {
    nlohmann::ordered_json::object_t object;
    object.reserve(members.size());
    for (const JsonMember& member : members)
        object.emplace_back(member.key, std::move(member.value));
    return nlohmann::ordered_json(std::move(object));
}

} // namespace duskcast
