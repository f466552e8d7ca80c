// The sheet to aim by as a phone opens it: what each card holds, and what its readings are named by.

#include <doctest/doctest.h>
#include <set>

#include "duskcast/sheets/aim_sheet.hpp"
#include "html_text.hpp"
#include "well_formed.hpp"

using namespace duskcast;
using namespace duskcast::test;
using Lines = std::vector<std::string>;

namespace {

AimCard make_card(const std::string& id) {
    AimCard card;
    card.id = id;
    card.kind = "uplight";
    card.lamp = "4 W spot";
    card.place = "9 ft from the left corner";
    card.stands = "15 in back";
    card.tilt = "8\u00b0 from straight up";
    card.rim = "the wall side is 1/4 in lower";
    card.way = "square to the wall";
    card.lights = "the gable";
    card.stops = "at the top";
    card.tilt_degrees = 8;
    card.points = {{1, "flat on the wall, 5 ft up", 20, {15, 25}}, {2, "2 ft 6 in up", 60, {50, 70}}};
    return card;
}

AimSheet make_sheet() {
    AimSheet sheet;
    sheet.site_name = "Lane & <End>";
    sheet.origin = "Drawn by a test.";
    sheet.version = "abc123";
    sheet.light = LightUnit::lux;
    sheet.cards = {make_card("U1"), make_card("P-2"), make_card("D.3")};
    return sheet;
}

/// The page without its script, which is no XML.
std::string without_script(const std::string& page) {
    const std::size_t from = page.find("<script"), to = page.find("</script>");
    REQUIRE(from != std::string::npos);
    return page.substr(0, from) + page.substr(to + 9);
}

Lines cards_of(const AimSheet& sheet) {
    return list_between(print_aim_sheet(sheet), "<article", "</article>");
}

} // namespace

TEST_CASE("cards come in walking order, numbered, each with all there is to do") {
    AimSheet sheet = make_sheet();
    const Lines cards = cards_of(sheet);
    REQUIRE(cards.size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
        const AimCard& card = sheet.cards[i];
        const std::string text = text_of_html(cards[i].substr(cards[i].find('>') + 1));
        CHECK(text.starts_with(std::to_string(i + 1) + ". " + card.id +
                               " uplight: 4 W spot Where 9 ft from the left "
                               "corner Stands 15 in back Tilt 8\u00b0 from "
                               "straight up the wall side is 1/4 in lower "
                               "Direction square to the wall Lights the gable "
                               "Stops at the top"));
        CHECK(text.find("1. flat on the wall, 5 ft up 20 lx 15 lx to 25 lx") != std::string::npos);
        CHECK(text.find("2. 2 ft 6 in up 60 lx 50 lx to 70 lx") != std::string::npos);
        CHECK(cards[i].find("data-tilt=\"8.00\"") != std::string::npos);
    }
    // What is not said has no row, and what points down gives a phone nothing to be compared with.
    AimCard& bare = sheet.cards[0];
    bare.rim = bare.way = bare.lights = bare.stops = "";
    bare.tilt_degrees.reset();
    bare.points.clear();
    const std::string card = cards_of(sheet)[0];
    for (const char* gone :
         {"<dt>Direction", "<dt>Lights", "<dt>Stops", "<small>", "data-tilt", "<table", "inputmode"})
        CHECK_MESSAGE(card.find(gone) == std::string::npos, gone);
}

TEST_CASE("every reading and note is named once for those who do not see it, and kept by fixture and point") {
    AimSheet sheet = make_sheet();
    sheet.cards[1].volts = 11.35;
    const std::string page = print_aim_sheet(sheet);
    std::set<std::string> labels;
    std::size_t inputs = 0, notes = 0;
    for (const Element& element : read_elements(without_script(page))) {
        if (element.name != "input" && element.name != "textarea")
            continue;
        if (element.name == "input" && element.attributes.contains("type")) { // the camera
            CHECK(element.attributes.at("accept") == "image/*");
            CHECK(labels.insert(element.attributes.at("aria-label")).second);
            continue;
        }
        inputs += element.name == "input" ? 1 : 0;
        notes += element.name == "textarea" ? 1 : 0;
        const std::string& field = element.attributes.at("data-field");
        CHECK((field == "point1" || field == "point2" || field == "volts" || field == "note"));
        CHECK(labels.insert(element.attributes.at("aria-label")).second);
    }
    CHECK(inputs == 3 * 2 + 1);
    CHECK(notes == 3);
    CHECK(labels.contains("Reading 2 of P-2"));
    CHECK(labels.contains("Photo of D.3"));
    CHECK(labels.contains("Volts at P-2"));
    CHECK(text_of_html(cards_of(sheet)[1]).find("11.3 V") != std::string::npos);
    CHECK(cards_of(sheet)[0].find("Volts") == std::string::npos);
}

TEST_CASE("too bright and too dim say what to try next, or that nothing further fits") {
    AimSheet sheet = make_sheet();
    sheet.cards[0].brighter = "the \"5 W\" lamp";
    const std::string card = cards_of(sheet)[0];
    const Lines says = list_between(card, "data-say=\"", "\"");
    REQUIRE(says.size() == 2);
    CHECK(says[0] == "Nothing further at hand fits this fixture.");
    CHECK(says[1] == "Try the &quot;5 W&quot; lamp.");
    CHECK(list_between(card, "data-step=\"", "\"") == Lines{"too bright", "too dim"});
    // On paper the same is ticked with a pencil.
    CHECK(list_between(card, "<p class=\"boxes\">", "</p>") ==
          Lines{"\u2610 aimed<br/>\u2610 too bright<br/>\u2610 too dim: try the &quot;5 W&quot; lamp"});
}

TEST_CASE("readings are saved in the unit that the sheet expects them in, and apart from other versions") {
    AimSheet sheet = make_sheet();
    const auto body = [&] { return list_between(print_aim_sheet(sheet), "<body ", ">").at(0); };
    CHECK(body().find("data-unit=\"lux\"") != std::string::npos);
    CHECK(body().find("data-version=\"abc123\"") != std::string::npos);
    sheet.light = LightUnit::footcandle;
    CHECK(body().find("data-unit=\"footcandles\"") != std::string::npos);
    // A sheet of another version is another page to the policy of the browser too.
    const auto nonce = [&] { return list_between(print_aim_sheet(sheet), "nonce=\"", "\"").at(0); };
    const std::string before = nonce();
    sheet.version = "abc124";
    CHECK(nonce() != before);
    CHECK(nonce().size() == 16);
}

TEST_CASE("the foot of the sheet says what the expected light is of, and what is dangerous") {
    AimSheet sheet = make_sheet();
    const auto foot = [&] {
        return text_of_html(list_between(print_aim_sheet(sheet), "<footer>", "</footer>").at(0));
    };
    sheet.is_as_new = true;
    CHECK(foot().find("new lamps behind clean lenses") != std::string::npos);
    sheet.is_as_new = false;
    CHECK(foot().find("aged lamps behind lenses cleaned once a year") != std::string::npos);
    for (const char* word :
         {"hot", "ladder", "licensed electrician", "water", "Local code", "Drawn by a test."})
        CHECK_MESSAGE(foot().find(word) != std::string::npos, word);
    const std::string page = print_aim_sheet(sheet);
    CHECK(page.find("Lane &amp; &lt;End&gt;") != std::string::npos);
    CHECK(page.find("<End>") == std::string::npos);
    CHECK(text_of_html(without_script(page)).find("3 fixtures") != std::string::npos);
}
