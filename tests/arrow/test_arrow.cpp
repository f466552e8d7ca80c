#include "arrow.hpp"

#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>

using namespace duskcast::tests;
namespace fs = std::filesystem;

namespace {

const fs::path source_dir = DUSKCAST_SOURCE_DIR;

std::string read_text(const fs::path& file) {
    std::ifstream stream(file);
    REQUIRE(stream.good());
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

std::set<std::string> names_in(const fs::path& folder) {
    std::set<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder))
        names.insert(entry.path().filename().string());
    return names;
}

} // namespace

TEST_CASE("the checker finds every way of including against the arrow") {
    CHECK(find_violations("base", "#pragma once\n#include <string>\n#include \"duskcast/site/site.hpp\"\n") ==
          std::vector<std::string>{"line 3: base includes duskcast/site/site.hpp"});
    CHECK(find_violations("site", " #  include <duskcast/stage/stage.hpp> // why").size() == 1);
    CHECK(find_violations("light", "#include \"../measure/rows.hpp\"").size() == 1);
    CHECK(find_violations("power", "#include \"duskcast/stage/stage.hpp\"").size() == 1);
    CHECK(find_violations("view", "#include \"duskcast/study/sweep.hpp\"").size() == 1);
    CHECK(find_violations("light", "#include \"duskcast/garden/gnome.hpp\"").size() == 1);
    CHECK(find_violations("light", "#include \"duskcast/all.hpp\"").size() == 1);
}

TEST_CASE("the checker lets through what the arrow allows") {
    CHECK(find_violations("base",
                          "#include <site>\n#include <glm/glm.hpp>\n// no #include \"duskcast/sheets/a.hpp\"")
              .empty());
    CHECK(find_violations("base", "#include \"duskcast/base/units.hpp\"\n#include \"rows.hpp\"").empty());
    CHECK(find_violations("measure", "#include \"duskcast/light/lighting.hpp\"").empty());
    CHECK(find_violations("measure", "#include \"duskcast/base/units.hpp\"").empty()); // by way of light
    CHECK(find_violations("sheets", "#include \"duskcast/cost/money.hpp\"").empty());
}

TEST_CASE("no header and no source includes against the arrow") {
    int files = 0;
    std::set<std::string> rooms_seen;
    for (const fs::path& rooms : {source_dir / "include" / "duskcast", source_dir / "src"}) {
        for (const auto& entry : fs::recursive_directory_iterator(rooms)) {
            const std::string extension = entry.path().extension().string();
            if (extension != ".hpp" && extension != ".cpp")
                continue;
            const fs::path inside = fs::relative(entry.path(), rooms);
            const std::string room = inside.begin()->string();
            CAPTURE(entry.path().string());
            REQUIRE_MESSAGE(arrow.contains(room), "every file belongs to a room of the table");
            for (const std::string& violation : find_violations(room, read_text(entry.path())))
                FAIL_CHECK(violation);
            rooms_seen.insert(room);
            ++files;
        }
    }
    CHECK(files >= 30);
    for (const auto& row : arrow)
        CHECK_MESSAGE(rooms_seen.contains(row.first), row.first);
}

TEST_CASE("CMakeLists.txt links each room as the table says") {
    const std::string text = read_text(source_dir / "CMakeLists.txt");
    static const std::regex call(R"(\nduskcast_room\((\w+)([^)]*)\))");
    static const std::regex may_use(R"(MAY_USE((?: [a-z]+)+))");
    int rooms = 0;
    for (std::sregex_iterator room(text.begin(), text.end(), call), end; room != end; ++room) {
        const std::string name = (*room)[1], arguments = (*room)[2];
        CAPTURE(name);
        std::set<std::string> linked;
        if (std::smatch row; std::regex_search(arguments, row, may_use)) {
            std::istringstream words(row[1]);
            for (std::string word; words >> word;)
                linked.insert(word);
        }
        REQUIRE(arrow.contains(name));
        CHECK(linked == arrow.at(name));
        ++rooms;
    }
    CHECK(rooms >= 8);
}

TEST_CASE("the top of the source tree holds these and nothing else") {
    const std::set<std::string> wanted = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "src",  "include",
                                          "shaders",        "tests",     "scenes",        "tools"};
    static const std::regex made("(build|out).*|\\..*");
    for (const std::string& name : names_in(source_dir))
        CHECK_MESSAGE((wanted.contains(name) || std::regex_match(name, made)), name);
    for (const std::string& name : wanted)
        if (name != "shaders") // git keeps no empty folder: missing until the first shader is there
            CHECK_MESSAGE(fs::exists(source_dir / name), name);
}
