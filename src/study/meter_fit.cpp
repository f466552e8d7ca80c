// What readings say of tilt, azimuth and output.

#include <algorithm>
#include <cmath>
#include <random>

#include "duskcast/study/meter.hpp"
#include "duskcast/study/tolerance.hpp"

namespace duskcast {

namespace {

constexpr double normal_90 = 1.6448536; ///< quantile of the normal distribution: 90 % lie within
constexpr double least_error = 0.05;    ///< lux: the last digit of a meter
constexpr double told_share = 0.6;

using Matrix = std::vector<std::vector<double>>;

/// The inverse of a symmetric positive definite matrix, by Cholesky's decomposition.
Matrix invert_positive(Matrix a) {
    const std::size_t n = a.size();
    for (std::size_t j = 0; j < n; ++j) {
        for (std::size_t k = 0; k < j; ++k)
            a[j][j] -= a[j][k] * a[j][k];
        a[j][j] = std::sqrt(std::max(a[j][j], 1e-30));
        for (std::size_t i = j + 1; i < n; ++i) {
            for (std::size_t k = 0; k < j; ++k)
                a[i][j] -= a[i][k] * a[j][k];
            a[i][j] /= a[j][j];
        }
    }
    Matrix inverse(n, std::vector<double>(n, 0.0));
    for (std::size_t column = 0; column < n; ++column) {
        std::vector<double> x(n, 0.0);
        for (std::size_t i = 0; i < n; ++i) {
            x[i] = i == column ? 1 : 0;
            for (std::size_t k = 0; k < i; ++k)
                x[i] -= a[i][k] * x[k];
            x[i] /= a[i][i];
        }
        for (std::size_t i = n; i-- > 0;) {
            for (std::size_t k = i + 1; k < n; ++k)
                x[i] -= a[k][i] * x[k];
            x[i] /= a[i][i];
        }
        for (std::size_t i = 0; i < n; ++i)
            inverse[i][column] = x[i];
    }
    return inverse;
}

/// All that is fitted is counted in standard deviations of what was thought beforehand.
class FixtureFitter {
public:
    FixtureFitter(const MeterModel& model, const std::vector<MeterReading>& readings,
                  const MeterTolerances& tolerances)
        : model_(model), readings_(readings), tolerances_(tolerances) {
        for (std::size_t f = 0; f < model.fixture_count(); ++f)
            if (count_readings(f) > 0)
                fitted_.push_back(f);
        for (std::size_t f = 0; f < model.fixture_count(); ++f)
            fixed_.push_back(model.find_direct(f, {}));
        spread_ = {tolerances.tilt / std::sqrt(3.0), tolerances.azimuth / std::sqrt(3.0),
                   tolerances.output / std::sqrt(3.0)};
    }

    std::vector<FixtureFit> fit() {
        if (fitted_.empty())
            return {};
        std::vector<double> x(3 * fitted_.size(), 0.0);
        double cost = find_cost(x);
        double damping = 1e-3;
        for (int round = 0; round < 60; ++round) {
            linearise(x);
            bool is_better = false;
            for (int attempt = 0; attempt < 8 && !is_better; ++attempt) {
                Matrix damped = normal_;
                for (std::size_t i = 0; i < damped.size(); ++i)
                    damped[i][i] *= 1 + damping;
                const Matrix inverse = invert_positive(damped);
                std::vector<double> next = x;
                double step = 0;
                for (std::size_t i = 0; i < x.size(); ++i) {
                    double move = 0;
                    for (std::size_t k = 0; k < x.size(); ++k)
                        move += inverse[i][k] * gradient_[k];
                    next[i] = std::clamp(x[i] + move, -most_off, most_off);
                    step = std::max(step, std::abs(next[i] - x[i]));
                }
                const double next_cost = find_cost(next);
                is_better = next_cost <= cost;
                if (is_better) {
                    const bool is_done = step < 1e-5;
                    x = next;
                    cost = next_cost;
                    damping = std::max(1e-9, damping / 5);
                    if (is_done)
                        return print_fits(x);
                } else {
                    damping *= 8;
                }
            }
            if (!is_better)
                break;
        }
        return print_fits(x);
    }

private:
    static constexpr double most_off = 4; ///< standard deviations

    std::size_t count_readings(std::size_t fixture) const {
        return static_cast<std::size_t>(
            std::count_if(readings_.begin(), readings_.end(), [&](const MeterReading& reading) {
                return model_.points()[reading.point].fixture == fixture;
            }));
    }

    FixtureOffset offset_of(const std::vector<double>& x, std::size_t i) const {
        return {x[3 * i] * spread_[0], x[3 * i + 1] * spread_[1],
                std::max(0.01, 1 + x[3 * i + 2] * spread_[2])};
    }

    /// Lux at every point; the fixtures that nothing was read of are taken as designed.
    std::vector<double> lux_at(const std::vector<double>& x, std::vector<std::vector<double>>& direct) const {
        std::vector<double> output(model_.fixture_count(), 1.0);
        direct = fixed_;
        for (std::size_t i = 0; i < fitted_.size(); ++i) {
            const FixtureOffset offset = offset_of(x, i);
            output[fitted_[i]] = offset.output;
            direct[fitted_[i]] = model_.find_direct(fitted_[i], offset);
        }
        std::vector<double> lux(model_.points().size());
        for (std::size_t p = 0; p < lux.size(); ++p)
            lux[p] = model_.bounced()[p] * output[model_.points()[p].fixture];
        for (const std::vector<double>& own : direct)
            for (std::size_t p = 0; p < lux.size(); ++p)
                lux[p] += own[p];
        return lux;
    }

    double error_of(double lux) const { return std::hypot(tolerances_.reading * lux, least_error); }

    /// Minus twice the logarithm of the probability density, less a constant.
    double find_cost(const std::vector<double>& x) const {
        std::vector<std::vector<double>> direct;
        const std::vector<double> lux = lux_at(x, direct);
        double cost = 0;
        for (const MeterReading& reading : readings_) {
            const double error = error_of(lux[reading.point]);
            const double off = (reading.lux - lux[reading.point]) / error;
            cost += off * off + 2 * std::log(error);
        }
        for (const double one : x)
            cost += one * one;
        return cost;
    }

    /// Normal equations and gradient at x.
    void linearise(const std::vector<double>& x) {
        constexpr double step = 0.02;
        std::vector<std::vector<double>> direct;
        const std::vector<double> lux = lux_at(x, direct);
        std::vector<std::vector<double>> slopes(x.size());
        for (std::size_t i = 0; i < fitted_.size(); ++i)
            for (std::size_t k = 0; k < 3; ++k) {
                std::vector<double> more = x, less = x;
                more[3 * i + k] += step;
                less[3 * i + k] -= step;
                const std::vector<double> above = model_.find_direct(fitted_[i], offset_of(more, i));
                const std::vector<double> below = model_.find_direct(fitted_[i], offset_of(less, i));
                std::vector<double>& slope = slopes[3 * i + k];
                slope.resize(lux.size());
                for (std::size_t p = 0; p < lux.size(); ++p) {
                    slope[p] = (above[p] - below[p]) / (2 * step);
                    if (k == 2 && model_.points()[p].fixture == fitted_[i])
                        slope[p] += model_.bounced()[p] * spread_[2];
                }
            }
        normal_.assign(x.size(), std::vector<double>(x.size(), 0.0));
        gradient_.assign(x.size(), 0.0);
        for (std::size_t a = 0; a < x.size(); ++a) {
            normal_[a][a] = 1;
            gradient_[a] = -x[a];
        }
        for (const MeterReading& reading : readings_) {
            const double error = error_of(lux[reading.point]);
            const double off = (reading.lux - lux[reading.point]) / error;
            // The error grows with the light, which the density's logarithm knows.
            const double growth = tolerances_.reading * tolerances_.reading * lux[reading.point] / error;
            for (std::size_t a = 0; a < x.size(); ++a) {
                const double slope = slopes[a][reading.point] / error;
                gradient_[a] += slope * (off + growth * (off * off - 1));
                for (std::size_t b = 0; b < x.size(); ++b)
                    normal_[a][b] += slope * slopes[b][reading.point] / error;
            }
        }
    }

    std::vector<FixtureFit> print_fits(const std::vector<double>& x) {
        linearise(x);
        const Matrix covariance = invert_positive(normal_);
        std::vector<FixtureFit> fits;
        for (std::size_t i = 0; i < fitted_.size(); ++i) {
            FixtureFit fit{.fixture = fitted_[i], .readings = count_readings(fitted_[i])};
            const auto estimate = [&](std::size_t k, double middle) {
                const double deviation = std::sqrt(covariance[3 * i + k][3 * i + k]);
                const double value = middle + x[3 * i + k] * spread_[k];
                const double half = normal_90 * deviation * spread_[k];
                return Estimate{value, value - half, value + half, deviation < told_share};
            };
            fit.tilt = estimate(0, 0);
            fit.azimuth = estimate(1, 0);
            fit.output = estimate(2, 1);
            fits.push_back(fit);
        }
        return fits;
    }

    const MeterModel& model_;
    const std::vector<MeterReading>& readings_;
    MeterTolerances tolerances_;
    std::vector<std::size_t> fitted_;
    std::vector<std::vector<double>> fixed_; ///< direct light as designed, by fixture
    std::array<double, 3> spread_{};
    Matrix normal_;
    std::vector<double> gradient_;
};

} // namespace

std::vector<FixtureFit> fit_fixtures(const MeterModel& model, const std::vector<MeterReading>& readings,
                                     const MeterTolerances& tolerances) {
    return FixtureFitter(model, readings, tolerances).fit();
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
