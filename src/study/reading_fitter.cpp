#include "reading_fitter.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {

namespace {

constexpr double most_off = 4; ///< standard deviations

} // namespace

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

ReadingFitter::ReadingFitter(const MeterModel& model, std::vector<MeterReading> readings,
                             std::vector<std::size_t> fitted, const MeterTolerances& tolerances,
                             double dimmer_times)
    : model_(model), readings_(std::move(readings)), fitted_(std::move(fitted)), tolerances_(tolerances),
      dimmer_times_(dimmer_times) {
    for (std::size_t f = 0; f < model.fixture_count(); ++f)
        fixed_.push_back(model.find_direct(f, {}));
    // Half the width of an even spread is the square root of three of its standard deviations.
    spread_ = {tolerances.tilt / std::sqrt(3.0), tolerances.azimuth / std::sqrt(3.0),
               tolerances.output / std::sqrt(3.0)};
}

Offsets ReadingFitter::fit() {
    Offsets x(3 * fitted_.size(), 0.0);
    double cost = find_cost(x);
    double damping = 1e-3;
    for (int round = 0; round < 60; ++round) {
        linearise(x);
        bool is_better = false;
        for (int attempt = 0; attempt < 8 && !is_better; ++attempt) {
            double longest = 0;
            const Offsets next = step_from(x, damping, longest);
            const double next_cost = find_cost(next);
            is_better = next_cost <= cost;
            if (!is_better) {
                damping *= 8;
                continue;
            }
            x = next;
            cost = next_cost;
            damping = std::max(1e-9, damping / 5);
            if (longest < 1e-5)
                return x;
        }
        if (!is_better)
            break;
    }
    return x;
}

Offsets ReadingFitter::step_from(const Offsets& x, double damping, double& longest) const {
    Matrix damped = normal_;
    for (std::size_t i = 0; i < damped.size(); ++i)
        damped[i][i] *= 1 + damping;
    const Matrix inverse = invert_positive(damped);
    Offsets next = x;
    for (std::size_t i = 0; i < x.size(); ++i) {
        double move = 0;
        for (std::size_t k = 0; k < x.size(); ++k)
            move += inverse[i][k] * gradient_[k];
        next[i] = std::clamp(x[i] + move, -most_off, most_off);
        longest = std::max(longest, std::abs(next[i] - x[i]));
    }
    return next;
}

Matrix ReadingFitter::find_covariance(const Offsets& x) {
    linearise(x);
    return invert_positive(normal_);
}

FixtureOffset ReadingFitter::offset_of(const Offsets& x, std::size_t i) const {
    const double lumens = x[3 * i + 2] * spread_[2];
    return {x[3 * i] * spread_[0], x[3 * i + 1] * spread_[1],
            std::max(0.01, 1 + (lumens < 0 ? dimmer_times_ : 1.0) * lumens)};
}

double ReadingFitter::error_of(double lux) const {
    return std::hypot(tolerances_.reading * lux, least_reading_error);
}

std::vector<double> ReadingFitter::find_lux(const Offsets& x) const {
    std::vector<double> output(model_.fixture_count(), 1.0);
    std::vector<double> lux(model_.points().size(), 0.0);
    std::vector<bool> is_fitted(model_.fixture_count(), false);
    const auto add = [&](const std::vector<double>& own) {
        for (std::size_t p = 0; p < lux.size(); ++p)
            lux[p] += own[p];
    };
    for (std::size_t i = 0; i < fitted_.size(); ++i) {
        const FixtureOffset offset = offset_of(x, i);
        output[fitted_[i]] = offset.output;
        is_fitted[fitted_[i]] = true;
        add(model_.find_direct(fitted_[i], offset));
    }
    for (std::size_t f = 0; f < fixed_.size(); ++f)
        if (!is_fitted[f])
            add(fixed_[f]);
    for (std::size_t p = 0; p < lux.size(); ++p)
        lux[p] += model_.bounced()[p] * output[model_.points()[p].fixture];
    return lux;
}

double ReadingFitter::find_chi_square(const Offsets& x) const {
    return sum_squares(x, find_lux(x));
}

double ReadingFitter::sum_squares(const Offsets& x, const std::vector<double>& lux) const {
    double sum = 0;
    for (const MeterReading& reading : readings_) {
        const double off = (reading.lux - lux[reading.point]) / error_of(lux[reading.point]);
        sum += off * off;
    }
    for (const double one : x)
        sum += one * one;
    return sum;
}

/// Minus twice the logarithm of the probability density, less a constant.
double ReadingFitter::find_cost(const Offsets& x) const {
    const std::vector<double> lux = find_lux(x);
    double cost = sum_squares(x, lux);
    for (const MeterReading& reading : readings_)
        cost += 2 * std::log(error_of(lux[reading.point]));
    return cost;
}

/// Normal equations and gradient at x.
void ReadingFitter::linearise(const Offsets& x) {
    constexpr double step = 0.02;
    const std::vector<double> lux = find_lux(x);
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
                    slope[p] += model_.bounced()[p] *
                                (offset_of(more, i).output - offset_of(less, i).output) / (2 * step);
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

} // namespace duskcast
