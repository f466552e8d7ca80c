// The keys of the site file and the catalogue file themselves, and of what a site asks to be looked at.

#include <algorithm>

#include "described.hpp"
#include "duskcast/site/catalogue_file.hpp"
#include "object_rules.hpp"

namespace duskcast {
namespace {

constexpr KeyRange light_range = size(1e6); // lux; ten times full sun
constexpr KeyRange ambient_range =
    between(0, 100); // well beyond any street; a full moon gives 0.3 lx (Kyba et al. 2017)

/// A setting of a variant.
Row<Change> setting_row(Knob knob, KeyQuantity quantity, const char* help, const KeyRange& range = {}) {
    const auto* named = std::find_if(knob_names.begin(), knob_names.end(),
                                     [&](const auto& one) { return one.first == knob; });
    return {named->second,
            found<Change>(quantity,
                          [knob](Change& change) {
                              return SettingSlot{&change.settings, knob};
                          }),
            within(range), help};
}

} // namespace

Setting* SettingSlot::find() const {
    for (Setting& setting : *settings)
        if (setting.knob == knob)
            return &setting;
    return nullptr;
}

const Field& find_field(const Fields& fields, const std::string& key) {
    for (const Field& field : fields.fields)
        if (field.info.key == key)
            return field;
    throw std::logic_error("no such key is described: " + key);
}

const Fields* target_fields() {
    static const Fields fields = describe<Target>(
        "target", "What should be lit: a share of its area at or above a level.",
        {id_row(&Target::id),
         {"on", reference(&Target::on), needed,
          "Id of a wall, tree, shrub, mesh or ground area; \"ground\" outside every area; or a part: "
          "\"WALL.PROJECTION\", \"MESH.PART\"."},
         {"gable", reference(&Target::gable), {}, "On a wall: only this gable's triangle."},
         {"between", length_span(&Target::between), {}, "Heights above the foot."},
         {"along", length_span(&Target::along), {}, "On a wall or a part: stretch of the run."},
         {"level",
          illuminance(&Target::level),
          {.range = light_range, .is_written = true},
          "What it should reach."},
         {"share", share(&Target::share), {.range = share_range, .is_written = true}, "Share of the area."}});
    return &fields;
}

const Fields* view_fields() {
    static const Fields fields = describe<View>(
        "view", "A place to look from.",
        {id_row(&View::id),
         {"eye", place(&View::eye), needed, "Where the eye is: east, north, up."},
         {"look_at", place(&View::look_at), needed, "What it looks at."},
         {"field_of_view", angle(&View::field_of_view),
          within(between(radians_from_degrees(1), radians_from_degrees(170))), "Full horizontal angle."}});
    return &fields;
}

const Fields* photo_mark_fields() {
    static const Fields fields = describe<PhotoMark>(
        "photo_mark", "A place that can be pointed at on a photo: on a wall, or anywhere.",
        {id_row(&PhotoMark::id),
         {"pixel",
          numbers(&PhotoMark::pixel),
          {.is_required = true, .range = between(0, 100'000), .least_items = 2},
          "Where it is on the picture held upright: pixels right, then down from the upper left corner."},
         {"wall", reference(&PhotoMark::wall), {}, "Id of the wall it is on; then \"along\" and \"up\"."},
         {"along", length(&PhotoMark::along), within(distance(max_length)), "How far along the wall's run."},
         {"up", length(&PhotoMark::up), within(around_zero(max_height)), "Above the wall's foot."},
         {"at", place(&PhotoMark::at), {}, "East, north, up, of a mark that is on no wall."}});
    return &fields;
}

const Fields* photo_length_fields() {
    static const Fields fields = describe<PhotoLength>(
        "photo_length", "A length that was taken with a tape, on a wall's face or on the ground.",
        {id_row(&PhotoLength::id),
         {"from",
          numbers(&PhotoLength::from),
          {.is_required = true, .range = between(0, 100'000), .least_items = 2},
          "Where it begins on the picture: pixels right, then down."},
         {"to",
          numbers(&PhotoLength::to),
          {.is_required = true, .range = between(0, 100'000), .least_items = 2},
          "Where it ends."},
         {"wall",
          reference(&PhotoLength::wall),
          {},
          "Id of the wall on whose face it lies; left out: the "
          "ground."},
         {"along", length(&PhotoLength::along), within(distance(max_length)),
          "Roughly where along the wall's run, to tell its faces apart; left out: the first."},
         {"length",
          length(&PhotoLength::length),
          {.is_required = true, .range = between(0.05, max_length)},
          "What the tape says."}});
    return &fields;
}

const Fields* photo_white_fields() {
    static const Fields fields =
        describe<PhotoWhite>("photo_white", "Something white or grey and matt in the walls' light.",
                             {{"pixel",
                               numbers(&PhotoWhite::pixel),
                               {.is_required = true, .range = between(0, 100'000), .least_items = 2},
                               "Where it is on the picture: pixels right, then down."},
                              {"reflectance", number(&PhotoWhite::reflectance), within(between(0.05, 1)),
                               "Share of light that it reflects: 0.75 of white trim, 0.18 of a grey card."}});
    return &fields;
}

const Fields* photo_sun_fields() {
    static const Fields fields =
        describe<PhotoSun>("photo_sun", "Where the sun stood when a photo was taken.",
                           {{"azimuth",
                             angle(&PhotoSun::azimuth),
                             {.is_required = true, .range = full_turn},
                             "Clockwise from north: 90 in the east, 180 in the south."},
                            {"elevation",
                             angle(&PhotoSun::elevation),
                             {.is_required = true, .range = between(0, pi / 2)},
                             "Above the horizon."}});
    return &fields;
}

const Fields* photo_mask_fields() {
    static const Fields fields =
        describe<PhotoMask>("photo_mask", "What a part of a photo shows.",
                            {{"kind",
                              word(&PhotoMask::kind, mask_kind_names),
                              {},
                              "A plant of the site, sky, or something unlit before it that the site does not "
                              "have, such as a car."},
                             {"plant", reference(&PhotoMask::plant), {}, "Id of the tree or shrub."},
                             {"outline",
                              numbers(&PhotoMask::outline),
                              {.is_required = true, .range = between(-100'000, 100'000), .least_items = 6},
                              "Round it, in pixels: right, down, right, down and so on."}});
    return &fields;
}

const Fields* photo_fields() {
    static const Fields fields = describe<Photo>(
        "photo", "A picture of the property, whose camera is found from places marked on it.",
        {id_row(&Photo::id),
         {"file", file(&Photo::file), needed, "JPEG or PNG, beside the site file."},
         {"focal_35mm", number(&Photo::focal_35mm), within(between(5, 1000), "mm"),
          "The lens as the picture's file tells it, in millimetres of 35-mm film; left out: read from the "
          "file."},
         {"cropped", truth(&Photo::cropped), {}, "Cut to a part of what was taken."},
         {"eye_height", length(&Photo::eye_height), within(between(0, max_height)),
          "Of the camera above the ground; left out: a person's eye."},
         {"taken",
          word(&Photo::taken, daylight_names),
          {},
          "The daylight it was taken in. Cloud is best; a photo in the sun shows how it may look, and no "
          "more."},
         {"sun", object(&Photo::sun, photo_sun_fields), {}, "Where the sun stood; of \"sun\" only."},
         {"marks",
          objects(&Photo::marks, photo_mark_fields),
          {},
          "Places of the property on the picture: 6 wide and high on the front and 2 on the ground before it "
          "settle the camera well."},
         {"lengths",
          objects(&Photo::lengths, photo_length_fields),
          {},
          "Lengths on the picture that were taken with a tape, such as a door's height: they settle how "
          "large "
          "things are where marks are few."},
         {"white",
          object(&Photo::white, photo_white_fields),
          {},
          "What tells how bright the daylight was; left out: the walls' finish does."},
         {"masks",
          objects(&Photo::masks, photo_mask_fields),
          {},
          "Parts of the picture; later ones on top."}});
    return &fields;
}

const Fields* watch_point_fields() {
    static const Fields fields =
        describe<WatchPoint>("watch_point", "A neighbour's window, or a spot on the property line.",
                             {id_row(&WatchPoint::id),
                              {"kind", word(&WatchPoint::kind, watch_kind_names), {}, "What is there."},
                              {"at", place(&WatchPoint::at), needed, "East, north, up."},
                              {"facing", angle(&WatchPoint::facing), within(full_turn),
                               "Where the upright plane looks to, clockwise from north; left out: the way "
                               "that gets most light."}});
    return &fields;
}

const Fields* eye_fields() {
    static const Fields fields = describe<Eye>("eye", "Somebody who looks.",
                                               {id_row(&Eye::id),
                                                {"at", place(&Eye::at), needed, "Where the eye is."},
                                                {"look_at", place(&Eye::look_at), {}, "What it looks at."}});
    return &fields;
}

const Fields* change_fields() {
    static const Fields fields = describe<Change>(
        "change", "What a variant sets on some of the fixtures.",
        {{"fixtures", references(&Change::fixtures), {}, "Ids of the fixtures; all when left out."},
         setting_row(Knob::lamp, KeyQuantity::reference, "Id of another lamp."),
         setting_row(Knob::beam, KeyQuantity::angle,
                     "Another beam angle of the same lamp with the same lumens."),
         setting_row(Knob::tilt, KeyQuantity::angle, "From straight up."),
         setting_row(Knob::azimuth, KeyQuantity::angle, "Clockwise from north."),
         setting_row(Knob::turn, KeyQuantity::angle, "Clockwise from square to the wall or at the trunk."),
         setting_row(Knob::setback, KeyQuantity::length, "From the wall face or trunk face."),
         setting_row(Knob::along, KeyQuantity::length, "How far along the wall's run."),
         setting_row(Knob::bearing, KeyQuantity::angle, "From the trunk, clockwise from north."),
         setting_row(Knob::lens_height, KeyQuantity::length, "Lens centre above the ground."),
         setting_row(Knob::dimming, KeyQuantity::share, "0 off, 1 full.", share_range),
         setting_row(Knob::spacing, KeyQuantity::length,
                     "Between the fixtures of one wall, their middle staying where it is.")});
    return &fields;
}

const Fields* variant_fields() {
    static const Fields fields = describe<Variant>(
        "variant", "The site as it would be otherwise.",
        {id_row(&Variant::id),
         {"name", text(&Variant::name), {}, "What people call it."},
         {"added", objects(&Variant::added, fixture_fields), {}, "Fixtures put in."},
         {"changes", objects(&Variant::changes, change_fields), {}, "What is set, one after the other."},
         {"without", references(&Variant::without), {}, "Ids of fixtures taken away."},
         {"season",
          word(&Variant::plants, &SeasonChoice::season, season_names),
          {.is_written = true},
          "How its plants are taken."},
         {"years_on", number(&Variant::plants, &SeasonChoice::years_on),
          within(between(0, most_years_on), "years"), "Years its trees have grown, by their rates."}});
    return &fields;
}

const Fields* site_fields() {
    static const Fields fields = describe<Site>(
        "site",
        "A property and the lighting planned for it. Lengths are numbers in the file's units or text with a "
        "unit; "
        "angles are degrees; x is east, y north, z up.",
        {{"$schema", text(&Site::schema), {}, "Where this schema is, for editors."},
         {"duskcast", version<Site>(), needed, "Version of the site file."},
         {"name", text(&Site::name), {.is_written = true}, "What people call the property."},
         {"units",
          word(&Site::units, length_unit_names),
          {.is_written = true},
          "Unit of bare lengths, and of output.",
          {},
          take_length_unit},
         {"light",
          word(&Site::light, light_unit_names),
          {.is_written = true},
          "Unit of bare light levels, and of output.",
          {},
          take_light_unit},
         {"levels", illuminances(&Site::levels), within(light_range), "Light levels that reports use."},
         {"sensor_spacing", length(&Site::sensor_spacing), within(between(0.01, 10)),
          "Between sensors on walls."},
         {"ground_spacing", length(&Site::ground_spacing), within(between(0.01, 10)),
          "Between sensors on the ground."},
         {"leaf_sensors", count(&Site::leaf_sensors), within(between(0, 100000)),
          "Leaves per crown that carry sensors, on both sides."},
         {"as_new",
          truth(&Site::is_as_new),
          {},
          "Lamps and lenses as on the first night; left out: what lamps and models do not say of their "
          "losses "
          "is 0.95 for tolerance, 0.9 for depreciation and 0.9 for dirt."},
         {"ambient", illuminance(&Site::ambient), within(ambient_range),
          "Light on open level ground from moon and street glow, as a uniform sky. A full moon gives about "
          "0.1 lx."},
         {"sky",
          word(&Site::sky, night_sky_names),
          {},
          "The hour that night pictures show behind the property. It changes no figure."},
         {"ground", object(&Site::ground, ground_fields), {}, "The level ground at height 0."},
         {"walls", objects(&Site::walls, wall_fields), {}, "Facades and garden walls."},
         {"roofs", objects(&Site::roofs, roof_fields), {}, "Roofs of houses and porches."},
         {"steps", objects(&Site::steps, steps_fields), {}, "Flights of steps."},
         {"railings", objects(&Site::railings, railing_fields), {}, "Railings of porches and terraces."},
         {"fountains",
          objects(&Site::fountains, fountain_fields),
          {},
          "Basins with bowls and jets of water."},
         {"trees", objects(&Site::trees, tree_fields), {}, "Trees."},
         {"shrubs", objects(&Site::shrubs, shrub_fields), {}, "Hedges and beds of shrubs."},
         {"meshes", objects(&Site::meshes, mesh_fields), {}, "Shapes from OBJ files."},
         {"lanterns",
          objects(&Site::lanterns, lantern_fields),
          {},
          "Porch lights, step lights, street lamps."},
         {"catalogue",
          file(&Site::catalogue_file),
          {},
          "Catalogue file with lamps and fixtures, beside the site file.",
          {},
          take_catalogue},
         {"lamps", objects(&Site::lamps, lamp_fields), {}, "Lamps in use."},
         {"fixtures", objects(&Site::fixtures, fixture_fields), {}, "Fixtures."},
         {"targets", objects(&Site::targets, target_fields), {}, "What should be lit."},
         {"views", objects(&Site::views, view_fields), {}, "Places to look from."},
         {"photos", objects(&Site::photos, photo_fields), {}, "Pictures of it."},
         {"zone",
          word(&Site::zone, zone_names),
          {},
          "Environmental zone of CIE 150: E0 intrinsically dark, E1 dark, E2 sparse rural, E3 "
          "well-inhabited, E4 "
          "town centre."},
         {"watch_points",
          objects(&Site::watch_points, watch_point_fields),
          {},
          "Where light should not fall."},
         {"eyes",
          objects(&Site::eyes, eye_fields),
          {},
          "People who should not be dazzled, beside the views."},
         {"variants",
          objects(&Site::variants, variant_fields),
          {},
          "The same site with other lamps, aims or places of its fixtures, to be compared."},
         {"network",
          object(&Site::network, network_fields),
          {},
          "How the fixtures are fed: transformers and runs of cable. Every fixture is then on one run."}},
        Site{.levels = default_levels()});
    return &fields;
}

const Fields* catalogue_fields() {
    const auto catalogue = &CatalogueFile::catalogue;
    static const Fields fields = [&] {
        return describe<CatalogueFile>(
            "catalogue",
            "The lamps and fixtures that sites refer to. Lengths are numbers in the file's units or text "
            "with a unit; "
            "angles are degrees.",
            {{"$schema", unkept_text<CatalogueFile>(), {}, "Where this schema is, for editors."},
             {"duskcast_catalogue", version<CatalogueFile>(), needed, "Version of the catalogue file."},
             {"name", text(catalogue, &Catalogue::name), {}, "What people call the catalogue."},
             {"units",
              word(&CatalogueFile::units, length_unit_names),
              {},
              "Unit of bare lengths.",
              {},
              take_catalogue_unit},
             {"currency",
              text(catalogue, &Catalogue::currency),
              {},
              "Currency of the prices, such as \"USD\"."},
             {"lamps", objects(catalogue, &Catalogue::lamps, lamp_fields), {}, "Lamps."},
             {"fixtures", objects(catalogue, &Catalogue::fixtures, model_fields), {}, "Fixtures."}});
    }();
    return &fields;
}

} // namespace duskcast
