#pragma once
// Loops shared out among the processor's cores: by oneTBB where the program is built with it, otherwise one
// step after the other. Jobs run in any order, so each writes to places of its own. An exception of a job
// reaches the caller once no other job is running.

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <memory>
#include <type_traits>

namespace duskcast {

/// Refers to something that is called and lives longer than the call it is handed to.
template <class... Args> class JobRef {
public:
    template <class Job>
    requires(!std::is_same_v<Job, JobRef>) JobRef(const Job& job)
        : job_(std::addressof(job)),
          call_([](const void* of, Args... args) { (*static_cast<const Job*>(of))(args...); }) {}

    void operator()(Args... args) const { call_(job_, args...); }

private:
    const void* job_;
    void (*call_)(const void*, Args...);
};

/// Calls job(from, to) with ranges that make up 0 .. count; oneTBB cuts none that is not longer than `grain`.
void parallel_ranges(std::size_t count, std::size_t grain, JobRef<std::size_t, std::size_t> job);

/// Calls job(i) for every i from 0 to count - 1.
template <class Index, class Job> void parallel_for(Index count, const Job& job) {
    if (count > 0)
        parallel_ranges(static_cast<std::size_t>(count), 1, [&](std::size_t from, std::size_t to) {
            for (std::size_t i = from; i < to; ++i)
                job(static_cast<Index>(i));
        });
}

/// How many jobs run at the same time at most.
int count_workers();

/// Calls job(i) for every i from 0 to count - 1, each begun after those before it: for jobs of very different
/// lengths, the longest first.
template <class Job> void parallel_in_order(std::size_t count, const Job& job) {
    std::atomic<std::size_t> next{0};
    parallel_for(std::min(count, static_cast<std::size_t>(count_workers())), [&](std::size_t) {
        for (std::size_t i; (i = next.fetch_add(1, std::memory_order_relaxed)) < count;)
            job(i);
    });
}

/// Calls both.
void parallel_pair(JobRef<> one, JobRef<> other);

} // namespace duskcast
