#include "climb.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/sort_stably.hpp"
#ifdef DUSKCAST_NLOPT
#include <exception>
#include <memory>
#include <new>
#include <nlopt.h>
#include <stdexcept>
#include <type_traits>
#endif

namespace duskcast {
namespace {

constexpr double close_enough = 1e-4; ///< of a range: places nearer to each other are one

/// Corners from the highest to the lowest.
class Simplex {
public:
    Simplex(const std::vector<ClimbRange>& ranges, int most_steps, const ClimbedFunction& value)
        : ranges_(ranges), steps_left_(most_steps), value_(value) {}

    /// From `start`, with steps of `scale` times those of the ranges.
    void place(const std::vector<double>& start, double scale) {
        const std::size_t known = corners_.empty() ? 0 : 1;
        corners_.resize(known); // the best of the last simplex needs no second look
        if (known == 0)
            add(start);
        for (std::size_t k = 0; k < ranges_.size(); ++k) {
            std::vector<double> values = start;
            const double step = scale * ranges_[k].step;
            values[k] += values[k] + step <= ranges_[k].high ? step : -step;
            add(std::move(values));
        }
        sort();
    }

    void climb() {
        while (steps_left_ > 0 && !is_collapsed())
            move();
    }

    const std::vector<double>& best() const { return corners_.front().values; }
    bool has_steps() const { return steps_left_ > 0; }

private:
    struct Corner {
        std::vector<double> values;
        double height = 0;
    };

    Corner try_at(std::vector<double> values) {
        for (std::size_t k = 0; k < values.size(); ++k)
            values[k] = std::clamp(values[k], ranges_[k].low, ranges_[k].high);
        --steps_left_;
        const double height = value_(values.data());
        return {std::move(values), height};
    }
    void add(std::vector<double> values) {
        if (steps_left_ > 0)
            corners_.push_back(try_at(std::move(values)));
    }
    void sort() {
        sort_stably(corners_, [](const Corner& a, const Corner& b) { return a.height > b.height; });
    }

    bool is_collapsed() const {
        for (const Corner& corner : corners_)
            for (std::size_t k = 0; k < ranges_.size(); ++k)
                if (std::abs(corner.values[k] - best()[k]) >
                    close_enough * (ranges_[k].high - ranges_[k].low))
                    return false;
        return true;
    }

    /// From the lowest corner through the middle of the others: 1 is as far beyond as it is before.
    std::vector<double> beyond_middle(double share) const {
        std::vector<double> values(ranges_.size());
        const double others = static_cast<double>(corners_.size() - 1);
        for (std::size_t k = 0; k < values.size(); ++k) {
            double middle = 0;
            for (std::size_t i = 0; i + 1 < corners_.size(); ++i)
                middle += corners_[i].values[k] / others;
            values[k] = middle + share * (middle - corners_.back().values[k]);
        }
        return values;
    }

    void move() {
        Corner& lowest = corners_.back();
        Corner mirrored = try_at(beyond_middle(1));
        const double second_lowest = corners_[corners_.size() - 2].height;
        if (mirrored.height > corners_.front().height && steps_left_ > 0) {
            Corner further = try_at(beyond_middle(2));
            lowest = further.height > mirrored.height ? std::move(further) : std::move(mirrored);
        } else if (mirrored.height > second_lowest || steps_left_ == 0) {
            if (mirrored.height > lowest.height)
                lowest = std::move(mirrored);
        } else {
            const bool is_outside = mirrored.height > lowest.height;
            Corner nearer = try_at(beyond_middle(is_outside ? 0.5 : -0.5));
            if (nearer.height > std::max(mirrored.height, lowest.height))
                lowest = std::move(nearer);
            else
                shrink();
        }
        sort();
    }

    /// All corners halfway to the best.
    void shrink() {
        for (std::size_t i = 1; i < corners_.size() && steps_left_ > 0; ++i) {
            std::vector<double> values = corners_[i].values;
            for (std::size_t k = 0; k < values.size(); ++k)
                values[k] = (values[k] + best()[k]) / 2;
            corners_[i] = try_at(std::move(values));
        }
    }

    const std::vector<ClimbRange>& ranges_;
    int steps_left_ = 0;
    const ClimbedFunction& value_;
    std::vector<Corner> corners_;
};

} // namespace

void climb_by_simplex(const std::vector<double>& start, const std::vector<ClimbRange>& ranges, int most_steps,
                      const ClimbedFunction& value) {
    if (ranges.empty() || most_steps < 1)
        return;
    Simplex simplex(ranges, most_steps, value);
    simplex.place(start, 1);
    simplex.climb();
    // A simplex may have shrunk on a slope that it met at a bad angle.
    for (double scale = 0.25; simplex.has_steps() && scale > 1e-3; scale /= 4) {
        simplex.place(std::vector<double>(simplex.best()), scale);
        simplex.climb();
    }
}

#ifdef DUSKCAST_NLOPT

void climb_from(const std::vector<double>& start, const std::vector<ClimbRange>& ranges, int most_steps,
                const ClimbedFunction& value) {
    std::vector<double> low, high, step, values;
    for (const ClimbRange& range : ranges) {
        // The last value of a grid may lie a rounding beyond its range, and NLopt then does not begin at all.
        values.push_back(std::clamp(start[values.size()], range.low, range.high));
        low.push_back(range.low);
        high.push_back(range.high);
        step.push_back(range.step);
    }
    const std::unique_ptr<std::remove_pointer_t<nlopt_opt>, decltype(&nlopt_destroy)> optimiser(
        nlopt_create(NLOPT_LN_SBPLX, static_cast<unsigned>(ranges.size())), &nlopt_destroy);
    if (!optimiser)
        throw std::bad_alloc();
    // NLopt is C: nothing may be thrown through it.
    struct Climb {
        const ClimbedFunction& value;
        nlopt_opt optimiser;
        std::exception_ptr fault;
    } climb{value, optimiser.get(), nullptr};
    nlopt_set_lower_bounds(optimiser.get(), low.data());
    nlopt_set_upper_bounds(optimiser.get(), high.data());
    nlopt_set_initial_step(optimiser.get(), step.data());
    nlopt_set_max_objective(
        optimiser.get(),
        [](unsigned, const double* tried, double*, void* data) {
            Climb& here = *static_cast<Climb*>(data);
            try {
                return here.value(tried);
            } catch (...) {
                here.fault = std::current_exception();
                nlopt_force_stop(here.optimiser);
                return 0.0;
            }
        },
        &climb);
    nlopt_set_maxeval(optimiser.get(), most_steps);
    nlopt_set_xtol_rel(optimiser.get(), close_enough);
    double reached = 0;
    const nlopt_result result = nlopt_optimize(optimiser.get(), values.data(), &reached);
    if (climb.fault)
        std::rethrow_exception(climb.fault);
    if (result == NLOPT_OUT_OF_MEMORY)
        throw std::bad_alloc();
    if (result < 0 && result != NLOPT_ROUNDOFF_LIMITED) // a slope too fine for its numbers is an end as good
        throw std::logic_error("the climb could not begin: its start or its ranges are at fault");
}

#else

void climb_from(const std::vector<double>& start, const std::vector<ClimbRange>& ranges, int most_steps,
                const ClimbedFunction& value) {
    climb_by_simplex(start, ranges, most_steps, value);
}

#endif

} // namespace duskcast
