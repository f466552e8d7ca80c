#pragma once
// How the keys of an object in a file are tied to the members of a struct. One row describes one key:
//
//     {"reveal", length(&Opening::reveal), within(distance(max_height)), "How far the pane is set back."}
//
// describe_*.cpp hold the rows. A new key is a member of the struct and a row here; reading, printing,
// checking of its range and the schema follow.

#include <utility>

#include "names.hpp"
#include "object_fields.hpp"

namespace duskcast {

// Ranges.
inline constexpr double max_length = 1000; ///< metres; more is a wrong unit
inline constexpr double max_height = 120;
inline constexpr double max_lens = 1;
inline constexpr double max_lantern = 10;
constexpr KeyRange between(double least, double most) {
    return {least, most, false};
}
/// 0 or more.
constexpr KeyRange distance(double most) {
    return {0, most, false};
}
/// More than 0.
constexpr KeyRange size(double most) {
    return {0, most, true};
}
constexpr KeyRange around_zero(double most) {
    return {-most, most, false};
}
inline constexpr KeyRange any_size = size(std::numeric_limits<double>::infinity());
inline constexpr KeyRange share_range = between(0, 1);
inline constexpr KeyRange full_turn = around_zero(2 * pi);

/// What else a row says of its key.
struct Terms {
    bool is_required = false;
    KeyRange range{};
    const char* unit = "";
    const char* older_key = "";
    bool is_written = false;
    std::size_t least_items = 0;
    std::vector<int> choices{};
    bool is_varying = false; ///< what leaving it out means depends on other keys
};
inline const Terms needed{.is_required = true};
inline Terms needed_in(const KeyRange& range, const char* unit = "") {
    return {.is_required = true, .range = range, .unit = unit};
}
inline Terms within(const KeyRange& range, const char* unit = "") {
    return {.range = range, .unit = unit};
}

/// How a key's value is kept in an Object.
template <class Object> struct Value {
    KeyQuantity quantity;
    FindSlot slot;
    std::vector<std::string> words;
    const Fields* (*parts)();
};

template <class Object> struct Row {
    std::string_view key; ///< kept elsewhere
    Value<Object> value;
    Terms terms;
    const char* help;
    bool (*is_needed)(const Object&) = nullptr;
    void (*after)(ObjectReader&, Object&) = nullptr;
};

// A member, or a member of a member, with the slot for its type. A member of an absent optional is nowhere.
template <class T> Slot slot_of(T& value, bool) {
    return Slot(&value);
}
template <class T, class Whole, class... Members>
Slot slot_of(Whole& whole, bool is_made, T Whole::*member, Members... members) {
    return slot_of(whole.*member, is_made, members...);
}
template <class T, class Whole, class... Members>
Slot slot_of(std::optional<Whole>& whole, bool is_made, T Whole::*member, Members... members) {
    if (!whole && is_made)
        whole.emplace();
    return whole ? slot_of(*whole, is_made, member, members...) : Slot{};
}

template <class T, class Object, class... Members>
Value<Object> kept(KeyQuantity quantity, T Object::*first, Members... members) {
    return {quantity, [=](void* object, bool is_made) {
                return slot_of(static_cast<Object*>(object)->*first, is_made, members...);
            }};
}

#define DUSKCAST_VALUE(quantity)                                                                             \
    template <class T, class Object, class... Members>                                                       \
    Value<Object> quantity(T Object::*first, Members... members) {                                           \
        return kept(KeyQuantity::quantity, first, members...);                                               \
    }
DUSKCAST_VALUE(text)
DUSKCAST_VALUE(reference)
DUSKCAST_VALUE(references)
DUSKCAST_VALUE(file)
DUSKCAST_VALUE(truth)
DUSKCAST_VALUE(count)
DUSKCAST_VALUE(number)
DUSKCAST_VALUE(numbers)
DUSKCAST_VALUE(number_span)
DUSKCAST_VALUE(share)
DUSKCAST_VALUE(length)
DUSKCAST_VALUE(length_span)
DUSKCAST_VALUE(metres)
DUSKCAST_VALUE(angle)
DUSKCAST_VALUE(illuminance)
DUSKCAST_VALUE(illuminances)
DUSKCAST_VALUE(point)
DUSKCAST_VALUE(place)
DUSKCAST_VALUE(path)
DUSKCAST_VALUE(outline)
DUSKCAST_VALUE(finish)
#undef DUSKCAST_VALUE

/// In a place that `find` makes of an Object.
template <class Object, class Find> Value<Object> found(KeyQuantity quantity, Find find) {
    return {quantity, [find](void* object, bool) { return Slot(find(*static_cast<Object*>(object))); }};
}

/// Of a file's own format: kept nowhere.
template <class Object> Value<Object> version() {
    return {KeyQuantity::version, [](void*, bool) { return Slot{}; }};
}
template <class Object> Value<Object> unkept_text() {
    return {KeyQuantity::text, [](void*, bool) { return Slot{}; }};
}

template <class Enum, std::size_t size> WordSlot word_slot(Enum& value, const Names<Enum, size>& names) {
    return {[&] {
                for (std::size_t i = 0; i < size; ++i)
                    if (names[i].first == value)
                        return static_cast<int>(i);
                return -1;
            },
            [&](int index) { value = names[static_cast<std::size_t>(index)].first; }};
}
template <class Enum, std::size_t size>
WordSlot word_slot(std::optional<Enum>& value, const Names<Enum, size>& names) {
    return {[&] { return value ? word_slot(*value, names).get() : -1; },
            [&](int index) { value = names[static_cast<std::size_t>(index)].first; }};
}

template <class Enum, std::size_t size> std::vector<std::string> words_of(const Names<Enum, size>& names) {
    std::vector<std::string> words;
    for (const auto& [value, name] : names)
        words.emplace_back(name);
    return words;
}

template <class Object, class Find, class Enum, std::size_t size>
Value<Object> word_by(Find find, const Names<Enum, size>& names) {
    return {KeyQuantity::word,
            [find, &names](void* object, bool is_made) {
                auto* value = find(*static_cast<Object*>(object), is_made);
                return value ? Slot(word_slot(*value, names)) : Slot{};
            },
            words_of(names)};
}
template <class T, class Object, class Enum, std::size_t size>
Value<Object> word(T Object::*member, const Names<Enum, size>& names) {
    return word_by<Object>([=](Object& object, bool) { return &(object.*member); }, names);
}
/// Of a part that is always there.
template <class T, class Part, class Object, class Enum, std::size_t size>
Value<Object> word(Part Object::*part, T Part::*member, const Names<Enum, size>& names) {
    return word_by<Object>([=](Object& object, bool) { return &(object.*part.*member); }, names);
}
/// Of a part that may be absent.
template <class T, class Part, class Object, class Enum, std::size_t size>
Value<Object> word(std::optional<Part> Object::*part, T Part::*member, const Names<Enum, size>& names) {
    return word_by<Object>(
        [=](Object& object, bool is_made) -> T* {
            std::optional<Part>& held = object.*part;
            if (!held && is_made)
                held.emplace();
            return held ? &((*held).*member) : nullptr;
        },
        names);
}

template <class T> bool is_same(const void* a, const void* b) {
    return *static_cast<const T*>(a) == *static_cast<const T*>(b);
}
template <class T> PartsSlot parts_slot(T& part, const Fields& fields) {
    return {&fields, 1,         false, part == T{}, [&](std::size_t) { return &part; }, [&] { return &part; },
            &part,   is_same<T>};
}
template <class T> PartsSlot parts_slot(std::optional<T>& part, const Fields& fields) {
    return {&fields,
            part ? 1u : 0u,
            false,
            false,
            [&](std::size_t) { return &*part; },
            [&] { return &part.emplace(); },
            &part,
            is_same<std::optional<T>>};
}
template <class T> PartsSlot parts_slot(std::vector<T>& parts, const Fields& fields) {
    return {&fields,
            parts.size(),
            true,
            false,
            [&](std::size_t i) { return &parts[i]; },
            [&] { return &parts.emplace_back(); },
            &parts,
            is_same<std::vector<T>>};
}
template <class T, class Object> Value<Object> object(T Object::*member, const Fields* (*fields)()) {
    return {
        KeyQuantity::object,
        [=](void* whole, bool) { return Slot(parts_slot(static_cast<Object*>(whole)->*member, *fields())); },
        {},
        fields};
}
template <class T, class Part, class Object>
Value<Object> object(Part Object::*part, T Part::*member, const Fields* (*fields)()) {
    return {KeyQuantity::object,
            [=](void* whole, bool) {
                return Slot(parts_slot(static_cast<Object*>(whole)->*part.*member, *fields()));
            },
            {},
            fields};
}
template <class T, class Object>
Value<Object> objects(std::vector<T> Object::*member, const Fields* (*fields)()) {
    return {
        KeyQuantity::objects,
        [=](void* whole, bool) { return Slot(parts_slot(static_cast<Object*>(whole)->*member, *fields())); },
        {},
        fields};
}
template <class T, class Part, class Object>
Value<Object> objects(Part Object::*part, std::vector<T> Part::*member, const Fields* (*fields)()) {
    return {KeyQuantity::objects,
            [=](void* whole, bool) {
                return Slot(parts_slot(static_cast<Object*>(whole)->*part.*member, *fields()));
            },
            {},
            fields};
}

template <class Object> Row<Object> id_row(std::string Object::*id) {
    return {"id", kept(KeyQuantity::id, id), needed, "Name that messages, references and output files use."};
}
template <class Object> Row<Object> surface_id_row(std::string Object::*id) {
    return {
        "id", kept(KeyQuantity::surface_id, id), needed,
        "Name that messages, references and output files use; no dot, which stands between a thing and its "
        "part."};
}

/// A hook for objects of one type as a hook for any.
template <class Object> RowFunction<void(ObjectReader&, void*)> hook(void (*act)(ObjectReader&, Object&)) {
    return [act](ObjectReader& reader, void* object) { act(reader, *static_cast<Object*>(object)); };
}

/// The rows of an object, with their types forgotten. `usual` is what a file means that leaves out all it
/// may.
template <class Object>
Fields describe(const std::string& name, const std::string& help, const std::vector<Row<Object>>& rows,
                const std::optional<Object>& usual = {}) {
    Fields made{.name = name, .help = help};
    const auto plain = std::make_shared<const Object>(usual ? *usual : Object{});
    made.plain = plain;
    made.usual = [plain = plain.get()](const void*, const Catalogue&) {
        return std::make_shared<Object>(*plain);
    };
    if (usual)
        made.prepare = [plain = plain.get()](ObjectReader&, void* object) {
            *static_cast<Object*>(object) = *plain;
        };
    for (const Row<Object>& row : rows) {
        const Terms& terms = row.terms;
        Field field{.info = {.key = std::string(row.key),
                             .quantity = row.value.quantity,
                             .help = row.help,
                             .unit = terms.unit,
                             .range = terms.range,
                             .is_required = terms.is_required,
                             .words = row.value.words,
                             .choices = terms.choices,
                             .least_items = terms.least_items,
                             .older_key = terms.older_key},
                    .slot = row.value.slot,
                    .parts = row.value.parts,
                    .is_varying = terms.is_varying,
                    .is_written = terms.is_written || terms.is_required};
        if (row.is_needed)
            field.is_needed = [test = row.is_needed](const void* object) {
                return test(*static_cast<const Object*>(object));
            };
        if (row.after)
            field.after = hook(row.after);
        made.fields.push_back(std::move(field));
    }
    return made;
}

} // namespace duskcast
