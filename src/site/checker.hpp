#pragma once
// What the checks of a site share: the list of findings, and the checks of single figures.

#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "described.hpp"
#include "duskcast/site/lamp_lights.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/site.hpp"
#include "duskcast/site/site_file.hpp"
#include "json_text.hpp"
#include "messages.hpp"

namespace duskcast {

struct RoofPlan;

inline constexpr double touch = 1e-6; ///< metres; closer than this counts as meeting, not overlapping

template <class T> std::vector<std::string> ids_of(const std::vector<T>& things) {
    std::vector<std::string> ids;
    for (const T& thing : things)
        ids.push_back(thing.id);
    return ids;
}

/// Ids that must differ: output files and references go by them.
struct IdSpace {
    struct Taken {
        std::string id, path;
    };
    /// The id's earlier owner, also when only capitals differ; otherwise takes it.
    std::optional<Taken> take(const std::string& id, const std::string& path);
    std::vector<std::string> ids() const;

    bool takes_dots = true;      ///< not where things have parts: "front.bay" is the part "bay" of "front"
    std::string reserved, owner; ///< an id kept for something that no file describes
    std::map<std::string, Taken> by_lower_case;
};

/// Somebody who may look into a beam.
struct Onlooker {
    std::string name; ///< "somebody on \"drive\""
    glm::dvec3 at{0};
    double range = 0; ///< metres within which that counts
};

/// Keys of an object whose values are out of range.
using Faults = std::set<std::string>;

struct Checker {
    const Site& site;
    LampLights& made_lights;
    const std::filesystem::path& folder = made_lights.folder();
    std::vector<Problem> problems;
    IdSpace surfaces{false, "ground", "the ground outside every area"};
    IdSpace lamps, fixtures, targets, views, photos, watch_points, variants, runs;
    IdSpace network_ids;                            ///< of transformers and hubs
    std::map<std::string, const LampLight*> lights; ///< by lamp; none where its figures are at fault
    std::set<std::string> faulty;                   ///< things with errors, such as "fixtures[3]"
    std::vector<Onlooker> onlookers;

    void error(const std::string& path, const Message& message);
    void warn(const std::string& path, const Message& message);
    std::string shown(double metres) const;       ///< for people, also below half an inch or a centimetre
    std::string shown_limit(double metres) const; ///< the same, large ones in whole feet

    void check_id(IdSpace& space, const std::string& id, const std::string& path);
    /// Every figure of the object against the range its description gives; lists of objects left out.
    Faults check_fields(const Fields& fields, const void* object, const std::string& path);
    bool check_size(const std::string& path, double metres, double limit);     ///< above 0, up to the limit
    bool check_distance(const std::string& path, double metres, double limit); ///< 0 or more, up to the limit
    /// Whether a place along a run of `what` is not past its end.
    bool check_along(const std::string& path, double along, const std::vector<RunSegment>& run,
                     const std::string& what = "wall");
    bool check_level(const std::string& path, double metres, double limit); ///< the limit on either side of 0
    bool check_span(const std::string& path, double metres, double low, double high);
    bool check_point(const std::string& path, const glm::dvec2& point);
    bool check_range(const std::string& path, double value, double low, double high);
    bool check_angle(const std::string& path, double radians, const KeyRange& range);
    bool check_illuminance(const std::string& path, double lux, const KeyRange& range);
    bool check_place(const std::string& path, const glm::dvec3& point);
    bool check_finish(const std::string& path, const Finish& finish);
    /// Points in range, no two alike, no crossing. `what` is "path" or "outline".
    bool check_line(const std::string& path, const std::vector<glm::dvec2>& points, bool closed,
                    const std::string& what);

    void check_all(); ///< but for advice
    bool has_errors() const;

    void check_wall(const Wall& wall, const std::string& path);
    void check_roofs();
    void check_steps(); ///< and railings
    void check_fountains();
    void check_ground();
    void check_trees();
    void check_shrubs();
    void check_meshes();
    void check_lanterns();
    void check_glow(const std::optional<Glow>& glow, const std::string& path); ///< path of what glows
    void check_leaf_count();
    void check_sensor_count();
    const LampLight* light_of(const std::string& lamp); ///< a catalogue's lamps' made when asked for
    double lens_diameter(const Fixture& fixture);       ///< metres, as light takes it
    void check_lamp(const Lamp& lamp, const std::string& path);
    void check_lamps();
    void check_model(const FixtureModel& model, const Catalogue& catalogue, const std::string& path);
    void check_fixture(const Fixture& fixture, const std::string& path);
    void check_targets();
    void check_views(); ///< and eyes
    void check_photos();
    void check_watch_points();
    void check_variants(); ///< each as the site it makes; the site itself must be sound
    void check_network();
    void advise(); ///< of what has no errors

private:
    void check_roof(const Roof& roof, const std::string& path);
    bool is_fall_good(const GroundArea& area, const std::string& path);
    void check_terraces(std::size_t index, const std::string& path);
    void check_footing(const std::string& path, const std::string& thing, const glm::dvec2& plan,
                       double foot);
    void check_dormer(const Dormer& dormer, const RoofPlan& roof, const std::string& path);
    void check_steps_place(const Steps& steps, const std::string& path);
    void check_body(const Fixture& fixture, const std::string& path);
    void check_choice(const Fixture& fixture, const std::string& path);
    bool check_box(const Wall& wall, const Projection& projection, const std::string& path);
    void check_opening(const Wall& wall, const Projection* projection, const Opening& opening,
                       const std::string& path);
    void check_surround(const std::vector<RunSegment>& run, const std::vector<Opening>& openings,
                        std::size_t index, const std::string& path);
    void check_number(const Wall& wall, const std::string& path);
    void check_openings(const Wall& wall, IdSpace& parts, const std::string& path);
    void check_growth(const Tree& tree, const std::string& path);
    void check_position(const Fixture& fixture, const std::string& path);
    void check_obstacles(const Fixture& fixture, const std::string& path);
    void check_target(const Target& target, const std::string& path);
    void check_part(const Target& target, const std::string& path);
    void check_stretch(const Target& target, const std::vector<RunSegment>& run, const std::string& what,
                       const std::string& path);
    void check_pixel(const std::vector<double>& pixel, const std::string& path);
    void check_mark(const PhotoMark& mark, const std::string& path);
    void check_photo_length(const PhotoLength& length, const std::string& path);
    void check_mask(const PhotoMask& mask, const std::string& path);
    void check_electrical(const Lamp& lamp, const Faults& faults, const std::string& path);
    void check_transformer(const Transformer& transformer, const std::string& path);
    void check_gauge(const std::string& path, int gauge);
    void check_tap(const CableRun& run, const std::string& path);
    void check_course(const CableRun& run, const std::string& path);
    void check_run(const CableRun& run, const std::string& path);
    void check_feeds();
    void check_laid_run(const CableRun& run, const std::string& path);
    bool is_sound(const Fixture& fixture, const std::string& path) const; ///< and what it stands at
    void advise_fixture(const Fixture& fixture, const std::string& path);
    double candela_towards(const Fixture& fixture, const glm::dvec3& point);
    void advise_place(const Fixture& fixture, const std::string& path);
    void advise_water(const glm::dvec2& plan, const std::string& path);
    void advise_beam(const Fixture& fixture, const std::string& path);
    void advise_cover(const Fixture& fixture, const std::string& path);
    void advise_shroud(const Fixture& fixture, const std::string& path);
    void advise_ladders();
    void advise_cables();
    void advise_names();
    void advise_wall_uplight(const Fixture& fixture, const std::string& path);
};

/// Errors and warnings with their path in the catalogue file filled in.
std::vector<Problem> check_catalogue(const Catalogue& catalogue, LengthUnit units,
                                     const std::filesystem::path& folder);

struct BusinessFile;
/// The same of a business file; reads its logo.
std::vector<Problem> check_business(BusinessFile& made, const std::filesystem::path& folder);

/// Everybody whom the site names, and somebody every few steps on its paving.
std::vector<Onlooker> list_onlookers(const Site& site);

/// The thing that a path leads into: "walls[2]" of "walls[2].openings[0].from".
std::string root_of(const std::string& path);

/// A wall that the geometry of other things can be measured against.
bool is_usable(const Wall& wall);
double run_length(const std::vector<RunSegment>& run);
bool is_on_one_segment(const std::vector<RunSegment>& run, double from, double width);

} // namespace duskcast
