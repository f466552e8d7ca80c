#pragma once
// Sums of shares of light. Four floats go through the processor side by side wherever the compiler can be
// asked for that: one built for size does not see by itself that they may. The same bits either way.

#include <cstring>

#include "duskcast/light/source_tree.hpp"

namespace duskcast {

class LightSum {
public:
    void add(float share, const PatchLight& light) {
#if defined(__GNUC__)
        Four value;
        static_assert(sizeof(value) == sizeof(light));
        std::memcpy(&value, &light, sizeof(value));
        sum_ += share * value;
#else
        sum_.r += share * light.r;
        sum_.g += share * light.g;
        sum_.b += share * light.b;
        sum_.pad += share * light.pad;
#endif
    }

#if defined(__GNUC__)
    PatchLight light() const { return {sum_[0], sum_[1], sum_[2], sum_[3]}; }

private:
    using Four = float __attribute__((vector_size(16)));
    Four sum_{};
#else
    PatchLight light() const { return sum_; }

private:
    PatchLight sum_;
#endif
};

} // namespace duskcast
