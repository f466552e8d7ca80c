#pragma once
// What fits a night's readings best: tilt, azimuth and output of every fixture that was read.

#include <vector>

#include "duskcast/study/meter.hpp"

namespace duskcast {

using Matrix = std::vector<std::vector<double>>;

/// The inverse of a symmetric positive definite matrix, by Cholesky's decomposition.
Matrix invert_positive(Matrix a);

/// Lux: the last digit of a meter.
inline constexpr double least_reading_error = 0.05;

/// What one fixture's tilt, azimuth and output may be off by, and all fixtures' together: counted in standard
/// deviations of the even spread of `MeterTolerances`, three for each fitted fixture.
using Offsets = std::vector<double>;

/// Gauss-Newton on the readings and on what was thought possible beforehand: normal, with the variance of an
/// even spread. The references must outlive it.
class ReadingFitter {
public:
    /// `fitted`: the fixtures that may be off; all others are as designed. `dimmer_times`: how much further a
    /// lamp may be off below its lumens than above.
    ReadingFitter(const MeterModel& model, std::vector<MeterReading> readings,
                  std::vector<std::size_t> fitted, const MeterTolerances& tolerances,
                  double dimmer_times = 1);

    /// The most probable offsets.
    Offsets fit();
    /// Of the normal distribution at these offsets (Laplace's approximation).
    Matrix find_covariance(const Offsets& x);
    /// Sum of the squares of what is left of the readings, each in its own errors, and of the offsets.
    double find_chi_square(const Offsets& x) const;

    FixtureOffset offset_of(const Offsets& x, std::size_t i) const;
    const std::array<double, 3>& spread() const { return spread_; }
    const std::vector<double>& direct_as_designed(std::size_t fixture) const { return fixed_[fixture]; }
    double error_of(double lux) const;

private:
    std::vector<double> find_lux(const Offsets& x) const;
    double sum_squares(const Offsets& x, const std::vector<double>& lux) const;
    double find_cost(const Offsets& x) const;
    void linearise(const Offsets& x);
    Offsets step_from(const Offsets& x, double damping, double& longest) const;

    const MeterModel& model_;
    std::vector<MeterReading> readings_;
    std::vector<std::size_t> fitted_;
    MeterTolerances tolerances_;
    double dimmer_times_;
    std::vector<std::vector<double>> fixed_; ///< direct light as designed, by fixture
    std::array<double, 3> spread_{};
    Matrix normal_;
    std::vector<double> gradient_;
};

} // namespace duskcast
