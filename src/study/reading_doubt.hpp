#pragma once
// Which readings no tilt, azimuth and output explain.

#include "reading_fitter.hpp"

namespace duskcast {

/// How likely a chi-squared figure of that many degrees of freedom is as large as that or larger.
double find_chi_square_tail(double chi_square, std::size_t degrees);

/// Doubts every fixture whose readings do not agree, the worst first, and takes its readings out of
/// `readings`, so that they mislead nobody else; `fits` has one entry for each of `fitted`.
void take_out_doubtful(const MeterModel& model, std::vector<MeterReading>& readings,
                       const std::vector<std::size_t>& fitted, const MeterTolerances& tolerances,
                       std::vector<FixtureFit>& fits);

} // namespace duskcast
