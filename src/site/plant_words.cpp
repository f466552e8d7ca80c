// What people write of a plant, read word by word.

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <map>
#include <set>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "messages.hpp"

namespace duskcast {
namespace {

using Meaning = void (*)(PlantWords&);

/// What a word or two mean beside the kind. A colour is held in `leaf` until all words are read.
const std::map<std::string, Meaning>& plant_meanings() {
    static constexpr std::pair<const char*, Meaning> known[] = {
        {"green", [](PlantWords& w) { w.leaf = LeafKind::green; }},
        {"dark green", [](PlantWords& w) { w.leaf = LeafKind::dark_green; }},
        {"light green", [](PlantWords& w) { w.leaf = LeafKind::yellow_green; }},
        {"blue green", [](PlantWords& w) { w.leaf = LeafKind::blue_green; }},
        {"grey green", [](PlantWords& w) { w.leaf = LeafKind::grey_green; }},
        {"gray green", [](PlantWords& w) { w.leaf = LeafKind::grey_green; }},
        {"purple", [](PlantWords& w) { w.leaf = LeafKind::purple; }},
        {"burgundy", [](PlantWords& w) { w.leaf = LeafKind::purple; }},
        {"copper", [](PlantWords& w) { w.leaf = LeafKind::purple; }},
        {"red", [](PlantWords& w) { w.leaf = LeafKind::red; }},
        {"orange", [](PlantWords& w) { w.leaf = LeafKind::orange; }},
        {"yellow", [](PlantWords& w) { w.leaf = LeafKind::yellow; }},
        {"golden", [](PlantWords& w) { w.leaf = LeafKind::yellow_green; }},
        {"yellow green", [](PlantWords& w) { w.leaf = LeafKind::yellow_green; }},
        {"silver", [](PlantWords& w) { w.leaf = LeafKind::grey_green; }},
        {"grey", [](PlantWords& w) { w.leaf = LeafKind::grey_green; }},
        {"gray", [](PlantWords& w) { w.leaf = LeafKind::grey_green; }},
        {"blue", [](PlantWords& w) { w.leaf = LeafKind::blue; }},
        {"white", [](PlantWords& w) { w.leaf = LeafKind::white; }},
        {"pink", [](PlantWords& w) { w.leaf = LeafKind::pink; }},
        {"violet", [](PlantWords& w) { w.leaf = LeafKind::violet; }},
        {"in bloom", [](PlantWords& w) { w.state = PlantState::in_bloom; }},
        {"in flower", [](PlantWords& w) { w.state = PlantState::in_bloom; }},
        {"blooming", [](PlantWords& w) { w.state = PlantState::in_bloom; }},
        {"flowering", [](PlantWords& w) { w.state = PlantState::in_bloom; }},
        {"spring", [](PlantWords& w) { w.state = PlantState::spring; }},
        {"in leaf", [](PlantWords& w) { w.state = PlantState::in_leaf; }},
        {"summer", [](PlantWords& w) { w.state = PlantState::in_leaf; }},
        {"autumn", [](PlantWords& w) { w.state = PlantState::autumn; }},
        {"fall", [](PlantWords& w) { w.state = PlantState::autumn; }},
        {"bare", [](PlantWords& w) { w.state = PlantState::bare; }},
        {"winter", [](PlantWords& w) { w.state = PlantState::bare; }},
        {"light", [](PlantWords& w) { w.density = LeafDensity::light; }},
        {"medium", [](PlantWords& w) { w.density = LeafDensity::medium; }},
        {"dense", [](PlantWords& w) { w.density = LeafDensity::dense; }},
        {"heavy", [](PlantWords& w) { w.density = LeafDensity::dense; }},
        {"round", [](PlantWords& w) { w.form = CrownForm::round; }},
        {"spreading", [](PlantWords& w) { w.form = CrownForm::spreading; }},
        {"columnar", [](PlantWords& w) { w.form = CrownForm::column; }},
        {"conical", [](PlantWords& w) { w.form = CrownForm::cone; }},
        {"weeping", [](PlantWords& w) { w.form = CrownForm::weeping; }},
        {"multi stem", [](PlantWords& w) { w.has_many_stems = true; }},
        {"multi stemmed", [](PlantWords& w) { w.has_many_stems = true; }},
        {"multistem", [](PlantWords& w) { w.has_many_stems = true; }},
        {"clump", [](PlantWords& w) { w.has_many_stems = true; }},
    };
    static const std::map<std::string, Meaning> meanings(std::begin(known), std::end(known));
    return meanings;
}

/// Words that say nothing a kind does not say.
constexpr std::array<std::string_view, 14> idle_words{"tree",   "trees", "shrub",  "shrubs", "bush",
                                                      "bushes", "hedge", "bed",    "a",      "with",
                                                      "leaves", "leaf",  "colour", "color"};

[[noreturn]] void refuse_plant(const Message& message) {
    throw InputError(Problem{.what = message.what, .remedy = message.remedy});
}

/// Lower case, one blank between words; "18-ft" and "multi-stem" are two words each.
std::vector<std::string> words_in(const std::string& text) {
    std::string plain = lower_case(text);
    std::replace_if(
        plain.begin(), plain.end(), [](char c) { return c == ',' || c == '-' || c == ';'; }, ' ');
    std::vector<std::string> words;
    for (const std::string& word : split(plain, ' '))
        if (!word.empty())
            words.push_back(word);
    return words;
}

std::string join_words(const std::vector<std::string>& words, std::size_t first, std::size_t count) {
    std::string joined;
    for (std::size_t i = first; i < first + count; ++i)
        joined += (joined.empty() ? "" : " ") + words[i];
    return joined;
}

/// "hedges" means "hedge".
bool is_one_or_many(const std::string& word, const std::string& name) {
    return word == name || word == name + "s" || word == name + "es" ||
           (name.ends_with("y") && word == name.substr(0, name.size() - 1) + "ies");
}

class PlantReader {
public:
    explicit PlantReader(const std::string& text) : text_(text) {
        std::string commas = text;
        std::replace(commas.begin(), commas.end(), ';', ',');
        for (const std::string& phrase : split(commas, ',')) {
            phrase_starts_.insert(words_.size());
            for (const std::string& word : words_in(phrase))
                words_.push_back(word);
        }
    }

    PlantWords read() {
        take_kind();
        for (std::size_t at = 0; at < words_.size();)
            at += is_taken_[at] ? 1 : take(at);
        settle_colour();
        if (made_.state == PlantState::in_bloom && !made_.kind->blossom)
            refuse_plant(messages::plant_without_blossoms(std::string(made_.kind->name)));
        return made_;
    }

private:
    /// The longest name found, so that "weeping cherry" is not a cherry that weeps.
    void take_kind() {
        std::size_t first = 0, longest = 0;
        for (const PlantKind& kind : plant_kinds())
            for (const std::string& name :
                 split(std::string(kind.name) + "," + std::string(kind.also), ',')) {
                const std::size_t count = words_in(name).size();
                if (count <= longest)
                    continue;
                const std::string plain = join_words(words_in(name), 0, count);
                for (std::size_t at = 0; at + count <= words_.size(); ++at)
                    if (is_one_or_many(join_words(words_, at, count), plain)) {
                        made_.kind = &kind;
                        first = at;
                        longest = count;
                        break;
                    }
            }
        is_taken_.assign(words_.size(), false);
        if (!made_.kind)
            refuse_kind();
        std::fill_n(is_taken_.begin() + static_cast<std::ptrdiff_t>(first), longest, true);
    }

    [[noreturn]] void refuse_kind() const {
        const std::vector<std::string> names = list_plant_names();
        std::string nearest;
        for (std::size_t i = 0; i < words_.size() && nearest.empty(); ++i) {
            if (i + 1 < words_.size())
                nearest = find_nearest_word(join_words(words_, i, 2), names);
            if (nearest.empty() && !plant_meanings().contains(words_[i]) && words_[i].size() > 2)
                nearest = find_nearest_word(words_[i], names);
        }
        refuse_plant(messages::no_such_plant(text_, nearest, names));
    }

    /// How many words were read.
    std::size_t take(std::size_t at) {
        if (words_[at].front() >= '0' && words_[at].front() <= '9')
            return take_size(at);
        for (const std::size_t count : {2u, 1u}) {
            if (at + count > words_.size() || (count == 2 && phrase_starts_.contains(at + 1)))
                continue; // "light, green" is two things
            const auto found = plant_meanings().find(join_words(words_, at, count));
            if (found != plant_meanings().end()) {
                found->second(made_);
                return count;
            }
        }
        if (std::find(idle_words.begin(), idle_words.end(), words_[at]) != idle_words.end())
            return 1;
        std::vector<std::string> known;
        for (const auto& [word, meaning] : plant_meanings())
            known.push_back(word);
        std::string nearest =
            at + 1 < words_.size() ? find_nearest_word(join_words(words_, at, 2), known) : "";
        if (nearest.empty())
            nearest = find_nearest_word(words_[at], known);
        refuse_plant(messages::unknown_plant_word(words_[at], nearest));
    }

    std::size_t take_size(std::size_t at) {
        for (const std::size_t count : {4u, 2u, 1u}) { // "5 ft 6 in", "18 ft", "18ft"
            if (at + count > words_.size())
                continue;
            double size = 0;
            try {
                size = read_length(join_words(words_, at, count));
            } catch (const InputError&) {
                continue;
            }
            const std::size_t next = at + count;
            const std::string after = next < words_.size() ? words_[next] : "";
            const bool is_across = after == "wide" || after == "across";
            if (count == 4 && is_across && phrase_starts_.contains(at + 2))
                continue; // "3 ft, 30 in wide" are two sizes
            (is_across ? made_.width : made_.height) = size;
            const bool is_said = is_across || after == "tall" || after == "high";
            return count + (is_said ? 1 : 0);
        }
        refuse_plant(messages::plant_size_without_unit(words_[at]));
    }

    /// A colour is the blossoms' where the plant is in bloom and flowers come in it, or where leaves do not.
    void settle_colour() {
        if (!made_.leaf)
            return;
        const LeafKind colour = *made_.leaf;
        const bool is_of_flowers = colour == LeafKind::white || colour == LeafKind::pink ||
                                   colour == LeafKind::violet || colour == LeafKind::blue;
        const bool is_of_both = colour == LeafKind::red || colour == LeafKind::yellow;
        const bool is_in_bloom = made_.state == PlantState::in_bloom;
        if (made_.kind->blossom && (is_of_flowers || (is_of_both && is_in_bloom))) {
            made_.blossom = colour;
            made_.leaf.reset();
            if (made_.state == PlantState::in_leaf)
                made_.state = PlantState::in_bloom; // "hydrangea, blue"
        } else if (colour == LeafKind::blue) {
            made_.leaf = LeafKind::blue_green;
        }
    }

    const std::string& text_;
    std::vector<std::string> words_;
    std::set<std::size_t> phrase_starts_; ///< words before which a comma or semicolon stands, and the first
    std::vector<bool> is_taken_;
    PlantWords made_;
};

/// What words give of leaves.
Foliage make_usual_foliage(const PlantWords& words) {
    const PlantKind& kind = *words.kind;
    Foliage made;
    made.leaf = words.leaf.value_or(kind.leaf);
    if (kind.is_deciduous && words.state == PlantState::autumn)
        made.leaf = words.leaf.value_or(kind.autumn);
    if (kind.is_deciduous && words.state == PlantState::spring && !words.leaf && kind.leaf == LeafKind::green)
        made.leaf = LeafKind::yellow_green;
    if (kind.is_deciduous && words.state == PlantState::bare)
        made.leaf = LeafKind::twigs;
    made.density = words.density.value_or(kind.density);
    made.leaf_size = kind.leaf_size;
    made.clumping = usual_shoot_share;
    made.is_deciduous = kind.is_deciduous;
    return made;
}

} // namespace

std::vector<std::string> list_plant_names() {
    std::vector<std::string> names;
    for (const PlantKind& kind : plant_kinds())
        names.emplace_back(kind.name);
    return names;
}

PlantWords read_plant(const std::string& words) {
    return PlantReader(words).read();
}

PlantHabit habit_of(const PlantWords& words) {
    const PlantHabit usual = words.kind->habit;
    const bool is_branched = usual == PlantHabit::forked || usual == PlantHabit::leading;
    if (is_branched && words.form == CrownForm::weeping)
        return PlantHabit::hanging;
    return is_branched && words.has_many_stems ? PlantHabit::stems : usual;
}

Tree make_usual_tree(const std::string& plant, const std::optional<double>& height) {
    constexpr double most_leaves = 80'000;
    const PlantWords words = read_plant(plant);
    const PlantKind& kind = *words.kind;
    Tree tree;
    tree.plant = plant;
    tree.form = words.form.value_or(kind.form);
    tree.height = height ? *height : words.height.value_or(kind.height);
    tree.base = kind.base_share * tree.height;
    tree.width = words.width.value_or(kind.width_share * tree.height);
    tree.trunk_diameter = kind.trunk_share * tree.height;
    if (habit_of(words) == PlantHabit::stems && kind.habit != PlantHabit::stems)
        tree.trunk_diameter *= 0.7; // each of several
    tree.foliage = make_usual_foliage(words);
    const double leaf_area_wanted = leaf_area_density(tree) * crown_volume(tree);
    tree.foliage.leaf_size = std::clamp(std::sqrt(leaf_area_wanted / most_leaves / (kind.leaf_ratio / 2)),
                                        kind.leaf_size, std::max(kind.leaf_size, longest_leaf));
    return tree;
}

Shrub make_usual_shrub(const std::string& plant, const std::optional<double>& height) {
    const PlantWords words = read_plant(plant);
    Shrub shrub;
    shrub.plant = plant;
    shrub.height = height ? *height : words.height.value_or(words.kind->height);
    shrub.foliage = make_usual_foliage(words);
    return shrub;
}

double clumping_index(const std::string& plant, const Foliage& foliage) {
    if (plant.empty())
        return 1;
    const PlantKind& kind = *read_plant(plant).kind;
    // The denser a crown, the more of its leaves stand behind others: measured on forked crowns.
    constexpr double for_each_word = 0.1;
    const int denser = static_cast<int>(foliage.density) - static_cast<int>(kind.density);
    const double usual = std::clamp(kind.clumping_index - for_each_word * denser, 0.1, 1.0);
    return 1 - (1 - usual) * foliage.clumping / usual_shoot_share;
}

} // namespace duskcast
