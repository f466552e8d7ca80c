#pragma once
// Many variants of one site: what costs rays is made once and kept.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/measure/spill.hpp"
#include "duskcast/study/figures.hpp"

namespace duskcast {

struct WorkbenchOptions {
    bool is_direct_only = false;
    /// For searches: penumbras are found less finely, what lands on targets is summed over their sensors
    /// instead of followed by rays, and where the rest lands is not found.
    bool is_quick = false;
    /// Bounced light is found once for a stage, of the fixtures of `bounce_of` (null: of the first variant
    /// lit there); it goes with the variants' lumens, the ambient light apart. For variants that differ by
    /// little.
    bool is_bounce_scaled = false;
    std::shared_ptr<const Site> bounce_of = {};
    bool is_soft = false; ///< soft_share is found
    /// What else becomes of a variant's fixtures before they are lit, such as by the volts they get.
    std::function<void(const Site& variant, std::vector<LitFixture>& fixtures)> adjust = {};
    /// cd/m2 from which things read as lit; where given, light() looks from the site's views.
    std::optional<double> lit_luminance = {};
    std::vector<double> levels_lx; ///< as measure_report takes them; empty: the site's
    /// Of what is kept of one stage's lenses: where they light, and half as much for their bounced light.
    /// What was in use longest ago goes first, and is traced again when it is wanted.
    std::size_t most_kept_bytes = std::size_t{128} << 20;
};

struct WatchedBounce;
struct PreparedVariant;

/// A variant fully lit, as a single run has it.
struct LitVariant {
    std::shared_ptr<const Stage> stage;
    Lighting lighting;
    Report report;
};

/// Lights variants of a site. Stages are kept as long as nothing but fixtures and lamps changes, Sights and
/// landing places by the place of their lens, so that another aim, lamp or dimming traces no ray at all.
/// Figures are those of a single run to the last bit.
class Workbench {
public:
    explicit Workbench(std::filesystem::path folder, WorkbenchOptions options = {});
    ~Workbench();

    /// One a variant, in their order, whatever the number of threads.
    std::vector<Figures> measure(std::span<const Site> variants, const Progress& progress = {});

    /// With everything a plate is drawn from. Traces only lenses that the variant lit before, on the same
    /// stage, did not have.
    LitVariant light(const Site& variant, const Progress& progress = {});

    std::uint64_t rays() const { return rays_; } ///< traced so far for Sights

private:
    struct StageCache;
    StageCache& cache_of(const Site& variant);
    /// One that is new or was traced for about as many lenses.
    BounceSetup& setup_for(StageCache& cache, std::size_t lenses);
    BounceSetup& set_up(StageCache& cache, const std::vector<LitFixture>& fixtures);
    std::vector<LitFixture> make_fixtures(const Site& variant);
    WatchedBounce bounce(StageCache& cache, const std::vector<LitFixture>& fixtures);
    void find_bounce(StageCache& cache, PreparedVariant& prepared);

    std::filesystem::path folder_;
    WorkbenchOptions options_;
    FixtureMaker maker_;
    std::vector<std::unique_ptr<StageCache>> caches_;
    std::uint64_t rays_ = 0;
};

} // namespace duskcast
