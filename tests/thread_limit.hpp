#pragma once
// How many threads parallel loops have, chosen by a test.

#include <cstddef>
#ifdef DUSKCAST_TBB
#include <tbb/global_control.h>
#endif

namespace duskcast {

/// While it lives, parallel loops run on at most so many threads. Without oneTBB they run on one.
class ThreadLimit {
public:
#ifdef DUSKCAST_TBB
    explicit ThreadLimit(std::size_t threads)
        : control_(tbb::global_control::max_allowed_parallelism, threads) {}

private:
    tbb::global_control control_;
#else
    explicit ThreadLimit(std::size_t) {}
#endif
};

} // namespace duskcast
