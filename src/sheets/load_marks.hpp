#pragma once
// What the cable plan and the one-line diagram have in common.

#include <string>

#include "duskcast/draw/page.hpp"
#include "duskcast/sheets/load_picture.hpp"

namespace duskcast {

/// A run's colour, told apart on paper and by most colour-blind readers.
Ink run_ink(std::size_t run);

/// The colour of a lamp's state; grey where its run has no operating point.
Ink state_ink(const LoadReport& report, const FixtureLoad& fixture);

/// "11.35 V", or "no volts" where its run has no operating point.
std::string print_volts(const LoadReport& report, const FixtureLoad& fixture);

/// Title, and what the wire is, over a line.
void draw_load_heading(Canvas& canvas, const Site& site, const LoadReport& report, const std::string& title);

/// A transformer's box round a point.
void draw_transformer_mark(Canvas& canvas, const glm::dvec2& at, double size);

/// A hub: a small box, where leads begin.
void draw_hub_mark(Canvas& canvas, const glm::dvec2& at, const Ink& ink);

/// The hub of a run as the site has it; none where the run has another layout.
const Hub* find_hub_of(const Site& site, const RunLoad& run);

/// A lamp: a disk with a cross.
void draw_lamp_mark(Canvas& canvas, const glm::dvec2& at, double radius, const Ink& ink);

/// "T1 300 VA: 125 VA, 42 %".
std::string describe_transformer(const TransformerLoad& transformer);

/// "front  12 AWG, 207 ft, tap 12 V, 4.77 A, drop 0.89 V".
std::string describe_run(const RunLoad& run, LengthUnit unit);

/// What the colours of lamps mean, from `at` rightwards.
void draw_state_key(Canvas& canvas, const glm::dvec2& at);

/// The note at the foot: estimates, local code. Its height, drawn from `top`.
double draw_load_note(Canvas& canvas, double top);

/// The two pictures as pages, their words beside them.
DrawnPage make_cable_plan(const Site& site, const LoadReport& report, PictureFormat format);
DrawnPage make_one_line(const Site& site, const LoadReport& report, PictureFormat format);

inline constexpr double load_heading_height = 108;
inline constexpr double load_note_height = 64;

} // namespace duskcast
