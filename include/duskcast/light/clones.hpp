#pragma once
// Loops compiled for more than the least of processors.

// Where the compiler can, such a function is compiled twice and the processor's own one is taken when the
// program starts. Both give the same bits: fused multiply-add is off, and only elementwise operations are
// used.
#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && defined(__linux__) &&                 \
    !defined(DUSKCAST_SANITIZED)
#define DUSKCAST_CLONES __attribute__((target_clones("default", "arch=x86-64-v3")))
#define DUSKCAST_INLINE __attribute__((always_inline)) inline // into each of them
#else
#define DUSKCAST_CLONES
#define DUSKCAST_INLINE inline
#endif
