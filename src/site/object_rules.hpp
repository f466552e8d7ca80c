#pragma once
// What no single key of an object shows: keys that need or exclude one another, and defaults that depend on
// other keys. For described.hpp's rows.

#include "object_reader.hpp"

namespace duskcast {

struct CatalogueFile;

void prepare_tree(ObjectReader& reader, Tree& tree);    ///< its defaults, by the plant's words
void prepare_shrub(ObjectReader& reader, Shrub& shrub); ///< the same
void take_height(ObjectReader& reader, Tree& tree);     ///< the other sizes follow, in the kind's proportions
void check_tree_keys(ObjectReader& reader, Tree& tree);
void check_shrub_keys(ObjectReader& reader, Shrub& shrub);
void check_lantern_keys(ObjectReader& reader, Lantern& lantern);
void check_roof_keys(ObjectReader& reader, Roof& roof);
void check_steps_keys(ObjectReader& reader, Steps& steps);
void check_lamp_keys(ObjectReader& reader, Lamp& lamp);
void prepare_fixture(ObjectReader& reader, Fixture& fixture); ///< its defaults, by kind and model
void check_fixture_keys(ObjectReader& reader, Fixture& fixture);
void prepare_model(ObjectReader& reader, FixtureModel& model); ///< its defaults, by kind
void check_run_keys(ObjectReader& reader, CableRun& run);

void take_length_unit(ObjectReader& reader, Site& site);
void take_light_unit(ObjectReader& reader, Site& site);
void take_catalogue(ObjectReader& reader, Site& site);
void take_catalogue_unit(ObjectReader& reader, CatalogueFile& file);

/// What a site file that says nothing more means by a fixture of this kind, and of this model if any.
Fixture default_fixture(FixtureKind kind, bool is_at_wall, const FixtureModel* model = nullptr);

/// 0.5, 1, 2, 5 fc in lux: from rest to accent in residential work (common practice, no source).
std::vector<double> default_levels();

} // namespace duskcast
