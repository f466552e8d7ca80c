// The keys of trees, shrubs and the ground.

#include "described.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "object_rules.hpp"

namespace duskcast {
namespace {

/// What a file means by a plant that says nothing but its words and, of a tree, how high it is.
template <class Plant, class Make>
void take_usual_from_words(Fields& fields, Plant (*usual)(const Plant&), Make prepare) {
    fields.prepare = prepare;
    fields.usual = [usual](const void* object, const Catalogue&) {
        const auto* plant = static_cast<const Plant*>(object);
        const auto made = std::make_shared<Plant>(plant && !plant->plant.empty() ? usual(*plant) : Plant{});
        if (plant && plant->stands_on_ground)
            made->foot = plant->foot;
        return made;
    };
}

Tree find_usual_tree(const Tree& tree) {
    Tree usual = make_usual_tree(tree.plant, tree.height);
    usual.height = make_usual_tree(tree.plant).height;
    usual.plant.clear(); // or the words would never be printed
    return usual;
}

Shrub find_usual_shrub(const Shrub& shrub) {
    Shrub usual = make_usual_shrub(shrub.plant);
    usual.plant.clear();
    return usual;
}

template <class Plant> Row<Plant> plant_row() {
    return {
        "plant",
        text(&Plant::plant),
        {.is_varying = true},
        "What it is, in words such as \"maple, purple, 18 ft\" or \"rose, in bloom\": kind, colour, season, "
        "size. What no other key says comes from it."};
}

/// What stands on the ground may leave it out, and goes with the ground then.
template <class Plant> Row<Plant> foot_row() {
    return {"foot",
            length(&Plant::foot),
            {.range = around_zero(max_height), .is_varying = true},
            "Height of what it stands on; left out: that of the ground there.",
            [](const Plant& plant) { return !plant.stands_on_ground; }};
}

/// A size that the words of a plant may give.
template <class Plant>
Row<Plant> plant_size_row(const char* key, double Plant::*size, const KeyRange& range, const char* help) {
    return {key, length(size), {.range = range, .is_varying = true}, help, [](const Plant& plant) {
                return plant.plant.empty();
            }};
}

/// Foliage has no object of its own in the file: its keys stand among the plant's.
template <class Plant> std::vector<Row<Plant>> with_foliage(std::vector<Row<Plant>> rows) {
    const auto leaves = &Plant::foliage;
    const std::vector<Row<Plant>> more = {
        {"leaf",
         word(leaves, &Foliage::leaf, leaf_kind_names),
         {},
         "Colour of the leaves; twigs for a crown that is bare already."},
        {"density",
         word(leaves, &Foliage::density, leaf_density_names),
         {},
         "How much is seen through it: of a crown of any size 42 % light, 20 % medium, 11 % dense; not "
         "together with \"leaf_area_density\"."},
        {"leaf_area_density", number(leaves, &Foliage::leaf_area_density), within(between(0, 20), "m2/m3"),
         "One-sided leaf area per crown volume, m2/m3, in place of a word."},
        {"leaf_size", length(leaves, &Foliage::leaf_size), within(between(0.005, longest_leaf)),
         "Length of a leaf. Larger leaves make fewer of them."},
        {"leaf_angle_index", number(leaves, &Foliage::leaf_angle_index), within(between(-0.4, 0.6)),
         "How leaves lie: -0.4 upright, 0 every way, 0.6 level."},
        {"clumping", number(leaves, &Foliage::clumping), within(between(0, 0.95)),
         "0: leaves at random; towards 1: gathered round twigs, with more gaps."},
        {"seed", count(leaves, &Foliage::seed), {}, "Another number gives another arrangement of leaves."},
        {"deciduous", truth(leaves, &Foliage::is_deciduous), {}, "Bare in winter."},
        {"twig_area_index", number(leaves, &Foliage::twig_area_index), within(between(0, 3), "m2/m2"),
         "Of the bare crown: one-sided area of twigs per plan area, beside the boughs."},
    };
    rows.insert(rows.end(), more.begin(), more.end());
    return rows;
}

} // namespace

const Fields* growth_fields() {
    // The fastest poplars and eucalypts make 3 m in a year (from memory).
    static const Fields fields = describe<Growth>(
        "growth", "What the tree gains in a year.",
        {{"height", length(&Growth::height), needed_in(distance(3)), "Each year."},
         {"width", length(&Growth::width), needed_in(distance(3)), "Of the crown's diameter, each year."},
         {"trunk_diameter", length(&Growth::trunk_diameter), within(distance(0.1)),
          "Each year; left out: in proportion to the height."},
         {"mature_height", length(&Growth::mature_height), within(size(max_height)),
          "Where the height ends; left out: no end."},
         {"mature_width", length(&Growth::mature_width), within(size(max_height)),
          "Where the width ends; left out: no end."}});
    return &fields;
}

const Fields* tree_fields() {
    static const Fields fields = [] {
        std::vector<Row<Tree>> rows = with_foliage<Tree>(
            {surface_id_row(&Tree::id),
             {"at", point(&Tree::at), needed, "Where its trunk stands."},
             foot_row<Tree>(),
             plant_row<Tree>(),
             {"form", word(&Tree::form, crown_form_names), {}, "Form of the crown."},
             plant_size_row("height", &Tree::height, size(max_height), "Top of the crown above the foot."),
             plant_size_row("base", &Tree::base, distance(max_height), "Lowest leaves above the foot."),
             plant_size_row("width", &Tree::width, size(max_height), "Widest diameter of the crown."),
             {"trunk_diameter", length(&Tree::trunk_diameter), within(distance(10)),
              "At breast height; 0: height / 40, or the kind's. Of a plant with several stems, of each."}});
        for (Row<Tree>& row : rows)
            if (row.key == "height")
                row.after = take_height;
        rows.push_back({"growth",
                        object(&Tree::growth, growth_fields),
                        {},
                        "What it gains in a year; left out: it stays as it is."});
        Fields made = describe<Tree>("tree", "A tree.", rows);
        take_usual_from_words(made, find_usual_tree, hook(prepare_tree));
        made.rules = hook(check_tree_keys);
        made.schema_rules = R"({"not": {"required": ["density", "leaf_area_density"]}, "anyOf": [
            {"required": ["plant"]}, {"required": ["height", "base", "width"]}]})";
        return made;
    }();
    return &fields;
}

const Fields* shrub_fields() {
    static const Fields fields = [] {
        Fields made = describe<Shrub>(
            "shrub", "A hedge along a path, or a bed of shrubs filling an outline.",
            with_foliage<Shrub>(
                {surface_id_row(&Shrub::id),
                 plant_row<Shrub>(),
                 {"outline", outline(&Shrub::outline), {}, "A bed."},
                 {"path", path(&Shrub::path), {}, "Middle line of a hedge."},
                 {"width", length(&Shrub::width), {.is_varying = true}, "Of a hedge."},
                 foot_row<Shrub>(),
                 plant_size_row("height", &Shrub::height, size(max_height), "From the foot to the top.")}));
        take_usual_from_words(made, find_usual_shrub, hook(prepare_shrub));
        made.rules = hook(check_shrub_keys);
        made.schema_rules =
            R"({"not": {"required": ["density", "leaf_area_density"]}, "oneOf": [
            {"required": ["outline"], "not": {"required": ["width"]}}, {"required": ["path", "width"]}],
            "anyOf": [{"required": ["plant"]}, {"required": ["height"]}]})";
        return made;
    }();
    return &fields;
}

const Fields* retaining_wall_fields() {
    static const Fields fields = describe<RetainingWall>(
        "retaining_wall", "The wall that holds up a terrace.",
        {{"finish", finish(&RetainingWall::finish), {}, "What it is made of."},
         {"cladding",
          word(&RetainingWall::cladding, cladding_names),
          {},
          "Courses, as pictures show them; the finish stays their mean. Left out: even."}},
        RetainingWall{.finish = make_finish(default_retaining_finish)});
    return &fields;
}

const Fields* ground_fall_fields() {
    static const Fields fields = describe<GroundFall>(
        "fall", "How the top of a terrace falls: evenly from its high edge, where \"height\" is.",
        {{"to", length(&GroundFall::to), within(distance(max_height)),
          "Its height at its low edge; left out: that of the level ground."},
         {"towards", angle(&GroundFall::towards), needed_in(full_turn),
          "Where it falls to, clockwise from north."}});
    return &fields;
}

const Fields* ground_area_fields() {
    static const Fields fields =
        describe<GroundArea>("area", "A piece of ground; later ones lie on top of earlier ones.",
                             {surface_id_row(&GroundArea::id),
                              {"kind", word(&GroundArea::kind, ground_kind_names), needed, "What it is."},
                              {"outline", outline(&GroundArea::outline), needed, "Its edge."},
                              {"height", length(&GroundArea::height), within(size(max_height)),
                               "Of a terrace above the level ground, held up by a wall all round it; at its "
                               "high edge where it falls; left out: it lies on what is below it, which may "
                               "be a terrace."},
                              {"fall",
                               object(&GroundArea::fall, ground_fall_fields),
                               {},
                               "Of a terrace whose top slopes, such as a lawn that falls to the street; left "
                               "out: it is level."},
                              {"retaining",
                               object(&GroundArea::retaining, retaining_wall_fields),
                               {},
                               "Of a terrace: its wall; left out: of sandstone, even."},
                              {"finish", finish(&GroundArea::finish), {}, "The kind's own when left out."},
                              {"glow",
                               object(&GroundArea::glow, glow_fields),
                               {},
                               "Light that comes up from it, as from a lit pool; left out: dark."}});
    return &fields;
}

const Fields* ground_fields() {
    static const Fields fields = describe<Ground>(
        "ground", "The level ground at height 0, with terraces on it.",
        {{"base", word(&Ground::base, ground_kind_names), {}, "What it is outside every area."},
         {"margin", length(&Ground::margin), within(distance(max_length)),
          "How far sensors on the base ground reach beyond walls, trees and fixtures."},
         {"areas", objects(&Ground::areas, ground_area_fields), {}, "Beds, paving, water."}});
    return &fields;
}

} // namespace duskcast
