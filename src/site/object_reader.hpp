#pragma once
// Takes one JSON object apart, key by key, and collects every fault with its place.

#include <array>
#include <filesystem>
#include <functional>
#include <glm/glm.hpp>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/site/site.hpp"
#include "json_text.hpp"
#include "messages.hpp"

namespace duskcast {

/// What all readers of one file share.
struct Reading {
    std::string file;
    LengthUnit units = LengthUnit::foot;
    LightUnit light = LightUnit::footcandle;
    std::vector<Problem> problems;
    std::map<std::string, Place> places;

    std::filesystem::path folder; ///< of the file
    Catalogue catalogue;          ///< that the site takes things from
    std::vector<Problem> catalogue_warnings;
    bool is_whole =
        true; ///< false where the catalogue is at fault: what the site takes from it would only echo

    void report(int line, int column, const std::string& path, const Message& message);
    void report(const JsonValue& value, const std::string& path, const Message& message) {
        report(value.line, value.column, path, message);
    }
    void note_place(const JsonValue& value, const std::string& path);
};

/// Every key asked for counts as known; `close` reports the others. A getter leaves its target as it is
/// when the key is absent or faulty, and says whether it set it.
class ObjectReader {
public:
    ObjectReader(Reading& reading, const JsonValue& value, std::string path);

    bool has(std::string_view key); ///< present and not null
    bool require(std::string_view key);
    /// The key is also known by an older name, under which it is found where its own is absent.
    void accept_older(const std::string& key, const std::string& older);
    /// Its text, or nothing where it is none; nothing is reported.
    std::string peek(std::string_view key);

    bool text(const std::string& key, std::string& target);
    bool number(const std::string& key, double& target);
    bool integer(const std::string& key, int& target);
    bool truth(const std::string& key, bool& target);
    bool length(const std::string& key, double& target);
    bool angle(const std::string& key, double& target);
    bool illuminance(const std::string& key, double& target);
    /// An angle, or two as [side to side, up and down].
    bool spread(const std::string& key, double& up_and_down, std::optional<double>& side_to_side);
    bool point(const std::string& key, glm::dvec2& target);
    bool point(const std::string& key, glm::dvec3& target);
    bool points(const std::string& key, std::vector<glm::dvec2>& target);
    bool lengths(const std::string& key, std::array<double, 2>& target);
    bool illuminances(const std::string& key, std::vector<double>& target);
    bool numbers(const std::string& key, std::vector<double>& target);
    bool numbers(const std::string& key, std::array<double, 2>& target);
    bool texts(const std::string& key, std::vector<std::string>& target);
    bool angles(const std::string& key, std::array<double, 2>& target);
    bool finish(const std::string& key, Finish& target);
    bool metres_or_length(const std::string& key, double& target); ///< a bare number is metres

    /// One of the words; `target` is its place among them.
    bool word(const std::string& key, const std::vector<std::string>& words, int& target);

    /// Calls `read` for each element of a list of objects.
    void each(const std::string& key, const std::function<void(ObjectReader&)>& read);
    /// Calls `read` for the object under the key, if there is one.
    bool object(const std::string& key, const std::function<void(ObjectReader&)>& read);

    Reading& reading() { return reading_; }
    void report(std::string_view key, const Message& message);
    void close(); ///< reports the keys nobody asked for

private:
    using Convert = double (*)(const Reading&, const JsonValue&);

    const JsonValue* find(std::string_view key);
    bool convert(const JsonValue& value, const std::string& path, Convert how, double& target);
    bool quantity(const std::string& key, Convert how, double& target);
    bool quantities(const std::string& key, Convert how, const char* wanted, std::vector<double>& target);
    bool list(const std::string& key, Convert how, std::size_t count, double* target);
    bool list(const JsonValue& value, const std::string& path, Convert how, std::size_t count,
              double* target);

    Reading& reading_;
    const JsonValue& value_;
    std::string path_;
    bool is_object_;
    std::vector<std::string> known_;
    std::map<std::string, std::string, std::less<>> older_; ///< key -> its older name
};

/// What the checks found, beside what reading found, with its place in the file; echoes of a fault left out.
/// Throws InputError with all errors in file order, if any.
void add_findings(const Reading& reading, const std::vector<Problem>& checked,
                  std::vector<Problem>& warnings);

} // namespace duskcast
