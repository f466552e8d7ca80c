#pragma once
// What the parts of the benchmark share.

#include <algorithm>
#include <chrono>
#include <fmt/format.h>
#include <functional>
#include <string>

#include "duskcast/light/lighting.hpp"

inline double best_seconds(int repeats, const std::function<void()>& work) {
    double best = 1e30;
    for (int i = 0; i < repeats; ++i) {
        const auto start = std::chrono::steady_clock::now();
        work();
        best =
            std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    }
    return best;
}

inline void print_row(const std::string& what, const std::string& figure, const std::string& wanted,
                      bool is_met) {
    fmt::print("{:<66}{:>16}   {:<16}{}\n", what, figure, wanted, is_met ? "" : "  MISSED");
}

/// A façade with two gables and two trees; leaves in both together.
duskcast::Site make_site(double wall_sensors, double leaves, int leaf_sensors);

void measure_bounce();
void measure_views();
void measure_large_site();
void measure_studies();
void measure_loads();
