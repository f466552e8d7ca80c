#include "sensor_finder.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>

namespace duskcast {
namespace {

constexpr float least_cosine = 0.34f; ///< of 70 degrees
constexpr float cubes_per_sensor = 0.5f;
constexpr int most_cubes_a_side = 128;

} // namespace

SensorFinder::SensorFinder(const Sensors& sensors, std::vector<std::uint32_t> indices) : sensors_(sensors) {
    if (indices.empty()) {
        first_.assign(2, 0);
        return;
    }
    glm::vec3 high = low_ = sensors.position(indices.front());
    for (const std::uint32_t i : indices) {
        low_ = glm::min(low_, sensors.position(i));
        high = glm::max(high, sensors.position(i));
    }
    const glm::vec3 size = glm::max(high - low_, glm::vec3(0.1f));
    side_ = std::cbrt(size.x * size.y * size.z / (cubes_per_sensor * static_cast<float>(indices.size())));
    side_ = std::max(side_, std::max({size.x, size.y, size.z}) / (most_cubes_a_side - 1));
    count_ = glm::ivec3(size / side_) + 1;
    first_.assign(static_cast<std::size_t>(count_.x) * count_.y * count_.z + 1, 0);
    for (const std::uint32_t i : indices)
        ++first_[index_of(cube_of(sensors.position(i))) + 1];
    for (std::size_t i = 1; i < first_.size(); ++i)
        first_[i] += first_[i - 1];
    found_.resize(indices.size());
    std::vector<std::uint32_t> next(first_.begin(), first_.end() - 1);
    for (const std::uint32_t i : indices)
        found_[next[index_of(cube_of(sensors.position(i)))]++] = i;
}

glm::ivec3 SensorFinder::cube_of(const glm::vec3& position) const {
    return glm::clamp(glm::ivec3(glm::floor((position - low_) / side_)), glm::ivec3(0), count_ - 1);
}

std::size_t SensorFinder::index_of(const glm::ivec3& cube) const {
    return (static_cast<std::size_t>(cube.z) * count_.y + cube.y) * count_.x + cube.x;
}

std::int32_t SensorFinder::find(const glm::vec3& position, const glm::vec3& normal, float farthest) const {
    if (found_.empty())
        return -1;
    const glm::ivec3 middle = cube_of(position);
    // A spot beside the cubes is so much further from all of them.
    const glm::vec3 inside = glm::clamp(position, low_, low_ + side_ * glm::vec3(count_));
    const float outside = glm::distance(position, inside);
    std::int32_t nearest = -1;
    float nearest_squared = farthest * farthest;
    const int most = std::max({count_.x, count_.y, count_.z});
    for (int shell = 0; shell <= most; ++shell) {
        const float least = std::max(outside, static_cast<float>(shell - 1) * side_);
        if (least * least > nearest_squared)
            break;
        const glm::ivec3 from = glm::max(middle - shell, glm::ivec3(0));
        const glm::ivec3 to = glm::min(middle + shell, count_ - 1);
        for (int z = from.z; z <= to.z; ++z)
            for (int y = from.y; y <= to.y; ++y) {
                const bool is_face = std::abs(z - middle.z) == shell || std::abs(y - middle.y) == shell;
                for (int x = from.x; x <= to.x; x += is_face || shell == 0 ? 1 : std::max(1, to.x - from.x)) {
                    if (!is_face && std::abs(x - middle.x) != shell)
                        continue;
                    const std::size_t cube = index_of({x, y, z});
                    for (std::uint32_t i = first_[cube]; i < first_[cube + 1]; ++i) {
                        const std::uint32_t sensor = found_[i];
                        const glm::vec3 way = sensors_.position(sensor) - position;
                        const float squared = glm::dot(way, way);
                        if (squared < nearest_squared &&
                            glm::dot(sensors_.normal(sensor), normal) > least_cosine) {
                            nearest_squared = squared;
                            nearest = static_cast<std::int32_t>(sensor);
                        }
                    }
                }
            }
    }
    return nearest;
}

std::vector<SensorFinder::Share> SensorFinder::mix(const glm::vec3& position, const glm::vec3& normal,
                                                   float reach) const {
    std::vector<Share> mixed;
    if (found_.empty())
        return mixed;
    const glm::ivec3 from = cube_of(position - reach), to = cube_of(position + reach);
    float sum = 0;
    for (int z = from.z; z <= to.z; ++z)
        for (int y = from.y; y <= to.y; ++y)
            for (int x = from.x; x <= to.x; ++x) {
                const std::size_t cube = index_of({x, y, z});
                for (std::uint32_t i = first_[cube]; i < first_[cube + 1]; ++i) {
                    const std::uint32_t sensor = found_[i];
                    const float near = 1 - glm::distance(sensors_.position(sensor), position) / reach;
                    const float facing = glm::dot(sensors_.normal(sensor), normal) - least_cosine;
                    if (!(near > 0 && facing > 0))
                        continue;
                    mixed.push_back({sensor, near * near * facing});
                    sum += mixed.back().share;
                }
            }
    for (Share& one : mixed)
        one.share /= sum;
    return mixed;
}

} // namespace duskcast
