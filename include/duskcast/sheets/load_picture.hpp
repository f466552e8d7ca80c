#pragma once
// A load as pictures: the plan with its cable runs, and the one-line diagram.

#include <string>

#include "duskcast/power/load.hpp"
#include "duskcast/sheets/plate.hpp"

namespace duskcast {

/// The plan, north up: transformers, runs in colours of their own, lengths along them, volts at every
/// fixture. Bytes of a PNG or SVG 1600 pixels wide.
std::string draw_cable_plan(const Site& site, const LoadReport& report, PictureFormat format);

/// Each run from its transformer to its last lamp, not to scale: lengths, volts, amps.
std::string draw_one_line(const Site& site, const LoadReport& report, PictureFormat format);

} // namespace duskcast
