#pragma once
// One property while it is worked on: what is held is kept as far as a change leaves it as it was.

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/measure/report.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

/// Which state of the property is looked at.
struct Look {
    std::string variant; ///< id of one of the site's; empty: the site itself
    SeasonChoice plants; ///< over the variant's own, unless it is as today

    bool operator==(const Look&) const = default;
};

/// What became of a text or look.
struct Outcome {
    bool is_accepted = false;
    /// Why not, every fault that was found; else what an experienced installer would say, and what was
    /// repaired in meshes.
    std::vector<Problem> problems;
    bool is_stage_new = false;
    std::vector<std::string> fixtures; ///< ids of those whose light is not as before
};

/// Direct light is up to date after every accepted change. Bounced light and the report come when they are
/// asked for. All figures are those of a session that was opened with the same text, to the last bit.
/// Where a text is refused, what was held before stays.
class Session {
public:
    /// `folder`: where the files lie that the site names. `name`: of the site file, for messages.
    explicit Session(std::filesystem::path folder, std::string name = "property.site.json");

    /// The first text or the next one.
    Outcome change(std::string_view text, const Look& look);
    /// As far as the stage alone: no fixture is lit, and what glows is dark, until the next change.
    Outcome begin(std::string_view text, const Look& look);
    /// The site and its fixtures as another text has them, where it is accepted and its stage is the one that
    /// is held; nothing of what is held changes.
    struct Glance {
        Site site;
        std::vector<LitFixture> fixtures;
    };
    std::optional<Glance> glance_at(std::string_view text, const Look& look);
    /// To be called when one of the files has changed: nothing of what was made of them is kept.
    void forget_files();

    /// Bounced light. Traces rays where the stage or a lens is new since it was last called.
    void settle(const Progress& progress = {});
    /// Settles if need be.
    const Report& measure(const Progress& progress = {});

    bool is_open() const { return held_.stage != nullptr; }
    bool is_settled() const { return is_settled_; }

    // What is held; only while it is open.
    const SiteFile& file() const { return held_.file; } ///< as it was written
    const Site& site() const { return held_.site; }     ///< as it is looked at
    const Look& look() const { return held_.look; }
    const Stage& stage() const { return *held_.stage; }
    const Lighting& lighting() const { return held_.lighting; }
    /// For what outlives a change.
    const std::shared_ptr<const Stage>& stage_held() const { return held_.stage; }
    const BounceSetup& bounce() const { return bounce_; } ///< of the lighting once it is settled
    /// A fixture's direct light, one a sensor.
    const std::vector<float>& layer(std::size_t fixture) const { return held_.layers[fixture]; }

    const std::filesystem::path& folder() const { return folder_; }

private:
    struct Held {
        SiteFile file;
        Look look;
        Site site;
        SeasonChoice plants;
        Site built; ///< the part of the site that the stage is built of
        std::pair<glm::dvec2, glm::dvec2> bounds;
        std::shared_ptr<const Stage> stage;
        Lighting lighting;
        std::vector<std::vector<float>> layers; ///< one a fixture
        std::vector<Lamp> lamps;                ///< one a fixture
        bool is_lit = false;                    ///< what glows is
    };

    Outcome hold(SiteFile file, const Look& look);
    /// The site as it is looked at, and its stage.
    void build(Held& next, std::vector<Problem>& warnings, Outcome& outcome);
    void light(Held& next, Outcome& outcome);
    Sight take_sight(const Stage& stage, const Lens& lens);

    std::filesystem::path folder_;
    std::string name_;
    FixtureMaker maker_;
    std::size_t lamps_made_ = 0; ///< changes of lamps since `maker_` is new
    Held held_;
    std::vector<Sight> spare_; ///< of the stage, of lenses that are not lit now
    BounceSetup bounce_;
    bool is_settled_ = false, is_measured_ = false;
    Report report_;
};

} // namespace duskcast
