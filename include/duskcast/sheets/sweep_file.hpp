#pragma once
// sweep.json and sweep.csv: written from figures, and the parts of a sweep read back and joined.

#include <array>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "duskcast/study/sweep.hpp"

namespace duskcast {

/// A variant's figures as the files of studies have them, SI.
struct WrittenFigures {
    std::array<std::optional<double>, quantity_count> values; ///< in the order of list_quantities
    std::vector<TargetFigures> targets;   ///< without area, wanted share, soft share and hot spot ratio
    std::vector<ReachFigures> reaches;    ///< without the top
    std::array<double, 4> lumens_on = {}; ///< targets, other, ground, sky

    bool operator==(const WrittenFigures&) const = default;
};
WrittenFigures make_written(const Figures& figures, const Focus& focus);

/// A lamp's id, or a number in the unit that the key names: metres, degrees, a share.
using SweptValue = std::variant<std::string, double>;

struct WrittenRange {
    std::string key; ///< "tilt_deg"
    std::vector<SweptValue> values;

    bool operator==(const WrittenRange&) const = default;
};

/// What all parts of one sweep have in common.
struct SweepHead {
    std::string version; ///< of the duskcast that ran it
    std::string site;
    std::vector<std::string> fixtures;
    std::string target;
    std::vector<WrittenRange> ranges; ///< one or two; the first varies slowest
    WrittenFigures as_drawn;

    std::size_t size() const; ///< variants of the whole sweep
    /// One a range.
    std::vector<SweptValue> settings_of(std::size_t variant) const;

    bool operator==(const SweepHead&) const = default;
};

struct SweepFile {
    SweepHead head;
    Part part;
    std::vector<WrittenFigures> rows; ///< of the part's variants, in their order
};

SweepFile make_sweep_file(const Site& site, const Sweep& sweep, const Part& part);

std::string print_sweep_json(const SweepFile& sweep);
/// One row a variant; fields that need it are quoted (RFC 4180).
std::string print_sweep_csv(const SweepFile& sweep);

/// Reads the sweep.json of a part. Throws InputError, naming the file and the place in it, for anything that
/// print_sweep_json would not have written: keys missing, unknown or of another kind, rows missing, doubled
/// or out of order, figures without a number.
SweepFile read_sweep_part(const std::string& file, const std::string& text);

struct NamedSweepPart {
    std::string file;
    SweepFile sweep;
};

/// Joins all parts of one sweep, in any order, to what a single run makes. Throws InputError, naming the
/// file: parts of another study, missing or given twice.
SweepFile merge_sweeps(std::vector<NamedSweepPart> parts);

} // namespace duskcast
