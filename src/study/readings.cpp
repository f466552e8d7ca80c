#include "duskcast/study/readings.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <initializer_list>

#include "duskcast/base/csv.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"

namespace duskcast {

namespace {

constexpr std::uintmax_t most_readings_bytes = 10'000'000;
constexpr double most_reading_lx = 200'000; ///< full sun, nearly twice
constexpr double most_volts = 50;           ///< above that it is no low-voltage lighting

class ReadingsReader {
public:
    ReadingsReader(std::string file, const std::vector<std::string>& fixtures,
                   const std::vector<MeterPoint>& points, double background_lx)
        : file_(std::move(file)), fixtures_(fixtures), points_(points), background_lx_(background_lx) {}

    Readings read(std::string_view text) {
        const char separator = find_csv_separator(text);
        has_decimal_commas_ = separator != ',';
        const std::vector<CsvRecord> records =
            read_csv(text, file_, "start with fixture,point,footcandles,volts", separator);
        read_head(records.front());
        if (problems_.empty())
            for (std::size_t i = 1; i < records.size(); ++i)
                read_row(records[i]);
        if (!problems_.empty())
            throw InputError(problems_);
        return std::move(made_);
    }

private:
    void report(const CsvField& field, std::string_view what, std::string_view remedy) {
        problems_.push_back({.place = {.file = file_, .line = field.line, .column = field.column},
                             .what = std::string(what),
                             .remedy = std::string(remedy)});
    }

    void read_head(const CsvRecord& head) {
        for (std::size_t i = 0; i < head.size(); ++i) {
            const std::string name = lower_case(trimmed(head[i].text));
            const int column = static_cast<int>(i);
            if (name == "fixture")
                fixture_ = column;
            else if (name == "point")
                point_ = column;
            else if (is_one_of(name, {"volts", "volt", "v"}))
                volts_ = column;
            else if (const bool is_lux = is_one_of(name, {"lux", "lx"});
                     is_lux || is_one_of(name, {"footcandles", "foot-candles", "fc"})) {
                if (light_ >= 0)
                    report(head[i], "there are two columns of light", "keep \"footcandles\" or \"lux\"");
                light_ = column;
                lux_per_unit_ = lux_per(is_lux ? LightUnit::lux : LightUnit::footcandle);
            }
        }
        if (fixture_ < 0)
            report(head.front(), "there is no column \"fixture\"", "the first line names the columns");
        if (light_ < 0 && volts_ < 0)
            report(head.front(), "there is no column of readings",
                   "name one \"footcandles\", \"lux\" or \"volts\"");
        else if (light_ < 0 && point_ >= 0)
            report(head[static_cast<std::size_t>(point_)], "there are points and no column of light",
                   "name it \"footcandles\" or \"lux\"");
        if (light_ >= 0 && point_ < 0)
            report(head.front(), "there is no column \"point\"",
                   "it tells which of the fixture's points was read");
    }

    static bool is_one_of(const std::string& name, std::initializer_list<const char*> names) {
        return std::find(names.begin(), names.end(), name) != names.end();
    }

    static const CsvField* field_of(const CsvRecord& record, int column) {
        if (column < 0 || static_cast<std::size_t>(column) >= record.size())
            return nullptr;
        const CsvField& field = record[static_cast<std::size_t>(column)];
        return trimmed(field.text).empty() ? nullptr : &field;
    }

    /// A figure from 0 to `most`; none where there is none, or a faulty one, which is reported.
    std::optional<double> read_value(const CsvField* field, double most) {
        if (field == nullptr)
            return std::nullopt;
        std::string text(trimmed(field->text));
        if (has_decimal_commas_ && text.find('.') == std::string::npos)
            std::replace(text.begin(), text.end(), ',', '.');
        double value = 0;
        const auto end = read_decimal(text, value);
        if (end.ec != std::errc{} || end.ptr != text.data() + text.size() || !std::isfinite(value)) {
            report(*field, fmt::format("\"{}\" is not a number", quotable(field->text)),
                   "write it as 1.25, without its unit");
            return std::nullopt;
        }
        if (value < 0 || value > most) {
            report(*field, fmt::format("{} is no reading", quotable(field->text)),
                   value < 0 ? "a reading is 0 or more" : "look for the decimal point");
            return std::nullopt;
        }
        return value;
    }

    void read_row(const CsvRecord& record) {
        const CsvField* id = field_of(record, fixture_);
        if (id == nullptr) {
            if (field_of(record, light_) != nullptr || field_of(record, volts_) != nullptr)
                report(record.front(), "this reading is of no fixture", "give its id");
            return;
        }
        const std::string name(trimmed(id->text));
        const auto known = std::find(fixtures_.begin(), fixtures_.end(), name);
        if (known == fixtures_.end()) {
            const std::string nearest = find_nearest_word(name, fixtures_);
            return report(*id, fmt::format("there is no fixture \"{}\"", quotable(name)),
                          nearest.empty() ? fmt::format("known are {}", fmt::join(fixtures_, ", "))
                                          : fmt::format("did you mean \"{}\"?", nearest));
        }
        if (const auto volts = read_value(field_of(record, volts_), most_volts))
            made_.volts.push_back({name, *volts});
        if (const auto light = read_value(field_of(record, light_), most_reading_lx / lux_per_unit_))
            add_light(record, static_cast<std::size_t>(known - fixtures_.begin()), *light * lux_per_unit_);
    }

    void add_light(const CsvRecord& record, std::size_t fixture, double lux) {
        const CsvField* number = field_of(record, point_);
        std::vector<int> numbers;
        for (std::size_t i = 0; i < points_.size(); ++i) {
            if (points_[i].fixture != fixture)
                continue;
            if (number != nullptr && std::to_string(points_[i].number) == trimmed(number->text)) {
                made_.light.push_back({i, std::max(0.0, lux - background_lx_)});
                return;
            }
            numbers.push_back(points_[i].number);
        }
        report(
            number != nullptr ? *number : record.front(),
            number == nullptr
                ? fmt::format("it is not said which point of {} was read", fixtures_[fixture])
                : fmt::format("{} has no point \"{}\"", fixtures_[fixture], quotable(trimmed(number->text))),
            numbers.empty() ? "no light can be read there within arm's reach"
                            : fmt::format("its points are {}", fmt::join(numbers, ", ")));
    }

    std::string file_;
    const std::vector<std::string>& fixtures_;
    const std::vector<MeterPoint>& points_;
    double background_lx_;
    double lux_per_unit_ = 1;
    bool has_decimal_commas_ = false;
    int fixture_ = -1, point_ = -1, light_ = -1, volts_ = -1;
    std::vector<Problem> problems_;
    Readings made_;
};

} // namespace

Readings read_readings(std::string_view text, const std::filesystem::path& file,
                       const std::vector<std::string>& fixtures, const std::vector<MeterPoint>& points,
                       double background_lx) {
    return ReadingsReader(text_of(file), fixtures, points, background_lx).read(text);
}

Readings read_readings_file(const std::filesystem::path& file, const std::vector<std::string>& fixtures,
                            const std::vector<MeterPoint>& points, double background_lx) {
    const WholeFile whole = read_whole_file(file, most_readings_bytes);
    if (whole.fault != FileFault::none)
        throw InputError(Problem{.place = {.file = text_of(file)},
                                 .what = whole.fault == FileFault::too_large
                                             ? "this is too large to be a night's readings"
                                             : "the file cannot be read: " + whole.reason});
    return read_readings(whole.bytes, file, fixtures, points, background_lx);
}

} // namespace duskcast
