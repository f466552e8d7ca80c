// Writing leaves either the new file or the old one, never a part; lamps find their files.

#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

#include "../message_of.hpp"
#include "duskcast/site/site_file.hpp"
#include "folder.hpp"

#if defined(__unix__) || defined(__APPLE__)
#include <csignal>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>
#endif

using namespace duskcast;
using duskcast::test::message_of;
using namespace duskcast::test;
namespace fs = std::filesystem;

namespace {

const fs::path source_folder = fs::path(DUSKCAST_TEST_DIR) / "site";

Site make_site(const std::string& name) {
    Site site;
    site.name = name;
    return site;
}

} // namespace

TEST_CASE("a written file reads back, also over an old one") {
    const Folder folder;
    const fs::path file = folder / "porch.site.json";
    write_site_file(make_site("old"), file);
    CHECK(read_site_file(file).site == make_site("old"));
    write_site_file(make_site("new"), file);
    CHECK(read_site_file(file).site == make_site("new"));
    CHECK(folder.count() == 1); // no temporary left
}

TEST_CASE("a name without a folder is written to the working folder") {
    const Folder folder;
    const fs::path before = fs::current_path();
    fs::current_path(folder.path());
    write_site_file(make_site("here"), "porch.site.json");
    fs::current_path(before);
    CHECK(read_site_file(folder / "porch.site.json").site.name == "here");
}

TEST_CASE("a place that cannot be written is refused, and nothing is left behind") {
    const Folder folder;
    const fs::path inside = folder / "none" / "porch.site.json";
    CHECK(message_of([&] { write_site_file(make_site("x"), inside); }) ==
          inside.generic_string() + ": error: the file cannot be written: No such file or directory; "
                                    "what was there before is unchanged");
    const fs::path taken = folder / "taken";
    fs::create_directory(taken);
    CHECK(message_of([&] { write_site_file(make_site("x"), taken); }) ==
          taken.generic_string() +
              ": error: the file cannot be written: Is a directory; what was there before is unchanged");
    CHECK(fs::is_directory(taken));
    CHECK(folder.count() == 1);
}

#if defined(__unix__) || defined(__APPLE__)

#ifndef __EMSCRIPTEN__ // knows no limits and users
TEST_CASE("a disk that fills up half way leaves the old file whole") {
    const Folder folder;
    const fs::path file = folder / "porch.site.json";
    write_site_file(make_site("old"), file);
    const std::string before = read_bytes(file);
    // A limit on file size stands in for a full disk: the write fails in the middle (POSIX, EFBIG).
    rlimit limit{};
    getrlimit(RLIMIT_FSIZE, &limit);
    const rlimit small{4096, limit.rlim_max};
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    setrlimit(RLIMIT_FSIZE, &small);
    const std::string message =
        message_of([&] { write_site_file(make_site(std::string(1 << 20, 'x')), file); });
    setrlimit(RLIMIT_FSIZE, &limit);
    std::signal(SIGXFSZ, handler);
    CHECK(message == file.generic_string() + ": error: the file cannot be written: File too large; "
                                             "what was there before is unchanged");
    CHECK(read_bytes(file) == before);
    CHECK(folder.count() == 1);
}

TEST_CASE("a folder that must not be written leaves the old file whole") {
    const Folder folder;
    const fs::path file = folder / "porch.site.json";
    write_site_file(make_site("old"), file);
    const std::string before = read_bytes(file);
    fs::permissions(folder.path(), fs::perms(0555));
    // Root may write anywhere, so it gives up its rights for the moment.
    const bool is_root = geteuid() == 0;
    REQUIRE((!is_root || seteuid(65534) == 0));
    const std::string message = message_of([&] { write_site_file(make_site("new"), file); });
    REQUIRE((!is_root || seteuid(0) == 0));
    fs::permissions(folder.path(), fs::perms(0755));
    CHECK(message == file.generic_string() + ": error: the file cannot be written: Permission denied; "
                                             "what was there before is unchanged");
    CHECK(read_bytes(file) == before);
    CHECK(folder.count() == 1);
}

#endif

TEST_CASE("a link stays a link, and the old file's rights are kept") {
    const Folder folder;
    const fs::path file = folder / "porch.site.json", link = folder / "link.site.json";
    write_site_file(make_site("old"), file);
    fs::permissions(file, fs::perms(0600));
    fs::create_symlink(file, link);
    write_site_file(make_site("new"), link);
    CHECK(fs::is_symlink(link));
    CHECK(read_site_file(file).site.name == "new");
    CHECK(fs::status(file).permissions() == fs::perms(0600));
}

#endif

TEST_CASE("a file that cannot be read is refused with the reason") {
    const Folder folder;
    const fs::path none = folder / "none.site.json";
    CHECK(message_of([&] { read_site_file(none); }) ==
          none.generic_string() + ": error: the file cannot be read: No such file or directory");
    CHECK(message_of([&] { read_site_file(folder.path()); }) ==
          folder.path().generic_string() + ": error: the file cannot be read: Is a directory");
}

TEST_CASE("files and lists beyond all use are refused before they fill the memory") {
    const Folder folder;
    const fs::path file = folder / "large.site.json";
    std::ofstream(file) << "{}";
    fs::resize_file(file, (64u << 20) + 1);
    CHECK(message_of([&] { read_site_file(file); }) ==
          file.generic_string() +
              ": error: the file is larger than 64 MB; put geometry of this size in an OBJ file, as a mesh");

#if defined(__unix__) || defined(__APPLE__)
    CHECK(message_of([&] { read_site_file("/dev/zero"); }) ==
          "/dev/zero: error: the file cannot be read: it is not a file");
#endif

    std::string text = "{ \"duskcast\": 1, \"levels\": [1";
    for (int i = 0; i < 2'000'000; ++i)
        text += ",1";
    CHECK(message_of([&] { read_site(text + "] }", "x.site.json"); }) ==
          "x.site.json:1:4000023: levels: error: the file holds more than two million values");

    std::string points = "{ \"duskcast\": 1, \"walls\": [{ \"id\": \"a\", \"height\": 9, \"path\": [[0, 0]";
    for (int i = 1; i <= 2000; ++i)
        points += ", [" + std::to_string(i) + ", 0]";
    CHECK(message_of([&] { read_site(points + "] }] }", "x.site.json"); }) ==
          "x.site.json:1:62: walls[0].path: error: there are more than 2000 points");
}

TEST_CASE("lamps: a distribution and a rating from figures or from a file") {
    Lamp lamp;
    lamp.figures.lumens = 350;
    lamp.figures.beam_angle = radians_from_degrees(36);
    lamp.watts = 5;
    // The distribution has the figures it was made of (lumens to 0.05 %).
    CHECK(measure_lumens(make_lamp_light(lamp, {}).distribution) == doctest::Approx(350).epsilon(5e-4));
    CHECK(make_lamp_light(lamp, {}).lumens == doctest::Approx(350).epsilon(5e-4));
    CHECK(make_lamp_light(lamp, {}).watts == 5);

    Lamp spot;
    spot.file = "files/narrow.ies";
    // files/narrow.ies says 2400 cd on the axis and 6 W of input.
    CHECK(measure_centre_candela(make_lamp_light(spot, source_folder).distribution) == doctest::Approx(2400));
    CHECK(make_lamp_light(spot, source_folder).watts == 6);
    spot.watts = 7;
    CHECK(make_lamp_light(spot, source_folder).watts == 7);
    CHECK(make_lamp_light(spot, source_folder).lumens > 0);
}

TEST_CASE("a site made by a program is checked like one that was read") {
    const auto messages = [](const Site& site) {
        std::string text;
        for (const Problem& problem : check_site(site, source_folder))
            text += print_problem(problem) + "\n";
        return text;
    };
    CHECK(messages(Site{}) == "");
    Site site;
    site.fixtures.resize(1);
    site.fixtures[0].id = "up";
    site.fixtures[0].lamp = "spot";
    site.fixtures[0].azimuth = 1;
    site.fixtures[0].turn = 1;
    site.shrubs.resize(1);
    site.shrubs[0].id = "box";
    site.shrubs[0].height = 1;
    site.lamps.resize(1);
    site.lamps[0].id = "spot";
    site.lamps[0].file = "files/narrow.ies";
    site.lamps[0].figures.lumens = 5;
    CHECK(messages(site) ==
          "shrubs[0]: error: a shrub has either an \"outline\" (a bed) or a \"path\" and a \"width\" (a "
          "hedge); "
          "give one of the two\n"
          "lamps[0].file: error: an LM-63 file and figures are both given; "
          "keep the file, or keep \"lumens\", \"candela\", \"beam\" and \"field\"\n"
          "fixtures[0].turn: error: \"azimuth\" and \"turn\" are both given; keep one of the two\n"
          "fixtures[0]: error: it is not said where the fixture stands; give \"wall\", \"tree\" or \"at\"\n");
    site = Site{};
    site.fixtures.resize(1);
    site.fixtures[0].id = "up";
    site.fixtures[0].wall = "a";
    site.fixtures[0].tree = "b";
    site.sensor_spacing = std::nan("");
    CHECK(messages(site) ==
          "sensor_spacing: error: unknown is out of range; it must be 0.394 in to 32 ft\n"
          "fixtures[0].lamp: error: there is no lamp \"\"; there are none\n"
          "fixtures[0]: error: \"wall\", \"tree\" and \"at\" exclude each other; keep one\n");
}
