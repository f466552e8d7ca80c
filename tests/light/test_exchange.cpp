// Exchange areas between patches from counts of rays, and the tree of rectangles they are seen as.

#include <cmath>
#include <map>

#include "../../src/light/exchange.hpp"
#include "../../src/light/exchange_levels.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "stage_maker.hpp"

using namespace duskcast;

namespace {

/// Of a link's exchange area, half a step of its packing.
const double packed = std::exp2(octaves / (levels - 2) / 2) - 1;

Bounce make_bounce(const Stage& stage, double size) {
    return {.patches = Patches(stage, {.size = size})};
}

/// Each row by its partners.
std::map<std::pair<std::uint32_t, std::uint32_t>, double> list_links(const Bounce& bounce) {
    std::map<std::pair<std::uint32_t, std::uint32_t>, double> links;
    for (std::uint32_t i = 0; i + 1 < bounce.row.size(); ++i) {
        LinkReader link(bounce.link, bounce.row[i]);
        for (std::uint32_t l = bounce.row[i]; l < bounce.row[i + 1]; ++l) {
            link.next();
            if (link.exchange() > 0)
                CHECK(links.try_emplace({i, link.partner()}, static_cast<double>(link.exchange())).second);
        }
    }
    return links;
}

/// Whether what leaves every patch arrives somewhere: d_i sum K_ij d_j + A_i (sky_i + lost_i) = A_i.
void check_closure(const Bounce& bounce) {
    for (std::uint32_t i = 0; i + 1 < bounce.row.size(); ++i) {
        double sum = 0;
        LinkReader link(bounce.link, bounce.row[i]);
        for (std::uint32_t l = bounce.row[i]; l < bounce.row[i + 1]; ++l) {
            link.next();
            sum += static_cast<double>(link.exchange() * bounce.balance[i] * bounce.balance[link.partner()]);
        }
        const auto area = static_cast<double>(bounce.patches.area[i]);
        sum += area * static_cast<double>(bounce.sky[i] + bounce.lost[i]);
        CHECK(sum == doctest::Approx(area).epsilon(1e-4).scale(0));
    }
}

} // namespace

TEST_CASE("exchange: both patches of a pair know the same of it, and nothing is lost in between") {
    StageMaker maker;
    maker.add_box({1, 0.6f, 0.4f}, maker.material(glm::vec3(0.5f)), true);
    Bounce bounce = make_bounce(maker.finish(), 0.25);
    const auto count = static_cast<std::uint32_t>(bounce.patches.size());
    REQUIRE(count > 50);
    // Rays as they may fall: each patch met a few others and the sky.
    Random random(5);
    std::vector<Gathered> found(count);
    for (std::uint32_t i = 0; i < count; ++i) {
        found[i].sky = static_cast<std::uint32_t>(random.uniform(1, 60));
        found[i].lost = static_cast<std::uint32_t>(random.uniform(0, 20));
        found[i].rays = found[i].sky + found[i].lost;
        for (std::uint32_t j = 0; j < count; ++j)
            if (j != i && random.uniform() < 0.3) {
                found[i].counts.push_back({j, static_cast<std::uint32_t>(random.uniform(1, 40))});
                found[i].rays += found[i].counts.back().count;
            }
    }
    const std::vector<Gathered> given = found;
    build_exchange(found, bounce);
    const auto links = list_links(bounce);
    const auto hits = [&](std::uint32_t from, std::uint32_t to) {
        for (const PatchCount& one : given[from].counts)
            if (one.patch == to)
                return static_cast<double>(one.count);
        return 0.0;
    };
    std::size_t pairs = 0;
    for (std::uint32_t i = 0; i < count; ++i)
        for (std::uint32_t j = 0; j < count; ++j) {
            const double both = hits(i, j) + hits(j, i);
            const auto link = links.find({i, j});
            REQUIRE((link != links.end()) == (both > 0));
            if (both == 0)
                continue;
            ++pairs;
            // As bounce.hpp has it: c / (N_i / A_i + N_j / A_j).
            const double exchange = both / (given[i].rays / static_cast<double>(bounce.patches.area[i]) +
                                            given[j].rays / static_cast<double>(bounce.patches.area[j]));
            CHECK(std::abs(link->second / exchange - 1) < 1.01 * packed);
            CHECK(link->second == links.at({j, i})); // reciprocity, to the bit
        }
    CHECK(pairs == links.size());
    check_closure(bounce);
}

TEST_CASE("exchange: rays onto a patch that no light comes to are lost") {
    StageMaker maker;
    maker.add_box(glm::vec3(0.5f), maker.material(glm::vec3(0.5f)), true);
    Bounce bounce = make_bounce(maker.finish(), 1);
    REQUIRE(bounce.patches.size() == 6);
    std::vector<Gathered> found(6);
    for (std::uint32_t i = 0; i < 6; ++i) {
        if (i == 3)
            continue; // buried: it sent no ray
        found[i].rays = 100;
        found[i].sky = 20;
        for (std::uint32_t j = 0; j < 6; ++j)
            if (j != i)
                found[i].counts.push_back({j, 16});
    }
    build_exchange(found, bounce);
    CHECK(bounce.row[4] == bounce.row[3]); // no links of its own
    for (const auto& [pair, exchange] : list_links(bounce)) {
        CHECK(pair.second != 3);
        CHECK(exchange == doctest::Approx(32 / 200.0).epsilon(packed).scale(0)); // all areas are 1 m2
    }
    // All alike: d = 1 nearly, so that 16 of 100 rays are lost and 20 leave for the sky.
    for (const std::uint32_t i : {0u, 1u, 2u, 4u, 5u}) {
        CHECK(bounce.lost[i] == doctest::Approx(0.16).epsilon(0.01).scale(0));
        CHECK(bounce.sky[i] == doctest::Approx(0.20).epsilon(0.01).scale(0));
    }
    CHECK(bounce.lost[3] + bounce.sky[3] == 0);
}

TEST_CASE("exchange: rays in a closed room give the factors of its walls") {
    // Howell C-11 and C-14 for a cube: 0.199825 to the opposite face, 0.200044 to each beside it.
    StageMaker maker;
    maker.add_box(glm::vec3(1), maker.material(glm::vec3(0.5f)), false);
    const Stage& stage = maker.finish();
    const auto bounce = trace_bounce(stage, {.patches = {.size = 0.5}, .rays = 4096});
    check_closure(*bounce);
    const Patches& patches = bounce->patches;
    /// 2 axis + (1 at the high end) of a patch inside; -1: it faces outwards.
    const auto face_of = [&](std::uint32_t patch) {
        const PatchPoint point = patches.point_on(patch, 0.5f, 0.5f, 0.5f);
        for (int axis = 0; axis < 3; ++axis)
            if (std::abs(point.normal[axis]) > 0.9f)
                return point.position[axis] * point.normal[axis] < 0 ? 2 * axis + (point.position[axis] > 0)
                                                                     : -1;
        return -1;
    };
    double opposite = 0, beside = 0, area = 0;
    const auto links = list_links(*bounce);
    for (const auto& [pair, exchange] : links) {
        const int from = face_of(pair.first), to = face_of(pair.second);
        if (from < 0)
            continue;
        CHECK(to >= 0);    // nothing outside is seen
        CHECK(from != to); // nor a face by itself
        const double sent = exchange * static_cast<double>(bounce->balance[pair.first]) *
                            static_cast<double>(bounce->balance[pair.second]);
        (from / 2 == to / 2 ? opposite : beside) += sent;
    }
    for (std::uint32_t i = 0; i < patches.size(); ++i)
        area += face_of(i) >= 0 ? static_cast<double>(patches.area[i]) : 0;
    CHECK(area == doctest::Approx(24).scale(0));
    CHECK(opposite / area == doctest::Approx(0.199825).epsilon(5e-3).scale(0));
    CHECK(beside / area == doctest::Approx(4 * 0.200044).epsilon(5e-3).scale(0));
}

TEST_CASE("source tree: rectangles hold their halves, and light is neither lost nor moved") {
    // A wall with a window, a flank and the ground it stands on.
    Site site = make_wall_site(4, 2.5, 1);
    site.walls[0].path.emplace_back(4, 2);
    site.walls[0].openings = {{.id = "window", .from = 1.1, .width = 1.3, .sill = 0.7, .height = 1}};
    const auto stage = build_stage(site, {});
    const Patches patches(*stage, {.size = 0.3});
    const std::vector<SourceTree::Cover> covers(patches.size());
    const SourceTree tree(patches, covers);
    Random random(8);
    std::vector<PatchLight> sent(patches.size());
    for (PatchLight& one : sent)
        one = {static_cast<float>(random.uniform()), static_cast<float>(random.uniform()),
               static_cast<float>(random.uniform()), 0};
    const std::vector<SourceLight> lights = tree.gather_light(sent);
    REQUIRE(lights.size() == tree.source_count());
    std::vector<int> times(patches.size());
    int parted = 0;
    for (const SourceTree::Plane& plane : tree.planes()) {
        std::vector<std::uint32_t> waiting{plane.root};
        double area = 0;
        glm::dvec3 lumens(0);
        while (!waiting.empty()) {
            const std::uint32_t index = waiting.back();
            const SourceTree::Node& node = tree.node(index);
            waiting.pop_back();
            if (node.is_cell()) {
                ++times[node.source];
                area += static_cast<double>(patches.area[node.source]);
                lumens += node.sending() * sent[node.source].rgb();
                CHECK(node.area == doctest::Approx(static_cast<double>(patches.area[node.source])).scale(0));
                CHECK(node.sending() <= static_cast<double>(node.area) * (1 + 1e-5));
                continue;
            }
            parted += node.is_parted ? 1 : 0;
            const std::uint32_t halves[]{index + 1, node.second};
            glm::dvec3 sum(0);
            double sending = 0;
            for (const std::uint32_t half : halves) {
                const SourceTree::Node& part = tree.node(half);
                CHECK(part.u0 >= node.u0);
                CHECK(part.u1 <= node.u1);
                CHECK(part.v0 >= node.v0);
                CHECK(part.v1 <= node.v1);
                sum += part.sending() * lights[part.source].sent.rgb();
                sending += part.sending();
                waiting.push_back(half);
            }
            const PlaneRectangle one = tree.node(halves[0]).rectangle(),
                                 other = tree.node(halves[1]).rectangle();
            CHECK((one.u1 <= other.u0 || one.v1 <= other.v0)); // they do not overlap
            CHECK(node.sending() == doctest::Approx(sending).epsilon(1e-5).scale(0));
            const glm::dvec3 whole = node.sending() * lights[node.source].sent.rgb();
            for (int channel = 0; channel < 3; ++channel)
                CHECK(whole[channel] == doctest::Approx(sum[channel]).epsilon(1e-5).scale(0));
            CHECK(std::abs(lights[node.source].centroid_u) <= 1.001f);
            CHECK(std::abs(lights[node.source].centroid_v) <= 1.001f);
        }
        const SourceTree::Node& root = tree.node(plane.root);
        CHECK(root.area == doctest::Approx(area).epsilon(1e-5).scale(0));
        const double all = luminance_of(root.sending() * lights[root.source].sent.rgb());
        CHECK(all == doctest::Approx(luminance_of(lumens)).epsilon(1e-4).scale(0));
    }
    CHECK(parted > 0); // the walls part the ground
    for (std::uint32_t i = 0; i < patches.size(); ++i)
        CHECK(times[i] == (tree.has_patch(i) ? 1 : 0)); // each patch is one cell
}

TEST_CASE("source tree: light that runs straight has its centroid a third of its growth off the middle") {
    // The centroid of 1 + a u + b v over the square from -1 to 1 is (a / 3, b / 3).
    StageMaker maker;
    StageMaker::add_quad(maker.stage->opaque, StageMaker::level(2, 0), maker.material(glm::vec3(0.5f)), true);
    const Patches patches(maker.finish(), {.size = 0.25});
    std::vector<SourceTree::Cover> covers(patches.size());
    for (const glm::dvec2& growth : {glm::dvec2(0), {0.6, 0}, {-0.3, 0.5}}) {
        const double a = growth.x, b = growth.y;
        const SourceTree tree(patches, covers);
        REQUIRE(tree.planes().size() == 1);
        std::vector<PatchLight> sent(patches.size());
        const Patches::Face& face = patches.faces()[tree.planes()[0].face];
        const SourceTree::Node& root = tree.node(tree.planes()[0].root);
        for (std::uint32_t i = 0; i < patches.size(); ++i) {
            const glm::dvec3 at = patches.centroid(i) - face.origin;
            const auto lux = static_cast<float>(1 + a * root.rectangle().place_u(glm::dot(at, face.across)) +
                                                b * root.rectangle().place_v(glm::dot(at, face.upward)));
            sent[i] = {lux, lux, lux, 0};
        }
        const SourceLight light = tree.gather_light(sent)[root.source];
        CAPTURE(a);
        CAPTURE(b);
        CHECK(light.sent.g == doctest::Approx(1).epsilon(1e-5));
        CHECK(light.centroid_u == doctest::Approx(a / 3).epsilon(1e-4));
        CHECK(light.centroid_v == doctest::Approx(b / 3).epsilon(1e-4));
    }
    // What light cannot come to is no part of any rectangle.
    const std::vector<glm::vec3> spots{glm::vec3(0)};
    covers[5].open = 0;
    covers[9].open = 0.25f;
    covers[9].spots = spots;
    covers[9].solid = 0.5f;
    const SourceTree tree(patches, covers);
    CHECK(!tree.has_patch(5));
    CHECK(tree.open_spots(9).size() == 1);
    CHECK(tree.open_spots(8).empty());
    const SourceTree::Node& root = tree.node(tree.planes()[0].root);
    CHECK(root.area == doctest::Approx(16 - 0.0625 * 1.75).scale(0));
    CHECK(root.sending() == doctest::Approx(16 - 0.0625 * (1 + 1 - 0.125)).scale(0));
}
