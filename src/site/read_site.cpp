#include "checker.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/business_file.hpp"
#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/site/terraces.hpp"
#include "object_reader.hpp"

namespace duskcast {
namespace {

constexpr std::uintmax_t max_file_size = 64u << 20;

/// Throws InputError when it cannot be read or is larger than any site.
std::string read_text_file(const std::filesystem::path& file) {
    WholeFile whole = read_whole_file(file, max_file_size);
    if (whole.fault == FileFault::none)
        return std::move(whole.bytes);
    const Message message = whole.fault == FileFault::unreadable ? messages::cannot_read(whole.reason)
                                                                 : messages::too_large_a_file();
    throw InputError(
        Problem{.place = {.file = text_of(file)}, .what = message.what, .remedy = message.remedy});
}

/// Reads the one object that a file holds. `version_key` tells what sort of file it is.
Reading read_file_object(std::string_view text, const std::filesystem::path& file, const char* version_key,
                         const Fields& fields, void* object) {
    Reading reading;
    reading.file = text_of(file);
    reading.folder = file.parent_path();
    const JsonValue root = read_json(text, reading.file, version_key);
    ObjectReader reader(reading, root, "");
    read_object(reader, fields, object);
    reader.close();
    return reading;
}

} // namespace

SiteFile read_site(std::string_view text, const std::filesystem::path& file) {
    SiteFile made;
    made.file = file;
    made.hash = hash_of(text);
    Reading reading = read_file_object(text, file, "duskcast", *site_fields(), &made.site);
    stand_on_ground(made.site);
    made.warnings = std::move(reading.catalogue_warnings);
    std::set<std::string> unread;
    for (const Problem& problem : reading.problems)
        unread.insert(root_of(problem.place.path));
    add_findings(reading,
                 reading.is_whole ? check_site(made.site, made.folder(), unread) : std::vector<Problem>{},
                 made.warnings);
    made.places = std::move(reading.places);
    return made;
}

SiteFile read_site_file(const std::filesystem::path& file) {
    return read_site(read_text_file(file), file);
}

CatalogueFile read_catalogue(std::string_view text, const std::filesystem::path& file) {
    CatalogueFile made;
    made.file = file;
    const Reading reading = read_file_object(text, file, "duskcast_catalogue", *catalogue_fields(), &made);
    add_findings(reading, check_catalogue(made.catalogue, made.units, file.parent_path()), made.warnings);
    return made;
}

CatalogueFile read_catalogue_file(const std::filesystem::path& file) {
    return read_catalogue(read_text_file(file), file);
}

BusinessFile read_business(std::string_view text, const std::filesystem::path& file) {
    BusinessFile made;
    const Reading reading =
        read_file_object(text, file, "duskcast_business", *business_fields(), &made.business);
    add_findings(reading, check_business(made, file.parent_path()), made.warnings);
    return made;
}

BusinessFile read_business_file(const std::filesystem::path& file) {
    return read_business(read_text_file(file), file);
}

} // namespace duskcast
