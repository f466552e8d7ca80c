#include "checker.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/site_file.hpp"
#include "json_text.hpp"
#include "read_fields.hpp"

namespace duskcast {

SiteFile read_site(std::string_view text, const std::filesystem::path& file) {
    SiteFile made;
    made.file = file;
    Reading reading;
    reading.file = text_of(file);
    reading.folder = made.folder();

    const JsonValue root = read_json(text, reading.file, "duskcast");
    ObjectReader reader(reading, root, "");
    read_object(reader, *site_fields(), &made.site);
    reader.close();
    made.warnings = std::move(reading.catalogue_warnings);
    add_findings(reading, reading.is_whole ? check_site(made.site, made.folder()) : std::vector<Problem>{},
                 made.warnings);
    made.places = std::move(reading.places);
    return made;
}

CatalogueFile read_catalogue(std::string_view text, const std::filesystem::path& file) {
    CatalogueFile made;
    made.file = file;
    Reading reading;
    reading.file = text_of(file);
    reading.folder = file.parent_path();

    const JsonValue root = read_json(text, reading.file, "duskcast_catalogue");
    ObjectReader reader(reading, root, "");
    read_object(reader, *catalogue_fields(), &made);
    reader.close();
    add_findings(reading, check_catalogue(made.catalogue, made.units, file.parent_path()), made.warnings);
    return made;
}

CatalogueFile read_catalogue_file(const std::filesystem::path& file) {
    return read_catalogue(read_text_file(file), file);
}

} // namespace duskcast
