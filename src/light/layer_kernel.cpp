// Compiled with -O3 and without errno from sqrt, so that both loops become vector code. Nothing here may call
// a library function: one call and the loop runs eight times slower.

#include "layer_kernel.hpp"

// Where the compiler can, each loop is compiled twice and the processor's own one is taken when the program
// starts. Both give the same bits: fused multiply-add is off, and only elementwise operations are used.
#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && defined(__linux__) &&                 \
    !defined(DUSKCAST_SANITIZED)
#define DUSKCAST_CLONES __attribute__((target_clones("default", "arch=x86-64-v3")))
#else
#define DUSKCAST_CLONES
#endif

namespace duskcast {

DUSKCAST_CLONES
void evaluate_symmetric(const LayerInput& input, float* __restrict out) {
    const float* __restrict x = input.x;
    const float* __restrict y = input.y;
    const float* __restrict z = input.z;
    const float* __restrict transfer = input.transfer;
    const float* __restrict table = input.table;
    const glm::vec3 lens = input.lens;
    const glm::vec3 up = input.zenith;
    const float half_rows = 0.5f * static_cast<float>(input.rows - 1);
    const float scale = input.scale;
    const int count = static_cast<int>(input.count);
    for (int i = 0; i < count; ++i) {
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
        const int row = static_cast<int>(place);
        const float share = place - static_cast<float>(row);
        const float candela = table[row] + share * (table[row + 1] - table[row]);
        out[i] = candela * transfer[i] * scale;
    }
}

DUSKCAST_CLONES
void evaluate_table(const LayerInput& input, float* __restrict out) {
    const float* __restrict x = input.x;
    const float* __restrict y = input.y;
    const float* __restrict z = input.z;
    const float* __restrict transfer = input.transfer;
    const float* __restrict table = input.table;
    const glm::vec3 lens = input.lens;
    const glm::vec3 c0 = input.c0;
    const glm::vec3 c90 = input.c90;
    const glm::vec3 up = input.zenith;
    const float half_rows = 0.5f * static_cast<float>(input.rows - 1);
    const float columns = static_cast<float>(input.columns);
    const int stride = input.rows + 1;
    const int last_column = input.columns - 1;
    const float scale = input.scale;
    const int count = static_cast<int>(input.count);
    for (int i = 0; i < count; ++i) {
        const float dx = x[i] - lens.x;
        const float dy = y[i] - lens.y;
        const float dz = z[i] - lens.z;
        const float inverse = 1.0f / std::sqrt(dx * dx + dy * dy + dz * dz + 1e-20f);
        const float ux = dx * inverse;
        const float uy = dy * inverse;
        const float uz = dz * inverse;
        const float ex = ux + up.x;
        const float ey = uy + up.y;
        const float ez = uz + up.z;
        float place = std::sqrt(ex * ex + ey * ey + ez * ez) * half_rows;
        place = place < 2.0f * half_rows ? place : 2.0f * half_rows;
        const int row = static_cast<int>(place);
        const float row_share = place - static_cast<float>(row);
        const float turn =
            turn_share(ux * c90.x + uy * c90.y + uz * c90.z, ux * c0.x + uy * c0.y + uz * c0.z);
        const float across = turn * columns;
        int column = static_cast<int>(across);
        column = column < last_column ? column : last_column;
        const float column_share = across - static_cast<float>(column);
        const int at = column * stride + row;
        const float left = table[at] + row_share * (table[at + 1] - table[at]);
        const float right = table[at + stride] + row_share * (table[at + stride + 1] - table[at + stride]);
        out[i] = (left + column_share * (right - left)) * transfer[i] * scale;
    }
}

} // namespace duskcast
