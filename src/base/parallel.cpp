#include "duskcast/base/parallel.hpp"

#ifdef DUSKCAST_TBB
#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>
#include <tbb/parallel_invoke.h>
#include <tbb/task_arena.h>
#endif

namespace duskcast {

#ifdef DUSKCAST_TBB

void parallel_ranges(std::size_t count, std::size_t grain, JobRef<std::size_t, std::size_t> job) {
    tbb::parallel_for(tbb::blocked_range<std::size_t>(0, count, grain),
                      [&](const auto& range) { job(range.begin(), range.end()); });
}

void parallel_pair(JobRef<> one, JobRef<> other) {
    tbb::parallel_invoke([&] { one(); }, [&] { other(); });
}

int count_workers() {
    return tbb::this_task_arena::max_concurrency();
}

#else

void parallel_ranges(std::size_t count, std::size_t, JobRef<std::size_t, std::size_t> job) {
    if (count > 0)
        job(0, count);
}

void parallel_pair(JobRef<> one, JobRef<> other) {
    one();
    other();
}

int count_workers() {
    return 1;
}

#endif

} // namespace duskcast
