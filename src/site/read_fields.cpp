#include "object_fields.hpp"
#include "object_reader.hpp"

namespace duskcast {
namespace {

/// Reads one key into its slot, and says whether it did.
struct ValueReader {
    ObjectReader& reader;
    const FieldInfo& info;

    bool operator()(std::monostate) const {
        if (info.quantity != KeyQuantity::version) {
            std::string text;
            return reader.text(info.key, text);
        }
        int version = 1;
        if (reader.integer(info.key, version) && version != 1)
            reader.report(info.key, info.key == "duskcast"             ? messages::wrong_version()
                                    : info.key == "duskcast_catalogue" ? messages::wrong_catalogue_version()
                                                                       : messages::wrong_business_version());
        return true;
    }

    bool operator()(double* value) const {
        switch (info.quantity) {
        case KeyQuantity::length:
            return reader.length(info.key, *value);
        case KeyQuantity::metres:
            return reader.metres_or_length(info.key, *value);
        case KeyQuantity::angle:
            return reader.angle(info.key, *value);
        case KeyQuantity::illuminance:
            return reader.illuminance(info.key, *value);
        default:
            return reader.number(info.key, *value);
        }
    }
    bool operator()(int* value) const { return reader.integer(info.key, *value); }
    bool operator()(bool* value) const { return reader.truth(info.key, *value); }
    bool operator()(std::string* value) const { return reader.text(info.key, *value); }
    bool operator()(glm::dvec2* value) const { return reader.point(info.key, *value); }
    bool operator()(glm::dvec3* value) const { return reader.point(info.key, *value); }
    bool operator()(std::vector<glm::dvec2>* value) const { return reader.points(info.key, *value); }
    bool operator()(std::vector<std::string>* value) const { return reader.texts(info.key, *value); }
    bool operator()(Finish* value) const { return reader.finish(info.key, *value); }
    bool operator()(std::vector<double>* value) const {
        return info.quantity == KeyQuantity::illuminances ? reader.illuminances(info.key, *value)
                                                          : reader.numbers(info.key, *value);
    }
    bool operator()(std::array<double, 2>* value) const {
        return info.quantity == KeyQuantity::length_span ? reader.lengths(info.key, *value)
                                                         : reader.numbers(info.key, *value);
    }
    template <class T> bool operator()(std::optional<T>* value) const {
        T read{};
        if (!(*this)(&read))
            return false;
        *value = read;
        return true;
    }

    bool operator()(const WordSlot& word) const {
        int index = 0;
        if (!reader.word(info.key, info.words, index))
            return false;
        word.set(index);
        return true;
    }
    bool operator()(const SpreadSlot& spread) const {
        double up_and_down = 0;
        if (!reader.spread(info.key, up_and_down, *spread.across))
            return false;
        if (spread.only)
            *spread.only = up_and_down;
        else
            *spread.maybe = up_and_down;
        return true;
    }
    bool operator()(const AnglePairSlot& pair) const {
        std::array<double, 2> both{};
        if (!reader.angles(info.key, both))
            return false;
        *pair.least = both[0];
        *pair.greatest = both[1];
        return true;
    }
    bool operator()(const SettingSlot& slot) const {
        Setting setting{.knob = slot.knob};
        const bool is_read = slot.knob == Knob::lamp ? (*this)(&setting.lamp) : (*this)(&setting.value);
        if (is_read)
            slot.settings->push_back(setting);
        return is_read;
    }
    bool operator()(const PartsSlot& parts) const {
        const auto read = [&](ObjectReader& one) { read_object(one, *parts.fields, parts.add()); };
        if (parts.is_list)
            reader.each(info.key, read);
        else
            reader.object(info.key, read);
        return true;
    }
};

} // namespace

void read_object(ObjectReader& reader, const Fields& fields, void* object) {
    if (fields.prepare)
        fields.prepare(reader, object);
    for (const Field& field : fields.fields) {
        const FieldInfo& info = field.info;
        if (!info.older_key.empty())
            reader.accept_older(info.key, info.older_key);
        if (info.is_required)
            reader.require(info.key);
        if (reader.has(info.key) && std::visit(ValueReader{reader, info}, field.slot(object, true)) &&
            field.after)
            field.after(reader, object);
    }
    if (fields.rules)
        fields.rules(reader, object);
}

} // namespace duskcast
