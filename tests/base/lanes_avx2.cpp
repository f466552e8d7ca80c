#include "lanes.hpp"

#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__)
// Nothing between the two pragmas is a template or an inline function of another header, whose code the
// linker could take for everybody.
#pragma GCC push_options
#pragma GCC target("avx2")
#include "run_lanes.inl"
#pragma GCC pop_options

bool duskcast::test::run_avx2_lanes(const Eight& a, const Eight& b, const Eight& c, LaneResults& results) {
    if (!__builtin_cpu_supports("avx2"))
        return false;
    run_lanes(a.data(), b.data(), c.data(), results.figures.front().data(), results.masks.data());
    return true;
}
#else
bool duskcast::test::run_avx2_lanes(const Eight&, const Eight&, const Eight&, LaneResults&) {
    return false;
}
#endif
