#include "design_maker.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

const std::string& host_of(const Fixture& fixture) {
    return fixture.wall.empty() ? fixture.tree : fixture.wall;
}

double lumens_of(const Site& site, const std::string& lamp, const std::filesystem::path& folder) {
    const Lamp* known = find_lamp(site, lamp);
    return known ? make_lamp_light(*known, folder).lumens : 0;
}

} // namespace

void refuse_for(std::string_view place, std::string_view what, std::string_view remedy) {
    throw InputError(Problem{
        .place = {.path = std::string(place)}, .what = std::string(what), .remedy = std::string(remedy)});
}

DesignMaker::DesignMaker(const Site& site, const std::filesystem::path& folder, const Freedom& freedom)
    : site_(site), folder_(folder), freedom_(freedom), named_(find_fixtures(site, freedom.fixtures)),
      lamps_(freedom.lamps), lights_(folder) {
    if (named_.empty())
        refuse("the site has no fixtures", "place some first");
    const Fixture& first = site.fixtures[named_.front()];
    host_ = host_of(first);
    is_tree_ = !first.tree.empty();
    for (const std::size_t index : named_)
        if (host_of(site.fixtures[index]) != host_)
            refuse_for("--fixtures",
                       fmt::format("\"{}\" and \"{}\" do not stand at the same wall or tree", first.id,
                                   site.fixtures[index].id),
                       "search for those of one wall or tree at a time");
    if (lamps_.empty())
        lamps_ = {first.lamp};
    for (const std::string& lamp : lamps_)
        require_lamp(site, lamp);
    least_ = freedom.least > 0 ? freedom.least : named_.size();
    most_ = freedom.most > 0 ? freedom.most : std::max(least_, named_.size());
    if (most_ < least_)
        refuse_for("--count", fmt::format("the number of fixtures is reversed: from {} to {}", least_, most_),
                   "give the smaller one first");
    if (const Wall* wall = find_wall(site, host_)) {
        host_height_ = wall->height;
        for (const Gable& gable : wall->gables)
            host_height_ = std::max(host_height_, gable.peak);
    }
    if (const Tree* tree = find_tree(site, host_)) {
        host_height_ = tree->height;
        host_width_ = tree->width;
    }
    for (const GroundArea& area : site.ground.areas)
        has_beds_ = has_beds_ || area.kind == GroundKind::bed || area.kind == GroundKind::mulch;
    // Ends that could not be built are a mistake in the ranges; what lies between them is looked at one by
    // one.
    for (const std::size_t count : {least_, most_})
        for (const bool is_high : {false, true}) {
            std::vector<double> values;
            for (const FreeKnob& knob : freedom.knobs)
                values.push_back(is_high ? knob.high : knob.low);
            const Site made = make(count, lamps_.front(), values);
            for (const Problem& problem : check_site(made, folder))
                if (problem.severity == Severity::error)
                    refuse(fmt::format("with {} fixtures at the {} ends of the ranges, {}: {}", count,
                                       is_high ? "upper" : "lower", name_path(made, problem.place.path),
                                       problem.what),
                           problem.remedy);
        }
}

Site DesignMaker::make(std::size_t count, const std::string& lamp, const std::vector<double>& values) const {
    Site made = site_;
    made.variants.clear();
    std::vector<std::size_t> row = named_;
    const Fixture like = site_.fixtures[named_.back()];
    // The row's place: its middle along the wall, its first bearing round the tree.
    double low = like.along, high = like.along;
    for (const std::size_t index : named_) {
        low = std::min(low, site_.fixtures[index].along);
        high = std::max(high, site_.fixtures[index].along);
    }
    for (std::size_t more = named_.size(); more < count; ++more) {
        Fixture added = like;
        for (std::size_t number = more + 1;; ++number) {
            added.id = fmt::format("{}-{}", like.id, number);
            if (std::none_of(made.fixtures.begin(), made.fixtures.end(),
                             [&](const Fixture& one) { return one.id == added.id; }))
                break;
        }
        row.push_back(made.fixtures.size());
        made.fixtures.push_back(added);
    }
    std::vector<std::size_t> gone(row.begin() + static_cast<std::ptrdiff_t>(std::min(count, row.size())),
                                  row.end());
    row.resize(std::min(count, row.size()));
    const double bearing = site_.fixtures[named_.front()].bearing;
    double turned = 0;
    bool has_spacing = false;
    apply_setting(made, row, {Knob::lamp, 0, lamp}, folder_);
    for (std::size_t k = 0; k < values.size(); ++k) {
        const Knob knob = freedom_.knobs[k].knob;
        if (knob == Knob::bearing)
            turned = values[k] - bearing;
        else if (knob == Knob::spacing) {
            has_spacing = true;
            for (std::size_t i = 0; i < row.size(); ++i)
                made.fixtures[row[i]].along =
                    (low + high) / 2 +
                    (static_cast<double>(i) - (static_cast<double>(row.size()) - 1) / 2) * values[k];
        } else
            apply_setting(made, row, {knob, values[k], ""}, folder_);
    }
    const bool is_count_free = count != named_.size();
    for (std::size_t i = 0; i < row.size(); ++i) {
        Fixture& fixture = made.fixtures[row[i]];
        if (is_tree_)
            fixture.bearing =
                is_count_free ? std::fmod(bearing + turned +
                                              2 * pi * static_cast<double>(i) / static_cast<double>(count),
                                          2 * pi)
                              : std::fmod(fixture.bearing + turned, 2 * pi);
        else if (is_count_free && !has_spacing && count > 1)
            fixture.along = low + (high - low) * static_cast<double>(i) / (static_cast<double>(count) - 1);
    }
    if (made.fixtures.size() != site_.fixtures.size() || !gone.empty())
        made.network.reset(); // nothing is said of how it would be fed
    std::sort(gone.rbegin(), gone.rend());
    for (const std::size_t index : gone)
        made.fixtures.erase(made.fixtures.begin() + static_cast<std::ptrdiff_t>(index));
    return made;
}

std::vector<double> DesignMaker::grid_of(const FreeKnob& knob) {
    const int steps = knob.knob == Knob::tilt ? 8 : knob.knob == Knob::bearing ? 6 : 3;
    std::vector<double> values;
    for (int i = 0; i <= steps; ++i)
        values.push_back(knob.low + (knob.high - knob.low) * i / steps);
    return values;
}

std::vector<std::size_t> DesignMaker::free_in(const Site& made) const {
    std::vector<std::size_t> free;
    for (std::size_t i = 0; i < made.fixtures.size(); ++i) {
        const bool is_new = i >= site_.fixtures.size();
        const bool is_named = std::any_of(named_.begin(), named_.end(), [&](std::size_t index) {
            return site_.fixtures[index].id == made.fixtures[i].id;
        });
        if (is_new || is_named)
            free.push_back(i);
    }
    return free;
}

std::vector<std::string> DesignMaker::list_off_beds(const Site& made) const {
    const bool may_stand_in_lawn = freedom_.may_stand_in_lawn || !has_beds_;
    std::vector<std::string> off;
    for (const std::size_t index : free_in(made)) {
        const Fixture& fixture = made.fixtures[index];
        if (fixture.mount != Mount::spike)
            continue;
        const GroundKind kind =
            ground_kind_at(made.ground, glm::dvec2(place_fixture(made, fixture).position));
        if (kind == GroundKind::paving || kind == GroundKind::water ||
            (kind == GroundKind::lawn && !may_stand_in_lawn))
            off.push_back(fixture.id);
    }
    return off;
}

double DesignMaker::measure_off_beds(const Site& made) const {
    const std::vector<std::size_t> free = free_in(made);
    const auto spiked = static_cast<double>(std::count_if(free.begin(), free.end(), [&](std::size_t index) {
        return made.fixtures[index].mount == Mount::spike;
    }));
    return spiked > 0 ? static_cast<double>(list_off_beds(made).size()) / spiked : 0;
}

std::vector<std::string> list_rules() {
    return {"setback", "upright", "brighter", "two-sides"};
}

void check_rules(const std::vector<std::string>& names) {
    const std::vector<std::string> known = list_rules();
    for (const std::string& name : names)
        if (std::find(known.begin(), known.end(), name) == known.end())
            refuse(fmt::format("there is no rule \"{}\"", name),
                   fmt::format("known are {}", fmt::join(known, ", ")));
}

std::vector<DesignMaker::Rule> DesignMaker::rules() const {
    std::vector<Rule> rules;
    const auto is_asked_for = [this](const char* name) {
        return std::find(freedom_.rules.begin(), freedom_.rules.end(), name) != freedom_.rules.end();
    };
    /// A setting that is to lie within a range.
    const auto add_range = [&](const char* name, const char* text, Knob knob, double low, double high) {
        for (std::size_t i = 0; i < freedom_.knobs.size(); ++i) {
            const FreeKnob& free = freedom_.knobs[i];
            if (free.knob != knob || is_tree_ || !is_asked_for(name))
                continue;
            rules.push_back({name, text,
                             [i, low, high](auto, const auto&, const auto& values) {
                                 return values[i] >= low - 1e-6 && values[i] <= high + 1e-6;
                             },
                             [i, low, high, free](auto&, auto&, auto& values) {
                                 values[i] =
                                     std::clamp(std::clamp(values[i], low, high), free.low, free.high);
                             }});
        }
    };
    add_range("setback", "12 to 18 in back from a wall", Knob::setback, 12 * metres_per_inch,
              18 * metres_per_inch);
    add_range("upright", "nearly upright, 10° at most", Knob::tilt, 0, radians_from_degrees(10));
    if (host_height_ > 20 * metres_per_foot && lamps_.size() > 1 && is_asked_for("brighter")) {
        std::string brightest = lamps_.front();
        for (const std::string& lamp : lamps_)
            if (lumens_of(site_, lamp, folder_) > lumens_of(site_, brightest, folder_))
                brightest = lamp;
        const double most_lumens = lumens_of(site_, brightest, folder_);
        std::vector<std::string> bright;
        for (const std::string& lamp : lamps_)
            if (lumens_of(site_, lamp, folder_) > 0.95 * most_lumens)
                bright.push_back(lamp);
        const auto is_bright = [bright](const std::string& lamp) {
            return std::find(bright.begin(), bright.end(), lamp) != bright.end();
        };
        rules.push_back({"brighter", "over 20 ft the brighter lamp",
                         [is_bright](auto, const auto& lamp, const auto&) { return is_bright(lamp); },
                         [is_bright, brightest](auto&, auto& lamp, auto&) {
                             lamp = is_bright(lamp) ? lamp : brightest;
                         }});
    }
    if (is_tree_ && host_width_ > 20 * metres_per_foot && most_ > least_ && is_asked_for("two-sides"))
        rules.push_back({"two-sides", "a tree over 20 ft wide from two sides",
                         [](auto count, const auto&, const auto&) { return count >= 2; },
                         [most = most_](auto& count, auto&, auto&) {
                             count = std::min(std::max<std::size_t>(count, 2), most);
                         }});
    return rules;
}

} // namespace duskcast
