// An offer: its options and sums by independent count, and its page as a document.

#include <doctest/doctest.h>

#include <algorithm>
#include <fmt/format.h>
#include <fstream>

#include "../folder.hpp"
#include "../pixels.hpp"
#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/sheets/client_words.hpp"
#include "duskcast/sheets/coverage_images.hpp"
#include "duskcast/sheets/proposal.hpp"
#include "well_formed.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

SiteFile make_lane() {
    return read_site(R"({"duskcast": 1, "name": "Lane <End> & Co", "units": "m", "light": "lx",
        "sensor_spacing": 0.5, "ground_spacing": 1, "ground": {"margin": 1},
        "walls": [{"id": "front-wall", "path": [[0, 0], [6, 0]], "height": 3, "finish": "stucco white"}],
        "lamps": [{"id": "l", "name": "lamp 5 W", "watts": 5, "lumens": 300, "beam": 40}],
        "fixtures": [{"id": "A", "kind": "uplight", "lamp": "l", "wall": "front-wall", "along": 2, "setback": 0.5},
                     {"id": "B", "kind": "uplight", "lamp": "l", "wall": "front-wall", "along": 4, "setback": 0.5},
                     {"id": "C", "kind": "path", "lamp": "l", "at": [3, -3]}],
        "targets": [{"id": "middle", "on": "front-wall", "along": [2, 4], "level": 5, "share": 0.5}],
        "views": [{"id": "arriving", "eye": [3, -12, 1.6], "look_at": [3, 0, 1.5]}],
        "variants": [{"id": "less", "name": "Less", "without": ["B"]}, {"id": "winter", "season": "bare"},
                     {"id": "more", "added": [{"id": "D", "kind": "path", "lamp": "l", "at": [5, -3]}]}],
        "network": {"transformers": [{"id": "T", "at": [-1, -1], "va": 100}],
          "runs": [{"id": "r", "gauge": 12, "path": [[-1, -1], [6, -1]], "fixtures": ["A", "C", "B"]}]}})",
                     "lane.site.json");
}

/// Two kinds of fixture, a lamp, everything else free of charge, labour 50 an hour, 10 % tax on everything
/// but labour, 25 % markup on materials.
PriceList make_prices() {
    return read_price_list(
        "kind,id,description,unit,price,labour_hours,taxed\n"
        "currency,EUR,,,,,\nfixture,uplight,,each,100,0.5,yes\nfixture,path,,each,60,0.5,yes\n"
        "lamp,l,,each,10,0,yes\ncable,12 AWG,,100 m,0,0,yes\ncable,18 AWG,,100 m,0,0,yes\n"
        "connector,c,,each,0,0,yes\nmount,spike,,each,0,0,yes\ntransformer,100 VA,,each,0,0,yes\n"
        "labour,,,hour,50,,no\ntax,,,percent,10,,\nmarkup,materials,,percent,25,,\n",
        "p.csv");
}

std::size_t count_of(const std::string& text, const std::string& part) {
    std::size_t count = 0;
    for (std::size_t i = text.find(part); i != std::string::npos; i = text.find(part, i + 1))
        ++count;
    return count;
}

/// A proposal with nothing traced.
Proposal make_paper(const std::string& name) {
    Proposal proposal;
    proposal.business.business.name = name;
    proposal.business.business.terms = "Line one\n\n<script>alert(1)</script>";
    proposal.business.business.deposit = 0.4;
    proposal.site_name = name;
    proposal.client = name;
    proposal.cover = {"image/jpeg", "x", name};
    proposal.features.push_back({name, {"image/jpeg", "y", name}, {name}});
    proposal.views.push_back({"As you arrive", {"image/jpeg", "z", ""}, {"lit", "dark"}});
    proposal.fixtures.push_back({"A", name, "lamp", "at the wall", "tilt"});
    proposal.options.push_back(
        {.name = name, .fixtures = {"1 × light"}, .fixture_count = 1, .is_proposed = true});
    proposal.cautions = {name};
    proposal.tables.push_back({"Load", {"a < b"}});
    return proposal;
}

} // namespace

TEST_CASE("options are the site and its other designs, the least first, with sums that add up") {
    std::vector<Site> sites;
    const SiteFile lane = make_lane();
    const std::vector<ProposalOption> options = make_options(lane, {.prices = make_prices()}, {}, sites);
    REQUIRE(options.size() == 3); // another season is no option
    REQUIRE(sites.size() == 3);
    CHECK(options[0].name == "Less");
    CHECK(options[1].is_proposed);
    CHECK(options[2].name == "More");
    CHECK(options[0].changes == std::vector<std::string>{"Without one uplight"});
    CHECK(options[2].changes == std::vector<std::string>{"One path light more"});
    // By hand: uplights 100, path lights 60, a lamp 10 in each; 25 % markup; half an hour each at 50; 10 % on
    // materials. In cents.
    const auto total = [](int uplights, int paths) {
        const int materials = (uplights * 11000 + paths * 7000) * 5 / 4;
        return materials + (uplights + paths) * 2500 + materials / 10;
    };
    const int expected[3] = {total(1, 1), total(2, 1), total(2, 2)};
    for (std::size_t i = 0; i < 3; ++i) {
        CHECK(options[i].has_cable); // also where fixtures come and go
        REQUIRE(options[i].take_off);
        CHECK_MESSAGE(options[i].take_off->is_complete(), i);
        CHECK(options[i].take_off->total() == expected[i]);
        REQUIRE(options[i].energy);
        // 5 W a lamp and what the cable loses, 5 h on 365 nights
        CHECK(options[i].energy->kilowatt_hours ==
              doctest::Approx(5.0 * static_cast<double>(options[i].fixture_count) * 5 * 365 / 1000)
                  .epsilon(0.02));
    }
}

TEST_CASE("a business's own margin is put on what its price list leaves at cost") {
    std::vector<Site> sites;
    Business business;
    business.margin = 0.2;
    const ProposalChoice choice{.prices = make_prices()};
    const std::vector<ProposalOption> plain = make_options(make_lane(), choice, {}, sites),
                                      margined = make_options(make_lane(), choice, business, sites);
    // Three fixtures by hand: an hour and a half at 50, 20 % of the price: 75 / 0.8 = 93.75. The list's own
    // markup on materials stays.
    REQUIRE(margined[1].is_proposed);
    CHECK(margined[1].take_off->labour.price == 9375);
    CHECK(margined[1].take_off->materials_price == plain[1].take_off->materials_price);
    CHECK(margined[1].take_off->total().value() == plain[1].take_off->total().value() + 9375 - 7500);
    business.margin.reset();
    business.markup = 0.2;
    CHECK(make_options(make_lane(), choice, business, sites)[1].take_off->labour.price == 9000); // 75 x 1.2
    // Neither is for the client to read.
    Proposal proposal = make_paper("x");
    proposal.options = margined;
    proposal.business.business.margin = 0.2;
    for (const std::string& page : {print_proposal(proposal), print_technical_sheets(proposal)})
        for (const char* word : {"markup", "Markup", "over cost"})
            CHECK(page.find(word) == std::string::npos);
}

TEST_CASE("the paper is the browser's own unless one is named") {
    Proposal proposal = make_paper("x");
    const auto has = [&](const char* text) {
        return print_proposal(proposal).find(text) != std::string::npos &&
               print_technical_sheets(proposal).find(text) != std::string::npos;
    };
    CHECK_FALSE(has("@page { size"));
    proposal.paper = Paper::a4;
    CHECK(has("@page { size: A4; }")); // CSS Paged Media 3, 7.1: names of page sizes
    proposal.paper = Paper::letter;
    CHECK(has("@page { size: letter; }"));
}

TEST_CASE("a price that the list lacks leaves the total open and is named") {
    PriceList prices = make_prices();
    std::erase_if(prices.items, [](const PriceItem& item) { return item.id == "path"; });
    std::vector<Site> sites;
    Proposal proposal = make_paper("x");
    proposal.options = make_options(make_lane(), {.prices = prices}, {}, sites);
    const std::string page = print_proposal(proposal);
    CHECK(count_of(page, "to be confirmed") == 9); // total, on acceptance, on completion, three designs
    CHECK(count_of(page, "fixture &quot;path&quot;") == 3);
    CHECK(page.find('?') == std::string::npos);
}

TEST_CASE("pages are well-formed, load nothing, and no text becomes markup") {
    const std::string name = "<img src=x onerror=alert(1)> \"&' </style>";
    Proposal proposal = make_paper(name);
    std::vector<Site> sites;
    const std::vector<ProposalOption> priced =
        make_options(make_lane(), {.prices = make_prices()}, {}, sites);
    for (const bool is_priced : {false, true}) {
        if (is_priced)
            proposal.options = priced;
        for (const std::string& page : {print_proposal(proposal), print_technical_sheets(proposal)}) {
            CHECK(page.find("<img src=x") == std::string::npos);
            CHECK(page.find("<script") == std::string::npos);
            CHECK(page.find("http://") == std::string::npos);
            CHECK(page.find("https://") == std::string::npos);
            CHECK(count_of(page, "</style>") == 2);
            CHECK(page.find("default-src &#39;none&#39;") != std::string::npos);
            for (const Element& element : read_elements(page)) {
                for (const char* one : {"href", "onclick", "onerror"})
                    CHECK(element.attributes.count(one) == 0);
                if (element.name == "img")
                    CHECK(element.attributes.at("src").starts_with("data:image/"));
            }
        }
    }
}

TEST_CASE("a client reads no units of light and no ids") {
    const SiteFile lane = make_lane();
    Report report;
    report.targets.push_back({.id = "middle", .on = "front-wall", .share = 0.6, .is_reached = true});
    report.purposes = {{.fixture = "A", .on = "front-wall", .target = "middle"},
                       {.fixture = "B", .on = "front-wall", .target = "middle"},
                       {.fixture = "C", .on = "ground"}};
    SeenFeature seen{.feature = "middle",
                     .on = "front-wall",
                     .from = {Viewpoint::Kind::view, "arriving"},
                     .sighting = Sighting::lit};
    report.seen = {seen};
    const std::vector<LitThing> things = list_lit_things(lane.site, report);
    REQUIRE(things.size() == 1); // open ground is no feature
    CHECK(things[0].fixtures == std::vector<std::string>{"A", "B"});
    CHECK(print_lit_thing(lane.site, things[0]) ==
          "Two uplights graze the middle. As you arrive, it is lit.");
    CHECK(print_from_view(lane.site, report, "arriving") == std::vector<std::string>{"The middle: lit."});
    CHECK(print_from_view(lane.site, report, "leaving").empty());
    CHECK(print_lights(lane.site, {"A", "C", "B"}) == "two uplights and one path light");
    CHECK(print_viewpoint("front-door") == "From the front door");
    CHECK(print_count(13) == "13");
}

TEST_CASE("a whole proposal of a small property") {
    const Proposal proposal = make_proposal(make_lane(), {.business = {.name = "Ash"}},
                                            {.prices = make_prices(), .is_quick = true});
    CHECK(proposal.features.size() == 1);
    CHECK(proposal.views.size() == 1);
    CHECK(proposal.seasons.empty()); // no tree
    CHECK(proposal.fixtures.size() == 3);
    CHECK(proposal.diagrams.size() == 2);
    CHECK(proposal.plates.size() == 2); // wall and ground
    CHECK(proposal.summary == "Three lights, 15 watts in all: less than one light bulb of the old kind.");
    CHECK(proposal.cover.bytes != proposal.before.bytes);
    for (const PagePicture* picture : {&proposal.cover, &proposal.before, &proposal.options[0].picture})
        CHECK(picture->bytes.starts_with("\xff\xd8"));
    read_elements(print_proposal(proposal));
    SiteFile blind = make_lane();
    blind.site.views.clear();
    CHECK_THROWS_AS(make_proposal(blind, {}, {}), InputError);
}

TEST_CASE("the seasons show a tree that grows, be it a target or not") {
    SiteFile lane = make_lane();
    lane.site.leaf_sensors = 20;
    Tree yew{.id = "yew", .at = {1, -2}, .height = 2.5, .base = 0.3, .width = 2};
    yew.foliage.leaf_size = 0.3;
    Tree ash = yew;
    ash.id = "ash";
    ash.at = {5, -2};
    ash.growth = {.height = 0.1, .width = 0.05, .mature_height = 6, .mature_width = 4};
    lane.site.trees = {yew, ash};
    lane.site.targets = {{.id = "crown", .on = "ash", .level = 5, .share = 0.1}};
    lane.site.variants.clear();
    lane.site.network.reset();
    const Proposal proposal = make_proposal(lane, {}, {.is_quick = true});
    REQUIRE(proposal.seasons.size() >= 2);
    CHECK(proposal.seasons.front().sentences.front() == "The ash, as the first night will show it.");
    CHECK(proposal.seasons.back().title == "In ten years");
}

TEST_CASE("where the site has a photo, the client sees it by day, by night and in every option") {
    SiteFile site_file = read_site_file(DUSKCAST_SOURCE_DIR "/scenes/street-photo/street-photo.site.json");
    Site& site = site_file.site;
    site.targets.clear();
    site.shrubs.clear(); // with them their masks
    site.trees.clear();  // and no season
    site.photos.front().masks.clear();
    site.variants.resize(1);
    site.variants.front().without = {"U1"};
    site.fixtures.resize(4);
    site.sensor_spacing = site.ground_spacing = 1;
    const Proposal proposal = make_proposal(site_file, {}, {.is_quick = true});
    CHECK(proposal.is_photo);
    CHECK(proposal.views.size() == 1); // the photo's own place, since the site names no view
    const Pixels taken = read_pixels(read_bytes(DUSKCAST_SOURCE_DIR "/scenes/street-photo/street.jpg")),
                 before = read_pixels(proposal.before.bytes), cover = read_pixels(proposal.cover.bytes);
    REQUIRE(before.rgba.size() == taken.rgba.size());
    REQUIRE(cover.rgba.size() == taken.rgba.size());
    double off = 0, day = 0, night = 0;
    for (std::size_t i = 0; i < taken.rgba.size(); ++i) {
        off += std::abs(before.rgba[i] - taken.rgba[i]);
        day += taken.rgba[i];
        night += cover.rgba[i];
    }
    CHECK(off / static_cast<double>(taken.rgba.size()) < 3); // packed twice
    CHECK(night < 0.7 * day);                                // opacity counts in both
    // The left end of the wall is dark in the option without its light, and only there.
    REQUIRE(proposal.options.size() == 2);
    const Pixels less = read_pixels(proposal.options.front().picture.bytes);
    CHECK(!proposal.options.front().is_proposed);
    const auto light_near = [](const Pixels& page, int x, int y) {
        double sum = 0;
        for (int j = -15; j < 15; ++j)
            for (int i = -15; i < 15; ++i)
                sum +=
                    page.rgba[4 * (static_cast<std::size_t>(page.height - 1 - y - j) * page.width + x + i)];
        return sum;
    };
    CHECK(light_near(less, 250, 430) < 0.5 * light_near(cover, 250, 430));
    CHECK(light_near(less, 700, 400) > 0.9 * light_near(cover, 700, 400));
}

PIXEL_TEST_CASE("coverage pictures are slides that say what they are") {
    const SiteFile lane = make_lane();
    const std::vector<CoverageImage> images = draw_coverage_images(lane);
    REQUIRE(images.size() == 2);
    CHECK(images[0].id == "front-wall");
    CHECK(images[1].id == "ground");
    for (const CoverageImage& image : images) {
        const Pixels pixels = read_pixels(image.png);
        CHECK(3 * pixels.height == 2 * pixels.width);
        CHECK(pixels.width == 2400);
        CHECK(image.png.find("Lane <End> & Co: " + image.id) < 100);
        CHECK(image.png.find("illuminance in lux, lengths in metres") < 400);
        CHECK(image.png.find(fmt::format("lane.site.json, hash {:016x}", lane.hash)) < 400);
    }
    // One scale: the colours at its two ends are the same on both.
    const Pixels wall = read_pixels(images[0].png), ground = read_pixels(images[1].png);
    for (const Colour& end : {dusk_colour(0), dusk_colour(1)}) {
        CHECK(find_colour(wall, end, 4).count > 0);
        CHECK(find_colour(ground, end, 4).count > 0);
    }
}
