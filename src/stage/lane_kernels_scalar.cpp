// The loops with one float after the other: for processors whose vectors are not known here, and for the
// tests.
#define DUSKCAST_SCALAR_LANES
#include "lane_kernels.inl"

namespace duskcast {

LaneKernels make_scalar_kernels() {
    return own_kernels("scalar");
}

} // namespace duskcast
