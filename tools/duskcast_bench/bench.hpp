#pragma once
// What the parts of the benchmark share.

#include <algorithm>
#include <chrono>
#include <ctime>
#include <fmt/format.h>
#include <functional>
#include <string>

#include "duskcast/light/lighting.hpp"

inline double wall_seconds() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// What the process has used: spoilt less by a busy machine, for work on one thread.
inline double processor_seconds() {
    return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

using Clock = double (*)();

inline double best_seconds(int repeats, const std::function<void()>& work, Clock now = wall_seconds) {
    double best = 1e30;
    for (int i = 0; i < repeats; ++i) {
        const double start = now();
        work();
        best = std::min(best, now() - start);
    }
    return best;
}

inline void print_row(const std::string& what, const std::string& figure, const std::string& wanted,
                      bool is_met) {
    fmt::print("{:<66}{:>16}   {:<16}{}\n", what, figure, wanted, is_met ? "" : "  MISSED");
}

/// A façade with two gables and two trees; leaves in both together.
duskcast::Site make_site(double wall_sensors, double leaves, int leaf_sensors);

void measure_rays();
void measure_bounce();
void measure_views();
void measure_large_site();
void measure_studies();
void measure_loads();
