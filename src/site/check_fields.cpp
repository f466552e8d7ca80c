// Whether single figures are in the range that the description gives them.

#include <cmath>

#include "checker.hpp"

namespace duskcast {
namespace {

/// Checks a slot's value, and says whether it is good.
struct ValueChecker {
    Checker& checker;
    const FieldInfo& info;
    const std::string& path;

    bool figure(const std::string& where, double value) const {
        const KeyRange& range = info.range;
        if (range == KeyRange{})
            return true;
        const bool is_low = range.is_above_least ? !(value > range.least) : !(value >= range.least);
        switch (info.quantity) {
        case KeyQuantity::length:
        case KeyQuantity::length_span:
        case KeyQuantity::metres:
            if (range.least == 0)
                return range.is_above_least ? checker.check_size(where, value, range.most)
                                            : checker.check_distance(where, value, range.most);
            return checker.check_span(where, value, range.least, range.most);
        case KeyQuantity::angle:
        case KeyQuantity::angle_span:
            return checker.check_angle(where, value, range);
        case KeyQuantity::illuminance:
        case KeyQuantity::illuminances:
            return checker.check_illuminance(where, value, range);
        default:
            if (range.is_above_least && is_low) {
                checker.error(where, messages::not_positive(print_number(value)));
                return false;
            }
            return checker.check_range(where, value, range.least, range.most);
        }
    }

    bool operator()(const double* value) const { return figure(path, *value); }
    bool operator()(const int* value) const { return info.choices.empty() ? figure(path, *value) : true; }
    template <class T> bool operator()(const std::optional<T>* value) const {
        return !*value || (*this)(&**value);
    }
    bool operator()(const std::vector<double>* values) const { return each(*values); }
    bool operator()(const std::array<double, 2>* values) const { return each(*values); }
    template <class Values> bool each(const Values& values) const {
        bool is_good = true;
        for (std::size_t i = 0; i < values.size(); ++i)
            is_good = figure(join_path(path, i), values[i]) && is_good;
        return is_good;
    }
    bool operator()(const glm::dvec2* value) const { return checker.check_point(path, *value); }
    bool operator()(const glm::dvec3* value) const { return checker.check_place(path, *value); }
    bool operator()(const Finish* value) const { return checker.check_finish(path, *value); }
    bool operator()(const AnglePairSlot& pair) const {
        return figure(path, *pair.least) && figure(path, *pair.greatest);
    }
    bool operator()(const SettingSlot& slot) const {
        const Setting* setting = slot.find();
        return !setting || slot.knob == Knob::lamp || figure(path, setting->value);
    }
    bool operator()(const PartsSlot& parts) const {
        if (parts.is_list || parts.is_untouched || parts.count == 0)
            return true; // the elements of a list are checked one by one, with what they have to do with
                         // others
        return checker.check_fields(*parts.fields, parts.at(0), path).empty();
    }
    bool operator()(std::monostate) const { return true; }
    bool operator()(const bool*) const { return true; }
    bool operator()(const std::string*) const { return true; }
    bool operator()(const std::vector<std::string>*) const { return true; }
    bool operator()(const std::vector<glm::dvec2>*) const { return true; } // a matter of check_line
    bool operator()(const WordSlot&) const { return true; }
    bool operator()(const SpreadSlot&) const { return true; } // a matter of the lamp's figures together
};

} // namespace

Faults Checker::check_fields(const Fields& fields, const void* object, const std::string& path) {
    Faults faults;
    for (const Field& field : fields.fields)
        if (!std::visit(ValueChecker{*this, field.info, join_path(path, field.info.key)},
                        look(field, object)))
            faults.insert(field.info.key);
    return faults;
}

} // namespace duskcast
