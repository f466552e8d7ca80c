#include "reading_doubt.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {

namespace {

/// Chance that a night's readings are doubted that are as good as stated.
constexpr double false_alarm = 0.01;
constexpr double clear_lead = 6; ///< of chi-square: odds of 20 to 1 between two readings

/// Half a width of an even spread is the square root of three of its deviations; that of the fixtures that
/// are further off than usual is `widening` whole ones.
const double far_times = MeterTolerances::widening * std::sqrt(3.0);

/// What even a head that was kicked does not explain is doubted.
MeterTolerances widen(MeterTolerances tolerances) {
    tolerances.tilt *= far_times;
    tolerances.azimuth *= far_times;
    return tolerances;
}

class DoubtFinder {
public:
    /// `is_kept` says which readings are still believed.
    DoubtFinder(const MeterModel& model, const std::vector<MeterReading>& readings,
                const std::vector<std::size_t>& fitted, const MeterTolerances& tolerances,
                const std::vector<bool>& is_kept)
        : model_(model), readings_(readings), fitted_(fitted), tolerances_(widen(tolerances)),
          is_kept_(is_kept), least_(false_alarm / static_cast<double>(fitted.size())),
          whole_(find_without({})) {}

    /// What the fixture's readings add to the best fit of all others has, of readings as good as stated and
    /// fixtures within their tolerances, a chi-squared distribution of as many degrees of freedom as there
    /// are readings: exactly so where light is linear in the offsets and they are normal (Box 1980, "Sampling
    /// and Bayes' inference"). One chance is shared among the fixtures (Bonferroni).
    std::optional<ReadingDoubt> find(std::size_t fixture) const {
        const std::vector<std::size_t> own = list_own(fixture);
        if (own.empty())
            return std::nullopt;
        const double others = find_without(own);
        ReadingDoubt doubt{.chi_square = whole_ - others, .readings = own.size()};
        doubt.chance = find_chi_square_tail(doubt.chi_square, own.size());
        if (doubt.chance >= least_)
            return std::nullopt;
        if (own.size() > 1)
            doubt.suspects = find_suspects(own, others);
        return doubt;
    }

    std::vector<std::size_t> list_own(std::size_t fixture) const {
        std::vector<std::size_t> own;
        for (std::size_t i = 0; i < readings_.size(); ++i)
            if (is_kept_[i] && model_.points()[readings_[i].point].fixture == fixture)
                own.push_back(i);
        return own;
    }

private:
    /// The chi-square of the best fit to all readings but these.
    double find_without(const std::vector<std::size_t>& left_out) const {
        std::vector<MeterReading> kept;
        for (std::size_t i = 0; i < readings_.size(); ++i)
            if (is_kept_[i] && std::find(left_out.begin(), left_out.end(), i) == left_out.end())
                kept.push_back(readings_[i]);
        // A lamp can fail, and not grow brighter than its tolerance.
        ReadingFitter fitter(model_, std::move(kept), fitted_, tolerances_, far_times);
        return fitter.find_chi_square(fitter.fit());
    }

    /// Readings without which the others agree; of several, only the first where it is clearly ahead.
    std::vector<std::size_t> find_suspects(const std::vector<std::size_t>& own, double others) const {
        std::vector<std::pair<double, std::size_t>> found;
        for (const std::size_t one : own) {
            const double left = find_without({one}) - others;
            if (find_chi_square_tail(left, own.size() - 1) >= least_)
                found.emplace_back(left, one);
        }
        std::sort(found.begin(), found.end());
        std::vector<std::size_t> suspects;
        for (const auto& [left, one] : found)
            if (left - found.front().first < clear_lead)
                suspects.push_back(one);
        std::sort(suspects.begin(), suspects.end());
        return suspects;
    }

    const MeterModel& model_;
    const std::vector<MeterReading>& readings_;
    const std::vector<std::size_t>& fitted_;
    MeterTolerances tolerances_;
    const std::vector<bool>& is_kept_;
    double least_; ///< chance
    double whole_; ///< chi-square of the best fit to all that is kept
};

} // namespace

double find_chi_square_tail(double chi_square, std::size_t degrees) {
    if (!(chi_square > 0))
        return 1;
    // Abramowitz and Stegun 26.4.4 and 26.4.5: finite sums for whole degrees of freedom.
    const double half = chi_square / 2;
    const bool is_odd = degrees % 2 == 1;
    double tail = is_odd ? std::erfc(std::sqrt(half)) : 0;
    double term = is_odd ? std::exp(-half) * std::sqrt(half) * 2 / std::sqrt(pi) : std::exp(-half);
    for (std::size_t k = 0; k < degrees / 2; ++k) {
        tail += term;
        term *= half / (static_cast<double>(k) + (is_odd ? 1.5 : 1.0));
    }
    return std::min(1.0, tail);
}

void take_out_doubtful(const MeterModel& model, std::vector<MeterReading>& readings,
                       const std::vector<std::size_t>& fitted, const MeterTolerances& tolerances,
                       std::vector<FixtureFit>& fits) {
    std::vector<bool> is_kept(readings.size(), true);
    for (;;) {
        const DoubtFinder finder(model, readings, fitted, tolerances, is_kept);
        FixtureFit* worst = nullptr;
        std::optional<ReadingDoubt> most;
        for (FixtureFit& fit : fits) {
            std::optional<ReadingDoubt> doubt = finder.find(fit.fixture);
            const auto rank = [](const ReadingDoubt& one) { return std::pair(one.chance, -one.chi_square); };
            if (doubt && (!most || rank(*doubt) < rank(*most))) {
                most = std::move(doubt);
                worst = &fit;
            }
        }
        if (worst == nullptr)
            break;
        worst->doubt = std::move(most);
        for (const std::size_t i : finder.list_own(worst->fixture))
            is_kept[i] = false;
    }
    std::vector<MeterReading> kept;
    for (std::size_t i = 0; i < readings.size(); ++i)
        if (is_kept[i])
            kept.push_back(readings[i]);
    readings = std::move(kept);
}

} // namespace duskcast
