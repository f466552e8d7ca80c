#include "duskcast/measure/lit.hpp"

namespace duskcast {

namespace {

/// Bands that are judged as one, from below: where samples are few, a band joins those beneath it, the lowest
/// those above.
std::vector<LitBand> join_bands(const std::vector<LitBand>& bands) {
    std::vector<LitBand> joined;
    for (const LitBand& band : bands) {
        if (joined.empty() || (joined.back().samples >= least_samples && band.samples >= least_samples)) {
            joined.push_back(band);
            continue;
        }
        LitBand& below = joined.back();
        below.to = band.to;
        below.area += band.area;
        below.lit_area += band.lit_area;
        below.samples += band.samples;
    }
    return joined;
}

} // namespace

LitStretches find_lit_stretches(const std::vector<LitBand>& bands) {
    LitStretches found;
    double most_area = 0, area = 0;
    bool goes_on = false;
    for (const LitBand& band : join_bands(bands)) {
        if (!(band.area > 0 && band.lit_area >= reads_as_lit * band.area)) {
            goes_on = false;
            continue;
        }
        if (!goes_on)
            found.all.push_back({band.from, band.to});
        found.all.back().to = band.to;
        area = band.area + (goes_on ? area : 0);
        goes_on = true;
        if (area > most_area) {
            most_area = area;
            found.main = found.all.back();
        }
    }
    found.is_to_top = found.is_any() && found.main.to == bands.back().to;
    return found;
}

const char* name_of(Sighting sighting) {
    switch (sighting) {
    case Sighting::lit:
        return "lit";
    case Sighting::faint:
        return "faint";
    case Sighting::unlit:
        return "unlit";
    case Sighting::hidden:
        return "hidden";
    case Sighting::out_of_picture:
        return "out of the picture";
    }
    return "";
}

std::string name_of(const Viewpoint& viewpoint) {
    switch (viewpoint.kind) {
    case Viewpoint::Kind::whole:
        break;
    case Viewpoint::Kind::view:
        return viewpoint.view;
    case Viewpoint::Kind::south:
        return "from the south";
    case Viewpoint::Kind::north:
        return "from the north";
    }
    return "";
}

} // namespace duskcast
