// Parallel loops against the plain loop they stand for.

#include <atomic>
#include <doctest/doctest.h>
#include <stdexcept>
#include <string>
#include <vector>

#include "../thread_limit.hpp"
#include "duskcast/base/parallel.hpp"

using namespace duskcast;

TEST_CASE("parallel loops reach every index once, on any number of threads") {
    for (const std::size_t threads : {1, 2, 5})
        for (const std::size_t count : {0, 1, 7, 10'000}) {
            CAPTURE(threads);
            CAPTURE(count);
            const ThreadLimit limit(threads);
            std::vector<int> times(count), times_in_ranges(count);
            parallel_for(count, [&](std::size_t i) { ++times[i]; });
            CHECK(times == std::vector<int>(count, 1));
            std::atomic<int> empty_ranges{0};
            parallel_ranges(count, 16, [&](std::size_t from, std::size_t to) {
                empty_ranges += from < to ? 0 : 1;
                for (std::size_t i = from; i < to; ++i)
                    ++times_in_ranges[i];
            });
            CHECK(times_in_ranges == times);
            CHECK(empty_ranges == 0);
        }
    int calls = 0;
    parallel_for(-1, [&](int) { ++calls; });
    CHECK(calls == 0);
}

TEST_CASE("parallel loops inside parallel loops") {
    std::vector<std::vector<int>> table(9, std::vector<int>(300));
    parallel_for(table.size(), [&](std::size_t row) {
        parallel_for(300, [&](int column) { table[row][column] = static_cast<int>(row) * 300 + column; });
    });
    int wanted = 0, wrong = 0;
    for (const std::vector<int>& row : table)
        for (const int value : row)
            wrong += value == wanted++ ? 0 : 1;
    CHECK(wrong == 0);
}

TEST_CASE("a parallel pair runs both jobs before it returns") {
    int one = 0, other = 0;
    parallel_pair([&] { one = 1; }, [&] { other = 2; });
    CHECK(one == 1);
    CHECK(other == 2);
    CHECK(count_workers() >= 1);
}

TEST_CASE("an exception of a parallel job reaches the caller") {
    const auto fail_at = [](std::size_t wrong) {
        parallel_for(std::size_t{1000}, [&](std::size_t i) {
            if (i == wrong)
                throw std::runtime_error("job " + std::to_string(i));
        });
    };
    CHECK_THROWS_WITH_AS(fail_at(617), "job 617", std::runtime_error);
    CHECK_THROWS_WITH_AS(parallel_pair([] {}, [] { throw std::runtime_error("pair"); }), "pair",
                         std::runtime_error);
    CHECK_NOTHROW(fail_at(1000));
}
