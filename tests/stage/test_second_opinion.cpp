// The search tree beside Embree on the demo scenes, with a loop in double precision as referee.

#if defined(DUSKCAST_EMBREE)

#include "facet_referee.hpp"

#include "duskcast/site/layout.hpp"
#include "embree/embree_scene.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE(
    "the search tree and Embree differ in one ray of a hundred thousand at most, and only by rounding") {
    // Half of the rays go from sensors to points about the site, as shadow rays do; half anywhere.
    for (const std::filesystem::path& file : scene_files()) {
        CAPTURE(file.filename().string());
        const SiteFile site = read_site_file(file);
        const std::unique_ptr<Stage> stage = build_stage(site.site, site.folder());
        const FacetTree tree(stage->opaque, stage->cutouts, stage->leaves, stage->materials, stage->textures);
        const EmbreeScene embree(stage->opaque, stage->cutouts, stage->leaves, stage->materials,
                                 stage->textures);
        const FacetReferee referee(stage->opaque, stage->cutouts, stage->leaves, stage->materials,
                                   stage->textures);
        const auto [low, high] = plan_bounds(site.site);
        Dice dice(11);
        const int count = 100'000;
        int occluded = 0, differing = 0, unexplained = 0, against_referee = 0;
        for (int i = 0; i < count; ++i) {
            Ray ray;
            const glm::vec3 anywhere(dice.uniform(low.x - 5, high.x + 5), dice.uniform(low.y - 5, high.y + 5),
                                     dice.uniform(0.02, 12));
            if (i % 2 == 0) {
                const auto sensor =
                    static_cast<std::size_t>(dice.uniform() * static_cast<double>(stage->sensors.size()));
                const glm::vec3 side =
                    glm::dot(anywhere - stage->sensors.position(sensor), stage->sensors.normal(sensor)) < 0
                        ? -stage->sensors.normal(sensor)
                        : stage->sensors.normal(sensor);
                ray.origin = step_off(stage->sensors.position(sensor), side);
                ray.direction = anywhere - ray.origin;
                ray.far_end = 0.9999f;
            } else {
                ray.origin = anywhere;
                ray.direction = glm::vec3(dice.direction());
                ray.near_end = 1e-3f;
                ray.far_end = static_cast<float>(dice.uniform(0.5, 30));
            }
            const bool is_occluded = tree.is_occluded(ray);
            occluded += is_occluded;
            Ray shadow = ray;
            embree.find_occluded({&shadow, 1}, Coherence::incoherent);
            const Hit hit = tree.find_hit(ray.origin, ray.direction, ray.near_end, ray.far_end);
            const Hit other = embree.find_hit(ray.origin, ray.direction, ray.near_end, ray.far_end);
            const bool is_same = is_occluded == shadow.is_occluded() &&
                                 static_cast<bool>(hit) == static_cast<bool>(other) &&
                                 std::abs(hit.distance - other.distance) * glm::length(ray.direction) < 1e-3f;
            if (is_same)
                continue;
            ++differing;
            const RefereeVerdict truth =
                referee.judge(glm::dvec3(ray.origin), glm::dvec3(ray.direction), ray.near_end, ray.far_end);
            unexplained += !truth.is_doubtful();
            against_referee += is_occluded != truth.is_hit;
        }
        MESSAGE(file.stem().string(), ": ", differing, " differ, of which ", against_referee,
                " from the referee");
        CHECK(occluded > count / 20);
        CHECK(differing <= 3); // one in 100,000 expected at most
        CHECK(unexplained == 0);
    }
}

#endif
