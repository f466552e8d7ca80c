#pragma once
// One or two settings over ranges: the figures of every variant, the best, and how flat it is.

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "duskcast/study/workbench.hpp"

namespace duskcast {

inline constexpr std::size_t most_variants = 100'000;

struct Range {
    Knob knob = Knob::tilt;
    std::vector<Setting> values;
};

/// "tilt=0..30:1" (both ends included), "setback=6in..30in:2in", "lamp=led-4w-24,led-5w-24". Throws
/// InputError, its place left empty: a range reversed, empty or with a step of 0, values that cannot be read.
Range read_range(const std::string& text, const Site& site);

struct SweepPlan {
    std::vector<std::string> fixtures; ///< ids; empty: all
    std::vector<Range> ranges;         ///< one or two; the first varies slowest
    Focus focus;
    bool is_of_all = false; ///< every fixture of the site is swept; run_sweep finds out

    std::size_t size() const; ///< how many variants
    std::vector<Setting> settings_of(std::size_t variant) const;
};

/// Throws InputError: no range, more than two, one knob twice, more than most_variants, fixtures that have
/// no such setting.
void check_plan(const SweepPlan& plan, const Site& site, const std::filesystem::path& folder);

/// The site as a variant of the plan has it; not checked.
Site make_swept(const Site& site, const SweepPlan& plan, std::size_t variant,
                const std::filesystem::path& folder);

/// Part `number` (from 1) of `of` equal parts.
struct Part {
    std::size_t number = 1, of = 1;

    std::size_t first(std::size_t count) const { return share(count, number - 1); }
    std::size_t last(std::size_t count) const { return share(count, number); } ///< exclusive

private:
    std::size_t share(std::size_t count, std::size_t parts) const {
        return static_cast<std::size_t>(std::uint64_t{count} * parts / of);
    }
};
/// "2/4". Throws InputError, its place left empty.
Part read_part(const std::string& text);
/// Refuses a cut into more parts than there are variants.
void check_part(const Part& part, const SweepPlan& plan);

struct Sweep {
    SweepPlan plan;
    Figures as_drawn;
    std::size_t first = 0;        ///< variant that `figures` begins with
    std::vector<Figures> figures; ///< of the part asked for

    std::vector<std::optional<double>> values(Quantity quantity) const;
};

/// Throws InputError as check_plan, and for settings that check_site refuses at an end of a range.
Sweep run_sweep(const Site& site, Workbench& bench, const std::filesystem::path& folder, SweepPlan plan,
                const Part& part = {}, const Progress& progress = {});

/// Where a quantity is best, and the stretch of the first range round it (the second range's value kept)
/// over which it stays within `flatness` of the best.
struct Best {
    std::size_t variant = 0;
    double value = 0;
    std::size_t flat_from = 0, flat_to = 0; ///< indices into the first range's values
};
inline constexpr double flatness = 0.02;
/// None when no variant has the figure, or all have the same.
std::optional<Best> find_best(const Sweep& sweep, Quantity quantity);

/// Whether the swept fixtures change the figure by more than `flatness` of it. What is the whole site's
/// (spill) counts only where all fixtures are swept.
bool is_moved(const Sweep& sweep, Quantity quantity);

/// The one variant to take: of those that meet the focus's target the one with the highest reach (coverage
/// where there is none); where none meets it, the one with the most coverage. Of equals the one nearest to
/// the middle of the range.
struct Recommendation {
    std::size_t variant = 0;
    bool is_met = false;
};
/// None when no figure of the target moves.
std::optional<Recommendation> find_recommendation(const Sweep& sweep);

/// What the best reach gives and takes against the end of the first range that is further from it, the second
/// range's value kept.
struct ReachTrade {
    std::size_t from = 0, to = 0;   ///< indices into the first range's values
    double reach = 0;               ///< metres more
    std::optional<double> coverage; ///< more or, below 0, less of the target
};
/// None when nothing is gained, and of lamps.
std::optional<ReachTrade> find_reach_trade(const Sweep& sweep);

/// "tilt 6°, lamp brighter 5 W".
std::string print_settings(const Site& site, const std::vector<Setting>& settings);

} // namespace duskcast
