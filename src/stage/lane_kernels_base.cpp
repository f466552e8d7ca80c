// The loops for every processor of the kind that the program is built for.
#include "lane_kernels.inl"

namespace duskcast {

LaneKernels make_base_kernels() {
    return own_kernels("base");
}

} // namespace duskcast
