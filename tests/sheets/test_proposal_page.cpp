// A proposal as a client reads it: every text in its place, and prices that add up cell by cell.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/base/random.hpp"
#include "duskcast/sheets/proposal.hpp"
#include "html_text.hpp"
#include "well_formed.hpp"

using namespace duskcast;
using namespace duskcast::test;
using Lines = std::vector<std::string>;

namespace {

PagePicture make_picture(const std::string& words) {
    return {"image/jpeg", "bytes", words};
}

/// Nothing traced; one design, no price.
Proposal make_plain() {
    Proposal proposal;
    proposal.business.business.name = "Ash Lighting";
    proposal.site_name = "Lane End";
    proposal.summary = "Three lights, 15 watts in all.";
    proposal.cover = make_picture("by night");
    proposal.before = make_picture("today");
    proposal.plan = make_picture("plan");
    proposal.views.push_back({"As you arrive", make_picture("arriving"), {"The gate: lit."}});
    proposal.options.push_back({.name = "As proposed",
                                .fixtures = {"2 \u00d7 bullet", "1 \u00d7 path"},
                                .fixture_count = 3,
                                .watts = 15,
                                .is_proposed = true,
                                .has_cable = true});
    proposal.cautions = {"Local code decides."};
    return proposal;
}

TakeOff make_take_off(Cents materials, Cents labour, Cents tax) {
    TakeOff take_off;
    take_off.currency = "USD";
    take_off.materials_price = materials;
    take_off.labour.price = labour;
    take_off.tax_share = 60'000; // 6 %
    take_off.tax = tax;
    take_off.sum = materials + labour + tax;
    return take_off;
}

/// "1,234.56 USD" in cents.
long cents_of(const std::string& text) {
    std::string digits;
    for (const char c : text)
        if (std::isdigit(static_cast<unsigned char>(c)))
            digits += c;
    return std::stol(digits);
}

Lines headings_of(const std::string& page) {
    Lines headings;
    for (const std::string& heading : list_between(page, "<h2>", "</h2>"))
        headings.push_back(text_of_html(heading));
    return headings;
}

} // namespace

TEST_CASE("the cover says whose it is, for whom and when, and leaves out what nobody gave") {
    Proposal proposal = make_plain();
    const auto cover = [&] {
        const std::string page = print_proposal(proposal);
        read_elements(page);
        return text_of_html(list_between(page, "<header class=\"page cover\">", "</header>").at(0));
    };
    CHECK(cover() == "Lighting proposal Lane End Ash Lighting");
    proposal.client = "R. & S. Field";
    proposal.date = "June 3";
    Business& business = proposal.business.business;
    business.tagline = "Light where it counts";
    business.designer = "Kim Ash";
    business.address = "1 Elm St";
    business.phone = "555 0100";
    business.licence = "LV-1";
    CHECK(cover() == "Lighting proposal Lane End For R. & S. Field June 3 Ash Lighting Light where it counts "
                     "Kim Ash 1 Elm St 555 0100 \u00b7 LV-1");
    proposal.client.clear();
    CHECK(cover().find("Lane End June 3 Ash") != std::string::npos);
    // A logo is shown where there is one, with words for those who do not see it.
    CHECK(print_proposal(proposal).find("Logo of") == std::string::npos);
    proposal.business.logo = {"image/png", "logo"};
    CHECK(print_proposal(proposal).find("alt=\"Logo of Ash Lighting\"") != std::string::npos);
}

TEST_CASE("sections that have nothing to show are left out") {
    Proposal proposal = make_plain();
    CHECK(headings_of(print_proposal(proposal)) == Lines{"Today, and as it could be", "How you will see it",
                                                         "The plan and its lights", "The price",
                                                         "Care, warranty and terms"});
    proposal.features.push_back({"Maple", make_picture("maple"), {"Two uplights light the maple."}});
    proposal.views.push_back({"As you leave", make_picture("leaving"), {}});
    proposal.seasons.push_back({"In winter", make_picture("winter"), {"Bare boughs."}});
    proposal.options.push_back({.name = "More"});
    proposal.options.push_back({.name = "Most"});
    CHECK(headings_of(print_proposal(proposal)) ==
          Lines{"Today, and as it could be", "What is lit", "Arriving and leaving", "The plan and its lights",
                "Good, better, best", "Through the seasons, and as it grows", "Care, warranty and terms"});
    const std::string page = print_proposal(proposal);
    for (const char* text : {"Two uplights light the maple.", "Bare boughs.", "The gate: lit.",
                             "Three lights, 15 watts in all.", "Local code decides."})
        CHECK_MESSAGE(text_of_html(page).find(text) != std::string::npos, text);
    // A rendered night stands beside tonight, a photo beside itself by day.
    CHECK(text_of_html(page).find("Tonight, without the lighting proposed.") != std::string::npos);
    proposal.is_photo = true;
    CHECK(text_of_html(print_proposal(proposal)).find("By day, as it is now.") != std::string::npos);
    // What is due only where something is.
    CHECK(page.find("When service is due") == std::string::npos);
    proposal.service = {"Lenses: wiped clean every 6 months."};
    CHECK(text_of_html(print_proposal(proposal)).find("When service is due Lenses: wiped") !=
          std::string::npos);
    // Terms and warranty only where the business has some.
    CHECK(page.find("<h3>Warranty</h3>") == std::string::npos);
    proposal.business.business.warranty = "Ten years.\n\nLamps five.";
    const std::string with = print_proposal(proposal);
    CHECK(with.find("<h3>Warranty</h3>") != std::string::npos);
    CHECK(with.find("<p>Ten years.</p>") != std::string::npos); // a paragraph each
}

TEST_CASE("only three designs are called good, better and best") {
    Proposal proposal = make_plain();
    const auto tags = [&] {
        return list_between(print_proposal(proposal), "<span class=\"tag\">", "</span>");
    };
    const auto has_heading = [&](const std::string& heading) {
        const Lines headings = headings_of(print_proposal(proposal));
        return std::find(headings.begin(), headings.end(), heading) != headings.end();
    };
    CHECK(tags().empty());
    proposal.options.push_back({.name = "More"});
    CHECK(tags().empty());
    CHECK(!has_heading("Good, better, best"));
    CHECK(has_heading("Designs to choose from"));
    proposal.options.push_back({.name = "Most"});
    CHECK(tags() == Lines{"Good", "Better", "Best"});
    CHECK(has_heading("Good, better, best"));
    proposal.options.push_back({.name = "Too much"});
    CHECK(tags().empty());
    CHECK(!has_heading("Good, better, best"));
}

TEST_CASE("materials, installation and tax come to the total, and deposit and balance to the same") {
    Random random(12);
    for (int trial = 0; trial < 40; ++trial) {
        Proposal proposal = make_plain();
        const double deposit = trial % 5 == 0 ? 0 : random.uniform(0.05, 1);
        proposal.business.business.deposit = deposit;
        const int count = 1 + trial % 4;
        proposal.options.resize(static_cast<std::size_t>(count));
        for (ProposalOption& option : proposal.options) {
            option.name = "design";
            option.has_cable = true;
            option.take_off = make_take_off(static_cast<Cents>(random.uniform(1, 3e6)),
                                            static_cast<Cents>(random.uniform(0, 1e6)),
                                            static_cast<Cents>(random.uniform(0, 2e5)));
        }
        const std::string page = print_proposal(proposal);
        const Lines materials = cells_of(page, "Materials"), labour = cells_of(page, "Installation"),
                    tax = cells_of(page, "Tax"), total = cells_of(page, "Total"),
                    now = cells_of(page, "On acceptance"), later = cells_of(page, "On completion");
        REQUIRE(total.size() == proposal.options.size());
        CHECK(now.size() == (deposit > 0 ? total.size() : 0));
        for (std::size_t i = 0; i < total.size(); ++i) {
            CAPTURE(total[i]);
            CHECK(total[i].ends_with(" USD"));
            CHECK(cents_of(materials[i]) + cents_of(labour[i]) + cents_of(tax[i]) == cents_of(total[i]));
            if (deposit == 0)
                continue;
            CHECK(cents_of(now[i]) + cents_of(later[i]) == cents_of(total[i]));
            // To the cent, half a cent either way, and what a millionth of the share is.
            CHECK(std::abs(static_cast<double>(cents_of(now[i])) -
                           deposit * static_cast<double>(cents_of(total[i]))) <
                  0.51 + 1e-6 * static_cast<double>(cents_of(total[i])));
        }
        CHECK(cells_of(page, "Not yet priced").empty());
    }
}

TEST_CASE("a price that is not whole is no price, and says what it lacks") {
    Proposal proposal = make_plain();
    proposal.business.business.deposit = 0.5;
    proposal.options[0].take_off = make_take_off(10'000, 5'000, 600);
    ProposalOption other = proposal.options[0];
    other.name = "More";
    other.take_off->missing = {{.gap = PriceGap::item, .kind = ItemKind::fixture, .id = "well"},
                               {.gap = PriceGap::labour_rate, .kind = ItemKind::fixture, .id = ""}};
    other.take_off->labour.price.reset();
    other.take_off->tax_share.reset();
    proposal.options.push_back(other);
    const std::string page = print_proposal(proposal);
    CHECK(cells_of(page, "Total") == Lines{"156.00 USD", "to be confirmed"});
    CHECK(cells_of(page, "On acceptance") == Lines{"78.00 USD", "to be confirmed"});
    CHECK(cells_of(page, "Installation") == Lines{"50.00", "not yet priced"});
    CHECK(cells_of(page, "Tax") == Lines{"6.00", "none"});
    CHECK(cells_of(page, "Not yet priced") ==
          Lines{"nothing", "fixture \"well\" price of an hour of labour"});
}

TEST_CASE("notes below the price: what comes on top, how long it holds, what the energy is reckoned for") {
    Proposal proposal = make_plain();
    const auto notes = [&] {
        Lines lines;
        for (const std::string& line :
             list_between(list_between(print_proposal(proposal), "<div class=\"note keep\">", "</div>").at(0),
                          "<p>", "</p>"))
            lines.push_back(text_of_html(line));
        return lines;
    };
    CHECK(notes() == Lines{"Prices follow separately."});
    proposal.options[0].take_off = make_take_off(1, 1, 1);
    CHECK(notes() == Lines{"These prices hold for 30 days from the date of this proposal."});
    proposal.date = "June 3";
    proposal.business.business.valid_days = 14;
    proposal.options[0].has_cable = false;
    proposal.options[0].energy = YearlyEnergy{.use = {15, 5, 365}, .kilowatt_hours = 27.4};
    CHECK(notes() == Lines{"As proposed: cable and transformer come in addition.",
                           "These prices hold for 14 days from June 3.",
                           "Energy is reckoned for 5 hours on 365 nights."});
    CHECK(cells_of(print_proposal(proposal), "Energy") == Lines{"about 27 kWh a year"});
    proposal.options[0].energy->cost = 411;
    CHECK(cells_of(print_proposal(proposal), "Energy") == Lines{"about 27 kWh a year, 4.11\u00a0USD"});
    proposal.options[0].take_off->currency.clear();
    CHECK(list_between(print_proposal(proposal), "kWh a year, 4.11", "<") == Lines{""}); // and no stray space
    CHECK(cells_of(print_proposal(proposal), "Power") == Lines{"15 watts"});
    CHECK(cells_of(print_proposal(proposal), "Lights") == Lines{"2 \u00d7 bullet 1 \u00d7 path"});
}

TEST_CASE("a choice says what each design changes, and has a box to tick for each") {
    Proposal proposal = make_plain();
    CHECK(cells_of(print_proposal(proposal), "What changes").empty());
    CHECK(print_proposal(proposal).find("\u2610") == std::string::npos);
    proposal.options.push_back({.name = "Less", .changes = {"Without one uplight", "One path light more"}});
    proposal.options.push_back({.name = "Warm & dim"});
    const std::string page = print_proposal(proposal);
    CHECK(cells_of(page, "What changes") ==
          Lines{"The design on these pages", "Without one uplight One path light more", "The same lights"});
    CHECK(text_of_html(page).find("\u2610 As proposed \u00a0 \u2610 Less \u00a0 \u2610 Warm & dim") !=
          std::string::npos);
    // Who signs: the client and the designer, or whoever they are.
    const auto signers = [&] {
        return text_of_html(
            list_between(print_proposal(proposal), "<div class=\"sign\">", "</section>").at(0));
    };
    CHECK(signers() == "Client Date Ash Lighting Date");
    proposal.client = "R. Field";
    proposal.business.business.designer = "Kim Ash";
    CHECK(signers() == "R. Field Date Kim Ash, Ash Lighting Date");
}

TEST_CASE("fixtures carry the numbers of the plan, on the client's table and on the schedule") {
    Proposal proposal = make_plain();
    for (int i = 0; i < 11; ++i) {
        const std::string number = std::to_string(i + 1);
        proposal.fixtures.push_back({"F" + number, "Bullet", "lamp " + number, "at the wall",
                                     "9 ft from the left corner", "15 in back, tilt " + number + "\u00b0"});
    }
    const std::string page = print_proposal(proposal);
    const Lines marks = list_between(page, "<span class=\"number-mark\">", "</span>");
    REQUIRE(marks.size() == 11);
    for (std::size_t i = 0; i < marks.size(); ++i)
        CHECK(marks[i] == std::to_string(i + 1));
    CHECK(page.find("Lamp 7") != std::string::npos); // as a title
    CHECK(page.find(">F7<") == std::string::npos);   // ids are for the crew
    CHECK(page.find("tilt 7") == std::string::npos); // and so is how it is set
    CHECK(page.find("9 ft") == std::string::npos);
    proposal.origin = "Drawn by a test.";
    proposal.plates = {make_picture("house"), make_picture("ground")};
    proposal.diagrams = {make_picture("Cable plan")};
    proposal.tables = {{"Load", {"a  b", "1 < 2"}}};
    const std::string sheets = print_technical_sheets(proposal);
    read_elements(sheets);
    const Lines rows = list_between(sheets, "<tbody>", "</tbody>");
    REQUIRE(rows.size() == 1);
    CHECK(text_of_html(rows[0]).find(
              "7 F7 Bullet lamp 7 9 ft from the left corner 15 in back, tilt 7\u00b0") != std::string::npos);
    CHECK(list_between(sheets, "<img", ">").size() == 3);
    CHECK(sheets.find("<pre>a  b\n1 &lt; 2\n</pre>") != std::string::npos);
    CHECK(text_of_html(sheets).find("Drawn by a test.") != std::string::npos);
}

TEST_CASE("more than four things lit stand three in a row") {
    Proposal proposal = make_plain();
    proposal.features.assign(4, {"Wall", make_picture("Wall"), {"It is lit."}});
    CHECK(print_proposal(proposal).find("class=\"pairs threes\"") == std::string::npos);
    proposal.features.push_back(proposal.features.front());
    CHECK(print_proposal(proposal).find("class=\"pairs threes\"") != std::string::npos);
    proposal.features.resize(10); // three in a row would leave one alone on its page
    CHECK(print_proposal(proposal).find("class=\"pairs fours\"") != std::string::npos);
}
