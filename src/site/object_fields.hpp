#pragma once
// The keys of every object in a file with the place of each value, for all who read, print or check objects.

#include <cstddef>
#include <glm/glm.hpp>
#include <memory>
#include <new>
#include <type_traits>
#include <utility>
#include <variant>

#include "duskcast/site/fields.hpp"
#include "duskcast/site/site.hpp"

namespace duskcast {

class ObjectReader;
struct Fields;

/// A function kept as the plain bytes of what it captures. `std::function` makes six more functions for each
/// of a thousand rows, a twentieth of what a browser loads.
template <class Signature> class RowFunction;
template <class Result, class... In> class RowFunction<Result(In...)> {
public:
    RowFunction() = default;
    template <class Function, class = std::enable_if_t<!std::is_same_v<Function, RowFunction>>>
    RowFunction(Function function)
        : call_([](const void* captured, In... in) -> Result {
              return (*static_cast<const Function*>(captured))(std::forward<In>(in)...);
          }) {
        static_assert(std::is_trivially_copyable_v<Function> && sizeof(Function) <= sizeof captured_);
        ::new (static_cast<void*>(captured_)) Function(function);
    }

    explicit operator bool() const { return call_ != nullptr; }
    Result operator()(In... in) const { return call_(captured_, std::forward<In>(in)...); }

private:
    alignas(void*) std::byte captured_[6 * sizeof(void*)]{};
    Result (*call_)(const void*, In...) = nullptr;
};

/// A member that is one of an enumeration's values, by its place among the field's words; -1: none.
struct WordSlot {
    RowFunction<int()> get;
    RowFunction<void(int)> set;
};

/// An angle, and another across it where there are two.
struct SpreadSlot {
    double* only; ///< null: `maybe` holds it
    std::optional<double>* maybe;
    std::optional<double>* across;
};

struct AnglePairSlot {
    double *least, *greatest;
};

/// One kind of setting in a variant's list of them.
struct SettingSlot {
    std::vector<Setting>* settings;
    Knob knob;

    Setting* find() const;
};

/// Objects inside an object: one, none or many.
struct PartsSlot {
    const Fields* fields;
    std::size_t count;
    bool is_list;
    bool is_untouched; ///< a part that is always there and says nothing
    RowFunction<void*(std::size_t)> at;
    RowFunction<void*()> add;
    const void* whole;
    bool (*is_same)(const void*, const void*); ///< compares `whole`s
};

/// Where a field's value is kept. The first: nowhere.
using Slot = std::variant<std::monostate, double*, std::optional<double>*, int*, bool*, std::string*,
                          glm::dvec2*, std::optional<glm::dvec2>*, glm::dvec3*, std::optional<glm::dvec3>*,
                          std::vector<glm::dvec2>*, std::vector<double>*, std::vector<std::string>*,
                          std::optional<std::array<double, 2>>*, Finish*, std::optional<Finish>*, WordSlot,
                          SpreadSlot, AnglePairSlot, SettingSlot, PartsSlot>;

/// `is_made`: what holds the member is put there if it is absent.
using FindSlot = RowFunction<Slot(void* object, bool is_made)>;

struct Field {
    FieldInfo info;
    FindSlot slot;
    const Fields* (*parts)() = nullptr;              ///< of objects
    bool is_varying = false;                         ///< what leaving it out means depends on other keys
    bool is_written = false;                         ///< printed even where it is what leaving it out means
    RowFunction<bool(const void* object)> is_needed; ///< printed then, whatever it is; may be empty
    RowFunction<void(ObjectReader&, void* object)> after; ///< once it is read; may be empty
};

struct Fields {
    std::string name, help;
    std::vector<Field> fields;
    std::shared_ptr<const void> plain; ///< what `usual` copies where it depends on nothing
    /// The object as a file means it that leaves out all it may leave out; `object` tells what that depends
    /// on, null: nothing.
    RowFunction<std::shared_ptr<void>(const void* object, const Catalogue&)> usual;
    RowFunction<void(ObjectReader&, void* object)> prepare; ///< before its keys are read; may be empty
    RowFunction<void(ObjectReader&, void* object)> rules;   ///< what no single key shows; may be empty
    std::string schema_rules;                               ///< the same as members of a JSON Schema
};

/// The slot of a field for looking only.
inline Slot look(const Field& field, const void* object) {
    return field.slot(const_cast<void*>(object), false); // nothing is made, and nobody writes through it
}

const Field& find_field(const Fields& fields, const std::string& key);

// The objects. describe_building.cpp:
const Fields* wall_fields();
const Fields* mesh_fields();
const Fields* opening_fields();
const Fields* gable_fields();
const Fields* projection_fields();
const Fields* eave_fields();
const Fields* glow_fields();
const Fields* lantern_fields();
const Fields* pole_fields();
const Fields* house_number_fields();
// describe_roofs.cpp:
const Fields* roof_fields();
const Fields* chimney_fields();
const Fields* dormer_fields();
const Fields* columns_fields();
// describe_steps.cpp:
const Fields* steps_fields();
const Fields* railing_fields();
const Fields* fountain_fields();
// describe_plants.cpp:
const Fields* tree_fields();
const Fields* growth_fields();
const Fields* shrub_fields();
const Fields* ground_fields();
const Fields* ground_area_fields();
const Fields* retaining_wall_fields();
const Fields* ground_fall_fields();
// describe_equipment.cpp:
const Fields* lamp_fields();
const Fields* rim_fields();
const Fields* louvre_fields();
const Fields* fixture_fields();
const Fields* model_fields();
// describe_network.cpp:
const Fields* transformer_fields();
const Fields* hub_fields();
const Fields* cable_run_fields();
const Fields* network_fields();
// describe_site.cpp:
const Fields* target_fields();
const Fields* view_fields();
const Fields* photo_fields();
const Fields* photo_mark_fields();
const Fields* photo_length_fields();
const Fields* photo_white_fields();
const Fields* photo_sun_fields();
const Fields* photo_mask_fields();
const Fields* watch_point_fields();
const Fields* eye_fields();
const Fields* change_fields();
const Fields* variant_fields();
const Fields* site_fields();
const Fields* catalogue_fields(); ///< of a CatalogueFile
// describe_business.cpp:
const Fields* business_fields();

// read_fields.cpp:
void read_object(ObjectReader& reader, const Fields& fields, void* object);
// print_site.cpp:
/// JSON of what leaving the key out means, the same in every unit; empty: nothing, or it depends.
std::string print_usual(const Fields& fields, const Field& field);

} // namespace duskcast
