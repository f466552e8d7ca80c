// What is said of a plant means the same in any order, and every kind is known by its name, however it is
// written. Distances between words are found by a search over single slips; sizes are 1 ft = 0.3048 m.

#include <doctest/doctest.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <set>
#include <string>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/fields.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/plant_kinds.hpp"

using namespace duskcast;

namespace {

bool is_same_reading(const PlantWords& a, const PlantWords& b) {
    return a.kind == b.kind && a.state == b.state && a.leaf == b.leaf && a.blossom == b.blossom &&
           a.form == b.form && a.density == b.density && a.height == b.height && a.width == b.width &&
           a.has_many_stems == b.has_many_stems;
}

std::string join(const std::vector<std::string>& parts, const char* between) {
    std::string text;
    for (const std::string& part : parts)
        text += (text.empty() ? "" : between) + part;
    return text;
}

/// What is one slip away: a letter left out, doubled, changed to one of `others`, or swapped with the next.
std::set<std::string> list_slips(const std::string& word, const std::string& others = "x") {
    std::set<std::string> slips;
    for (std::size_t i = 0; i < word.size(); ++i) {
        slips.insert(word.substr(0, i) + word.substr(i + 1));
        slips.insert(word.substr(0, i) + word[i] + word.substr(i));
        for (const char other : others) {
            std::string changed = word;
            changed[i] = other;
            slips.insert(changed);
        }
        if (i + 1 < word.size()) {
            std::string swapped = word;
            std::swap(swapped[i], swapped[i + 1]);
            slips.insert(swapped);
        }
    }
    slips.erase(word);
    return slips;
}

bool is_read(const std::string& words) {
    try {
        read_plant(words);
        return true;
    } catch (const InputError&) {
        return false;
    }
}

std::string remedy_for(const std::string& words) {
    try {
        read_plant(words);
    } catch (const InputError& error) {
        return error.problems().front().remedy;
    }
    return "";
}

} // namespace

TEST_CASE("what is said of any kind of plant means the same in every order") {
    for (const PlantKind& kind : plant_kinds()) {
        CAPTURE(std::string(kind.name));
        std::vector<std::string> parts{std::string(kind.name), "autumn", "dense", "4 ft tall", "30 in wide"};
        const PlantWords wanted = read_plant(join(parts, ", "));
        CHECK(wanted.kind == &kind);
        CHECK(wanted.state == PlantState::autumn);
        CHECK(wanted.density == LeafDensity::dense);
        CHECK(wanted.height == doctest::Approx(4 * 0.3048));
        CHECK(wanted.width == doctest::Approx(30 * 0.0254));
        std::sort(parts.begin(), parts.end());
        do {
            for (const char* between : {", ", ";"})
                if (!is_same_reading(read_plant(join(parts, between)), wanted))
                    FAIL_CHECK(join(parts, between) << " is read in another way");
        } while (std::next_permutation(parts.begin(), parts.end()));
    }
}

TEST_CASE("a height and a width with a comma between are two sizes") {
    const PlantWords rose = read_plant("rose, 3 ft, 30 in wide");
    CHECK(rose.height == doctest::Approx(3 * 0.3048));
    CHECK(rose.width == doctest::Approx(30 * 0.0254));
    const PlantWords turned = read_plant("30 in across, 3 ft, rose");
    CHECK(turned.height == rose.height);
    CHECK(turned.width == rose.width);
    // Feet and inches of one size stay together.
    CHECK(read_plant("rose, 3 ft 6 in wide").width == doctest::Approx(3.5 * 0.3048));
    CHECK(read_plant("rose, 3 ft 6 in").height == doctest::Approx(3.5 * 0.3048));
}

TEST_CASE("every colour of leaves that a file has a word for can be said of a plant") {
    std::vector<std::string> words;
    for (const ObjectInfo& object : describe_site_file())
        for (const FieldInfo& field : object.fields)
            if (object.name == "tree" && field.key == "leaf")
                words = field.words;
    REQUIRE(words.size() > 10);
    for (std::size_t i = 0; i < words.size(); ++i) {
        const LeafKind kind = static_cast<LeafKind>(i);
        if (kind == LeafKind::twigs || kind == LeafKind::blue) // which leaves are not, but blue-green
            continue;
        CAPTURE(words[i]);
        CHECK(read_plant("linden, " + words[i]).leaf == kind);
        CHECK(read_plant(words[i] + " linden, 18 ft").leaf == kind);
    }
    // A light green is a colour; light and green are two things.
    CHECK(read_plant("linden, light green").leaf == LeafKind::yellow_green);
    CHECK_FALSE(read_plant("linden, light green").density);
    for (const char* apart : {"linden, light, green", "light; green, linden", "green, linden, light"}) {
        CHECK(read_plant(apart).density == LeafDensity::light);
        CHECK(read_plant(apart).leaf == LeafKind::green);
    }
}

TEST_CASE("a kind is known by its name in capitals, with hyphens, and as several") {
    for (const PlantKind& kind : plant_kinds()) {
        const std::string name(kind.name);
        CAPTURE(name);
        CHECK(read_plant(upper_case(name)).kind == &kind);
        std::string hyphens = name;
        std::replace(hyphens.begin(), hyphens.end(), ' ', '-');
        CHECK(read_plant(hyphens).kind == &kind);
        const bool hisses =
            name.ends_with("s") || name.ends_with("x") || name.ends_with("ch") || name.ends_with("sh");
        std::string many = name + (hisses ? "es" : "s");
        if (name.ends_with("y")) // cherries, hollies
            many = name.substr(0, name.size() - 1) + "ies";
        CHECK(read_plant(many).kind == &kind);
        CHECK(read_plant("a bed with " + name).kind == &kind);
    }
}

TEST_CASE("one slip in a kind's name is met with that name, or with one as near") {
    const std::vector<std::string> names = list_plant_names();
    int checked = 0, exact = 0;
    for (const std::string& name : names) {
        if (name.size() < 5 || name.find(' ') != std::string::npos)
            continue;
        for (const std::string& slip : list_slips(name)) {
            if (is_read(slip))
                continue; // another plant's name: "lime" for "line"
            CAPTURE(name);
            CAPTURE(slip);
            const std::string remedy = remedy_for(slip + ", 9 ft");
            const bool is_named = remedy == "did you mean \"" + name + "\"?";
            // Another name may be one slip away as well.
            bool is_as_near = false;
            for (const std::string& other : names)
                if (remedy == "did you mean \"" + other + "\"?")
                    is_as_near = list_slips(other, "abcdefghijklmnopqrstuvwxyz").contains(slip);
            CHECK((is_named || is_as_near));
            exact += is_named;
            ++checked;
        }
    }
    CHECK(checked > 500);
    CHECK(exact > checked * 95 / 100);
}

TEST_CASE("a word that is no plant's is met with the nearest that means something") {
    for (const char* word :
         {"autumn", "columnar", "weeping", "spreading", "conical", "burgundy", "flowering"})
        for (const std::string& slip : list_slips(word)) {
            const std::string words = "linden, " + slip;
            if (is_read(words))
                continue;
            CAPTURE(slip);
            CHECK(remedy_for(words) == "did you mean \"" + std::string(word) + "\"?");
        }
}

TEST_CASE("blossoms: of what flowers, and in its colour") {
    int flowering = 0;
    for (const PlantKind& kind : plant_kinds()) {
        const std::string name(kind.name);
        CAPTURE(name);
        CHECK(is_read(name + ", in bloom") == kind.blossom.has_value());
        const PlantWords white = read_plant(name + ", white");
        if (kind.blossom) { // no leaves are white
            ++flowering;
            CHECK(white.blossom == LeafKind::white);
            CHECK(white.state == PlantState::in_bloom);
            CHECK_FALSE(white.leaf);
            // Red and yellow leaves there are, so it takes the word to make blossoms of them.
            CHECK(read_plant(name + ", yellow").leaf == LeafKind::yellow);
            CHECK(read_plant(name + ", yellow, in bloom").blossom == LeafKind::yellow);
        } else if (white.kind == &kind) { // "white pine" is a pine
            CHECK((white.leaf == LeafKind::white || name.find("white") != std::string::npos ||
                   std::string(kind.also).find("white") != std::string::npos));
        }
    }
    CHECK(flowering > 10);
}

TEST_CASE("a plant keeps its proportions at any height") {
    for (const PlantKind& kind : plant_kinds()) {
        const std::string name(kind.name);
        CAPTURE(name);
        for (const double height : {0.5, 1.0, 4.0, 20.0, 60.0}) {
            CAPTURE(height);
            const Tree tree = make_usual_tree(name, height);
            CHECK(tree.height == height);
            CHECK(tree.base == doctest::Approx(kind.base_share * height));
            CHECK(tree.width == doctest::Approx(kind.width_share * height));
            CHECK(tree.trunk_diameter == doctest::Approx(kind.trunk_share * height));
            // Never more leaves than are drawn, nor leaves smaller than the kind's.
            const double leaves = leaf_area_density(tree) * crown_volume(tree) / leaf_area(tree);
            CHECK(tree.foliage.leaf_size >= kind.leaf_size);
            CHECK(tree.foliage.leaf_size <= longest_leaf);
            if (tree.foliage.leaf_size == longest_leaf)
                continue;
            CHECK(leaves < 80'001);
            if (tree.foliage.leaf_size > kind.leaf_size)
                CHECK(leaves == doctest::Approx(80'000).epsilon(1e-6));
        }
        // A width of its own stays whatever the height.
        CHECK(make_usual_tree(name + ", 2 m wide", 7).width == doctest::Approx(2));
        const Shrub shrub = make_usual_shrub(name, 1.5);
        CHECK(shrub.height == 1.5);
        CHECK(make_usual_shrub(name).height == kind.height);
        CHECK(shrub.foliage.is_deciduous == kind.is_deciduous);
    }
}

TEST_CASE("winter takes the leaves of what is deciduous, and of nothing else") {
    for (const PlantKind& kind : plant_kinds()) {
        const std::string name(kind.name);
        CAPTURE(name);
        const LeafKind bare = make_usual_tree(name + ", winter").foliage.leaf;
        CHECK((bare == LeafKind::twigs) == kind.is_deciduous);
        const LeafKind autumn = make_usual_tree(name + ", fall").foliage.leaf;
        CHECK(autumn == (kind.is_deciduous ? kind.autumn : kind.leaf));
        CHECK(make_usual_tree(name + ", burgundy").foliage.leaf == LeafKind::purple);
    }
}

TEST_CASE("the hold of a crown's leaves on the light falls as they gather, and is whole without words") {
    Foliage foliage;
    CHECK(clumping_index("", foliage) == 1);
    for (const PlantKind& kind : plant_kinds()) {
        const std::string name(kind.name);
        CAPTURE(name);
        Foliage usual = make_usual_tree(name).foliage;
        CHECK(clumping_index(name, usual) == doctest::Approx(kind.clumping_index));
        usual.clumping = 0; // leaves at random hide nothing of each other
        CHECK(clumping_index(name, usual) == 1);
        double before = 1;
        for (const double share : {0.2, 0.4, 0.6, 0.8}) {
            usual.clumping = share;
            const double now = clumping_index(name, usual);
            CHECK(now <= before);
            CHECK(now > 0);
            before = now;
        }
        for (const LeafDensity density : {LeafDensity::light, LeafDensity::medium, LeafDensity::dense}) {
            usual.density = density;
            CHECK(clumping_index(name, usual) <= 1);
        }
    }
}
