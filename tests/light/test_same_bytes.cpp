// A site's light is the same to the last bit whatever the instructions, the number of threads and the other
// sensors that are asked for.

#include "../thread_limit.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/stage/facet_tree.hpp"
#include "make_stage.hpp"

using namespace duskcast;

namespace {

/// A front with a gable and a window, a tree before it, and two lamps.
Site make_front_yard() {
    Site site = make_wall_site(5, 2.7, 0.25);
    site.walls[0].gables = {{"gable", 1, 3, 4.2}};
    Opening window;
    window.id = "window";
    window.from = 3.3;
    window.width = 1.1;
    window.sill = 0.9;
    window.height = 1.2;
    site.walls[0].openings = {window};
    Tree tree;
    tree.id = "tree";
    tree.at = {1.5, -2.2};
    tree.height = 3.5;
    tree.base = 1.1;
    tree.width = 2;
    tree.foliage.leaf_area_density = 0.8;
    site.trees = {tree};
    site.leaf_sensors = 200;
    site.ground_spacing = 0.7;
    return site;
}

std::vector<LitFixture> make_lamps() {
    std::vector<LitFixture> fixtures;
    for (const glm::vec3& at : {glm::vec3(2.5f, -0.6f, 0.15f), glm::vec3(0.9f, -2.0f, 0.1f)}) {
        LitFixture fixture;
        fixture.lens = {.centre = at, .diameter = 0.06f};
        fixture.table = IntensityTable(make_cosine(60, 800), {});
        fixtures.push_back(fixture);
    }
    return fixtures;
}

struct Answers {
    std::vector<std::vector<float>> transfer;
    std::vector<double> direct_lx, bounced_lx;
    bool operator==(const Answers&) const = default;
};

Answers light_stage(const Stage& stage) {
    Lighting lighting = trace_lighting(stage, make_lamps());
    add_bounce(set_up_bounce(stage, lighting.fixtures, 0.5), lighting);
    Answers answers{{}, lighting.direct_lx, lighting.bounced_lx};
    for (const Sight& sight : lighting.sights)
        answers.transfer.push_back(sight.transfer);
    return answers;
}

} // namespace

TEST_CASE("light is the same to the bit for all instructions and numbers of threads") {
    const std::unique_ptr<Stage> stage = build_stage(make_front_yard(), {});
    std::vector<Answers> answers;
    const auto light_with = [&](Instructions instructions, std::size_t threads) {
        const ThreadLimit limit(threads);
        stage->kernel = std::make_unique<RayKernel>(stage->opaque, stage->cutouts, stage->leaves,
                                                    stage->materials, stage->textures, instructions);
        answers.push_back(light_stage(*stage));
    };
    for (const Instructions instructions : find_instructions())
        light_with(instructions, 3);
    light_with(find_instructions().back(), 1);
#ifdef __EMSCRIPTEN__
    CHECK(answers.size() == 2); // the module holds one set of instructions
#else
    CHECK(answers.size() >= 3); // at least scalar and the target's own
#endif
    CHECK(*std::max_element(answers[0].bounced_lx.begin(), answers[0].bounced_lx.end()) > 0.3);
    for (const Answers& other : answers)
        CHECK(other == answers[0]);
}

TEST_CASE("what a sensor sees of a lens does not depend on which others are asked for") {
    // Fewer sensors are sorted into a coarser grid about the lens, and very few are traced ray by ray.
    const std::unique_ptr<Stage> stage = build_stage(make_front_yard(), {});
    for (const LitFixture& fixture : make_lamps()) {
        const Sight whole = trace_sight(*stage, fixture.lens);
        for (const std::uint32_t every : {3u, 17u, 401u}) {
            CAPTURE(every);
            Sensors some;
            std::vector<std::uint32_t> which;
            std::uint32_t first_leaf = 0;
            for (std::uint32_t i = 0; i < stage->sensors.size(); i += every) {
                first_leaf += i < stage->first_leaf_sensor;
                which.push_back(i);
                some.add(stage->sensors.position(i), stage->sensors.normal(i), 1);
            }
            const Sight part = trace_sight(*stage, some, first_leaf, fixture.lens, Shadows::fine);
            int different = 0;
            for (std::size_t i = 0; i < which.size(); ++i)
                different += part.transfer[i] != whole.transfer[which[i]];
            CHECK(different == 0);
        }
    }
}
