// The lines between patches, and the 32 bits that hold a link between two of them.

#include <algorithm>
#include <array>
#include <cmath>
#include <doctest/doctest.h>
#include <vector>

#include "../../src/light/exchange_levels.hpp"
#include "../../src/light/grid_edges.hpp"
#include "duskcast/base/random.hpp"

using namespace duskcast;

TEST_CASE("grid edges: cells of one width, as few as are no wider than wanted") {
    Random random(3);
    for (int trial = 0; trial < 200; ++trial) {
        const double low = random.uniform(-20, 20), length = random.uniform(0.01, 12),
                     size = random.uniform(0.05, 2);
        const std::vector<float> edges = even_edges(low, low + length, size);
        const auto cells = static_cast<double>(edges.size() - 1);
        CHECK(edges.front() == static_cast<float>(low));
        CHECK(edges.back() == doctest::Approx(low + length).epsilon(1e-6).scale(0));
        CHECK(length / cells <= size * (1 + 1e-5));
        CHECK((cells == 1 || length / (cells - 1) > size * (1 - 1e-5)));
        for (std::size_t i = 1; i < edges.size(); ++i)
            CHECK(std::abs(static_cast<double>(edges[i] - edges[i - 1]) - length / cells) < 1e-5);
    }
    CHECK(even_edges(0, 3, 0.5).size() == 7); // rounding makes no seventh cell
    CHECK(even_edges(0, 0.3, 0.1).size() == 4);
}

TEST_CASE("grid edges: away from what is built cells grow by a third at most") {
    Random random(4);
    for (int trial = 0; trial < 200; ++trial) {
        const double low = random.uniform(-80, -30), high = random.uniform(30, 80);
        const std::array<double, 2> near{random.uniform(-25, -1), random.uniform(1, 25)};
        const double size = random.uniform(0.1, 0.6);
        const std::vector<float> edges = graded_edges(low, high, near, size);
        CHECK(edges.front() == static_cast<float>(low));
        CHECK(edges.back() == static_cast<float>(high));
        CHECK(std::is_sorted(edges.begin(), edges.end()));
        const auto width = [&](std::size_t i) { return static_cast<double>(edges[i + 1] - edges[i]); };
        double before = size;
        std::size_t inside = 0;
        for (std::size_t i = 0; i + 1 < edges.size(); ++i) { // rightwards
            const double middle = static_cast<double>(edges[i] + edges[i + 1]) / 2;
            if (middle > near[0] && middle < near[1]) {
                CHECK(width(i) <= size * (1 + 1e-4));
                ++inside;
            } else if (middle > near[1]) {
                CHECK(width(i) <= before * 1.351);
                before = std::max(size, width(i));
            }
        }
        CHECK(static_cast<double>(inside) == std::ceil((near[1] - near[0]) / size));
        before = size;
        for (std::size_t i = edges.size() - 1; i-- > 0;) // leftwards
            if (static_cast<double>(edges[i + 1]) <= near[0] + 1e-4) {
                CHECK(width(i) <= before * 1.351);
                before = std::max(size, width(i));
            }
        // It is worth it: even cells would be many more.
        CHECK(static_cast<double>(edges.size()) < 0.9 * (high - low) / size);
    }
    // With nothing beyond there is nothing to grow.
    CHECK(graded_edges(0, 2, {-1, 3}, 0.5) == even_edges(0, 2, 0.5));
}

TEST_CASE("grid edges: one more is put where none is, and places are found in their cells") {
    Random random(5);
    for (int trial = 0; trial < 50; ++trial) {
        std::vector<float> edges = even_edges(0, 10, random.uniform(0.2, 3));
        for (int i = 0; i < 20; ++i) {
            const auto at = static_cast<float>(random.uniform(0, 10));
            const bool is_known = std::any_of(edges.begin(), edges.end(),
                                              [&](float edge) { return std::abs(edge - at) < 9e-4f; });
            const std::size_t before = edges.size();
            put_edge(edges, at);
            CHECK((is_known ? edges.size() == before : edges.size() >= before));
            CHECK(std::is_sorted(edges.begin(), edges.end()));
            CHECK(std::any_of(edges.begin(), edges.end(),
                              [&](float edge) { return std::abs(edge - at) <= 1.1e-3f; }));
        }
        for (std::size_t i = 1; i < edges.size(); ++i)
            CHECK(edges[i] - edges[i - 1] > 9e-4f);
        for (int i = 0; i < 100; ++i) {
            const double x = random.uniform(-2, 12);
            std::size_t slow = 0; // the last cell that begins at or before x
            while (slow + 2 < edges.size() && static_cast<float>(x) >= edges[slow + 1])
                ++slow;
            CHECK(cell_at(edges, x) == slow);
        }
        CHECK(cell_at(edges, -100) == 0);
        CHECK(cell_at(edges, 100) == edges.size() - 2);
        CHECK(cell_at(edges, static_cast<double>(edges[1])) == 1); // an edge begins its cell
    }
}

TEST_CASE("exchange levels: what is packed comes back within half a step") {
    // 42 octaves in 4094 steps: 2^(42 / 4094) = 1.00714 a step.
    const double half_step = std::exp2(octaves / (levels - 2) / 2);
    Random random(6);
    std::vector<std::uint8_t> bytes;
    LinkWriter writer(bytes);
    std::vector<std::pair<std::uint32_t, double>> links;
    const std::size_t second_row = 500;
    std::size_t second_begins = 0;
    for (std::size_t i = 0, partner = 0; i < 2 * second_row; ++i) {
        if (i % second_row == 0) {
            partner = i == 0 ? 0 : 1'048'575; // at once as far as it goes
            second_begins = writer.count();
            writer.begin_row();
        }
        const double exchange = 1e-8 * std::exp2(random.uniform(0, 42));
        writer.add(static_cast<std::uint32_t>(partner), exchange);
        links.emplace_back(static_cast<std::uint32_t>(partner), exchange);
        if (i < second_row)
            partner += static_cast<std::size_t>(std::exp2(random.uniform(0, 13)));
    }
    writer.add(1'048'575, 1e-30); // the least and the most that there is
    writer.add(1'048'575, 1e30);
    const std::size_t count = writer.count();
    writer.close();
    CHECK(count > links.size() + 2); // steps of more than 4095 took a link each
    LinkReader link(bytes, 0);
    std::size_t read = 0;
    for (std::size_t l = 0; l < count; ++l) {
        if (l == second_begins)
            link = LinkReader(bytes, second_begins);
        link.next();
        if (link.exchange() == 0 || read == links.size())
            continue;
        CHECK(link.partner() == links[read].first);
        const double back = static_cast<double>(link.exchange()) / links[read].second;
        CHECK(back < half_step * (1 + 1e-6));
        CHECK(back > (1 - 1e-6) / half_step);
        ++read;
    }
    CHECK(read == links.size());
    CHECK(link.partner() == 1'048'575);
    CHECK(link.exchange() == doctest::Approx(1e-8 * std::exp2(42.0)).scale(0));
    LinkReader least(bytes, count - 2);
    least.next();
    CHECK(least.exchange() == doctest::Approx(1e-8).scale(0));
    CHECK(std::is_sorted(exchange_table.begin(), exchange_table.end()));
}
