#include "duskcast/measure/agreement.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {

std::vector<Agreement> compare_with_reference(const Stage& stage, const std::vector<double>& total_lx,
                                              std::span<const ReferenceLight> reference) {
    std::vector<Agreement> agreements;
    for (std::size_t s = 0; s < stage.surfaces.size(); ++s) {
        const Surface& surface = stage.surfaces[s];
        Agreement agreement{.surface = static_cast<int>(s)};
        double area = 0, agreeing = 0, square = 0;
        for (const ReferenceLight& light : reference) {
            if (light.sensor < surface.first || light.sensor >= surface.first + surface.count)
                continue;
            const auto own = static_cast<double>(stage.sensors.area[light.sensor]);
            const double lux = total_lx[light.sensor];
            const double expected = light.direct_lx + light.bounced_lx;
            const double allowed = std::max({0.05 * expected, 3 * light.standard_error_lx, dark_lx});
            ++agreement.sensors;
            area += own;
            agreement.total_lx += own * lux;
            agreement.reference_lx += own * expected;
            square += own * own * light.standard_error_lx * light.standard_error_lx;
            agreeing += std::abs(lux - expected) <= allowed ? 1 : 0;
        }
        if (agreement.sensors == 0)
            continue;
        agreement.total_lx /= area;
        agreement.reference_lx /= area;
        agreement.standard_error_lx = std::sqrt(square) / area;
        agreement.agreeing = agreeing / static_cast<double>(agreement.sensors);
        agreements.push_back(agreement);
    }
    return agreements;
}

} // namespace duskcast
