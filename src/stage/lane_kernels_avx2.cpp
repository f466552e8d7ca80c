// The loops for processors with AVX2 and fused multiply-add (x86). Taken at run time where the processor has
// both. Fused steps round less often than the bounds of the loops allow for, and verdicts are made elsewhere,
// so that they stay as they are.
#if defined(__AVX2__)
#include "lane_kernels.inl"

namespace duskcast {

LaneKernels make_avx2_kernels() {
    return own_kernels("avx2");
}

} // namespace duskcast
#endif
