#include "duskcast/site/catalogue_file.hpp"

#include <array>

#include "checker.hpp"
#include "read_equipment.hpp"
#include "site_folder.hpp"

namespace duskcast {

namespace {

void read_model(ObjectReader& reader, FixtureModel& model) {
    read_id(reader, model.id);
    reader.text("name", model.name);
    FixtureKind kind = FixtureKind::uplight;
    reader.require("kind");
    reader.word("kind", fixture_kind_names, kind);
    model.usual = default_fixture(kind, false);
    read_fixture_body(reader, model.usual);
    reader.angle("tilt", model.usual.tilt);
    reader.word("mount", mount_names, model.usual.mount);
    reader.text("socket", model.socket);
    reader.texts("lamps", model.lamps);
    std::array<double, 2> range{0, pi};
    reader.angles("tilt_range", range);
    model.least_tilt = range[0];
    model.greatest_tilt = range[1];
    reader.number("dirt", model.dirt);
    reader.maybe(&ObjectReader::number, "price", model.price);
}

void read_root(ObjectReader& reader, Reading& reading, CatalogueFile& made) {
    std::string schema; // for editors
    reader.text("$schema", schema);
    if (int version = 0;
        reader.require("duskcast_catalogue") && reader.integer("duskcast_catalogue", version) && version != 1)
        reader.report("duskcast_catalogue", messages::wrong_catalogue_version());
    reader.text("name", made.catalogue.name);
    reader.text("currency", made.catalogue.currency);
    reader.word("units", length_unit_names, made.units);
    reading.units = made.units;
    reader.each("lamps", [&](ObjectReader& one) { read_lamp(one, made.catalogue.lamps.emplace_back()); });
    reader.each("fixtures",
                [&](ObjectReader& one) { read_model(one, made.catalogue.fixtures.emplace_back()); });
}

} // namespace

CatalogueFile read_catalogue(std::string_view text, const std::filesystem::path& file) {
    CatalogueFile made;
    made.file = file;
    Reading reading;
    reading.file = file.string();
    const JsonValue root = read_json(text, reading.file, "duskcast_catalogue");
    ObjectReader reader(reading, root, "");
    read_root(reader, reading, made);
    reader.close();

    add_findings(reading, check_catalogue(made.catalogue, made.units, file.parent_path()), made.warnings);
    return made;
}

CatalogueFile read_catalogue_file(const std::filesystem::path& file) {
    return read_catalogue(read_text_file(file), file);
}

} // namespace duskcast
