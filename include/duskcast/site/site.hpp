#pragma once
// The property as the practitioner describes it. SI inside: metres, radians, lux; the plan's north is +y.
// A default here is what a site file may leave out.

#include <array>
#include <glm/glm.hpp>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/site/equipment.hpp"
#include "duskcast/site/network.hpp"
#include "duskcast/site/variant.hpp"

namespace duskcast {

/// What a surface is made of: a name from the finish table (finish.hpp), or figures of its own.
struct Finish {
    std::string name; ///< key in the finish table; empty when given by figures
    /// Linear sRGB reflectance, 0..1 each. Its luminance-weighted sum is the visible reflectance.
    glm::dvec3 reflectance{0.2};

    bool operator==(const Finish&) const = default;
};

/// Light that a surface gives off of itself, as evenly to all sides as a matt surface (Lambert): lit
/// curtains, a lantern's glass, the water of a lit pool. Exactly one of its two figures is given.
struct Glow {
    std::optional<double> luminance; ///< cd/m2
    std::optional<double> lumens;    ///< of the whole surface
    double cct = 2700;               ///< kelvin

    bool operator==(const Glow&) const = default;
};

enum class OpeningKind { window, door };

/// How an opening is divided into frame, sashes, glass and panels. Seen in pictures only.
enum class OpeningStyle {
    plain,
    picture,
    casement,
    double_hung,
    double_hung_6_over_6,
    panel_door,
    glazed_door,
    garage_door
};

/// What is seen behind glass.
enum class Room { dark, curtains, lit };

/// Leaves that hang open beside an opening. Seen in pictures only.
enum class Shutters { louvred, panelled };

/// A window, a door: a hole in the wall closed by a pane or leaf set back by the reveal.
struct Opening {
    std::string id;
    OpeningKind kind = OpeningKind::window;
    double from = 0; ///< left edge along the run
    double width = 0;
    double sill = 0; ///< height of the lower edge above the wall's foot
    double height = 0;
    double reveal = 0.1;
    Finish finish;                     ///< of the pane or leaf; default glass
    std::optional<Glow> glow;          ///< of the pane, to the outside; absent: dark
    std::optional<OpeningStyle> style; ///< absent: by its kind in a wall with a cladding, else even
    std::optional<Finish> trim;        ///< of frame and sashes; absent: old white paint
    std::optional<Room> room;          ///< absent: lit where it glows, else curtains

    // On the wall round it, in pictures only.
    double casing = 0;                    ///< width of the boards round it; 0: none
    std::optional<Shutters> shutters;     ///< absent: none
    std::optional<Finish> shutter_finish; ///< absent: dark green paint

    bool operator==(const Opening&) const = default;
};

/// What a wall is made of, as pictures show it: courses, boards, grain. The finish stays its mean.
enum class Cladding {
    brick,
    brick_flemish,
    brick_painted,
    stone_coursed,
    stone_rubble,
    lap_siding,
    shingle,
    stucco,
    board_and_batten
};

/// The triangle of wall between a roof's slopes. Its foot is the wall's height.
struct Gable {
    std::string id;
    double from = 0; ///< left edge along the run; a gable lies within one segment
    double width = 0;
    double peak = 0;                  ///< height of the peak above the wall's foot
    std::optional<Cladding> cladding; ///< the wall's when absent

    bool operator==(const Gable&) const = default;
};

enum class ProjectionKind { bay, chimney };

/// A box that stands out from the wall: a bay, a chimney.
struct Projection {
    std::string id;
    ProjectionKind kind = ProjectionKind::bay;
    double from = 0;
    double width = 0;
    double depth = 0;
    double bottom = 0;
    double height = 0;                ///< of its top above the wall's foot
    std::optional<Finish> finish;     ///< the wall's when absent
    std::optional<Cladding> cladding; ///< the wall's when absent
    std::vector<Opening> openings;    ///< `from` counts along left flank, front, right flank

    bool operator==(const Projection&) const = default;
};

/// The overhang of the roof. Level along the wall's top, broken at gables, and along the gables' slopes.
struct Eave {
    double depth = 0; ///< out from the wall face; 0: none
    double thickness = 0.2;
    double rake_depth = 0; ///< overhang along the gables' slopes; 0: none
    Finish soffit;         ///< default white paint, old

    bool operator==(const Eave&) const = default;
};

/// The number of the house, in figures as wide as they usually are. Seen in pictures only.
struct HouseNumber {
    std::string text;                    ///< digits and what stands between them
    double along = 0;                    ///< its middle
    double up = 0;                       ///< its middle, above the wall's foot
    double height = 5 * metres_per_inch; ///< of a digit
    Finish finish;                       ///< default dark slate

    bool operator==(const HouseNumber&) const = default;
};

/// A façade: a run of straight segments seen from outside, left to right, so that the outside lies
/// on the right hand of somebody walking along it (a house is walked round counter-clockwise).
struct Wall {
    std::string id;
    std::vector<glm::dvec2> path; ///< at least two points
    bool closed = false;          ///< the last point joins the first
    double foot = 0;              ///< height of its lower edge
    double height = 0;
    Finish finish;
    std::optional<Cladding> cladding; ///< absent: even
    std::vector<Gable> gables;
    std::vector<Projection> projections;
    std::optional<Eave> eave;
    std::vector<Opening> openings;

    // Boards on its face, in pictures only.
    double corner_boards = 0;   ///< width on each side of its corners and at its ends; 0: none
    double frieze = 0;          ///< height of the board under the eave and the rakes; 0: none
    std::optional<Finish> trim; ///< of both; absent: old white paint
    std::optional<HouseNumber> number;

    bool operator==(const Wall&) const = default;
};

enum class RoofForm { gable, hip, shed };
enum class RoofCover { shingle, slate, metal, tile };

/// How a roof's ridge runs, seen from before its front side.
enum class RidgeRun { along, back };

/// A stack above a roof, with a cap.
struct Chimney {
    std::string id;
    glm::dvec2 at{0};             ///< of its middle
    double width = 0.8;           ///< along the roof's front
    double depth = 0.6;           ///< square to it
    std::optional<double> height; ///< of its top above z = 0; absent: chimney_above_ridge over the ridge
    Finish finish;                ///< default brick

    bool operator==(const Chimney&) const = default;
};

enum class ColumnForm { round, square };

/// A row of columns under a roof's front side, from end to end.
struct Columns {
    int count = 2;
    ColumnForm form = ColumnForm::round;
    double diameter = 0.2;              ///< at the foot; of a square one its side
    std::optional<double> top_diameter; ///< absent: not tapered
    double foot = 0;                    ///< z they stand on
    Finish finish;                      ///< default white paint

    bool operator==(const Columns&) const = default;
};

enum class DormerForm { gable, shed };

/// A small house with a window that stands on a slope of a roof.
struct Dormer {
    std::string id;
    DormerForm form = DormerForm::gable;
    int side = 1;    ///< of the roof's, counted to the right from the front, which is 1
    double from = 0; ///< left edge along that side, seen from before it
    double width = 0;
    double back = 0.6;                ///< its face, behind the footprint's edge
    double height = 1.2;              ///< of its eave above the covering at its face
    std::optional<double> rise_in_12; ///< absent: a gable's is the roof's, a shed's a quarter of it
    double overhang = 0.15;
    std::optional<Finish> finish;     ///< of its walls; absent: the roof's upright ends'
    std::optional<Cladding> cladding; ///< absent: even
    std::optional<Opening>
        window; ///< along its face and up from the covering there; absent: as large as fits

    bool operator==(const Dormer&) const = default;
};

/// Sloping planes over a convex footprint (roof_plan.hpp). Gables of the wall get a cross roof each.
struct Roof {
    std::string id;
    RoofForm form = RoofForm::gable;

    // Over what: exactly one of wall, outline.
    std::string wall;
    std::optional<double> depth;     ///< back from the front of a wall that is one straight segment
    std::vector<glm::dvec2> outline; ///< its first side is the front
    std::optional<double> height;    ///< of its underside above z = 0; absent: the wall's top

    RidgeRun ridge = RidgeRun::along; ///< of a gable roof
    double rise_in_12 = 6;            ///< of the slope: 6 in 12 is 26.6 degrees
    double overhang = 0.3;            ///< beyond the footprint where no eave of a wall says
    double thickness = 0.15;          ///< of the edge; under a wall's eave the eave's
    RoofCover cover = RoofCover::shingle;
    std::optional<Finish> finish;       ///< of the covering; absent: cover's own
    std::optional<Finish> gable_finish; ///< of upright ends; absent: the wall's, or white paint
    Finish trim;                        ///< of edges, undersides and gutters; default white paint, old
    bool has_gutters = false;
    std::vector<Chimney> chimneys;
    std::vector<Dormer> dormers;
    std::optional<Columns> columns; ///< absent: none

    bool operator==(const Roof&) const = default;
};

enum class RailingForm { balusters, bars };

/// A railing along a line, with posts at its ends and corners and on the way.
struct Railing {
    std::string id;
    std::vector<glm::dvec2> path;
    double foot = 0;                      ///< z of what it stands on
    std::optional<double> end_foot;       ///< z at the end of its path, along which it slopes; absent: level
    double height = 36 * metres_per_inch; ///< of its handrail's top above that
    double post_spacing = 1.8;            ///< at most
    RailingForm form = RailingForm::balusters;
    Finish finish; ///< default white paint, old

    bool operator==(const Railing&) const = default;
};

enum class RailingSides { left, right, both };

/// A flight of steps that goes down from a wall, such as below a door, or from a place.
struct Steps {
    std::string id;

    // Where the middle of its highest edge is: exactly one of wall, at.
    std::string wall;
    double along = 0;   ///< along the wall's run
    double setback = 0; ///< from the wall's face, such as where a porch ends
    std::optional<glm::dvec2> at;
    double facing = 0; ///< azimuth towards which it goes down; of `at` only

    double width = 1.2;
    double foot = 0;                     ///< z of what it goes down to
    double height = 0;                   ///< of its highest tread above the foot
    double riser = 7 * metres_per_inch;  ///< of one step at most
    double tread = 11 * metres_per_inch; ///< depth
    std::optional<double> landing;       ///< depth of the highest tread; absent: as the others
    std::optional<RailingSides> railing; ///< seen by somebody who goes up; absent: none
    RailingForm railing_form = RailingForm::balusters;
    double railing_height = 36 * metres_per_inch;
    Finish finish;         ///< default concrete
    Finish railing_finish; ///< default white paint, old

    bool operator==(const Steps&) const = default;
};

enum class CrownForm { round, oval, column, cone, vase, spreading, weeping };

/// Colour of leaves and blossoms; `twigs` are those of a crown that is bare already.
enum class LeafKind {
    green,
    purple,
    yellow_green,
    twigs,
    dark_green, ///< needles
    blue_green,
    grey_green,
    red,
    orange,
    yellow,
    white,
    pink,
    violet,
    blue
};
std::string name_of(LeafKind kind); ///< "yellow-green"

/// How much is seen through a plant in leaf (leaf_area_density in layout.hpp).
enum class LeafDensity { light, medium, dense };

/// Leaf-angle distribution as the Ross-Goudriaan index chi: -0.4 upright, 0 spherical, 0.6 level.
/// (CLM5 technical note eq. 3.3; range of validity -0.4..0.6.)
struct Foliage {
    LeafKind leaf = LeafKind::green;
    LeafDensity density = LeafDensity::medium; ///< where leaf_area_density is absent
    std::optional<double> leaf_area_density;   ///< one-sided leaf area per crown volume, m2/m3
    double leaf_size = 0.1;                    ///< length of a leaf, metres
    double leaf_angle_index = 0;               ///< chi
    double clumping = 0; ///< 0: leaves at random; towards 1: gathered round twigs, more gaps
    int seed = 1;
    bool is_deciduous = true; ///< bare in winter
    /// Of a bare crown: one-sided area of its twigs per plan area of the crown, beside the boughs that are
    /// built as wood. Bare crowns come to 0.5 to 1.5 with all their wood (from memory).
    double twig_area_index = 0.75;

    bool operator==(const Foliage&) const = default;
};

/// What a tree gains in a year, as the nursery or the arborist says. Rates are steady up to the mature size.
struct Growth {
    double height = 0;                    ///< metres a year
    double width = 0;                     ///< of the crown's diameter, metres a year
    std::optional<double> trunk_diameter; ///< metres a year; absent: in proportion to the height
    std::optional<double> mature_height;  ///< metres; absent: no end
    std::optional<double> mature_width;

    bool operator==(const Growth&) const = default;
};

struct Tree {
    std::string id;
    glm::dvec2 at{0};
    double foot = 0;
    CrownForm form = CrownForm::round;
    double height = 0;         ///< top of the crown above the foot
    double base = 0;           ///< lowest leaves above the foot
    double width = 0;          ///< widest diameter of the crown
    double trunk_diameter = 0; ///< at breast height; 0: height / 40
    Foliage foliage;
    std::optional<Growth> growth;  ///< absent: not said
    std::string plant;             ///< in words (plant_kinds.hpp); empty: a random crown by its figures
    bool stands_on_ground = false; ///< `foot` is the ground's height there: the file says none

    bool operator==(const Tree&) const = default;
};

/// A leafy volume: a hedge along a path with a width, or a bed of shrubs filling an outline.
struct Shrub {
    std::string id;
    std::vector<glm::dvec2> outline; ///< a bed; empty for a hedge
    std::vector<glm::dvec2> path;    ///< a hedge's middle line; empty for a bed
    double width = 0;                ///< of a hedge
    double foot = 0;
    double height = 0;
    Foliage foliage;
    std::string plant;             ///< in words (plant_kinds.hpp); empty: leaves at random
    bool stands_on_ground = false; ///< as a tree's, in the middle of the bed, or of the hedge's first stretch
    glm::dvec2 rise{0};            ///< then, of the ground: metres up per metre eastwards and northwards

    bool operator==(const Shrub&) const = default;
};

enum class GroundKind { lawn, bed, paving, mulch, water };
std::string name_of(GroundKind kind); ///< its word in the site file

/// The wall that holds up raised ground.
struct RetainingWall {
    Finish finish;                    ///< default sandstone
    std::optional<Cladding> cladding; ///< absent: even

    bool operator==(const RetainingWall&) const = default;
};

/// How the top of a terrace falls: a plane, level across its fall.
struct GroundFall {
    double to = 0;      ///< z at its low edge
    double towards = 0; ///< bearing that it falls towards, clockwise from north, radians

    bool operator==(const GroundFall&) const = default;
};

struct GroundArea {
    std::string id;
    GroundKind kind = GroundKind::lawn;
    std::vector<glm::dvec2> outline; ///< later areas lie on top of earlier ones
    /// z of a terrace, held up by a wall round it; absent: it lies on what is below it.
    std::optional<double> height;
    std::optional<GroundFall> fall;         ///< of a terrace, from `height` at its high edge; absent: level
    std::optional<RetainingWall> retaining; ///< of a terrace; absent: of sandstone, even
    std::optional<Finish> finish;           ///< the kind's own when absent
    std::optional<Glow> glow; ///< upwards, such as a pool's that is lit under water; absent: dark

    bool operator==(const GroundArea&) const = default;
};

/// Level ground at z = 0 with terraces on it, outside every area of kind `base`.
struct Ground {
    GroundKind base = GroundKind::lawn;
    std::vector<GroundArea> areas;
    double margin = 6; ///< how far sensors on the base ground reach beyond walls, trees and fixtures

    bool operator==(const Ground&) const = default;
};

enum class UpAxis { y, z };

struct Mesh {
    std::string id;
    std::string file; ///< OBJ, relative to the site file
    double scale = 1; ///< metres per unit of the OBJ
    UpAxis up = UpAxis::y;
    glm::dvec3 at{0};
    double turn = 0; ///< clockwise seen from above, radians
    Finish finish;   ///< where the OBJ has no material

    bool operator==(const Mesh&) const = default;
};

/// A round basin of water, with bowls on a pedestal and a jet where it has them.
struct Fountain {
    std::string id;
    glm::dvec2 at{0};
    std::optional<double> foot;         ///< z it stands on; absent: the ground's height there
    double width = 6 * metres_per_foot; ///< of the basin, outside
    double rim = 16 * metres_per_inch;  ///< height of the basin's rim above the foot
    int bowls = 1;                      ///< one above the other
    std::optional<double> height;       ///< of the highest bowl's rim above the foot; absent: by the width
    double jet = 0;                     ///< how high water rises from the highest of the waters; 0: none
    Finish finish;                      ///< default limestone pale
    std::optional<Glow> glow;           ///< of the basin's water, upwards; absent: dark

    bool operator==(const Fountain&) const = default;
};

enum class LanternForm { sphere, cylinder, box };

/// What a lantern stands on.
struct Pole {
    double foot = 0; ///< z of its lower end
    double diameter = 0.1;
    double arm = 0;         ///< from its top over to the lantern's middle; 0: it stands below that
    double arm_azimuth = 0; ///< where the arm reaches from the pole, clockwise from north
    Finish finish;          ///< default dark slate

    bool operator==(const Pole&) const = default;
};

/// A small body that gives light all over: a porch light, a lantern on a post, a step light in its riser.
struct Lantern {
    std::string id;
    LanternForm form = LanternForm::sphere;

    // Where: exactly one of wall, at.
    std::string wall;
    double along = 0;              ///< along the wall's run
    double up = 0;                 ///< height of its middle above the wall's foot
    std::optional<double> setback; ///< from the wall's face to its middle; absent: setback_of
    std::optional<glm::dvec3> at;  ///< of its middle

    double width = 0;             ///< diameter, or of a box along the wall
    std::optional<double> height; ///< of a cylinder or box; absent: its width
    std::optional<double> depth;  ///< of a box; absent: its width
    double turn = 0;              ///< of a box, clockwise seen from above, radians
    Finish finish;                ///< of its glass
    Glow glow;
    bool is_hooded = false;   ///< closed above and round it: light leaves its underside alone
    std::optional<Pole> pole; ///< of `at` only; absent: none

    bool operator==(const Lantern&) const = default;
};

/// A region of a surface that should be lit: share of its area at or above a level.
struct Target {
    std::string id;
    /// Id of a wall, tree, shrub, ground area or mesh; "ground", outside every area; or a part of one:
    /// "WALL.PROJECTION", "MESH.PART".
    std::string on;
    std::string gable;                            ///< on a wall: only this gable's triangle
    std::optional<std::array<double, 2>> between; ///< heights above the foot
    std::optional<std::array<double, 2>> along;   ///< on a wall or a part: stretch of the run
    double level = lux_per_footcandle;            ///< lux
    double share = 0.8;

    bool operator==(const Target&) const = default;
};

struct View {
    std::string id;
    glm::dvec3 eye{0};
    glm::dvec3 look_at{0};
    double field_of_view = radians_from_degrees(50); ///< full horizontal angle

    bool operator==(const View&) const = default;
};

/// A place of the property that somebody pointed at on a photo.
struct PhotoMark {
    std::string id;
    std::vector<double> pixel;    ///< right and down from the upper left corner of the picture held upright
    std::string wall;             ///< id; empty: `at` says where
    double along = 0;             ///< of the wall's run
    double up = 0;                ///< above the wall's foot
    std::optional<glm::dvec3> at; ///< east, north, up

    bool operator==(const PhotoMark&) const = default;
};

/// A length on a photo that somebody took with a tape: on the face of a wall, or on the ground.
struct PhotoLength {
    std::string id;
    std::vector<double> from, to; ///< pixels of its ends, as a mark's
    std::string wall;             ///< id; empty: on the ground
    double along = 0;             ///< of the wall's run: says on which of its faces
    double length = 0;

    bool operator==(const PhotoLength&) const = default;
};

/// Something on a photo that is white or grey and matt, in the light that the walls are in.
struct PhotoWhite {
    std::vector<double> pixel;
    double reflectance = 0.75; ///< of trim painted white some years ago (common practice, no source)

    bool operator==(const PhotoWhite&) const = default;
};

/// What a part of a photo shows: a tree or shrub of the site; sky; or what is not in the site and stands
/// before it, such as a car.
enum class MaskKind { plant, sky, unlit };

struct PhotoMask {
    MaskKind kind = MaskKind::plant;
    std::string plant;           ///< id of the tree or shrub; of a plant only
    std::vector<double> outline; ///< pixels right and down, in turn: x, y, x, y, ...

    bool operator==(const PhotoMask&) const = default;
};

/// The daylight that a photo was taken in: under cloud, in the shade of an open sky, or with the sun on it.
enum class Daylight { overcast, shade, sun };

/// Where the sun stood.
struct PhotoSun {
    double azimuth = 0;   ///< clockwise from north
    double elevation = 0; ///< above the horizon

    bool operator==(const PhotoSun&) const = default;
};

/// A picture of the property, from which its camera is found.
struct Photo {
    std::string id;
    std::string file;                 ///< relative to the site file
    std::optional<double> focal_35mm; ///< millimetres that give as wide a picture on 36 x 24 mm film
    bool cropped = false;             ///< cut to a part, so that its middle need not be the lens's
    std::optional<double> eye_height; ///< of the camera above the ground
    Daylight taken = Daylight::overcast;
    std::optional<PhotoSun> sun; ///< of Daylight::sun only
    std::vector<PhotoMark> marks;
    std::vector<PhotoLength> lengths;
    std::optional<PhotoWhite> white; ///< absent: brightness comes from the walls' finish
    std::vector<PhotoMask> masks;    ///< later ones on top

    bool operator==(const Photo&) const = default;
};

/// Environmental zone of CIE 150: E0 intrinsically dark, E1 dark (uninhabited), E2 low district brightness
/// (sparse rural), E3 medium (well-inhabited), E4 high (town centres).
enum class Zone { e0, e1, e2, e3, e4 };

std::string name_of(Zone zone); ///< "E0" to "E4"

enum class WatchKind { window, boundary };
std::string name_of(WatchKind kind); ///< "window" or "boundary"

/// Where light should not fall: a neighbour's window, a spot on the property line. What counts is the light
/// on an upright plane there.
struct WatchPoint {
    std::string id;
    WatchKind kind = WatchKind::window;
    glm::dvec3 at{0};
    std::optional<double> facing; ///< azimuth the plane looks to, clockwise from north; absent: the worst

    bool operator==(const WatchPoint&) const = default;
};

/// Somebody who should not be dazzled, beside the views.
struct Eye {
    std::string id;
    glm::dvec3 at{0};
    std::optional<glm::dvec3> look_at; ///< absent: nothing is said of where they look

    bool operator==(const Eye&) const = default;
};

/// The hour that night pictures show behind the property. It is in no figure.
enum class NightSky { late, blue_hour, dusk };
std::string name_of(NightSky sky);

struct Site {
    std::string schema; ///< "$schema", which lets an editor help; empty: none
    std::string name;
    LengthUnit units = LengthUnit::foot;     ///< of bare lengths in the file, and of output
    LightUnit light = LightUnit::footcandle; ///< of bare illuminances in the file, and of output
    std::vector<double> levels;              ///< lux; the levels reports use; default 0.5, 1, 2, 5 fc
    double sensor_spacing = 0.1524;          ///< on walls; 6 in
    double ground_spacing = 0.3048;          ///< on ground; 1 ft
    int leaf_sensors = 2000;                 ///< leaves per crown that carry sensors, both sides

    bool is_as_new = false; ///< no loss of light but what lamps, models and fixtures say of their own
    double ambient = 0;     ///< lux on open level ground from moon and street glow, as a uniform sky
    NightSky sky = NightSky::late;

    std::string catalogue_file; ///< relative to the site file; empty: none
    Catalogue catalogue;        ///< what that file holds; files of its lamps are relative to the site file

    Ground ground;
    std::vector<Wall> walls;
    std::vector<Roof> roofs;
    std::vector<Steps> steps;
    std::vector<Railing> railings;
    std::vector<Fountain> fountains;
    std::vector<Tree> trees;
    std::vector<Shrub> shrubs;
    std::vector<Mesh> meshes;
    std::vector<Lantern> lanterns;
    std::vector<Lamp> lamps;
    std::vector<Fixture> fixtures;
    std::vector<Target> targets;
    std::vector<View> views;
    std::vector<Photo> photos;

    std::optional<Zone> zone;
    std::vector<WatchPoint> watch_points;
    std::vector<Eye> eyes;

    std::vector<Variant> variants;
    std::optional<Network> network; ///< absent: not said how the fixtures are fed

    bool operator==(const Site&) const = default;
};

const Wall* find_wall(const Site& site, const std::string& id);
const Tree* find_tree(const Site& site, const std::string& id);
const Fixture* find_fixture(const Site& site, const std::string& id);
const Lamp* find_lamp(const Site& site, const std::string& id); ///< the site's own, or the catalogue's
const FixtureModel* find_model(const Catalogue& catalogue, const std::string& id);

/// The lamps at hand that can be put into the fixture, its own included: by its model; of a fixture without
/// one every lamp of the same socket, unless its lens and lamp are of a piece (wash, path).
std::vector<const Lamp*> list_fitting_lamps(const Site& site, const Fixture& fixture);

/// What is taken off where nobody says: LEDs of the trade five to ten years on, behind lenses cleaned once a
/// year (common practice, no source).
inline constexpr double usual_tolerance = 0.95;
inline constexpr double usual_depreciation = 0.9;
inline constexpr double usual_dirt = 0.9;

/// What is left of a new lamp's light, each 0..1.
struct LightLoss {
    double tolerance = 1;
    double depreciation = 1;
    double dirt = 1;
    double own = 1; ///< the fixture's light_loss_factor

    double total() const { return tolerance * depreciation * dirt * own; }
};
LightLoss light_loss_of(const Site& site, const Fixture& fixture);

} // namespace duskcast
