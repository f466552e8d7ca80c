// What readings say of tilt, azimuth and output, and how surely.

#include <algorithm>
#include <cmath>
#include <random>

#include "duskcast/study/meter.hpp"
#include "duskcast/study/tolerance.hpp"
#include "reading_doubt.hpp"

namespace duskcast {

namespace {

constexpr double told_share = 0.6;
constexpr std::size_t first_rounds = 400, kept_rounds = 4000;

double draw_even(std::mt19937_64& random) {
    return static_cast<double>(random() >> 11) * 0x1p-53;
}

double draw_normal(std::mt19937_64& random) { // Box and Muller 1958
    return std::sqrt(-2 * std::log(1 - draw_even(random))) * std::cos(2 * pi * draw_even(random));
}

/// The logarithm of how likely a fixture is off by `u` tolerances, as MeterTolerances says; less a constant.
double find_prior(double u) {
    const double wide = MeterTolerances::widening;
    const double far =
        MeterTolerances::far_share / (wide * std::sqrt(2 * pi)) * std::exp(-u * u / (2 * wide * wide));
    return std::log(far + (std::abs(u) <= 1 ? (1 - MeterTolerances::far_share) / 2 : 0));
}

/// Draws offsets as often as they are probable, fixture after fixture (Metropolis et al. 1953); steps follow
/// the covariance at the best fit, scaled for three figures (Gelman, Roberts and Gilks 1996).
class OffsetSampler {
public:
    OffsetSampler(const MeterModel& model, const std::vector<MeterReading>& readings,
                  const std::vector<std::size_t>& fitted, const ReadingFitter& fitter, Offsets start,
                  const Matrix& covariance)
        : model_(model), readings_(readings), fitted_(fitted), fitter_(fitter), x_(std::move(start)),
          random_(1) {
        for (std::size_t i = 0; i < fitted_.size(); ++i)
            steps_.push_back(find_steps(covariance, i));
        lux_.assign(model.points().size(), 0.0);
        std::vector<double> output(model.fixture_count(), 1.0);
        for (std::size_t f = 0; f < model.fixture_count(); ++f)
            add(fitter.direct_as_designed(f), 1);
        for (std::size_t i = 0; i < fitted_.size(); ++i) {
            add(fitter.direct_as_designed(fitted_[i]), -1);
            direct_.push_back(model.find_direct(fitted_[i], fitter.offset_of(x_, i)));
            add(direct_.back(), 1);
            output[fitted_[i]] = fitter.offset_of(x_, i).output;
        }
        for (std::size_t p = 0; p < lux_.size(); ++p)
            lux_[p] += model.bounced()[p] * output[model.points()[p].fixture];
        readings_now_ = find_likelihood(lux_);
    }

    /// All that was drawn, by figure.
    std::vector<std::vector<double>> draw() {
        std::vector<std::vector<double>> drawn(x_.size());
        for (std::size_t round = 0; round < first_rounds + kept_rounds; ++round) {
            for (std::size_t i = 0; i < fitted_.size(); ++i)
                try_step(i);
            if (round >= first_rounds)
                for (std::size_t k = 0; k < x_.size(); ++k)
                    drawn[k].push_back(x_[k]);
        }
        return drawn;
    }

private:
    using Steps = std::array<std::array<double, 3>, 3>;

    /// The lower triangle of Cholesky's decomposition of one fixture's own covariance.
    static Steps find_steps(const Matrix& covariance, std::size_t fixture) {
        const double scale = 2.38 / std::sqrt(3.0);
        Steps steps{};
        for (std::size_t a = 0; a < 3; ++a)
            for (std::size_t b = 0; b <= a; ++b) {
                double left = covariance[3 * fixture + a][3 * fixture + b] * scale * scale;
                for (std::size_t k = 0; k < b; ++k)
                    left -= steps[a][k] * steps[b][k];
                steps[a][b] = a == b ? std::sqrt(std::max(left, 1e-12)) : left / steps[b][b];
            }
        return steps;
    }

    void add(const std::vector<double>& own, double times) {
        for (std::size_t p = 0; p < lux_.size(); ++p)
            lux_[p] += times * own[p];
    }

    double find_likelihood(const std::vector<double>& lux) const {
        double sum = 0;
        for (const MeterReading& reading : readings_) {
            const double error = fitter_.error_of(lux[reading.point]);
            const double off = (reading.lux - lux[reading.point]) / error;
            sum -= off * off / 2 + std::log(error);
        }
        return sum;
    }

    void try_step(std::size_t i) {
        Offsets next = x_;
        const std::array<double, 3> way{draw_normal(random_), draw_normal(random_), draw_normal(random_)};
        double prior = 0;
        for (std::size_t a = 0; a < 3; ++a) {
            for (std::size_t b = 0; b <= a; ++b)
                next[3 * i + a] += steps_[i][a][b] * way[b];
            // Counted in tolerances: the square root of three of an even spread's standard deviations.
            prior +=
                find_prior(next[3 * i + a] / std::sqrt(3.0)) - find_prior(x_[3 * i + a] / std::sqrt(3.0));
        }
        const double chance = draw_even(random_);
        if (1 + next[3 * i + 2] * fitter_.spread()[2] < 0.01)
            return; // no lamp gives less than nothing
        const FixtureOffset offset = fitter_.offset_of(next, i), before = fitter_.offset_of(x_, i);
        std::vector<double> direct = model_.find_direct(fitted_[i], offset);
        std::vector<double> lux = lux_;
        for (std::size_t p = 0; p < lux.size(); ++p) {
            lux[p] += direct[p] - direct_[i][p];
            if (model_.points()[p].fixture == fitted_[i])
                lux[p] += model_.bounced()[p] * (offset.output - before.output);
        }
        const double readings = find_likelihood(lux);
        if (std::log(1 - chance) > prior + readings - readings_now_)
            return;
        x_ = std::move(next);
        lux_ = std::move(lux);
        direct_[i] = std::move(direct);
        readings_now_ = readings;
    }

    const MeterModel& model_;
    const std::vector<MeterReading>& readings_;
    const std::vector<std::size_t>& fitted_;
    const ReadingFitter& fitter_;
    Offsets x_;
    std::mt19937_64 random_;
    std::vector<Steps> steps_;
    std::vector<std::vector<double>> direct_; ///< by fitted fixture, at x
    std::vector<double> lux_;                 ///< at x
    double readings_now_ = 0;
};

Estimate estimate_from(const std::vector<double>& drawn, double middle, double spread) {
    double sum = 0, squares = 0;
    for (const double one : drawn) {
        sum += one;
        squares += one * one;
    }
    const double count = static_cast<double>(drawn.size());
    const double mean = sum / count, deviation = std::sqrt(std::max(0.0, squares / count - mean * mean));
    return {middle + mean * spread, middle + quantile(drawn, 0.05) * spread,
            middle + quantile(drawn, 0.95) * spread, deviation < told_share};
}

} // namespace

std::vector<FixtureFit> fit_fixtures(const MeterModel& model, const std::vector<MeterReading>& readings,
                                     const MeterTolerances& tolerances) {
    std::vector<std::size_t> counts(model.fixture_count(), 0), fitted;
    for (const MeterReading& reading : readings)
        ++counts[model.points()[reading.point].fixture];
    for (std::size_t f = 0; f < counts.size(); ++f)
        if (counts[f] > 0)
            fitted.push_back(f);
    if (fitted.empty())
        return {};
    std::vector<FixtureFit> fits;
    for (const std::size_t f : fitted)
        fits.push_back({.fixture = f, .readings = counts[f]});
    std::vector<MeterReading> believed = readings;
    take_out_doubtful(model, believed, fitted, tolerances, fits);
    ReadingFitter fitter(model, believed, fitted, tolerances);
    const Offsets best = fitter.fit();
    const std::vector<std::vector<double>> drawn =
        OffsetSampler(model, believed, fitted, fitter, best, fitter.find_covariance(best)).draw();
    for (std::size_t i = 0; i < fits.size(); ++i) {
        fits[i].tilt = estimate_from(drawn[3 * i], 0, fitter.spread()[0]);
        fits[i].azimuth = estimate_from(drawn[3 * i + 1], 0, fitter.spread()[1]);
        fits[i].output = estimate_from(drawn[3 * i + 2], 1, fitter.spread()[2]);
    }
    return fits;
}

std::vector<MeterRange> find_usual_ranges(const MeterModel& model) {
    constexpr std::size_t samples = 200;
    const Tolerances usual;
    std::mt19937_64 random(1);
    const auto off = [&] { return 2 * static_cast<double>(random() >> 11) * 0x1p-53 - 1; };
    std::vector<std::vector<double>> seen(model.points().size());
    for (std::size_t i = 0; i < samples; ++i) {
        std::vector<FixtureOffset> offsets(model.fixture_count());
        for (FixtureOffset& offset : offsets)
            offset = {off() * usual.tilt, off() * usual.azimuth, 1 + off() * usual.lumens};
        const std::vector<double> lux = model.find_lux(offsets);
        for (std::size_t p = 0; p < lux.size(); ++p)
            seen[p].push_back(lux[p]);
    }
    std::vector<MeterRange> ranges;
    for (const std::vector<double>& values : seen)
        ranges.push_back({quantile(values, 0.1), quantile(values, 0.9)});
    return ranges;
}

} // namespace duskcast
