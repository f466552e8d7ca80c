// Included once by each source that compiles base/simd.hpp for a set of instructions.

#include "duskcast/base/simd.hpp"
#include "lanes.hpp"

namespace {

void run_lanes(const float* pa, const float* pb, const float* pc, float* figures, unsigned* masks) {
    using namespace duskcast::DUSKCAST_LANES;
    const Floats a = load(pa), b = load(pb), c = load(pc);
    const auto put = [&figures](const Floats& made) {
        store(figures, made);
        figures += lanes;
    };
    put(a + b);
    put(a - b);
    put(a * b);
    put(a / b);
    put(min(a, b));
    put(max(a, b));
    put(square_root(a));
    put(magnitude(a));
    put(turn_sign(a, b));
    put(select(a < b, a, c));
    put(dot(Points{a, b, c}, Points{b, c, a}));
    const Points crossed = cross(Points{a, b, c}, Points{b, c, a});
    put(crossed.x + crossed.y - crossed.z);
    masks[0] = bits(a < b);
    masks[1] = bits(a <= b);
    masks[2] = bits((a < b) & (b < c));
    masks[3] = bits((a < b) | (b <= c));
}

} // namespace
