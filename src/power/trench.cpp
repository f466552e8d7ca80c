#include "duskcast/power/trench.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {
namespace {

constexpr double beside = metres_per_foot; ///< cables nearer than that lie in one trench
constexpr double piece_length = 0.25;      ///< metres

using Line = std::vector<glm::dvec2>;

} // namespace

std::vector<TrenchPiece> list_trench_pieces(const std::vector<Line>& lines) {
    std::vector<TrenchPiece> pieces;
    std::vector<Line> dug; ///< segments
    for (const Line& line : lines) {
        for (std::size_t i = 0; i + 1 < line.size(); ++i) {
            const Line segment{line[i], line[i + 1]};
            const double length = glm::distance(segment[0], segment[1]);
            const int count = std::max(1, static_cast<int>(std::ceil(length / piece_length)));
            for (int n = 0; n < count; ++n) {
                const TrenchPiece piece{glm::mix(segment[0], segment[1], static_cast<double>(n) / count),
                                        glm::mix(segment[0], segment[1], (n + 1.0) / count)};
                const glm::dvec2 middle = (piece.from + piece.to) / 2.0;
                // The segment before is near because it meets this one at the corner.
                const bool is_at_corner = i > 0 && glm::distance(middle, segment[0]) < 2 * beside;
                const auto end = dug.end() - (is_at_corner ? 1 : 0);
                if (std::none_of(dug.begin(), end, [&](const Line& other) {
                        return distance_to_line(middle, other, false) < beside;
                    }))
                    pieces.push_back(piece);
            }
            dug.push_back(segment);
        }
    }
    return pieces;
}

TrenchPlan measure_trench(const Site& site) {
    std::vector<Line> lines;
    for (const CableRun& run : site.network.value().runs) {
        const CableCourse course = lay_cable(site, run);
        lines.push_back(course.home);
        lines.push_back(course.cable);
        for (std::size_t i = 0; i < course.joints.size() && run.layout == RunLayout::hub; ++i)
            lines.push_back({course.joints[i], course.lights[i]});
    }
    TrenchPlan plan;
    for (const TrenchPiece& piece : list_trench_pieces(lines))
        plan.length += measure_way(site.ground, {piece.from, piece.to}).length;
    for (const Line& line : lines)
        for (const GroundStretch& stretch : find_paving(site, line)) {
            auto found = std::find_if(plan.sleeves.begin(), plan.sleeves.end(),
                                      [&](const GroundStretch& one) { return one.area == stretch.area; });
            if (found == plan.sleeves.end())
                found = plan.sleeves.insert(found, {stretch.area, 0});
            found->length += stretch.length;
        }
    return plan;
}

} // namespace duskcast
