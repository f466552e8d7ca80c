// Which sensors have links of their own, and what is read off between them; single links.

#include <cmath>
#include <numbers>

#include "../../src/light/sensor_lattice.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/light/point_links.hpp"
#include "stage_maker.hpp"

using namespace duskcast;

namespace {

/// A wall with a gable, a window and a flank, and the ground before and behind it.
Site make_lattice_site() {
    Site site = make_wall_site(5, 2.6, 0.1);
    site.walls[0].path.emplace_back(5, 2);
    site.walls[0].gables = {{"gable", 0.5, 3, 4}};
    site.walls[0].openings = {{.id = "window", .from = 3.7, .width = 0.9, .sill = 0.8, .height = 1.1}};
    site.ground_spacing = 0.2;
    site.ground.margin = 1.5;
    return site;
}

struct Chosen {
    std::vector<std::uint32_t> chosen;
    std::vector<LatticeBetween> between;
    std::vector<SensorLook> look; ///< one a sensor, of those chosen
    std::size_t looks = 0;
};

Chosen choose(
    const Stage& stage, const SensorLattice::Nearest& nearest, const std::vector<std::uint8_t>& is_buried,
    const SensorLattice::Seen& seen = [](std::uint32_t, int) -> const BandSeen* { return nullptr; }) {
    SensorLattice lattice(stage, is_buried);
    Chosen made{.look = std::vector<SensorLook>(stage.sensors.size())};
    std::vector<int> looked(stage.sensors.size());
    lattice.choose(
        [&](const std::vector<SensorLook>& looks) {
            for (const SensorLook& one : looks) {
                ++looked[one.sensor];
                made.look[one.sensor] = one;
            }
            made.looks += looks.size();
        },
        [&](std::uint32_t sensor) {
            CHECK(looked[sensor] == 1); // nobody asks about a sensor before it has looked
            return nearest(sensor);
        },
        seen);
    made.chosen = lattice.chosen();
    made.between = lattice.between();
    CHECK(made.looks == made.chosen.size());
    return made;
}

Chosen choose(const Stage& stage, float nearest) {
    return choose(
        stage, [=](std::uint32_t) { return nearest; }, std::vector<std::uint8_t>(stage.sensors.size()));
}

/// Every sensor is either chosen or lies between chosen ones, whose places and sides give its own.
void check_sound(const Stage& stage, const Chosen& made, double step) {
    std::vector<int> times(stage.sensors.size());
    for (const std::uint32_t sensor : made.chosen)
        ++times[sensor];
    const std::vector<int> is_chosen = times;
    for (const LatticeBetween& one : made.between) {
        ++times[one.sensor];
        double sum = 0;
        glm::dvec3 place(0);
        for (std::size_t k = 0; k < 4; ++k) {
            CHECK(is_chosen[one.others[k]] == 1);
            sum += static_cast<double>(one.weight[k]);
            place += static_cast<double>(one.weight[k]) * glm::dvec3(stage.sensors.position(one.others[k]));
            CHECK(glm::dot(stage.sensors.normal(one.others[k]), stage.sensors.normal(one.sensor)) > 0.999f);
        }
        CHECK(sum == doctest::Approx(1).epsilon(1e-5));
        CHECK(glm::distance(place, glm::dvec3(stage.sensors.position(one.sensor))) < 0.11 * step);
    }
    CHECK(std::all_of(times.begin(), times.end(), [](int one) { return one == 1; }));
}

} // namespace

TEST_CASE("lattice: the nearer things are, the more sensors look for themselves") {
    const auto stage = build_stage(make_lattice_site(), {});
    std::size_t before = 0;
    for (const float nearest : {1e6f, 1.5f, 0.6f, 0.2f, 0.0f}) {
        CAPTURE(nearest);
        const Chosen made = choose(*stage, nearest);
        check_sound(*stage, made, 0.2);
        CHECK(made.chosen.size() >= before);
        before = made.chosen.size();
        if (nearest > 1e5f) // six steps of 0.1 m, three of 0.2 m, and the edges
            CHECK(static_cast<double>(made.chosen.size()) < 0.2 * static_cast<double>(stage->sensors.size()));
    }
    CHECK(before == stage->sensors.size()); // what touches something looks for itself
}

TEST_CASE("lattice: light that runs straight over a face is read off exactly") {
    const auto stage = build_stage(make_lattice_site(), {});
    const Chosen made = choose(*stage, 1e6f);
    const auto lux_at = [&](std::uint32_t sensor) {
        return 10 + glm::dot(glm::dvec3(1.5, -2, 0.7), glm::dvec3(stage->sensors.position(sensor)));
    };
    REQUIRE(made.between.size() > 1000);
    double worst = 0;
    for (const LatticeBetween& one : made.between) {
        double read = 0;
        for (std::size_t k = 0; k < 4; ++k)
            read += static_cast<double>(one.weight[k]) * lux_at(one.others[k]);
        worst = std::max(worst, std::abs(read - lux_at(one.sensor)));
    }
    CHECK(worst < 0.05); // sensors at an edge stand in the middle of what is left of their cells
}

TEST_CASE("lattice: what is far is read off between corners that see it alike, every band of a sensor once") {
    const auto stage = build_stage(make_lattice_site(), {});
    const std::vector<std::uint8_t> in_the_open(stage->sensors.size());
    BandSeen even;
    even.all = {0.2f, 0.25f};
    for (int s = 0; s < BandSeen::sectors; ++s) {
        even.sector[s] = {even.all.seen / BandSeen::sectors, even.all.open / BandSeen::sectors};
        even.rays[s] = 10'000;
    }
    const auto near = [](std::uint32_t) { return 0.3f; };
    const Chosen whole = choose(*stage, near, in_the_open);
    const Chosen made = choose(*stage, near, in_the_open, [&](std::uint32_t, int) { return &even; });
    CHECK(made.chosen == whole.chosen);
    std::vector<std::array<double, DistanceBands::most>> times(stage->sensors.size());
    std::size_t nearer = 0;
    for (const std::uint32_t sensor : made.chosen) {
        const SensorLook& look = made.look[sensor];
        nearer += look.first_band > 0;
        for (int band = look.first_band; band < DistanceBands::most; ++band)
            times[sensor][band] += 1;
        // What is beyond is what the others see there: 0.2 of each band.
        CHECK(look.beyond.seen == doctest::Approx(0.2 * look.first_band).epsilon(1e-4));
        CHECK(look.beyond.open == doctest::Approx(0.25 * look.first_band).epsilon(1e-4));
        // The blocks that are halved once a band are 1.3 m wide at most, an eighth of where the first begins.
        CHECK(look.bands.first == doctest::Approx(8 * 1.2).epsilon(0.09));
    }
    CHECK(static_cast<double>(nearer) > 0.75 * static_cast<double>(made.chosen.size()));
    for (const LatticeBetween& one : made.between) {
        glm::dvec3 place(0);
        for (std::size_t k = 0; k < 4; ++k) {
            CHECK(made.look[one.others[k]].first_band <= one.first_band);
            place += static_cast<double>(one.weight[k]) * glm::dvec3(stage->sensors.position(one.others[k]));
        }
        CHECK(glm::distance(place, glm::dvec3(stage->sensors.position(one.sensor))) < 0.11 * 0.2);
        for (int band = one.first_band; band <= one.last_band; ++band)
            for (const float weight : one.weight)
                times[one.sensor][band] += static_cast<double>(weight);
    }
    double worst = 0;
    for (const auto& bands : times)
        for (const double band : bands)
            worst = std::max(worst, std::abs(band - 1));
    CHECK(worst < 1e-4);

    // Something near hides a half of it, now from this one and now from that one.
    BandSeen half = even;
    half.all.seen /= 2;
    for (FlatSeen& sector : half.sector)
        sector.seen /= 2;
    const Chosen apart = choose(*stage, near, in_the_open, [&](std::uint32_t sensor, int) {
        return hash_to_unit(sensor, 0) < 0.5f ? &half : &even;
    });
    std::size_t whole_looks = 0;
    for (const std::uint32_t sensor : apart.chosen)
        whole_looks += apart.look[sensor].first_band == 0;
    CHECK(static_cast<double>(whole_looks) > 0.7 * static_cast<double>(apart.chosen.size()));
}

TEST_CASE("lattice: nothing is read past a corner, across a wall or out of a body") {
    Site site = make_lattice_site();
    site.walls.push_back({.id = "fin", .path = {{1.3, -1.5}, {1.3, 0}}, .height = 1});
    const auto stage = build_stage(site, {});
    std::vector<std::uint8_t> is_buried(stage->sensors.size());
    const Surface& ground = stage->surfaces[stage->find_surface("ground")];
    for (std::uint32_t i = ground.first; i < ground.first + ground.count; ++i)
        is_buried[i] = stage->sensors.y[i] > 1 && stage->sensors.x[i] < 2.5f ? 1 : 0;
    const Chosen made = choose(
        *stage, [](std::uint32_t) { return 1e6f; }, is_buried);
    check_sound(*stage, made, 0.2);
    int beside_fin = 0;
    for (const LatticeBetween& one : made.between) {
        const glm::vec3 own = stage->sensors.position(one.sensor);
        for (const std::uint32_t other : one.others) {
            const glm::vec3 place = stage->sensors.position(other);
            CHECK(is_buried[other] == is_buried[one.sensor]);
            if (own.z > 0.01f || std::abs(stage->sensors.nz[one.sensor]) < 0.9f)
                continue;
            if (own.x > 0.1f && own.x < 4.9f) // the front stands on the ground
                CHECK((own.y > 0) == (place.y > 0));
            if (own.y > -1.4f && own.y < -0.05f && place.y > -1.4f && place.y < -0.05f) {
                CHECK((own.x > 1.3f) == (place.x > 1.3f));
                ++beside_fin;
            }
        }
    }
    CHECK(beside_fin > 20);
}

TEST_CASE("point links: a link is packed and read again, and light follows its share and trend") {
    std::vector<PackedRow> rows(3);
    rows[0] = pack_row({.links = {{70000, 0.1f}, {0, 0.2f, 0.4f}, {2, 0.1f, 0.02f, -1.25f}}, .sky = 0.5f});
    rows[1] = pack_row({.links = {{0, 1, 9, -9}}}); // trends as far as they go
    rows[2] = pack_row({.links = {{1, 0.3f, -2, 0}}});
    const PointLinks links = join_rows(rows);
    CHECK(links.size() == 3);
    const std::vector<PointLink> read = links.links_of(0); // by ascending source
    REQUIRE(read.size() == 3);
    CHECK(read[0].source == 0);
    CHECK(read[1].source == 2);
    CHECK(read[2].source == 70000);
    for (const auto& [place, share] : {std::pair(0, 0.2), std::pair(1, 0.1), std::pair(2, 0.1)})
        CHECK(read[place].share == doctest::Approx(share).epsilon(0.021).scale(0)); // a level is 1.4 %
    CHECK(read[0].trend_u == doctest::Approx(0.4).epsilon(0.1).scale(0)); // the 31 steps' squares are 3
    CHECK(read[0].trend_v == 0);
    CHECK(read[1].trend_u == doctest::Approx(0.02).epsilon(0.4).scale(0));
    CHECK(read[1].trend_v == doctest::Approx(-1.25).epsilon(0.06).scale(0));
    CHECK(links.links_of(1)[0].trend_u == 3.0f);
    CHECK(links.links_of(1)[0].trend_v == -3.0f);
    // E = sum F M (1 + trend c) + F_sky E_sky (DEVELOPERS.md, Why it is fast).
    std::vector<SourceLight> lights(70001);
    lights[0] = {{10, 20, 30, 0}, 0.5f, 0.9f};
    lights[1] = {{5, 5, 5, 0}, 0.25f, 0};
    lights[2] = {{100, 0, 1, 0}, 0, 0};
    const PatchLight first = links.receive(0, lights, 2);
    CHECK(first.r == doctest::Approx(0.2 * 10 * 1.2 + 0.1 * 100 + 1).epsilon(0.01).scale(0));
    CHECK(first.g == doctest::Approx(0.2 * 20 * 1.2 + 1).epsilon(0.01).scale(0));
    CHECK(first.b == doctest::Approx(0.2 * 30 * 1.2 + 0.1 + 1).epsilon(0.01).scale(0));
    CHECK(links.receive(2, lights, 0).g == doctest::Approx(0.3 * 5 * 0.5).epsilon(0.03).scale(0));
    // A trend that would take away more than there is leaves nothing.
    CHECK(links.receive(2, std::vector<SourceLight>{{}, {{5, 5, 5, 0}, 1, 0}}, 0).g == 0);
}

TEST_CASE("point links: however small its links, a packed row keeps its sum, and sources their places") {
    // Each share is rounded by up to half a level: together they are off by no more than one of them.
    Random random(4);
    for (const double scale : {1.0, 1e-2, 1e-4}) {
        PointRow row;
        double sum = 0, moment = 0;
        for (std::uint32_t k = 0; k < 500; ++k) {
            const auto share = static_cast<float>(scale / 500 * std::exp2(3 * random.uniform()));
            row.links.push_back({3 * k * k, share});
            sum += static_cast<double>(share);
            moment += static_cast<double>(share) * k;
        }
        double kept = 0, kept_moment = 0;
        std::vector<PackedRow> rows{pack_row(row)};
        for (const PointLink& link : join_rows(rows).links_of(0)) {
            const double k = std::sqrt(link.source / 3.0);
            CHECK(k == std::round(k));
            kept += static_cast<double>(link.share);
            kept_moment += static_cast<double>(link.share) * k;
        }
        CAPTURE(scale);
        CHECK(std::abs(kept - sum) < 0.007 * 8 * scale / 500 + 1e-6); // half a level of the largest
        CHECK(kept_moment / kept == doctest::Approx(moment / sum).epsilon(1e-3).scale(0));
    }
}

TEST_CASE("point links: bands share out what is seen, and rows of bands that are joined are the whole row") {
    // Each begins at half the distance of the one before, over an octave, within which steps are even.
    constexpr double at_first = 2 - std::numbers::sqrt2;
    const DistanceBands bands{.first = 4, .count = 4};
    for (const auto& [distance, place] :
         {std::pair(100.0, 0.0), std::pair(std::sqrt(32.0), 0.0), std::pair(4.0, at_first),
          std::pair(std::sqrt(8.0), 1.0), std::pair(2.0, 1 + at_first), std::pair(1.0, 2 + at_first),
          std::pair(std::sqrt(0.5), 3.0), std::pair(0.01, 3.0)})
        CHECK(bands.place(distance) == doctest::Approx(place).epsilon(1e-9));
    for (int band = 1; band < bands.count; ++band)
        CHECK(bands.place(bands.end(band)) == doctest::Approx(band - 1).epsilon(1e-9));

    StageMaker maker;
    for (const auto& [x, y, width] :
         {std::tuple(-0.4f, -0.5f, 0.6f), {1.2f, -1.0f, 2.0f}, {-6.0f, -3.0f, 4.0f}}) {
        // Ceilings, lit from nowhere, at three distances from the point below.
        const float height = width;
        StageMaker::add_quad(maker.stage->opaque,
                             {glm::vec3(x, y, height),
                              {x, y + width, height},
                              {x + width, y + width, height},
                              {x + width, y, height}},
                             maker.material(glm::vec3(0.5f)), true);
    }
    const Stage& stage = maker.finish();
    const Patches patches(stage, {.size = 0.15});
    const std::vector<SourceTree::Cover> covers(patches.size());
    const SourceTree tree(patches, covers);
    const PointTracer tracer(patches, tree);
    const LinkedPoint alone{.position = {0, 0, 0}, .normal = {0, 0, 1}, .seed = 5};
    const RestSeen sky{.sky = 0.4, .rays = 1}; // so few that it is what the ceilings leave
    std::vector<PatchLight> sent(patches.size());
    for (std::size_t i = 0; i < sent.size(); ++i)
        sent[i] = {static_cast<float>(1 + i % 7), 0, 0, 0};
    const std::vector<SourceLight> lights = tree.gather_light(sent);
    const auto receive = [&](std::vector<PackedRow> rows) {
        std::vector<double> lux;
        const PointLinks links = join_rows(rows);
        for (std::size_t i = 0; i < links.size(); ++i)
            lux.push_back(static_cast<double>(links.receive(i, lights, 1).r));
        return lux;
    };
    const double whole = receive({pack_row(tracer.trace(alone, sky))})[0];
    LinkedPoint by_bands = alone;
    by_bands.bands = bands;
    const PointRow row = tracer.trace(by_bands, sky);
    const std::vector<PackedRow> packed = pack_bands(row, bands, 0);
    REQUIRE(packed.size() == 4);
    const std::vector<double> lux = receive(packed);
    CHECK(*std::min_element(lux.begin(), lux.end()) > 0.01 * whole);
    CHECK(lux[0] + lux[1] + lux[2] + lux[3] == doctest::Approx(whole).epsilon(2e-3));
    CHECK(receive({merge_rows(packed)})[0] == doctest::Approx(whole).epsilon(2e-3));
    CHECK(receive({merge_rows(std::span(packed).first(2))})[0] ==
          doctest::Approx(lux[0] + lux[1]).epsilon(4e-3));
    // Who knows what is farther from others looks at the rest and finds the same.
    by_bands.first_band = 2;
    by_bands.beyond = {row.band[0].all.seen + row.band[1].all.seen,
                       row.band[0].all.open + row.band[1].all.open};
    const PointRow rest = tracer.trace(by_bands, sky);
    CHECK(rest.links.size() < row.links.size() / 2);
    const std::vector<double> near_lux = receive(pack_bands(rest, bands, 2));
    CHECK(near_lux[0] == doctest::Approx(lux[2]).epsilon(0.02));
    CHECK(near_lux[1] == doctest::Approx(lux[3]).epsilon(0.02));
    CHECK(rest.nearest == row.nearest);
}

TEST_CASE("point links: from the floor of a room each face is seen by its factor") {
    // Lambert's formula for the faces, nothing in the way; what the rest leaves is theirs.
    StageMaker maker;
    const glm::vec3 size(2, 1.5f, 1.2f);
    constexpr std::array<std::array<int, 4>, 6> faces{
        {{0, 1, 3, 2}, {4, 6, 7, 5}, {0, 4, 5, 1}, {2, 3, 7, 6}, {0, 2, 6, 4}, {1, 5, 7, 3}}};
    for (std::size_t face = 0; face < faces.size(); ++face) { // inwards, each of its own colour
        std::array<glm::vec3, 4> corners;
        for (int i = 0; i < 4; ++i) {
            const int of = faces[face][i];
            corners[i] = size * glm::vec3(of & 1 ? 1 : 0, of & 2 ? 1 : 0, of & 4 ? 1 : 0);
        }
        StageMaker::add_quad(maker.stage->opaque, corners,
                             maker.material(glm::vec3(0.1f * static_cast<float>(face + 1))), true);
    }
    const Stage& stage = maker.finish();
    const Patches patches(stage, {.size = 0.15});
    const std::vector<SourceTree::Cover> covers(patches.size());
    const SourceTree tree(patches, covers);
    const PointTracer tracer(patches, tree);
    for (const glm::vec3& at :
         {glm::vec3(1, 0.75f, 0), glm::vec3(0.2f, 0.3f, 0), glm::vec3(1.9f, 1.45f, 0)}) {
        const PointRow row = tracer.trace({.position = at, .normal = {0, 0, 1}, .seed = 3}, {});
        std::vector<PackedRow> rows{pack_row(row)};
        const PointLinks links = join_rows(rows);
        double all = 0;
        for (const SourceTree::Plane& plane : tree.planes()) {
            // Light on one face alone.
            const Patches::Face& face = patches.faces()[plane.face];
            std::vector<PatchLight> sent(patches.size());
            for (const std::uint32_t patch : plane.is_front ? face.front : face.back)
                if (patch != Patches::none)
                    sent[patch] = {1, 1, 1, 0};
            const auto seen = static_cast<double>(links.receive(0, tree.gather_light(sent), 0).g);
            const glm::dvec3 way = glm::dvec3(at) - face.origin;
            const PlaneReceiver receiver{.u = glm::dot(way, face.across),
                                         .v = glm::dot(way, face.upward),
                                         .height = glm::dot(way, face.normal),
                                         .normal_u = face.across.z,
                                         .normal_v = face.upward.z,
                                         .normal_up = face.normal.z};
            const double exact = measure_factor(receiver, tree.node(plane.root).rectangle());
            CAPTURE(at.x);
            if (std::abs(receiver.height) < 1e-6) { // the floor does not see itself
                CHECK(seen == 0);
                continue;
            }
            CHECK(seen == doctest::Approx(exact).epsilon(0.01).scale(0.05));
            all += seen;
        }
        CHECK(all == doctest::Approx(1).epsilon(2e-3));
        CHECK(row.sky == 0);
        CHECK(row.nearest > 0);
    }
    // With leaves over two fifths of the view and sky over a fifth, the faces have the rest.
    const PointRow row = tracer.trace({.position = {1, 0.75f, 0}, .normal = {0, 0, 1}, .seed = 3},
                                      {.leaves = 0.4, .sky = 0.2, .rays = 1'000'000});
    double flat = 0;
    for (const PointLink& link : row.links)
        flat += static_cast<double>(link.share);
    CHECK(flat + static_cast<double>(row.sky) == doctest::Approx(0.6).epsilon(0.01).scale(0));
}
