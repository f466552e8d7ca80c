#include "cast_lanes.hpp"

#include <algorithm>
#include <numeric>
#include <tuple>
#include <utility>

namespace duskcast {
namespace {

auto key_of(const Aim& aim) {
    return std::tuple(aim.tilt, aim.azimuth, aim.spin);
}

bool stand_before(const Cast& a, const Cast& b) {
    return std::lexicographical_compare(a.stands.begin(), a.stands.end(), b.stands.begin(), b.stands.end(),
                                        std::less<>());
}

bool aim_before(const Cast& a, const Cast& b) {
    return std::lexicographical_compare(
        a.fixtures.begin(), a.fixtures.end(), b.fixtures.begin(), b.fixtures.end(),
        [](const LitFixture& x, const LitFixture& y) { return key_of(x.aim) < key_of(y.aim); });
}

bool aim_alike(const Cast& a, const Cast& b) {
    return std::equal(a.fixtures.begin(), a.fixtures.end(), b.fixtures.begin(), b.fixtures.end(),
                      [](const LitFixture& x, const LitFixture& y) { return x.aim == y.aim; });
}

} // namespace

std::vector<std::vector<std::size_t>> find_groups(const std::vector<Cast>& casts) {
    std::vector<std::size_t> order(casts.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        if (casts[a].stands != casts[b].stands)
            return stand_before(casts[a], casts[b]);
        return aim_before(casts[a], casts[b]);
    });
    std::vector<std::vector<std::size_t>> groups;
    bool is_one_aim = true;
    for (const std::size_t i : order) {
        if (!groups.empty() && groups.back().size() < lane_count &&
            casts[groups.back().front()].stands == casts[i].stands) {
            std::vector<std::size_t>& group = groups.back();
            const bool is_alike = aim_alike(casts[group.front()], casts[i]);
            if (group.size() == 1)
                is_one_aim = is_alike;
            if (is_alike || !is_one_aim) {
                group.push_back(i);
                continue;
            }
        }
        groups.push_back({i});
    }
    return groups;
}

CastLanes::CastLanes(const Watched& watched, std::vector<const Cast*> casts) : casts_(std::move(casts)) {
    const Cast& first = *casts_.front();
    for (std::size_t f = 0; f < first.fixtures.size(); ++f) {
        std::vector<FixtureLane> lanes;
        for (const Cast* cast : casts_)
            lanes.push_back({cast->fixtures[f].aim, &cast->fixtures[f].table, cast->fixtures[f].scale});
        fixtures_.emplace_back(first.stands[f]->sight, watched.subset, lanes);
    }
}

void CastLanes::light(std::size_t from, std::size_t to, double* lux) const {
    if (fixtures_.empty())
        std::fill_n(lux, (to - from) * lane_count, 0.0);
    for (std::size_t f = 0; f < fixtures_.size(); ++f)
        if (f == 0)
            fixtures_[f].set(from, to, lux);
        else
            fixtures_[f].add(from, to, lux);
}

void CastLanes::add_bounced(std::size_t from, std::size_t to, double* lux) const {
    for (std::size_t k = 0; k < casts_.size(); ++k) {
        const WatchedBounce* bounced = casts_[k]->bounced.get();
        if (!bounced)
            continue;
        for (std::size_t i = from; i < to; ++i) {
            const double steady = bounced->steady_lux.empty() ? 0 : bounced->steady_lux[i];
            lux[(i - from) * lane_count + k] += casts_[k]->bounced_scale * bounced->lux[i] + steady;
        }
    }
}

bool CastLanes::has_bounced() const {
    return std::any_of(casts_.begin(), casts_.end(),
                       [](const Cast* cast) { return cast->bounced != nullptr; });
}

KeptLight::KeptLight(std::vector<std::uint32_t> sensors) : sensors_(std::move(sensors)) {
    std::sort(sensors_.begin(), sensors_.end());
    sensors_.erase(std::unique(sensors_.begin(), sensors_.end()), sensors_.end());
    for (std::size_t i = 0; i < sensors_.size(); ++i) {
        if (i == 0 || sensors_[i] != sensors_[i - 1] + 1)
            runs_.push_back({.first = sensors_[i], .place = i});
        ++runs_.back().count;
    }
    lux_.resize(sensors_.size() * lane_count);
}

double KeptLight::at(std::uint32_t sensor, std::size_t lane) const {
    // As a rule a neighbour of the one before is asked for.
    if (sensor - runs_[last_run_].first >= runs_[last_run_].count) {
        const auto after =
            std::upper_bound(runs_.begin(), runs_.end(), sensor,
                             [](std::uint32_t wanted, const Run& run) { return wanted < run.first; });
        last_run_ = static_cast<std::size_t>(after - runs_.begin()) - 1;
    }
    const Run& run = runs_[last_run_];
    return lux_[(run.place + sensor - run.first) * lane_count + lane];
}

void KeptLight::take(std::size_t from, std::size_t to, const double* lux) {
    for (; next_ < sensors_.size() && sensors_[next_] < to; ++next_)
        std::copy_n(lux + (sensors_[next_] - from) * lane_count, lane_count,
                    lux_.data() + next_ * lane_count);
}

} // namespace duskcast
