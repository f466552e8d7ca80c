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

bool is_narrow(std::span<const double> lumens) {
    constexpr double enough = 1024;
    double sum = 0, squares = 0;
    for (const double share : lumens) {
        sum += share;
        squares += share * share;
    }
    return sum * sum < enough * squares; // as many equal shares as would scatter as much (Kish 1965)
}

BeamRays make_beam_rays(const LitFixture& fixture) {
    constexpr int count = 1 << 14;
    const IntensityTable& table = fixture.table;
    BeamRays rays;
    if (table.values().empty())
        return rays;
    // Of rings of equal width in s = sin(gamma / 2): up to where each reaches in s^2, in which solid angle is
    // even (dOmega = 4 pi d(s^2)), and their light by the mean over C.
    const int rings = table.rows() - 1;
    const auto reach = [&](int ring) { return std::pow(static_cast<double>(ring) / rings, 2); };
    std::vector<double> mean(rings, 0.0), before(rings + 1, 0.0);
    for (int ring = 0; ring < rings; ++ring) {
        for (int column = 0; column < table.columns(); ++column) {
            const float* value =
                &table.values()[static_cast<std::size_t>(column) * (table.rows() + 1) + ring];
            mean[ring] += static_cast<double>(value[0] + value[1]) / (2 * table.columns());
        }
        before[ring + 1] = before[ring] + mean[ring] * (reach(ring + 1) - reach(ring));
    }
    if (!(before.back() > 0))
        return rays;
    const glm::dmat3 world_from_lamp = world_from_fixture(fixture.aim);
    double sum = 0;
    for (int i = 0, ring = 0; i < count; ++i) {
        const double light = (i + 0.5) / count * before.back();
        while (before[ring + 1] < light)
            ++ring;
        const double square = reach(ring) + (light - before[ring]) / mean[ring];
        const double across = 2 * std::sqrt(square * (1 - square)), turn = golden_angle * i;
        const glm::dvec3 way(across * std::cos(turn), across * std::sin(turn), 2 * square - 1);
        const glm::dvec3 direction = glm::normalize(world_from_lamp * way);
        rays.directions.emplace_back(direction);
        rays.lumens.push_back(static_cast<double>(table.candela(glm::vec3(way))) / mean[ring] *
                              fixture.lens.open_share(direction.z));
        sum += rays.lumens.back();
    }
    for (double& lumens : rays.lumens)
        lumens *= sum > 0 ? fixture.lumens / sum : 0;
    return rays;
}

} // namespace duskcast
