#pragma once
// Eight floats at a time, the same bits on every processor: only operations that IEEE 754 rounds in one way,
// always in the order written, and never a fused multiply-add.
//
// A source may be compiled several times for different instruction sets. Each time its vectors live in a
// namespace of their own, so that the linker cannot take one's code for another's. Such a source defines its
// helpers in an anonymous namespace, and includes nothing whose inline functions the rest of the program
// calls as well.

#include <cstdint>

#if !defined(DUSKCAST_SCALAR_LANES)
#if defined(__AVX2__)
#define DUSKCAST_LANES lanes_avx2
#include <immintrin.h>
#elif defined(__wasm_simd128__)
#define DUSKCAST_LANES lanes_wasm
#include <wasm_simd128.h>
#elif defined(__SSE2__) || defined(_M_X64)
#define DUSKCAST_LANES lanes_sse2
#include <emmintrin.h>
#elif defined(__aarch64__) || defined(_M_ARM64) // 32-bit NEON neither divides nor keeps the smallest numbers
#define DUSKCAST_LANES lanes_neon
#include <arm_neon.h>
#endif
#endif
#if !defined(DUSKCAST_LANES)
#define DUSKCAST_LANES lanes_scalar
#include <cmath>
#endif

#if defined(_MSC_VER)
#define DUSKCAST_LANE inline __forceinline
#else
#define DUSKCAST_LANE inline __attribute__((always_inline))
#endif

namespace duskcast::DUSKCAST_LANES {

constexpr int lanes = 8;

#if defined(__AVX2__) && !defined(DUSKCAST_SCALAR_LANES)

struct Mask {
    __m256 v;
};
struct Floats {
    __m256 v;
    Floats() = default;
    DUSKCAST_LANE Floats(__m256 of) : v(of) {}
    DUSKCAST_LANE Floats(float of) : v(_mm256_set1_ps(of)) {}
};

DUSKCAST_LANE Floats load(const float* from) {
    return _mm256_loadu_ps(from);
}
DUSKCAST_LANE void store(float* to, Floats a) {
    _mm256_storeu_ps(to, a.v);
}
DUSKCAST_LANE Floats operator+(Floats a, Floats b) {
    return _mm256_add_ps(a.v, b.v);
}
DUSKCAST_LANE Floats operator-(Floats a, Floats b) {
    return _mm256_sub_ps(a.v, b.v);
}
DUSKCAST_LANE Floats operator*(Floats a, Floats b) {
    return _mm256_mul_ps(a.v, b.v);
}
DUSKCAST_LANE Floats operator/(Floats a, Floats b) {
    return _mm256_div_ps(a.v, b.v);
}
DUSKCAST_LANE Floats min(Floats a, Floats b) {
    return _mm256_min_ps(a.v, b.v);
}
DUSKCAST_LANE Floats max(Floats a, Floats b) {
    return _mm256_max_ps(a.v, b.v);
}
DUSKCAST_LANE Floats square_root(Floats a) {
    return _mm256_sqrt_ps(a.v);
}
DUSKCAST_LANE Floats magnitude(Floats a) {
    return _mm256_andnot_ps(_mm256_set1_ps(-0.0f), a.v);
}
/// a with its sign turned wherever b is negative.
DUSKCAST_LANE Floats turn_sign(Floats a, Floats b) {
    return _mm256_xor_ps(a.v, _mm256_and_ps(_mm256_set1_ps(-0.0f), b.v));
}
DUSKCAST_LANE Mask operator<(Floats a, Floats b) {
    return {_mm256_cmp_ps(a.v, b.v, _CMP_LT_OQ)};
}
DUSKCAST_LANE Mask operator<=(Floats a, Floats b) {
    return {_mm256_cmp_ps(a.v, b.v, _CMP_LE_OQ)};
}
DUSKCAST_LANE Mask operator&(Mask a, Mask b) {
    return {_mm256_and_ps(a.v, b.v)};
}
DUSKCAST_LANE Mask operator|(Mask a, Mask b) {
    return {_mm256_or_ps(a.v, b.v)};
}
DUSKCAST_LANE unsigned bits(Mask a) {
    return static_cast<unsigned>(_mm256_movemask_ps(a.v));
}
DUSKCAST_LANE Floats select(Mask where, Floats a, Floats b) {
    return _mm256_blendv_ps(b.v, a.v, where.v);
}

#else

// Four at a time, of which the eight are made.
#if defined(__wasm_simd128__) && !defined(DUSKCAST_SCALAR_LANES)

using Four = v128_t;
using FourMask = v128_t;
DUSKCAST_LANE Four load_four(const float* from) {
    return wasm_v128_load(from);
}
DUSKCAST_LANE void store_four(float* to, Four a) {
    wasm_v128_store(to, a);
}
DUSKCAST_LANE Four splat_four(float a) {
    return wasm_f32x4_splat(a);
}
DUSKCAST_LANE Four add(Four a, Four b) {
    return wasm_f32x4_add(a, b);
}
DUSKCAST_LANE Four subtract(Four a, Four b) {
    return wasm_f32x4_sub(a, b);
}
DUSKCAST_LANE Four multiply(Four a, Four b) {
    return wasm_f32x4_mul(a, b);
}
DUSKCAST_LANE Four divide(Four a, Four b) {
    return wasm_f32x4_div(a, b);
}
DUSKCAST_LANE Four least(Four a, Four b) {
    return wasm_f32x4_pmin(b, a);
} // a < b ? a : b, as on x86
DUSKCAST_LANE Four most(Four a, Four b) {
    return wasm_f32x4_pmax(b, a);
}
DUSKCAST_LANE Four root(Four a) {
    return wasm_f32x4_sqrt(a);
}
DUSKCAST_LANE Four positive(Four a) {
    return wasm_f32x4_abs(a);
}
DUSKCAST_LANE Four turned(Four a, Four b) {
    return wasm_v128_xor(a, wasm_v128_and(wasm_f32x4_splat(-0.0f), b));
}
DUSKCAST_LANE FourMask less(Four a, Four b) {
    return wasm_f32x4_lt(a, b);
}
DUSKCAST_LANE FourMask less_equal(Four a, Four b) {
    return wasm_f32x4_le(a, b);
}
DUSKCAST_LANE FourMask both(FourMask a, FourMask b) {
    return wasm_v128_and(a, b);
}
DUSKCAST_LANE FourMask either(FourMask a, FourMask b) {
    return wasm_v128_or(a, b);
}
DUSKCAST_LANE unsigned four_bits(FourMask a) {
    return static_cast<unsigned>(wasm_i32x4_bitmask(a));
}
DUSKCAST_LANE Four choose(FourMask where, Four a, Four b) {
    return wasm_v128_bitselect(a, b, where);
}

#elif (defined(__SSE2__) || defined(_M_X64)) && !defined(DUSKCAST_SCALAR_LANES)

using Four = __m128;
using FourMask = __m128;
DUSKCAST_LANE Four load_four(const float* from) {
    return _mm_loadu_ps(from);
}
DUSKCAST_LANE void store_four(float* to, Four a) {
    _mm_storeu_ps(to, a);
}
DUSKCAST_LANE Four splat_four(float a) {
    return _mm_set1_ps(a);
}
DUSKCAST_LANE Four add(Four a, Four b) {
    return _mm_add_ps(a, b);
}
DUSKCAST_LANE Four subtract(Four a, Four b) {
    return _mm_sub_ps(a, b);
}
DUSKCAST_LANE Four multiply(Four a, Four b) {
    return _mm_mul_ps(a, b);
}
DUSKCAST_LANE Four divide(Four a, Four b) {
    return _mm_div_ps(a, b);
}
DUSKCAST_LANE Four least(Four a, Four b) {
    return _mm_min_ps(a, b);
}
DUSKCAST_LANE Four most(Four a, Four b) {
    return _mm_max_ps(a, b);
}
DUSKCAST_LANE Four root(Four a) {
    return _mm_sqrt_ps(a);
}
DUSKCAST_LANE Four positive(Four a) {
    return _mm_andnot_ps(_mm_set1_ps(-0.0f), a);
}
DUSKCAST_LANE Four turned(Four a, Four b) {
    return _mm_xor_ps(a, _mm_and_ps(_mm_set1_ps(-0.0f), b));
}
DUSKCAST_LANE FourMask less(Four a, Four b) {
    return _mm_cmplt_ps(a, b);
}
DUSKCAST_LANE FourMask less_equal(Four a, Four b) {
    return _mm_cmple_ps(a, b);
}
DUSKCAST_LANE FourMask both(FourMask a, FourMask b) {
    return _mm_and_ps(a, b);
}
DUSKCAST_LANE FourMask either(FourMask a, FourMask b) {
    return _mm_or_ps(a, b);
}
DUSKCAST_LANE unsigned four_bits(FourMask a) {
    return static_cast<unsigned>(_mm_movemask_ps(a));
}
DUSKCAST_LANE Four choose(FourMask where, Four a, Four b) {
    return _mm_or_ps(_mm_and_ps(where, a), _mm_andnot_ps(where, b));
}

#elif (defined(__aarch64__) || defined(_M_ARM64)) && !defined(DUSKCAST_SCALAR_LANES)

using Four = float32x4_t;
using FourMask = uint32x4_t;
DUSKCAST_LANE Four load_four(const float* from) {
    return vld1q_f32(from);
}
DUSKCAST_LANE void store_four(float* to, Four a) {
    vst1q_f32(to, a);
}
DUSKCAST_LANE Four splat_four(float a) {
    return vdupq_n_f32(a);
}
DUSKCAST_LANE Four add(Four a, Four b) {
    return vaddq_f32(a, b);
}
DUSKCAST_LANE Four subtract(Four a, Four b) {
    return vsubq_f32(a, b);
}
DUSKCAST_LANE Four multiply(Four a, Four b) {
    return vmulq_f32(a, b);
}
DUSKCAST_LANE Four divide(Four a, Four b) {
    return vdivq_f32(a, b);
}
DUSKCAST_LANE Four least(Four a, Four b) {
    return vbslq_f32(vcltq_f32(a, b), a, b);
} // as on x86
DUSKCAST_LANE Four most(Four a, Four b) {
    return vbslq_f32(vcgtq_f32(a, b), a, b);
}
DUSKCAST_LANE Four root(Four a) {
    return vsqrtq_f32(a);
}
DUSKCAST_LANE Four positive(Four a) {
    return vabsq_f32(a);
}
DUSKCAST_LANE Four turned(Four a, Four b) {
    return vreinterpretq_f32_u32(
        veorq_u32(vreinterpretq_u32_f32(a), vandq_u32(vdupq_n_u32(0x80000000u), vreinterpretq_u32_f32(b))));
}
DUSKCAST_LANE FourMask less(Four a, Four b) {
    return vcltq_f32(a, b);
}
DUSKCAST_LANE FourMask less_equal(Four a, Four b) {
    return vcleq_f32(a, b);
}
DUSKCAST_LANE FourMask both(FourMask a, FourMask b) {
    return vandq_u32(a, b);
}
DUSKCAST_LANE FourMask either(FourMask a, FourMask b) {
    return vorrq_u32(a, b);
}
DUSKCAST_LANE unsigned four_bits(FourMask a) {
    const std::uint32_t places[] = {1, 2, 4, 8}; // MSVC's vectors are no lists of their lanes
    return vaddvq_u32(vandq_u32(a, vld1q_u32(places)));
}
DUSKCAST_LANE Four choose(FourMask where, Four a, Four b) {
    return vbslq_f32(where, a, b);
}

#else

struct Four {
    float v[4];
};
struct FourMask {
    bool v[4];
};
template <class Make> DUSKCAST_LANE Four make_four(Make make) {
    return {{make(0), make(1), make(2), make(3)}};
}
template <class Make> DUSKCAST_LANE FourMask make_mask(Make make) {
    return {{make(0), make(1), make(2), make(3)}};
}
DUSKCAST_LANE Four load_four(const float* from) {
    return {{from[0], from[1], from[2], from[3]}};
}
DUSKCAST_LANE void store_four(float* to, Four a) {
    for (int i = 0; i < 4; ++i)
        to[i] = a.v[i];
}
DUSKCAST_LANE Four splat_four(float a) {
    return {{a, a, a, a}};
}
DUSKCAST_LANE Four add(Four a, Four b) {
    return make_four([&](int i) { return a.v[i] + b.v[i]; });
}
DUSKCAST_LANE Four subtract(Four a, Four b) {
    return make_four([&](int i) { return a.v[i] - b.v[i]; });
}
DUSKCAST_LANE Four multiply(Four a, Four b) {
    return make_four([&](int i) { return a.v[i] * b.v[i]; });
}
DUSKCAST_LANE Four divide(Four a, Four b) {
    return make_four([&](int i) { return a.v[i] / b.v[i]; });
}
DUSKCAST_LANE Four least(Four a, Four b) { // as on x86
    return make_four([&](int i) { return a.v[i] < b.v[i] ? a.v[i] : b.v[i]; });
}
DUSKCAST_LANE Four most(Four a, Four b) {
    return make_four([&](int i) { return a.v[i] > b.v[i] ? a.v[i] : b.v[i]; });
}
DUSKCAST_LANE Four root(Four a) {
    return make_four([&](int i) { return std::sqrt(a.v[i]); });
}
DUSKCAST_LANE Four positive(Four a) {
    return make_four([&](int i) { return std::fabs(a.v[i]); });
}
DUSKCAST_LANE Four turned(Four a, Four b) {
    return make_four([&](int i) { return std::signbit(b.v[i]) ? -a.v[i] : a.v[i]; });
}
DUSKCAST_LANE FourMask less(Four a, Four b) {
    return make_mask([&](int i) { return a.v[i] < b.v[i]; });
}
DUSKCAST_LANE FourMask less_equal(Four a, Four b) {
    return make_mask([&](int i) { return a.v[i] <= b.v[i]; });
}
DUSKCAST_LANE FourMask both(FourMask a, FourMask b) {
    return make_mask([&](int i) { return a.v[i] && b.v[i]; });
}
DUSKCAST_LANE FourMask either(FourMask a, FourMask b) {
    return make_mask([&](int i) { return a.v[i] || b.v[i]; });
}
DUSKCAST_LANE unsigned four_bits(FourMask a) {
    unsigned made = 0;
    for (int i = 0; i < 4; ++i)
        made |= static_cast<unsigned>(a.v[i]) << i;
    return made;
}
DUSKCAST_LANE Four choose(FourMask where, Four a, Four b) {
    return make_four([&](int i) { return where.v[i] ? a.v[i] : b.v[i]; });
}

#endif

struct Mask {
    FourMask low, high;
};
struct Floats {
    Four low, high;
    Floats() = default;
    DUSKCAST_LANE Floats(Four l, Four h) : low(l), high(h) {}
    DUSKCAST_LANE Floats(float of) : low(splat_four(of)), high(low) {}
};

DUSKCAST_LANE Floats load(const float* from) {
    return {load_four(from), load_four(from + 4)};
}
DUSKCAST_LANE void store(float* to, const Floats& a) {
    store_four(to, a.low), store_four(to + 4, a.high);
}
DUSKCAST_LANE Floats operator+(const Floats& a, const Floats& b) {
    return {add(a.low, b.low), add(a.high, b.high)};
}
DUSKCAST_LANE Floats operator-(const Floats& a, const Floats& b) {
    return {subtract(a.low, b.low), subtract(a.high, b.high)};
}
DUSKCAST_LANE Floats operator*(const Floats& a, const Floats& b) {
    return {multiply(a.low, b.low), multiply(a.high, b.high)};
}
DUSKCAST_LANE Floats operator/(const Floats& a, const Floats& b) {
    return {divide(a.low, b.low), divide(a.high, b.high)};
}
DUSKCAST_LANE Floats min(const Floats& a, const Floats& b) {
    return {least(a.low, b.low), least(a.high, b.high)};
}
DUSKCAST_LANE Floats max(const Floats& a, const Floats& b) {
    return {most(a.low, b.low), most(a.high, b.high)};
}
DUSKCAST_LANE Floats square_root(const Floats& a) {
    return {root(a.low), root(a.high)};
}
DUSKCAST_LANE Floats magnitude(const Floats& a) {
    return {positive(a.low), positive(a.high)};
}
/// a with its sign turned wherever b is negative.
DUSKCAST_LANE Floats turn_sign(const Floats& a, const Floats& b) {
    return {turned(a.low, b.low), turned(a.high, b.high)};
}
DUSKCAST_LANE Mask operator<(const Floats& a, const Floats& b) {
    return {less(a.low, b.low), less(a.high, b.high)};
}
DUSKCAST_LANE Mask operator<=(const Floats& a, const Floats& b) {
    return {less_equal(a.low, b.low), less_equal(a.high, b.high)};
}
DUSKCAST_LANE Mask operator&(const Mask& a, const Mask& b) {
    return {both(a.low, b.low), both(a.high, b.high)};
}
DUSKCAST_LANE Mask operator|(const Mask& a, const Mask& b) {
    return {either(a.low, b.low), either(a.high, b.high)};
}
DUSKCAST_LANE unsigned bits(const Mask& a) {
    return four_bits(a.low) | four_bits(a.high) << 4;
}
DUSKCAST_LANE Floats select(const Mask& where, const Floats& a, const Floats& b) {
    return {choose(where.low, a.low, b.low), choose(where.high, a.high, b.high)};
}

#endif

/// Eight points or vectors.
struct Points {
    Floats x, y, z;
};

DUSKCAST_LANE Points operator-(const Points& a, const Points& b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
DUSKCAST_LANE Points operator+(const Points& a, const Points& b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
DUSKCAST_LANE Points cross(const Points& a, const Points& b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
DUSKCAST_LANE Floats dot(const Points& a, const Points& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

} // namespace duskcast::DUSKCAST_LANES
