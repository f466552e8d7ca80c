// Sentences about random figures: each is judged anew from the figures and compared with what it says, so
// that no combination of figures is told wrongly. The wording itself is in the other tests of words.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <regex>
#include <string>
#include <vector>

#include "../cable_line.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/view_words.hpp"

using namespace duskcast;

namespace {

constexpr double ft = metres_per_foot;

class Dice {
public:
    explicit Dice(unsigned seed) : random_(seed) {}
    int roll(int low, int high) { return low + static_cast<int>(random_() % unsigned(high - low + 1)); }
    bool flip() { return roll(0, 1) == 1; }
    double between(double low, double high) {
        return low + (high - low) * (static_cast<double>(random_()) / 4294967296.0);
    }

private:
    std::mt19937 random_;
};

bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

/// The figure behind the words; NaN where they are not there.
double figure_after(const std::string& text, const std::string& words) {
    const std::size_t at = text.find(words);
    if (at == std::string::npos)
        return std::nan("");
    std::string rest = text.substr(at + words.size());
    std::erase(rest, ','); // of thousands
    return std::stod(rest);
}

/// A sentence or two of plain figures: nothing doubled, nothing left over of a print that failed.
void check_sentence(const std::string& text) {
    CAPTURE(text);
    REQUIRE_FALSE(text.empty());
    CHECK(text.back() == '.');
    for (const char* fault : {"  ", " .", " ,", "..", "nan", "inf", "{", "}", ";;", ": .", "()", "-0 "})
        CHECK_FALSE(has(text, fault));
}

std::string height_words(double metres) {
    return print_height(metres, LengthUnit::foot);
}

Site make_wall_site() {
    Site site{.is_as_new = true};
    Wall wall;
    wall.id = "front";
    wall.path = {{0, 0}, {12, 0}};
    wall.height = 20 * ft;
    site.walls = {wall};
    site.lamps = {{.id = "spot"}, {.id = "flood", .name = "flood 5 W"}};
    site.fixtures = {{.id = "U1", .lamp = "spot", .wall = "front", .along = 6}};
    return site;
}

} // namespace

TEST_CASE("any reach: the top, what is short, and what another lamp would do") {
    const Site site = make_wall_site();
    const double top = 20 * ft, level = lux_per_footcandle;
    int short_ones = 0, full_ones = 0;
    for (unsigned seed = 1; seed <= 500; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        Reach reach{.level_lx = level, .wall_height = top};
        if (dice.roll(0, 9) > 0)
            reach.height = dice.between(0.2, top);
        if (dice.roll(0, 5) == 0) {
            reach.height = top;
            reach.is_to_top = true;
        }
        FixtureReach line{.fixture = "U1", .surface = "front", .along = 6, .levels = {reach}};
        line.level_lx = level;
        if (dice.flip()) {
            line.target = "band";
            line.goal = dice.between(2, top);
        }
        line.lamps_tried = dice.roll(0, 2);
        if (line.lamps_tried > 0 && dice.flip() && reach.height)
            line.better =
                HigherReach{"flood", {.level_lx = level, .height = *reach.height + 1.2, .wall_height = 99}};
        Report report;
        report.levels_lx = {level};
        report.reaches = {line};
        const std::vector<Sentence> sentences = print_answers(site, report);
        REQUIRE(sentences.size() == 1);
        const std::string& text = sentences[0].text;
        check_sentence(text);
        CAPTURE(text);
        CHECK(text.starts_with("U1 (spot) on front: 1 fc "));
        CHECK(has(text, "is reached nowhere") == !reach.height.has_value());
        if (!reach.height)
            continue;
        // Half a foot is not told apart.
        const bool is_to_top = reach.is_to_top || *reach.height > top - ft / 2;
        const double goal = line.goal > 0 ? line.goal : top;
        const bool is_enough = is_to_top || *reach.height > goal - ft / 2;
        CHECK(has(text, "reaches all the way up") == is_to_top);
        CHECK(has(text, "reaches about " + height_words(*reach.height)) == !is_to_top);
        CHECK(has(text, "its target, band, ends at") == (goal < top - ft / 2));
        CHECK(has(text, "short by about") == !is_enough);
        if (!is_enough)
            CHECK(std::abs(figure_after(text, "short by about ") * ft - (goal - *reach.height)) <
                  ft / 4 + 1e-9);
        (is_enough ? full_ones : short_ones) += 1;
        const bool is_tried = !is_enough && line.lamps_tried > 0;
        CHECK(has(text, "The flood 5 W would add about 4 ft.") == (is_tried && line.better.has_value()));
        CHECK(has(text, "No other lamp") == (is_tried && !line.better));
    }
    CHECK(short_ones > 100);
    CHECK(full_ones > 50);
}

TEST_CASE("any target: reached or missed as it is, and never a share that reads the other way") {
    const Site site = make_wall_site();
    for (unsigned seed = 1; seed <= 500; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        TargetReport target{.id = "band", .on = "front", .level_lx = 10};
        target.wanted_share = 0.01 * dice.roll(1, 100);
        target.share = dice.flip() ? dice.between(0, 1) : target.wanted_share + dice.between(-0.01, 0.01);
        target.share = std::clamp(target.share, 0.0, 1.0);
        target.is_reached = target.share >= target.wanted_share;
        target.stats.mean_lx = dice.between(0, 40);
        if (dice.flip())
            target.better = MoreCoverage{"U1", "flood", dice.between(target.share, 1), dice.flip()};
        Report report;
        report.levels_lx = {10};
        report.targets = {target};
        const std::string text = print_answers(site, report).at(0).text;
        CAPTURE(text);
        check_sentence(text);
        CHECK(has(text, ": reached. Mean") == target.is_reached);
        CHECK(has(text, ": missed. Mean") == !target.is_reached);
        CHECK(has(text, print_share(target.wanted_share) + " wanted"));
        const bool reads_alike = print_share(target.share) == print_share(target.wanted_share);
        CHECK(has(text, "just under") == (reads_alike && !target.is_reached));
        CHECK(has(text, "With the flood 5 W in U1 it would be") == target.better.has_value());
        if (target.better)
            CHECK(text.ends_with(": reached.") == target.better->is_reached);
    }
}

TEST_CASE("spill and glow: shares that make up the whole, the brightest named first") {
    const Site site = make_wall_site();
    const std::regex percent("([0-9.]+) %");
    for (unsigned seed = 1; seed <= 300; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        const auto parts = [&](double whole) { // four parts of a whole
            std::array<double, 4> made{dice.between(0, 1), dice.between(0, 1), dice.between(0, 1),
                                       dice.between(0, 1)};
            const double sum = made[0] + made[1] + made[2] + made[3];
            for (double& part : made)
                part *= whole / sum;
            return made;
        };
        const auto sum_of_shares = [&](const std::string& text) {
            double sum = 0;
            for (std::sregex_iterator it(text.begin(), text.end(), percent), end; it != end; ++it)
                sum += std::stod((*it)[1]);
            return sum;
        };
        Report report;
        report.levels_lx = {10};
        const double emitted = dice.between(1, 50000);
        const auto landed = parts(emitted);
        report.spill = {emitted, landed[0], landed[1], landed[2], landed[3], 0};
        double whole = 0;
        const int count = dice.roll(0, 7);
        for (int i = 0; i < count; ++i) {
            GlowReport glow{.id = "g" + std::to_string(i), .lumens = dice.between(1, 900)};
            const auto of_glow = parts(glow.lumens);
            glow.target_lm = of_glow[0];
            glow.other_lm = of_glow[1];
            glow.ground_lm = of_glow[2];
            glow.sky_lm = of_glow[3];
            whole += glow.lumens;
            report.glows.push_back(glow);
        }
        const std::vector<Sentence> sentences = print_answers(site, report);
        REQUIRE(sentences.size() == (count > 0 ? 2 : 1));
        check_sentence(sentences[0].text);
        CHECK(figure_after(sentences[0].text, "Of ") ==
              doctest::Approx(emitted).epsilon(0.005));               // three digits
        CHECK(std::abs(sum_of_shares(sentences[0].text) - 100) <= 2); // four rounded
        if (count == 0)
            continue;
        const std::string& text = sentences[1].text;
        CAPTURE(text);
        check_sentence(text);
        CHECK(std::abs(sum_of_shares(text) - 100) <= 2);
        CHECK(figure_after(text, "Of these ") == doctest::Approx(whole).epsilon(0.005));
        // Four at most are named, by their lumens; the rest is counted.
        std::vector<GlowReport> sorted = report.glows;
        std::sort(sorted.begin(), sorted.end(),
                  [](const GlowReport& a, const GlowReport& b) { return a.lumens > b.lumens; });
        std::size_t at = 0;
        for (std::size_t i = 0; i < sorted.size(); ++i) {
            const std::size_t found = text.find(sorted[i].id + " (");
            CHECK((found != std::string::npos) == (i < 4));
            if (i < 4) {
                CHECK(found > at);
                at = found;
            }
        }
        CHECK(has(text, std::to_string(count - 4) + " more") == (count > 4));
    }
    // Nothing glows where all that could is dark.
    Report dark;
    dark.levels_lx = {10};
    dark.glows = {{.id = "lantern"}};
    CHECK(print_answers(site, dark).empty());
}

TEST_CASE("any sighting: heights in their order, and the same only where it is the same") {
    for (unsigned seed = 1; seed <= 500; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        const auto make = [&](const char* view) {
            SeenFeature seen{.feature = "oak", .is_tree = true, .from = {Viewpoint::Kind::view, view}};
            seen.sighting = static_cast<Sighting>(dice.roll(0, 4));
            seen.is_upright = dice.flip();
            seen.high = 10;
            seen.seen_to = dice.flip() ? 10 : 8;
            const double lit = dice.between(1, 9), faint = dice.between(lit, 10);
            seen.lit = {
                .all = {{0, lit}}, .main = {dice.flip() ? 0 : lit / 2, lit}, .is_to_top = dice.flip()};
            seen.faint = {.all = {{0, faint}}, .main = {0, faint}, .is_to_top = dice.flip()};
            return seen;
        };
        const SeenFeature seen = make("drive"), other = dice.flip() ? seen : make("street");
        const std::string text = print_sighting(seen, LengthUnit::metre);
        CAPTURE(text);
        check_sentence(text + ".");
        const bool is_lit = seen.sighting == Sighting::lit;
        CHECK(text.starts_with("lit") == is_lit);
        CHECK(text.starts_with("faint") == (seen.sighting == Sighting::faint));
        CHECK(has(text, " of 10 m") ==
              (seen.is_upright && (is_lit || seen.sighting == Sighting::faint) && !has(text, "to its top")));
        CHECK(has(text, ", faint") <= (is_lit && seen.is_upright && !seen.lit.is_to_top));
        if (has(text, ", faint to about "))
            CHECK(figure_after(text, ", faint to about ") > figure_after(text, "to about "));
        CHECK(has(text, "from about") <= (seen.lit.main.from > 2.5)); // the lowest quarter is the foot
        const std::string both = print_seen({seen, other}, "oak", true, LengthUnit::metre);
        CHECK(has(both, ": the same") == (print_sighting(other, LengthUnit::metre) == text));
        CHECK(print_seen({seen}, "elm", true, LengthUnit::metre).empty());
        CHECK(print_seen({seen}, "oak", false, LengthUnit::metre).empty());
    }
}

TEST_CASE("any load: lamps counted by their volts, cable added up by gauge, transformers by their rating") {
    int low = 0, good = 0, none = 0;
    for (unsigned seed = 1; seed <= 150; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        const double rating = 50 * dice.roll(1, 12), watts = dice.roll(2, 30);
        Site site = tests::make_line(
            static_cast<std::size_t>(dice.roll(1, 9)), dice.roll(5, 40),
            {.id = "lamp", .watts = watts, .draw = static_cast<Draw>(dice.roll(0, 3))}, rating);
        CableRun& run = site.network->runs[0];
        run.gauge = cable_gauges[static_cast<std::size_t>(dice.roll(0, 5))];
        run.lead = dice.flip() ? 1 : 0;
        const LoadReport report = measure_load(site, {}, tests::by_nec);
        const std::vector<std::string> lines = print_load_verdict(report, LengthUnit::foot);
        for (const std::string& line : lines)
            check_sentence(line);
        int within = 0;
        double least = HUGE_VAL, most = 0, asked = 0;
        for (const FixtureLoad& fixture : report.fixtures) {
            within +=
                fixture.volts >= fixture.operating_volts[0] && fixture.volts <= fixture.operating_volts[1];
            least = std::min(least, fixture.volts);
            most = std::max(most, fixture.volts);
            asked += fixture.asked_watts;
        }
        const int count = static_cast<int>(report.fixtures.size());
        if (!report.runs[0].is_found) {
            CHECK(lines[0].starts_with("This does not work yet: 0 of "));
            CHECK(lines[1].starts_with("Run line has no operating point: "));
            CHECK(figure_after(lines[1], "ask for ") == doctest::Approx(asked).epsilon(0.005));
            ++none;
            continue;
        }
        const double amperes = report.transformers[0].volt_amperes;
        // A fifth of the rating is left as a reserve (common practice).
        const bool is_bearable = amperes <= 0.8 * rating && report.transformers[0].secondary_amps[0] <= 25;
        const bool is_working = within == count && is_bearable;
        (is_working ? good : low) += 1;
        CHECK(lines[0].starts_with(is_working ? "This works: " : "This does not work yet: "));
        CHECK(figure_after(lines[0], ": ") == within);
        CHECK(figure_after(lines[0], " of ") == count);
        CHECK(std::abs(figure_after(lines[0], "range, ") - least) <=
              0.005 + 1e-9); // to a hundredth of a volt
        CHECK(std::abs(figure_after(lines[0], " to ") - most) <= 0.005 + 1e-9);
        const auto rated = std::find_if(lines.begin(), lines.end(), [](const std::string& line) {
            return line.starts_with("Transformer T1");
        });
        REQUIRE(rated != lines.end());
        CHECK(has(*rated, "it is overloaded") == (amperes > rating));
        CHECK(has(*rated, "more than the customary") == (amperes > 0.8 * rating && amperes <= rating));
        const std::string& cable = lines.back(); // rounded up to whole feet
        const std::string own = std::to_string(run.gauge) + " AWG", leads = "18 AWG";
        const double laid = report.runs[0].cable_length / ft, lead = report.runs[0].lead_length / ft;
        CHECK(has(cable, own));
        if (lead > 0 && run.gauge != 18) {
            CHECK(cable.find(leads) < cable.find(own)); // thin to thick
            CHECK(has(cable, std::to_string(std::lround(std::ceil(lead - 1e-6))) + " ft of 18 AWG"));
        }
        const double length = laid + (run.gauge == 18 ? lead : 0);
        CHECK(has(cable, std::to_string(std::lround(std::ceil(length - 1e-6))) + " ft of " + own));
        const std::vector<std::string> table = print_load_table(report, LengthUnit::foot);
        CHECK(table.size() ==
              static_cast<std::size_t>(count) + 1 + 1 + 2 + 1 + 2 + 1); // heads, gaps, what it means
    }
    CHECK(low > 10);
    CHECK(good > 10);
    CHECK(none > 3);
}

TEST_CASE("any views: a line for each thing seen, and the sides it stands out from") {
    for (unsigned seed = 1; seed <= 200; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        std::vector<ViewResult> results;
        const int views = dice.roll(1, 4), targets = dice.roll(0, 3);
        std::size_t wanted = 0;
        for (int v = 0; v < views; ++v) {
            ViewResult result{.report = {.view = "v" + std::to_string(v), .mean = 0.2, .max = 4}};
            ++wanted;
            for (int t = 0; t < targets; ++t) {
                const double contrast = dice.between(0.5, 20);
                result.report.targets.push_back({.target = "t" + std::to_string(t),
                                                 .pixels = 50,
                                                 .luminance = contrast,
                                                 .surroundings = 1,
                                                 .contrast = contrast});
                SeenFeature feature{.feature = "t" + std::to_string(t), .on = "front"};
                feature.sighting = static_cast<Sighting>(dice.roll(0, 4));
                result.features.push_back(feature);
                ++wanted;
            }
            for (int l = dice.roll(0, 3); l > 0; --l) {
                result.report.lenses.push_back({"U" + std::to_string(l), dice.between(0, 2), 0.1});
                wanted += result.report.lenses.back().luminance >= 1 ? 1 : 0;
            }
            results.push_back(result);
        }
        const std::vector<std::string> lines = print_views({}, results, usual_lit_luminance);
        CHECK(lines.size() ==
              wanted + (views > 1 ? static_cast<std::size_t>(targets) : 0) + (targets > 0 ? 1 : 0));
        for (int t = 0; t < targets && views > 1; ++t) {
            const std::string id = "target t" + std::to_string(t) + ": ";
            const auto line = std::find_if(lines.begin(), lines.end(),
                                           [&](const std::string& one) { return one.starts_with(id); });
            REQUIRE(line != lines.end());
            int sides = 0;
            for (const ViewResult& result : results) {
                // IES Lighting Handbook: 3 : 1 is recognised.
                const auto i = static_cast<std::size_t>(t);
                const bool stands_out =
                    result.features[i].sighting == Sighting::lit && result.report.targets[i].contrast >= 3;
                sides += stands_out;
                const std::size_t but = line->find("but not from"), at = line->find(result.report.view);
                REQUIRE(at != std::string::npos);
                if (but != std::string::npos)
                    CHECK((at < but) == stands_out);
            }
            CHECK(has(*line, "from every side") == (sides == views));
            CHECK(has(*line, "from no side") == (sides == 0));
        }
    }
}
