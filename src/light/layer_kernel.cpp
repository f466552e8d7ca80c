// Compiled with -O3 and without errno from sqrt, so that the arithmetic becomes vector code. Nothing there
// may call a library function: one call and the loop runs eight times slower. Looking up the table stands in
// a loop of its own that copies two neighbours at once: as the processor's gather it took longer than all
// arithmetic.

#include "layer_kernel.hpp"

#include <algorithm>
#include <cstring>

// A function marked DUSKCAST_CLONES is compiled twice where the compiler supports that, and the version for
// the processor is chosen when the program starts. Both give the same bits: fused multiply-add is off, and
// only elementwise operations are used.
#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && defined(__linux__) &&                 \
    !defined(DUSKCAST_SANITIZED)
#define DUSKCAST_CLONES __attribute__((target_clones("default", "arch=x86-64-v3")))
#define DUSKCAST_INLINE __attribute__((always_inline)) inline // into each of them
#else
#define DUSKCAST_CLONES
#define DUSKCAST_INLINE inline
#endif

namespace duskcast {

namespace {

constexpr std::size_t block_size = 256; // what is handed from loop to loop stays in the nearest cache

DUSKCAST_INLINE void copy_pairs(const float* table, const int* at, std::size_t count, float* pairs) {
    for (std::size_t i = 0; i < count; ++i)
        std::memcpy(pairs + 2 * i, table + at[i], 2 * sizeof(float));
}

/// Row and share of the way to the next, for a block of sensors.
struct Places {
    int at[block_size];
    float share[block_size];
};

DUSKCAST_INLINE void find_places(const LayerInput& input, std::size_t first, std::size_t count,
                                 Places& places) {
    const float* __restrict x = input.x + first;
    const float* __restrict y = input.y + first;
    const float* __restrict z = input.z + first;
    const glm::vec3 lens = input.lens;
    const glm::vec3 up = input.zenith;
    const float half_rows = 0.5f * static_cast<float>(input.rows - 1);
    for (std::size_t i = 0; i < count; ++i) {
        const float dx = x[i] - lens.x;
        const float dy = y[i] - lens.y;
        const float dz = z[i] - lens.z;
        const float inverse = 1.0f / std::sqrt(dx * dx + dy * dy + dz * dz + 1e-20f);
        // The beam is -zenith: direction minus beam is direction plus zenith.
        const float ex = dx * inverse + up.x;
        const float ey = dy * inverse + up.y;
        const float ez = dz * inverse + up.z;
        float place = std::sqrt(ex * ex + ey * ey + ez * ez) * half_rows;
        place = place < 2.0f * half_rows ? place : 2.0f * half_rows;
        places.at[i] = static_cast<int>(place);
        places.share[i] = place - static_cast<float>(places.at[i]);
    }
}

} // namespace

DUSKCAST_CLONES
void evaluate_symmetric(const LayerInput& input, float* out) {
    const float scale = input.scale;
    Places places;
    float pair[2 * block_size];
    for (std::size_t first = 0; first < input.count; first += block_size) {
        const std::size_t count = std::min(block_size, input.count - first);
        find_places(input, first, count, places);
        copy_pairs(input.table, places.at, count, pair);
        const float* __restrict transfer = input.transfer + first;
        float* __restrict lux = out + first;
        for (std::size_t i = 0; i < count; ++i) {
            const float candela = pair[2 * i] + places.share[i] * (pair[2 * i + 1] - pair[2 * i]);
            lux[i] = candela * transfer[i] * scale;
        }
    }
}

DUSKCAST_CLONES
void add_values(const float* __restrict values, std::size_t count, double* __restrict sums) {
    for (std::size_t i = 0; i < count; ++i)
        sums[i] += static_cast<double>(values[i]);
}

DUSKCAST_CLONES
void evaluate_table(const LayerInput& input, float* out) {
    const glm::vec3 lens = input.lens;
    const glm::vec3 c0 = input.c0;
    const glm::vec3 c90 = input.c90;
    const glm::vec3 up = input.zenith;
    const float last_row = static_cast<float>(input.rows - 1);
    const float rows_over_root_two = last_row * 0.70710678f;
    const float columns = static_cast<float>(input.columns);
    const int stride = input.rows + 1;
    const int last_column = input.columns - 1;
    const float scale = input.scale;
    int at[block_size];
    float row_share[block_size], column_share[block_size], left[2 * block_size], right[2 * block_size];
    for (std::size_t first = 0; first < input.count; first += block_size) {
        const float* __restrict x = input.x + first;
        const float* __restrict y = input.y + first;
        const float* __restrict z = input.z + first;
        const float* __restrict transfer = input.transfer + first;
        float* __restrict lux = out + first;
        const std::size_t count = std::min(block_size, input.count - first);
        for (std::size_t i = 0; i < count; ++i) {
            const float dx = x[i] - lens.x;
            const float dy = y[i] - lens.y;
            const float dz = z[i] - lens.z;
            const float along_c0 = dx * c0.x + dy * c0.y + dz * c0.z;
            const float along_c90 = dx * c90.x + dy * c90.y + dz * c90.z;
            const float along_beam = -(dx * up.x + dy * up.y + dz * up.z);
            const float distance =
                std::sqrt(along_c0 * along_c0 + along_c90 * along_c90 + along_beam * along_beam + 1e-20f);
            const float a0 = std::fabs(along_c0);
            const float a90 = std::fabs(along_c90);
            const float smaller = a0 > a90 ? a90 : a0;
            const float larger = (a0 > a90 ? a0 : a90) + 1e-20f;
            const float inverse = 1.0f / (distance * larger); // one division for two quotients
            // s = sqrt((1 - cos gamma) / 2). The difference loses digits near the beam's axis: 0.003 degrees
            // at 0.1 degrees off it, where no beam changes as fast.
            const float difference = distance - along_beam; // rounding may leave it below 0
            const float one_less_cosine = (difference > 0 ? difference : 0.0f) * (inverse * larger);
            float place = std::sqrt(one_less_cosine) * rows_over_root_two;
            place = place < last_row ? place : last_row;
            const int row = static_cast<int>(place);
            row_share[i] = place - static_cast<float>(row);
            const float turn = turn_share(along_c90, along_c0, smaller * (inverse * distance));
            const float across = turn * columns;
            int column = static_cast<int>(across);
            column = column < last_column ? column : last_column;
            column_share[i] = across - static_cast<float>(column);
            at[i] = column * stride + row;
        }
        copy_pairs(input.table, at, count, left);
        copy_pairs(input.table + stride, at, count, right);
        for (std::size_t i = 0; i < count; ++i) {
            const float low = left[2 * i] + row_share[i] * (left[2 * i + 1] - left[2 * i]);
            const float high = right[2 * i] + row_share[i] * (right[2 * i + 1] - right[2 * i]);
            lux[i] = (low + column_share[i] * (high - low)) * transfer[i] * scale;
        }
    }
}

} // namespace duskcast
