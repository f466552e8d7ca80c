// The text of a site file: the same site again when read, with nothing in it that the reader would assume.

#include "duskcast/site/finish.hpp"
#include "duskcast/site/site_file.hpp"
#include "object_fields.hpp"
#include "site_text.hpp"

namespace duskcast {
namespace {

Text make_finish_text(const Finish& finish) {
    const auto number = &TextMaker::number;
    for (const FinishRow& row : finish_table())
        if (row.name == finish.name && row.reflectance == finish.reflectance)
            return TextMaker::word(finish.name);
    const glm::dvec3& rgb = finish.reflectance;
    TextMaker::Object object;
    object.add("reflectance", rgb.x == rgb.y && rgb.y == rgb.z
                                  ? number(rgb.x)
                                  : TextMaker::list({number(rgb.x), number(rgb.y), number(rgb.z)}));
    return object.text;
}

/// A slot's value as text; none where it holds none.
struct ValuePrinter {
    const TextMaker& maker;
    const FieldInfo& info;
    const Catalogue& catalogue;

    using Made = std::optional<Text>;

    Made operator()(std::monostate) const {
        return info.quantity == KeyQuantity::version ? Made(scalar("1")) : std::nullopt;
    }
    Made operator()(const double* value) const {
        switch (info.quantity) {
        case KeyQuantity::length:
            return maker.length(*value);
        case KeyQuantity::angle:
            return TextMaker::angle(*value);
        case KeyQuantity::illuminance:
            return maker.illuminance(*value);
        default:
            return TextMaker::number(*value);
        }
    }
    Made operator()(const int* value) const { return scalar(std::to_string(*value)); }
    Made operator()(const bool* value) const { return scalar(*value ? "true" : "false"); }
    Made operator()(const std::string* value) const { return TextMaker::word(*value); }
    Made operator()(const glm::dvec2* value) const { return maker.point(*value); }
    Made operator()(const glm::dvec3* value) const { return maker.point(*value); }
    Made operator()(const std::vector<glm::dvec2>* value) const { return maker.points(*value); }
    Made operator()(const std::vector<std::string>* value) const { return TextMaker::words(*value); }
    Made operator()(const Finish* value) const { return make_finish_text(*value); }
    Made operator()(const std::vector<double>* value) const {
        return TextMaker::list_of(*value, [&](double one) {
            return info.quantity == KeyQuantity::illuminances ? maker.illuminance(one)
                                                              : TextMaker::number(one);
        });
    }
    Made operator()(const std::array<double, 2>* value) const {
        return TextMaker::list_of(*value, [&](double one) {
            return info.quantity == KeyQuantity::length_span ? maker.length(one) : TextMaker::number(one);
        });
    }
    template <class T> Made operator()(const std::optional<T>* value) const {
        return *value ? (*this)(&**value) : std::nullopt;
    }
    template <class T> Made operator()(T* value) const { return (*this)(static_cast<const T*>(value)); }

    Made operator()(const WordSlot& word) const {
        const int index = word.get();
        return index < 0 ? std::nullopt : Made(TextMaker::word(info.words[static_cast<std::size_t>(index)]));
    }
    Made operator()(const SpreadSlot& spread) const {
        if (!spread.only && !*spread.maybe)
            return {};
        return TextMaker::spread(spread.only ? *spread.only : **spread.maybe, *spread.across);
    }
    Made operator()(const AnglePairSlot& pair) const {
        return TextMaker::list({TextMaker::angle(*pair.least), TextMaker::angle(*pair.greatest)});
    }
    Made operator()(const SettingSlot& slot) const {
        const Setting* setting = slot.find();
        if (!setting)
            return {};
        return slot.knob == Knob::lamp ? (*this)(&setting->lamp) : (*this)(&setting->value);
    }
    Made operator()(const PartsSlot& parts) const;
};

bool is_same_value(const Slot& a, const Slot& b) {
    return std::visit(
        [&](const auto& one) {
            using One = std::decay_t<decltype(one)>;
            const One* other = std::get_if<One>(&b);
            if constexpr (std::is_same_v<One, std::monostate>)
                return other != nullptr;
            else if constexpr (std::is_same_v<One, double*>)
                return *one == (other ? **other : 0); // of a part that is absent
            else if constexpr (std::is_pointer_v<One>)
                return other && *one == **other;
            else if constexpr (std::is_same_v<One, WordSlot>)
                return other && one.get() == other->get();
            else if constexpr (std::is_same_v<One, PartsSlot>)
                return other && one.is_same(one.whole, other->whole);
            else if constexpr (std::is_same_v<One, SpreadSlot>)
                return one.only && *one.only == *other->only && *one.across == *other->across;
            else if constexpr (std::is_same_v<One, AnglePairSlot>)
                return *one.least == *other->least && *one.greatest == *other->greatest;
            else
                return false; // settings that are there are always printed
        },
        a);
}

Text make_text(const TextMaker& maker, const Fields& fields, const void* object, const Catalogue& catalogue) {
    const std::shared_ptr<void> usual = fields.usual(object, catalogue);
    TextMaker::Object made;
    for (const Field& field : fields.fields) {
        const Slot slot = look(field, object);
        const bool is_due = field.is_written || (field.is_needed && field.is_needed(object)) ||
                            !is_same_value(slot, look(field, usual.get()));
        if (!is_due)
            continue;
        if (const std::optional<Text> text = std::visit(ValuePrinter{maker, field.info, catalogue}, slot))
            made.add(field.info.key, *text);
    }
    return made.text;
}

ValuePrinter::Made ValuePrinter::operator()(const PartsSlot& parts) const {
    std::vector<Text> texts;
    for (std::size_t i = 0; i < parts.count; ++i)
        texts.push_back(make_text(maker, *parts.fields, parts.at(i), catalogue));
    if (parts.is_list)
        return TextMaker::list(std::move(texts));
    return texts.empty() ? std::nullopt : Made(std::move(texts.front()));
}

} // namespace

std::string print_usual(const Fields& fields, const Field& field) {
    if (field.info.is_required || field.is_varying || field.info.quantity == KeyQuantity::object)
        return {};
    const std::shared_ptr<void> usual = fields.usual(nullptr, {});
    const TextMaker maker = TextMaker::with_units();
    const std::optional<Text> text =
        std::visit(ValuePrinter{maker, field.info, {}}, look(field, usual.get()));
    const std::string printed = text ? print_text(*text, 2, 0) : "";
    return printed == "\"\"" || printed == "[]" ? "" : printed;
}

std::string print_site(const Site& site) {
    const TextMaker maker(site.units, site.light);
    return print_text(make_text(maker, *site_fields(), &site, site.catalogue), 0, 0) + "\n";
}

std::string print_network(const Network& network, LengthUnit unit) {
    const Text text = make_text(TextMaker(unit, LightUnit::lux), *network_fields(), &network, {});
    return "{\n  \"network\": " + print_text(text, 2, line_width) + "\n}\n";
}

} // namespace duskcast
