// The page around a property: what it carries, and that text of files stays text.

#include <algorithm>
#include <doctest/doctest.h>

#include "duskcast/app/page_file.hpp"
#include "duskcast/base/base64.hpp"
#include "folder.hpp"
#include "garden_site.hpp"
#include "message_of.hpp"

using namespace duskcast;
using duskcast::test::Json;

namespace {

constexpr const char* built_page =
    "<html><script type=\"application/json\" id=\"duskcast-site\">{\"text\":\"demo\"}</script>"
    "<script>start()</script></html>";

std::vector<std::string> names_of(const std::vector<CarriedFile>& files) {
    std::vector<std::string> names;
    for (const CarriedFile& file : files)
        names.push_back(file.name);
    return names;
}

} // namespace

TEST_CASE("the vectors of RFC 4648 section 10") {
    for (const auto& [bytes, text] : std::vector<std::pair<std::string, std::string>>{{"", ""},
                                                                                      {"f", "Zg=="},
                                                                                      {"fo", "Zm8="},
                                                                                      {"foo", "Zm9v"},
                                                                                      {"foob", "Zm9vYg=="},
                                                                                      {"fooba", "Zm9vYmE="},
                                                                                      {"foobar", "Zm9vYmFy"}})
        CHECK(print_base64(bytes) == text);
}

TEST_CASE("lamps bring their files, and a mesh its materials and their textures") {
    const SiteFile cottage = read_site_file(DUSKCAST_SOURCE_DIR "/scenes/cottage/cottage.site.json");
    const std::vector<std::string> names = names_of(collect_files(cottage));
    CHECK(names == std::vector<std::string>{"../lamps/garden-spot-5w.ies", "../lamps/garden-wash-3w.ies",
                                            "cottage.mtl", "cottage.obj", "door.png", "leaf.png",
                                            "shingle.png", "stone.png", "window.png"});
    for (const CarriedFile& file : collect_files(cottage))
        CHECK(file.bytes == test::read_bytes(cottage.folder() / file.name));
}

TEST_CASE("a catalogue brings its lamps' files, by the names that lead there") {
    const SiteFile lot = read_site_file(DUSKCAST_SOURCE_DIR "/scenes/front-walk/front-walk.site.json");
    REQUIRE_FALSE(lot.site.catalogue_file.empty());
    const std::vector<std::string> names = names_of(collect_files(lot));
    CHECK(std::find(names.begin(), names.end(), lot.site.catalogue_file) != names.end());
    for (const Lamp& lamp : lot.site.catalogue.lamps)
        if (!lamp.file.empty())
            CHECK(std::find(names.begin(), names.end(), lamp.file) != names.end());
}

TEST_CASE("a client's photo goes with its site") {
    const SiteFile street = read_site_file(DUSKCAST_SOURCE_DIR "/scenes/street-photo/street-photo.site.json");
    const std::vector<CarriedFile> files = collect_files(street);
    REQUIRE(names_of(files) == std::vector<std::string>{"street.jpg"});
    CHECK(files[0].bytes == test::read_bytes(street.folder() / "street.jpg"));
}

TEST_CASE("a price list goes with the page under a name that the page knows as one, and is checked before") {
    const std::string list = test::read_bytes(DUSKCAST_SOURCE_DIR "/scenes/lamps/prices.csv");
    CHECK(carry_price_list(DUSKCAST_SOURCE_DIR "/scenes/lamps/prices.csv") ==
          CarriedFile{"prices.csv", list});
    const test::Folder folder;
    folder.write("spring.txt", list);
    CHECK(carry_price_list(folder / "spring.txt") == CarriedFile{"spring.txt.csv", list});
    folder.write("dear.csv", "kind,id,description,unit,price,labour_hours,taxed\nlamp,a,,each,dear,,yes\n");
    CHECK(test::message_of([&] { carry_price_list(folder / "dear.csv"); }).find("\"dear\"") !=
          std::string::npos);
}

TEST_CASE("a file that a page could not find again is refused with its place") {
    const test::Folder folder;
    folder.write("spot.ies", test::read_bytes(DUSKCAST_SOURCE_DIR "/scenes/lamps/garden-spot-5w.ies"));
    Json site = test::make_garden();
    site["lamps"][0] = {{"id", "faint"}, {"file", (folder / "spot.ies").generic_string()}, {"watts", 3}};
    const SiteFile file = read_site(test::text_of(site), folder / "house.site.json");
    const std::string message = test::message_of([&] { collect_files(file); });
    CHECK(message.find("lamps[0].file") != std::string::npos);
    CHECK(message.find("a page cannot carry") != std::string::npos);
}

TEST_CASE("what a page carries comes out as it went in, and ends no element of the page") {
    const PageContent content{.text = "{\"name\": \"</script><b>&\\u003c\"}",
                              .files = {{"a.ies", std::string("\0\xff<", 3)}},
                              .is_client = true};
    const std::string page = make_page(built_page, content);
    CHECK(page.ends_with("</script><script>start()</script></html>"));
    const std::string begin = "id=\"duskcast-site\">";
    const std::size_t from = page.find(begin) + begin.size();
    const std::string carried = page.substr(from, page.find("</script>", from) - from);
    CHECK(carried.find('<') == std::string::npos);
    const Json json = Json::parse(carried);
    CHECK(json["text"] == content.text);
    CHECK(json["files"]["a.ies"] == print_base64(content.files[0].bytes));
    CHECK(json["is_client"] == true);
    // Again around another property.
    CHECK(make_page(page, {.text = "x"}) == make_page(built_page, {.text = "x"}));
}

TEST_CASE("what is no page of ours is refused") {
    CHECK(test::message_of([] { make_page("<html></html>", {}); }).find("is no page") != std::string::npos);
    CHECK(test::message_of([] { make_page("id=\"duskcast-site\">", {}); }).find("is no page") !=
          std::string::npos);
}
