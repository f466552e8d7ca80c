#include "duskcast/sheets/photo_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include "duskcast/base/json_object.hpp"
#include "duskcast/base/table.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/sheets/report_words.hpp"

namespace duskcast {
namespace {

using PhotoJson = nlohmann::ordered_json;

constexpr double ninety_percent = 1.645; ///< standard deviations of a normal distribution to either side

double field_of_view(const PhotoReport& report) {
    return 2 * std::atan(0.5 * report.info.size.x / report.fit.camera().pixels_per_tangent);
}

double eye_deviation(const CameraFit& fit) {
    return std::hypot(fit.deviation(CameraModel::eye_x), fit.deviation(CameraModel::eye_y),
                      fit.deviation(CameraModel::eye_z));
}

void add_camera(const Site& site, const PhotoReport& report, std::vector<std::string>& lines) {
    const CameraFit& fit = report.fit;
    const Camera camera = fit.camera();
    lines.push_back(fmt::format("photo {}: {} x {} pixels, {} marks", report.id, report.info.size.x,
                                report.info.size.y, fit.marks.size()));
    lines.push_back(fmt::format(
        "  taken from {} east, {} north, {} up, within {}; looking {} from north, {} {} level",
        print_length(camera.eye.x, site.units), print_length(camera.eye.y, site.units),
        print_length(camera.eye.z, site.units), print_length(ninety_percent * eye_deviation(fit), site.units),
        print_angle(std::remainder(fit.parameters[CameraModel::azimuth], 2 * pi)),
        print_angle(std::abs(fit.parameters[CameraModel::pitch])),
        fit.parameters[CameraModel::pitch] < 0 ? "below" : "above"));
    lines.push_back(fmt::format(
        "  the picture is {} wide, its focal length known within {}{}", print_angle(field_of_view(report)),
        print_share(ninety_percent * fit.deviation(CameraModel::log_focal)),
        report.focal_35mm ? "" : "; the file does not tell its lens: \"focal_35mm\" would help"));
}

void add_marks(const Site& site, const CameraFit& fit, std::vector<std::string>& lines) {
    std::size_t widest = 4;
    for (const MarkFit& mark : fit.marks)
        widest = std::max(widest, mark.id.size());
    const Table table({{"mark", TableAlign::left, widest + 2},
                       {"off, pixels", TableAlign::right, 13},
                       {"at its distance", TableAlign::right, 17}});
    lines.push_back("  " + table.print_head());
    for (const MarkFit& mark : fit.marks)
        lines.push_back("  " + table.print_row({mark.id, fmt::format("{:.1f}", glm::length(mark.off_px)),
                                                print_length(mark.off_m, site.units)}));
    for (const std::string& doubt : print_mark_doubts(fit, site.units))
        lines.push_back("  " + doubt);
}

/// "2 in longer than the tape has it".
std::string print_off_tape(double off, LengthUnit unit) {
    return fmt::format("{} {} than the tape has it", print_length(std::abs(off), unit),
                       off < 0 ? "shorter" : "longer");
}

void add_lengths(const Site& site, const CameraFit& fit, std::vector<std::string>& lines) {
    for (const LengthFit& length : fit.lengths)
        lines.push_back(fmt::format("  length {}: {:.1f} pixels, {}", length.id, std::abs(length.off_px),
                                    print_off_tape(length.off_m, site.units)));
    for (const LengthFit& length : fit.lengths)
        if (length.is_suspect)
            lines.push_back(
                fmt::format("  length {} looks wrong: all else would have it {}; point at its ends "
                            "again, or measure it again",
                            length.id, print_off_tape(length.without_m, site.units)));
}

void add_click(const Site& site, const Click& click, std::vector<std::string>& lines) {
    const std::string where = fmt::format("  pixel {:.0f}, {:.0f}:", click.pixel.x, click.pixel.y);
    if (click.on_wall)
        lines.push_back(
            fmt::format("{} on wall {}, {} along, {} up", where, click.on_wall->wall,
                        print_within(click.on_wall->along, click.on_wall->along_deviation, site.units),
                        print_within(click.on_wall->up, click.on_wall->up_deviation, site.units)));
    if (click.on_ground)
        lines.push_back(fmt::format(
            "{} on the ground, {} east, {} north", where,
            print_within(click.on_ground->place.x, click.on_ground->deviation({1, 0, 0}), site.units),
            print_within(click.on_ground->place.y, click.on_ground->deviation({0, 1, 0}), site.units)));
    if (!click.on_wall && !click.on_ground)
        lines.push_back(where + " on no wall of the site and not on the ground");
}

void add_night(const Site& site, const PhotoNight& night, std::vector<std::string>& lines) {
    lines.push_back(!night.has_figures()
                        ? "  by night, for its looks alone, so without a file of its luminances:"
                        : fmt::format("  by night: mean {} cd/m2, brightest surface {} cd/m2",
                                      print_number(night.seen.report.mean),
                                      print_number(night.seen.report.max)));
    if (night.variant.empty())
        for (const std::string& doubt : print_scan_doubts(night.scan))
            lines.push_back("  " + doubt);
    if (night.has_figures())
        add_seen(site, night.seen, lines);
}

/// The fixtures that a crew does not find on the picture.
void add_hidden(const std::vector<FixtureOnPhoto>& fixtures, std::vector<std::string>& lines) {
    std::vector<std::string> hidden, outside;
    for (const FixtureOnPhoto& one : fixtures) {
        if (!one.pixel)
            outside.push_back(one.id);
        else if (!one.hidden_by.empty())
            hidden.push_back(fmt::format("{} (behind {})", one.id, one.hidden_by));
    }
    if (!hidden.empty())
        lines.push_back(fmt::format("  not seen on the photo: {}", fmt::join(hidden, ", ")));
    if (!outside.empty())
        lines.push_back(fmt::format("  outside the photo: {}", fmt::join(outside, ", ")));
}

std::string_view name_of(DaylightFrom from) {
    switch (from) {
    case DaylightFrom::white:
        return "white";
    case DaylightFrom::walls:
        return "walls";
    case DaylightFrom::surfaces:
        return "surfaces";
    }
    return "";
}

PhotoJson night_json(const PhotoNight& night) {
    const PhotoScan& scan = night.scan;
    PhotoJson row = json_object({{"daylight_from", name_of(scan.daylight_from)},
                                 {"is_sunny", scan.is_sunny},
                                 {"sky", scan.sky},
                                 {"beyond", scan.beyond},
                                 {"plants", scan.plants},
                                 {"unlit", scan.unlit},
                                 {"blown_out", scan.blown_out},
                                 {"unmasked_trees", scan.unmasked_trees},
                                 {"unseen_plants", scan.unseen_plants},
                                 {"exposure_stops", night.seen.stops},
                                 {"mean_cd_m2", night.seen.report.mean},
                                 {"max_cd_m2", night.seen.report.max},
                                 {"targets", PhotoJson::array()}});
    if (scan.is_sunny) // claims no figures
        row["mean_cd_m2"] = row["max_cd_m2"] = nullptr;
    for (const SeenTarget& target : scan.is_sunny ? std::vector<SeenTarget>() : night.seen.report.targets)
        row["targets"].push_back(json_object({{"id", target.target},
                                              {"pixels", target.pixels},
                                              {"mean_cd_m2", target.luminance},
                                              {"surroundings_cd_m2", target.surroundings},
                                              {"contrast", target.contrast}}));
    row["fixtures"] = PhotoJson::array();
    for (const FixtureOnPhoto& one : night.fixtures)
        row["fixtures"].push_back(
            json_object({{"id", one.id},
                         {"pixel", one.pixel ? PhotoJson{one.pixel->x, one.pixel->y} : PhotoJson(nullptr)},
                         {"hidden_by", one.hidden_by},
                         {"within_across_m", one.across},
                         {one.is_standing ? "within_depth_m" : "within_up_m", one.deep}}));
    row["files"] = night.seen.files;
    return row;
}

PhotoJson camera_json(const PhotoReport& report) {
    const CameraFit& fit = report.fit;
    const Camera camera = fit.camera();
    const auto feet = [](double metres) { return metres / metres_per_foot; };
    const auto degrees = [&](int parameter) {
        return degrees_from_radians(fit.parameters[static_cast<std::size_t>(parameter)]);
    };
    return json_object(
        {{"id", report.id},
         {"size", {report.info.size.x, report.info.size.y}},
         {"eye_ft", {feet(camera.eye.x), feet(camera.eye.y), feet(camera.eye.z)}},
         {"azimuth", degrees(CameraModel::azimuth)},
         {"pitch", degrees(CameraModel::pitch)},
         {"roll", degrees(CameraModel::roll)},
         {"focal_px", camera.pixels_per_tangent},
         {"axis_px", {camera.axis_offset.x, camera.axis_offset.y}},
         {"distortion", camera.distortion},
         {"deviation",
          json_object({{"eye_ft",
                        {feet(fit.deviation(CameraModel::eye_x)), feet(fit.deviation(CameraModel::eye_y)),
                         feet(fit.deviation(CameraModel::eye_z))}},
                       {"azimuth", degrees_from_radians(fit.deviation(CameraModel::azimuth))},
                       {"pitch", degrees_from_radians(fit.deviation(CameraModel::pitch))},
                       {"roll", degrees_from_radians(fit.deviation(CameraModel::roll))},
                       {"focal_share", fit.deviation(CameraModel::log_focal)},
                       {"click_px", fit.click_px}})}});
}

} // namespace

std::string print_within(double metres, double deviation, LengthUnit unit) {
    return fmt::format("{} (within {})", print_length(metres, unit),
                       print_length(std::max(ninety_percent * deviation, 0.01), unit));
}

std::vector<std::string> print_mark_doubts(const CameraFit& fit, LengthUnit unit,
                                           const std::function<std::string(std::size_t)>& name) {
    std::vector<std::string> doubts;
    for (std::size_t i = 0; i < fit.marks.size(); ++i)
        if (fit.marks[i].is_suspect)
            doubts.push_back(fmt::format("{} looks wrong: the others would have it {:.0f} pixels away, {} at "
                                         "its distance; point at it "
                                         "again, or check where it is said to be",
                                         name ? name(i) : "mark " + fit.marks[i].id, fit.marks[i].without_px,
                                         print_length(fit.marks[i].without_m, unit)));
    if (fit.is_flat)
        doubts.push_back(
            "all marks lie in one plane: heights and widths on it are good, but what stands before "
            "it is uncertain; a mark on the ground 12 ft or more before it would settle that");
    return doubts;
}

std::vector<std::string> print_scan_doubts(const PhotoScan& scan) {
    std::vector<std::string> doubts;
    if (scan.is_sunny)
        doubts.push_back(
            "the photo was taken in the sun: its light is evened out as far as the site tells, edges of hard "
            "shadows and all shade of leaves stay in the picture, and it shows looks alone; for figures take "
            "one under cloud");
    if (scan.is_white_blown_out)
        doubts.push_back("the white place is too bright for the file: point at one that is less bright");
    if (scan.daylight_from == DaylightFrom::walls)
        doubts.push_back(
            "how bright the daylight was is taken from the walls' finish; a white place, such as "
            "trim or a grey card at the wall, would tell it better");
    if (scan.daylight_from == DaylightFrom::surfaces)
        doubts.push_back("no wall is seen, so how bright the daylight was is taken from the ground's finish");
    constexpr double much_lost = 0.01;
    if (scan.blown_out > much_lost)
        doubts.push_back(fmt::format("{} of the picture is too bright for the file and comes out too dark",
                                     print_share(scan.blown_out)));
    for (const std::string& tree : scan.unmasked_trees)
        doubts.push_back(fmt::format("tree {} has no mask: its leaves are taken for what is behind them; "
                                     "draw round it",
                                     tree));
    for (const std::string& plant : scan.unseen_plants)
        doubts.push_back(fmt::format("plant {} has a mask, but the camera sees nothing of it: check where it "
                                     "stands; it stays dark",
                                     plant));
    if (scan.beyond > 0)
        doubts.push_back(fmt::format("{} of the picture shows nothing of the site and goes to dusk",
                                     print_share(scan.beyond)));
    return doubts;
}

std::vector<std::string> print_photos(const Site& site, const std::vector<PhotoAnswer>& photos,
                                      double lit_luminance) {
    std::vector<std::string> lines;
    bool has_features = false;
    for (const PhotoAnswer& photo : photos) {
        add_camera(site, photo.report, lines);
        add_marks(site, photo.report.fit, lines);
        add_lengths(site, photo.report.fit, lines);
        for (const Click& click : photo.clicks)
            add_click(site, click, lines);
        for (const std::optional<MeasuredHeight>& height : photo.heights)
            lines.push_back(height
                                ? fmt::format("  it stands {} high, {} east, {} north",
                                              print_within(height->height, height->deviation, site.units),
                                              print_length(height->foot.x, site.units),
                                              print_length(height->foot.y, site.units))
                                : "  the foot is not seen on the ground, so its height cannot be measured");
        for (const PhotoNight& night : photo.nights) {
            if (!night.variant.empty())
                lines.push_back(fmt::format("  as variant {} has it:", night.variant));
            add_night(site, night, lines);
            add_hidden(night.fixtures, lines);
            has_features = has_features || (night.has_figures() && !night.seen.features.empty());
        }
    }
    if (has_features)
        lines.push_back(print_lit_rule(lit_luminance, site.light));
    return lines;
}

std::string print_camera_json(const PhotoReport& report) {
    return camera_json(report).dump(2) + "\n";
}

std::string print_photos_json(const std::vector<PhotoAnswer>& photos) {
    PhotoJson rows = PhotoJson::array();
    for (const PhotoAnswer& photo : photos) {
        PhotoJson row = camera_json(photo.report);
        row["marks"] = PhotoJson::array();
        for (const MarkFit& mark : photo.report.fit.marks)
            row["marks"].push_back(json_object({{"id", mark.id},
                                                {"off_px", glm::length(mark.off_px)},
                                                {"off_m", mark.off_m},
                                                {"without_px", mark.without_px},
                                                {"without_m", mark.without_m},
                                                {"suspect", mark.is_suspect}}));
        if (!photo.report.fit.lengths.empty())
            row["lengths"] = PhotoJson::array();
        for (const LengthFit& length : photo.report.fit.lengths)
            row["lengths"].push_back(json_object({{"id", length.id},
                                                  {"off_px", length.off_px},
                                                  {"off_m", length.off_m},
                                                  {"without_m", length.without_m},
                                                  {"suspect", length.is_suspect}}));
        row["clicks"] = PhotoJson::array();
        for (const Click& click : photo.clicks) {
            PhotoJson one = json_object({{"pixel", {click.pixel.x, click.pixel.y}}});
            if (click.on_wall)
                one["wall"] = json_object({{"id", click.on_wall->wall},
                                           {"along_m", click.on_wall->along},
                                           {"up_m", click.on_wall->up},
                                           {"along_deviation_m", click.on_wall->along_deviation},
                                           {"up_deviation_m", click.on_wall->up_deviation}});
            if (click.on_ground)
                one["ground"] = json_object(
                    {{"at_m", {click.on_ground->place.x, click.on_ground->place.y}},
                     {"deviation_m",
                      {click.on_ground->deviation({1, 0, 0}), click.on_ground->deviation({0, 1, 0})}}});
            row["clicks"].push_back(one);
        }
        row["heights"] = PhotoJson::array();
        for (const std::optional<MeasuredHeight>& height : photo.heights)
            row["heights"].push_back(height ? json_object({{"height_m", height->height},
                                                           {"deviation_m", height->deviation},
                                                           {"at_m", {height->foot.x, height->foot.y}}})
                                            : PhotoJson(nullptr));
        for (const PhotoNight& night : photo.nights) {
            if (night.variant.empty()) {
                row["night"] = night_json(night);
                continue;
            }
            PhotoJson varied = json_object({{"id", night.variant}});
            varied.update(night_json(night));
            row["variants"].push_back(varied);
        }
        rows.push_back(row);
    }
    return rows.dump(2, ' ', false, PhotoJson::error_handler_t::replace) + "\n";
}

} // namespace duskcast
