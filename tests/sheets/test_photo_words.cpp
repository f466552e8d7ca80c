// What is said of a photo, from a camera and clicks written by hand.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "duskcast/sheets/photo_words.hpp"
#include "duskcast/sheets/report_words.hpp"

using namespace duskcast;
using Lines = std::vector<std::string>;
using Json = nlohmann::ordered_json;

namespace {

/// At (10, -20, 5) ft, looking 30 degrees west of north and 4 degrees down, with 10 in of doubt about its
/// height alone and 2 % about its focal length.
PhotoAnswer make_answer() {
    PhotoAnswer answer{.report = {.id = "street",
                                  .info = {.size = {1000, 600}},
                                  .focal_35mm = 28,
                                  .fit = {.model = CameraModel({1000, 600}, false, false, false)}}};
    CameraFit& fit = answer.report.fit;
    fit.parameters = {10 * metres_per_foot,
                      -20 * metres_per_foot,
                      5 * metres_per_foot,
                      radians_from_degrees(330.0),
                      radians_from_degrees(-4.0),
                      radians_from_degrees(0.5),
                      std::log(500.0)};
    fit.covariance.assign(49, 0);
    fit.covariance[8 * CameraModel::eye_z] = std::pow(10 * metres_per_inch, 2);
    fit.covariance[8 * CameraModel::log_focal] = 0.02 * 0.02;
    fit.marks = {{.id = "door", .off_px = {3, -4}, .off_m = 2 * metres_per_inch, .without_px = 6},
                 {.id = "peak", .off_px = {0, 0.5}, .off_m = 0.5 * metres_per_inch, .without_px = 1}};
    return answer;
}

Site make_site() {
    Site site;
    site.units = LengthUnit::foot;
    return site;
}

Lines print_one(const PhotoAnswer& answer) {
    return print_photos(make_site(), {answer}, usual_lit_luminance);
}

bool has_line(const Lines& lines, const std::string& wanted) {
    return std::find(lines.begin(), lines.end(), wanted) != lines.end();
}

Lines keys_of(const Json& object) {
    Lines keys;
    for (const auto& [key, value] : object.items())
        keys.push_back(key);
    return keys;
}

} // namespace

TEST_CASE("a photo's camera is said in feet, degrees and what nine of ten hold") {
    PhotoAnswer answer = make_answer();
    const Lines lines = print_one(answer);
    REQUIRE(lines.size() == 6);
    CHECK(lines[0] == "photo street: 1000 x 600 pixels, 2 marks");
    // 10 in x 1.645 = 16.45 in.
    CHECK(lines[1] ==
          "  taken from 10 ft east, -20 ft north, 5 ft up, within 1 ft 4 1/2 in; looking -30\u00b0 "
          "from north, 4\u00b0 below level");
    // 1000 pixels at a focal length of 500: 90 degrees. 2 % x 1.645.
    CHECK(lines[2] == "  the picture is 90\u00b0 wide, its focal length known within 3 %");
    CHECK(lines[3].find("off, pixels") != std::string::npos);
    CHECK(lines[4].find("door") != std::string::npos);
    CHECK(lines[4].find(" 5.0 ") != std::string::npos); // 3 and 4 pixels
    CHECK(lines[4].ends_with("2 in"));
    CHECK(lines[5].ends_with("1/2 in"));
    answer.report.focal_35mm.reset();
    CHECK(print_one(answer)[2].ends_with("; the file does not tell its lens: \"focal_35mm\" would help"));
    answer.report.fit.parameters[CameraModel::pitch] = radians_from_degrees(3.0);
    CHECK(print_one(answer)[1].ends_with("3\u00b0 above level"));
}

TEST_CASE("a mark that looks wrong is named with how far off the others have it, and flat marks are told") {
    PhotoAnswer answer = make_answer();
    answer.report.fit.marks[0].is_suspect = true;
    answer.report.fit.marks[0].without_px = 41.7;
    answer.report.fit.marks[0].without_m = 2 * metres_per_foot;
    answer.report.fit.is_flat = true;
    const Lines lines = print_one(answer);
    REQUIRE(lines.size() == 8);
    CHECK(lines[6].starts_with(
        "  mark door looks wrong: the others would have it 42 pixels away, 2 ft at its distance;"));
    CHECK(lines[7].starts_with("  all marks lie in one plane: "));
}

TEST_CASE("a taped length is said with what the picture has more or less of it, and a wrong one is named") {
    PhotoAnswer answer = make_answer();
    const std::size_t usual = print_one(answer).size();
    answer.report.fit.lengths = {{.id = "door", .off_px = -1.26, .off_m = -metres_per_inch},
                                 {.id = "slab",
                                  .off_px = 30,
                                  .off_m = 4 * metres_per_inch,
                                  .without_m = 6 * metres_per_inch,
                                  .is_suspect = true}};
    const Lines lines = print_one(answer);
    REQUIRE(lines.size() == usual + 3);
    CHECK(lines[6] == "  length door: 1.3 pixels, 1 in shorter than the tape has it");
    CHECK(lines[7] == "  length slab: 30.0 pixels, 4 in longer than the tape has it");
    CHECK(
        lines[8].starts_with("  length slab looks wrong: all else would have it 6 in longer than the tape"));
    const Json rows = Json::parse(print_photos_json({answer}))[0]["lengths"];
    REQUIRE(rows.size() == 2);
    CHECK(rows[0] == Json{{"id", "door"},
                          {"off_px", -1.26},
                          {"off_m", -metres_per_inch},
                          {"without_m", 0.0},
                          {"suspect", false}});
}

TEST_CASE("clicks are said on their wall, on the ground, or on neither") {
    PhotoAnswer answer = make_answer();
    MeasuredPlace spot{.place = {6 * metres_per_foot, -3 * metres_per_foot, 0}};
    spot.covariance[0][0] = std::pow(2 * metres_per_inch / 1.645, 2);
    spot.covariance[1][1] = std::pow(7 * metres_per_inch / 1.645, 2);
    answer.clicks = {{.pixel = {120.4, 80},
                      .on_wall = ClickOnWall{"front", 9 * metres_per_foot, 30 * metres_per_inch,
                                             metres_per_inch / 1.645, 3 * metres_per_inch / 1.645}},
                     {.pixel = {300, 500}, .on_ground = spot},
                     {.pixel = {20, 10}}};
    answer.heights = {MeasuredHeight{.foot = {2 * metres_per_foot, 0, 0},
                                     .height = 18 * metres_per_foot,
                                     .deviation = 4 * metres_per_inch / 1.645},
                      std::nullopt};
    const Lines lines = print_one(answer);
    REQUIRE(lines.size() == 11);
    CHECK(lines[6] == "  pixel 120, 80: on wall front, 9 ft (within 1 in) along, 2 ft 6 in (within 3 in) up");
    CHECK(lines[7] == "  pixel 300, 500: on the ground, 6 ft (within 2 in) east, -3 ft (within 7 in) north");
    CHECK(lines[8] == "  pixel 20, 10: on no wall of the site and not on the ground");
    CHECK(lines[9] == "  it stands 18 ft (within 4 in) high, 2 ft east, 0 in north");
    CHECK(lines[10] == "  the foot is not seen on the ground, so its height cannot be measured");
    // Nobody measures a house to better than a centimetre.
    answer.clicks.resize(1);
    answer.clicks[0].on_wall->up_deviation = 1e-5;
    CHECK(print_one(answer)[6].ends_with("2 ft 6 in (within 1/2 in) up"));
}

TEST_CASE("a photo by night says what it could not tell, and what would help") {
    PhotoAnswer answer = make_answer();
    answer.nights = {PhotoNight{}};
    answer.nights[0].seen.report.mean = 0.25;
    answer.nights[0].seen.report.max = 8;
    answer.nights[0].scan.daylight_from = DaylightFrom::white;
    const std::size_t usual = print_one(answer).size();
    CHECK(has_line(print_one(answer), "  by night: mean 0.25 cd/m2, brightest surface 8 cd/m2"));
    const auto added = [&](const auto& change) {
        PhotoAnswer other = answer;
        change(other.nights[0].scan);
        const Lines lines = print_one(other), before = print_one(answer);
        CHECK(lines.size() == usual + 1);
        for (const std::string& line : lines)
            if (!has_line(before, line))
                return line;
        return std::string();
    };
    CHECK(added([](PhotoScan& scan) {
              scan.daylight_from = DaylightFrom::walls;
          }).find("from the walls' finish; a white place") != std::string::npos);
    CHECK(added([](PhotoScan& scan) {
              scan.daylight_from = DaylightFrom::surfaces;
          }).find("from the ground's finish") != std::string::npos);
    CHECK(added([](PhotoScan& scan) {
              scan.is_white_blown_out = true;
          }).find("the white place is too bright for the file") != std::string::npos);
    CHECK(added([](PhotoScan& scan) { scan.blown_out = 0.034; }) ==
          "  3 % of the picture is too bright for the file and comes out too dark");
    CHECK(added([](PhotoScan& scan) { scan.beyond = 0.12; }) ==
          "  12 % of the picture shows nothing of the site and goes to dusk");
    CHECK(
        added([](PhotoScan& scan) { scan.unmasked_trees = {"oak"}; }).starts_with("  tree oak has no mask"));
    CHECK(added([](PhotoScan& scan) { scan.unseen_plants = {"yew"}; }).starts_with("  plant yew has a mask"));
    // What is lost is worth a line from 1 % on.
    answer.nights[0].scan.blown_out = 0.009;
    CHECK(print_one(answer).size() == usual);
    // What a crew will not find on it.
    answer.nights[0].fixtures = {{.id = "F1", .pixel = glm::dvec2(3, 4)},
                                 {.id = "F2", .pixel = glm::dvec2(5, 6), .hidden_by = "front"},
                                 {.id = "F3"}};
    CHECK(has_line(print_one(answer), "  not seen on the photo: F2 (behind front)"));
    CHECK(has_line(print_one(answer), "  outside the photo: F3"));
    // A variant has figures of its own; what the picture cannot tell is said once.
    answer.nights[0].fixtures.clear();
    answer.nights[0].scan.unmasked_trees = {"oak"};
    const std::size_t with_oak = print_one(answer).size();
    answer.nights.push_back(answer.nights[0]);
    answer.nights[1].variant = "more";
    answer.nights[1].seen.report.mean = 0.5;
    CHECK(print_one(answer).size() == with_oak + 2);
    CHECK(has_line(print_one(answer), "  as variant more has it:"));
    CHECK(has_line(print_one(answer), "  by night: mean 0.5 cd/m2, brightest surface 8 cd/m2"));
    answer.nights.pop_back();
    answer.nights[0].scan.unmasked_trees.clear();
    // What "lit" means is said once, where something is said to be lit.
    const std::string rule = print_lit_rule(usual_lit_luminance, LightUnit::footcandle);
    CHECK(!has_line(print_one(answer), rule));
    answer.nights[0].seen.features = {{.feature = "oak", .is_tree = true, .sighting = Sighting::lit}};
    CHECK(print_one(answer).back() == rule);
    // In the sun it claims no figure.
    answer.nights[0].scan.is_sunny = true;
    const Lines sunny = print_one(answer);
    CHECK(!has_line(sunny, rule));
    CHECK(has_line(sunny, "  by night, for its looks alone, so without a file of its luminances:"));
    CHECK(std::none_of(sunny.begin(), sunny.end(),
                       [](const std::string& line) { return line.find("cd/m2") != std::string::npos; }));
    CHECK(std::any_of(sunny.begin(), sunny.end(), [](const std::string& line) {
        return line.find("edges of hard shadows") != std::string::npos;
    }));
    CHECK(print_photos(make_site(), {}, usual_lit_luminance).empty());
}

TEST_CASE("the JSON of a camera is in feet and degrees, with how far off each may be") {
    const Json made = Json::parse(print_camera_json(make_answer().report));
    CHECK(keys_of(made) == Lines{"id", "size", "eye_ft", "azimuth", "pitch", "roll", "focal_px", "axis_px",
                                 "distortion", "deviation"});
    CHECK(made["id"] == "street");
    CHECK(made["size"] == Json{1000, 600});
    const double eye[3] = {10, -20, 5};
    for (std::size_t i = 0; i < 3; ++i)
        CHECK(made["eye_ft"][i].get<double>() == doctest::Approx(eye[i]));
    CHECK(made["azimuth"].get<double>() == doctest::Approx(330));
    CHECK(made["pitch"].get<double>() == doctest::Approx(-4));
    CHECK(made["roll"].get<double>() == doctest::Approx(0.5));
    CHECK(made["focal_px"].get<double>() == doctest::Approx(500));
    CHECK(made["axis_px"] == Json{0.0, 0.0});
    const Json& off = made["deviation"];
    CHECK(keys_of(off) == Lines{"eye_ft", "azimuth", "pitch", "roll", "focal_share", "click_px"});
    CHECK(off["eye_ft"][2].get<double>() == doctest::Approx(10.0 / 12));
    CHECK(off["eye_ft"][0] == 0.0);
    CHECK(off["focal_share"].get<double>() == doctest::Approx(0.02));
    CHECK(off["click_px"] == 1.0);
}

TEST_CASE("the JSON of photos has marks, clicks, heights and the night, in SI") {
    PhotoAnswer answer = make_answer();
    answer.clicks = {{.pixel = {120.5, 80}, .on_wall = ClickOnWall{"front", 2.5, 1.25, 0.01, 0.02}},
                     {.pixel = {300, 500}, .on_ground = MeasuredPlace{.place = {1, -2, 0}}},
                     {.pixel = {1, 2}}};
    answer.heights = {MeasuredHeight{.foot = {3, 4, 0}, .height = 5.5, .deviation = 0.1}, std::nullopt};
    const Json rows = Json::parse(print_photos_json({answer, make_answer()}));
    REQUIRE(rows.size() == 2);
    CHECK(keys_of(rows[0]) == Lines{"id", "size", "eye_ft", "azimuth", "pitch", "roll", "focal_px", "axis_px",
                                    "distortion", "deviation", "marks", "clicks", "heights"});
    CHECK(rows[0]["marks"][0] == Json{{"id", "door"},
                                      {"off_px", 5.0},
                                      {"off_m", 2 * metres_per_inch},
                                      {"without_px", 6.0},
                                      {"without_m", 0.0},
                                      {"suspect", false}});
    REQUIRE(rows[0]["clicks"].size() == 3);
    CHECK(rows[0]["clicks"][0] == Json{{"pixel", {120.5, 80.0}},
                                       {"wall",
                                        {{"id", "front"},
                                         {"along_m", 2.5},
                                         {"up_m", 1.25},
                                         {"along_deviation_m", 0.01},
                                         {"up_deviation_m", 0.02}}}});
    CHECK(rows[0]["clicks"][1] ==
          Json{{"pixel", {300.0, 500.0}}, {"ground", {{"at_m", {1.0, -2.0}}, {"deviation_m", {0.0, 0.0}}}}});
    CHECK(keys_of(rows[0]["clicks"][2]) == Lines{"pixel"});
    CHECK(rows[0]["heights"] ==
          Json{{{"height_m", 5.5}, {"deviation_m", 0.1}, {"at_m", {3.0, 4.0}}}, nullptr});
    CHECK(rows[1]["clicks"].empty());

    for (const auto& [from, word] : {std::pair(DaylightFrom::white, "white"),
                                     {DaylightFrom::walls, "walls"},
                                     {DaylightFrom::surfaces, "surfaces"}}) {
        answer.nights = {PhotoNight{}};
        answer.nights[0].scan = {.sky = 0.25, .beyond = 0.125, .plants = 0.5, .daylight_from = from};
        answer.nights[0].scan.unmasked_trees = {"oak"};
        answer.nights[0].seen.stops = 1.5;
        answer.nights[0].seen.files = {"photos/street.night.png"};
        answer.nights[0].seen.report.targets = {
            {.target = "peak", .pixels = 12, .luminance = 2, .surroundings = 0.5, .contrast = 4}};
        const Json night = Json::parse(print_photos_json({answer}))[0]["night"];
        CHECK(keys_of(night) == Lines{"daylight_from", "is_sunny", "sky", "beyond", "plants", "unlit",
                                      "blown_out", "unmasked_trees", "unseen_plants", "exposure_stops",
                                      "mean_cd_m2", "max_cd_m2", "targets", "fixtures", "files"});
        CHECK(night["daylight_from"] == word);
        CHECK(night["sky"] == 0.25);
        CHECK(night["unmasked_trees"] == Json{"oak"});
        CHECK(night["targets"][0] == Json{{"id", "peak"},
                                          {"pixels", 12},
                                          {"mean_cd_m2", 2.0},
                                          {"surroundings_cd_m2", 0.5},
                                          {"contrast", 4.0}});
        CHECK(night["files"] == Json{"photos/street.night.png"});
        PhotoAnswer sunny = answer;
        sunny.nights[0].scan.is_sunny = true;
        const Json looks = Json::parse(print_photos_json({sunny}))[0]["night"];
        CHECK(looks["mean_cd_m2"].is_null());
        CHECK(looks["targets"].empty());
        answer.nights.push_back(answer.nights[0]);
        answer.nights[1].variant = "more";
        answer.nights[1].fixtures = {{.id = "F1", .pixel = glm::dvec2(3, 4), .across = 0.1, .deep = 0.2},
                                     {.id = "F2", .hidden_by = "front", .is_standing = false}};
        const Json varied = Json::parse(print_photos_json({answer}))[0]["variants"];
        REQUIRE(varied.size() == 1);
        CHECK(varied[0]["id"] == "more");
        CHECK(varied[0]["fixtures"][0] == Json{{"id", "F1"},
                                               {"pixel", {3.0, 4.0}},
                                               {"hidden_by", ""},
                                               {"within_across_m", 0.1},
                                               {"within_depth_m", 0.2}});
        CHECK(varied[0]["fixtures"][1] == Json{{"id", "F2"},
                                               {"pixel", nullptr},
                                               {"hidden_by", "front"},
                                               {"within_across_m", 0.0},
                                               {"within_up_m", 0.0}});
    }
}
