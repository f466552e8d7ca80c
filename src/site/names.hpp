#pragma once
// The words of the site file for the enumerations of a Site.

#include <array>
#include <string>
#include <string_view>
#include <utility>

#include "duskcast/site/site.hpp"

namespace duskcast {

template <class Enum, std::size_t size> using Names = std::array<std::pair<Enum, std::string_view>, size>;

inline constexpr Names<LengthUnit, 2> length_unit_names{{{LengthUnit::foot, "ft"}, {LengthUnit::metre, "m"}}};
inline constexpr Names<LightUnit, 2> light_unit_names{
    {{LightUnit::footcandle, "fc"}, {LightUnit::lux, "lx"}}};
inline constexpr Names<UpAxis, 2> up_axis_names{{{UpAxis::y, "y"}, {UpAxis::z, "z"}}};
inline constexpr Names<Profile, 2> profile_names{
    {{Profile::cosine, "cosine"}, {Profile::gaussian, "gaussian"}}};
inline constexpr Names<GroundKind, 5> ground_kind_names{{{GroundKind::lawn, "lawn"},
                                                         {GroundKind::bed, "bed"},
                                                         {GroundKind::paving, "paving"},
                                                         {GroundKind::mulch, "mulch"},
                                                         {GroundKind::water, "water"}}};
inline constexpr Names<CrownForm, 7> crown_form_names{{{CrownForm::round, "round"},
                                                       {CrownForm::oval, "oval"},
                                                       {CrownForm::column, "column"},
                                                       {CrownForm::cone, "cone"},
                                                       {CrownForm::vase, "vase"},
                                                       {CrownForm::spreading, "spreading"},
                                                       {CrownForm::weeping, "weeping"}}};
inline constexpr Names<OpeningKind, 2> opening_kind_names{
    {{OpeningKind::window, "window"}, {OpeningKind::door, "door"}}};
inline constexpr Names<OpeningStyle, 8> opening_style_names{
    {{OpeningStyle::plain, "plain"},
     {OpeningStyle::picture, "picture"},
     {OpeningStyle::casement, "casement"},
     {OpeningStyle::double_hung, "double hung"},
     {OpeningStyle::double_hung_6_over_6, "double hung, 6 over 6"},
     {OpeningStyle::panel_door, "panel door"},
     {OpeningStyle::glazed_door, "glazed door"},
     {OpeningStyle::garage_door, "garage door"}}};
inline constexpr Names<Room, 3> room_names{
    {{Room::dark, "dark"}, {Room::curtains, "curtains"}, {Room::lit, "lit"}}};
inline constexpr Names<Shutters, 2> shutters_names{
    {{Shutters::louvred, "louvred"}, {Shutters::panelled, "panelled"}}};
inline constexpr Names<Cladding, 9> cladding_names{{{Cladding::brick, "brick, running bond"},
                                                    {Cladding::brick_flemish, "brick, Flemish bond"},
                                                    {Cladding::brick_painted, "brick, painted"},
                                                    {Cladding::stone_coursed, "stone, coursed"},
                                                    {Cladding::stone_rubble, "stone, rubble"},
                                                    {Cladding::lap_siding, "lap siding"},
                                                    {Cladding::shingle, "shingle"},
                                                    {Cladding::stucco, "stucco"},
                                                    {Cladding::board_and_batten, "board and batten"}}};
inline constexpr Names<ProjectionKind, 2> projection_kind_names{
    {{ProjectionKind::bay, "bay"}, {ProjectionKind::chimney, "chimney"}}};
inline constexpr Names<RoofForm, 3> roof_form_names{
    {{RoofForm::gable, "gable"}, {RoofForm::hip, "hip"}, {RoofForm::shed, "shed"}}};
inline constexpr Names<DormerForm, 2> dormer_form_names{
    {{DormerForm::gable, "gable"}, {DormerForm::shed, "shed"}}};
inline constexpr Names<RoofCover, 4> roof_cover_names{{{RoofCover::shingle, "shingle"},
                                                       {RoofCover::slate, "slate"},
                                                       {RoofCover::metal, "metal"},
                                                       {RoofCover::tile, "tile"}}};
inline constexpr Names<RidgeRun, 2> ridge_run_names{{{RidgeRun::along, "along"}, {RidgeRun::back, "back"}}};
inline constexpr Names<ColumnForm, 2> column_form_names{
    {{ColumnForm::round, "round"}, {ColumnForm::square, "square"}}};
inline constexpr Names<RailingForm, 2> railing_form_names{
    {{RailingForm::balusters, "balusters"}, {RailingForm::bars, "bars"}}};
inline constexpr Names<RailingSides, 3> railing_sides_names{
    {{RailingSides::left, "left"}, {RailingSides::right, "right"}, {RailingSides::both, "both"}}};
inline constexpr Names<NightSky, 3> night_sky_names{
    {{NightSky::late, "late"}, {NightSky::blue_hour, "blue hour"}, {NightSky::dusk, "dusk"}}};
inline constexpr Names<BodyFinish, 4> body_finish_names{{{BodyFinish::bronze, "bronze"},
                                                         {BodyFinish::black, "black"},
                                                         {BodyFinish::brass, "brass"},
                                                         {BodyFinish::copper, "copper"}}};
inline constexpr Names<LeafDensity, 3> leaf_density_names{
    {{LeafDensity::light, "light"}, {LeafDensity::medium, "medium"}, {LeafDensity::dense, "dense"}}};
inline constexpr Names<LanternForm, 3> lantern_form_names{
    {{LanternForm::sphere, "sphere"}, {LanternForm::cylinder, "cylinder"}, {LanternForm::box, "box"}}};
inline constexpr Names<LeafKind, 14> leaf_kind_names{{{LeafKind::green, "green"},
                                                      {LeafKind::purple, "purple"},
                                                      {LeafKind::yellow_green, "yellow-green"},
                                                      {LeafKind::twigs, "twigs"},
                                                      {LeafKind::dark_green, "dark-green"},
                                                      {LeafKind::blue_green, "blue-green"},
                                                      {LeafKind::grey_green, "grey-green"},
                                                      {LeafKind::red, "red"},
                                                      {LeafKind::orange, "orange"},
                                                      {LeafKind::yellow, "yellow"},
                                                      {LeafKind::white, "white"},
                                                      {LeafKind::pink, "pink"},
                                                      {LeafKind::violet, "violet"},
                                                      {LeafKind::blue, "blue"}}};
inline constexpr Names<Zone, 5> zone_names{
    {{Zone::e0, "E0"}, {Zone::e1, "E1"}, {Zone::e2, "E2"}, {Zone::e3, "E3"}, {Zone::e4, "E4"}}};
inline constexpr Names<WatchKind, 2> watch_kind_names{
    {{WatchKind::window, "window"}, {WatchKind::boundary, "boundary"}}};
inline constexpr Names<Daylight, 3> daylight_names{
    {{Daylight::overcast, "overcast"}, {Daylight::shade, "shade"}, {Daylight::sun, "sun"}}};
inline constexpr Names<MaskKind, 3> mask_kind_names{
    {{MaskKind::plant, "plant"}, {MaskKind::sky, "sky"}, {MaskKind::unlit, "unlit"}}};
inline constexpr Names<FixtureKind, 6> fixture_kind_names{{{FixtureKind::uplight, "uplight"},
                                                           {FixtureKind::bullet, "bullet"},
                                                           {FixtureKind::in_ground, "in-ground"},
                                                           {FixtureKind::wash, "wash"},
                                                           {FixtureKind::path, "path"},
                                                           {FixtureKind::downlight, "downlight"}}};
inline constexpr Names<Season, 2> season_names{{{Season::in_leaf, "in-leaf"}, {Season::bare, "bare"}}};
inline constexpr Names<Knob, 11> knob_names{{{Knob::lamp, "lamp"},
                                             {Knob::beam, "beam"},
                                             {Knob::tilt, "tilt"},
                                             {Knob::azimuth, "azimuth"},
                                             {Knob::turn, "turn"},
                                             {Knob::setback, "setback"},
                                             {Knob::along, "along"},
                                             {Knob::bearing, "bearing"},
                                             {Knob::lens_height, "lens_height"},
                                             {Knob::dimming, "dimming"},
                                             {Knob::spacing, "spacing"}}};
inline constexpr Names<Mount, 4> mount_names{
    {{Mount::spike, "spike"}, {Mount::surface, "surface"}, {Mount::tree, "tree"}, {Mount::wall, "wall"}}};

inline constexpr Names<Draw, 4> draw_names{{{Draw::power, "power"},
                                            {Draw::current, "current"},
                                            {Draw::resistance, "resistance"},
                                            {Draw::halogen, "halogen"}}};
inline constexpr Names<RunLayout, 4> run_layout_names{{{RunLayout::daisy_chain, "daisy-chain"},
                                                       {RunLayout::centre_fed, "centre-fed"},
                                                       {RunLayout::hub, "hub"},
                                                       {RunLayout::loop, "loop"}}};

template <class Enum, std::size_t size> std::string name_of(const Names<Enum, size>& names, Enum value) {
    for (const auto& [one, name] : names)
        if (one == value)
            return std::string(name);
    return {};
}

inline const char* const default_opening_finish = "glass";
inline const char* const default_soffit_finish = "paint white old"; ///< and of other trim
inline const char* const default_metal_finish = "slate dark"; ///< of poles and figures
inline const char* const default_retaining_finish = "sandstone";
inline const char* const default_chimney_finish = "brick red common";

} // namespace duskcast
