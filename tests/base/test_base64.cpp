// Bytes as text: the examples of RFC 4648 section 10 and of draft-eastlake-fnv, and a reader written here.

#include <doctest/doctest.h>

#include <cstdint>
#include <random>
#include <string>

#include "duskcast/base/base64.hpp"
#include "duskcast/base/cell_grid.hpp"
#include "duskcast/base/text.hpp"

using namespace duskcast;

namespace {

/// Bit by bit; what is no letter counts as none.
std::string read_base64(const std::string& text) {
    const std::string letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string bytes;
    unsigned bits = 0;
    int count = 0;
    for (const char letter : text) {
        const std::size_t value = letters.find(letter);
        if (value == std::string::npos)
            break;
        for (int bit = 5; bit >= 0; --bit) {
            bits = bits << 1 | (value >> bit & 1);
            if (++count == 8) {
                bytes.push_back(static_cast<char>(bits));
                bits = 0;
                count = 0;
            }
        }
    }
    return bytes;
}

} // namespace

TEST_CASE("base64: the examples of RFC 4648") {
    CHECK(print_base64("") == "");
    CHECK(print_base64("f") == "Zg==");
    CHECK(print_base64("fo") == "Zm8=");
    CHECK(print_base64("foo") == "Zm9v");
    CHECK(print_base64("foob") == "Zm9vYg==");
    CHECK(print_base64("fooba") == "Zm9vYmE=");
    CHECK(print_base64("foobar") == "Zm9vYmFy");
}

TEST_CASE("base64: any bytes come back, in four letters for three of them") {
    std::mt19937 random(1);
    for (std::size_t length = 0; length < 200; ++length) {
        std::string bytes;
        for (std::size_t i = 0; i < length; ++i)
            bytes.push_back(static_cast<char>(random() % 256));
        const std::string text = print_base64(bytes);
        CHECK(text.size() == (length + 2) / 3 * 4);
        CHECK(read_base64(text) == bytes);
        CHECK(text.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/=") ==
              std::string::npos);
    }
}

TEST_CASE("hash: the examples of draft-eastlake-fnv for 64 bits") {
    CHECK(hash_of("") == 0xcbf29ce484222325u);
    CHECK(hash_of("a") == 0xaf63dc4c8601ec8cu);
    CHECK(hash_of("foobar") == 0x85944171f73967e8u);
}

TEST_CASE("cells lie side by side, each about its middle, row by row from the lowest") {
    CellGrid grid{.u0 = -1, .v0 = 2, .step = 0.5, .columns = 4, .rows = 3};
    for (std::int32_t i = 0; i < 12; ++i)
        grid.sensor.push_back(100 + i);
    for (int row = 0; row < 3; ++row)
        for (int column = 0; column < 4; ++column) {
            CHECK(grid.at(column, row) == 100 + 4 * row + column);
            CHECK(grid.u_of(column) == -0.75 + 0.5 * column);
            CHECK(grid.v_of(row) == 2.25 + 0.5 * row);
        }
}
