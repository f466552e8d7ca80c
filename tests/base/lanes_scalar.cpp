#define DUSKCAST_SCALAR_LANES
#include "run_lanes.inl"

void duskcast::test::run_scalar_lanes(const Eight& a, const Eight& b, const Eight& c, LaneResults& results) {
    run_lanes(a.data(), b.data(), c.data(), results.figures.front().data(), results.masks.data());
}
