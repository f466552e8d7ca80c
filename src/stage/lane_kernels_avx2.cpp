// The loops for processors with AVX2 (x86). Taken at run time where the processor has it.
#if defined(__AVX2__)
#include "lane_kernels.inl"

namespace duskcast {

LaneKernels make_avx2_kernels() {
    return own_kernels("avx2");
}

} // namespace duskcast
#endif
