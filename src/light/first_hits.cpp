#include "duskcast/light/first_hits.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/random.hpp"
#include "layer_kernel.hpp"

namespace duskcast {

std::span<const glm::vec3> lens_directions() {
    static const std::vector<glm::vec3> rays = [] {
        std::vector<glm::vec3> made(lens_direction_count);
        for (int i = 0; i < lens_direction_count; ++i)
            made[i] = spherical_fibonacci(i, lens_direction_count);
        return made;
    }();
    return rays;
}

glm::vec3 first_hit_origin(const Lens& lens) {
    return {lens.centre.x, lens.centre.y, std::max(lens.centre.z, 2 * surface_offset)};
}

const DirectionGrid& lens_direction_grid() {
    static const DirectionGrid grid(lens_directions());
    return grid;
}

std::vector<Hit> trace_first_hits(const Stage& stage, const Lens& lens) {
    std::vector<Hit> hits(lens_direction_count);
    stage.kernel->find_hits(first_hit_origin(lens), lens_direction_grid(), surface_offset, 1e5f, hits);
    return hits;
}

std::vector<double> share_lumens(const LitFixture& fixture) {
    const std::span<const glm::vec3> rays = lens_directions();
    std::vector<double> lumens(rays.size());
    if (fixture.table.values().empty())
        return lumens;
    // The candela in all directions are the light on sensors all round the lens, a metre off, facing it.
    static const Sensors around = [] {
        Sensors sensors;
        for (const glm::vec3& ray : lens_directions())
            sensors.add(ray, -ray, 0);
        return sensors;
    }();
    static const std::vector<float> ones(rays.size(), 1.0f);
    std::vector<float> candela(rays.size());
    LayerInput input = make_layer_input(fixture.aim, fixture.table);
    input.x = around.x.data();
    input.y = around.y.data();
    input.z = around.z.data();
    input.transfer = ones.data();
    input.count = candela.size();
    (fixture.table.is_symmetric() ? evaluate_symmetric : evaluate_table)(input, candela.data());
    const bool is_covered = fixture.lens.is_covered();
    double sum = 0;
    for (std::size_t i = 0; i < rays.size(); ++i) {
        lumens[i] = static_cast<double>(candela[i]);
        if (is_covered)
            lumens[i] *= fixture.lens.open_share(rays[i].z);
        sum += lumens[i];
    }
    // Weighted by the lamp's lumens, not by equal parts of 4 pi, so that the parts add up to them.
    const double each = sum > 0 ? fixture.lumens / sum : 0;
    for (double& share : lumens)
        share *= each;
    return lumens;
}

} // namespace duskcast
