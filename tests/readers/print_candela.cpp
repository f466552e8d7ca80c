// Prints what the reader makes of LM-63 files: "file TYPE GREATEST NAME" with the greatest candela; after
// type C a line "C ROW CANDELA" for every 5 degrees of C and, within the file's vertical angles, every
// 180/179 degrees of gamma.

#include <cstdio>
#include <fmt/format.h>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/lm63.hpp"

using namespace duskcast;

namespace {

void print_candela(const Distribution& lamp) {
    for (int c = 0; c < 360; c += 5)
        for (int row = 0; row < 180; ++row) {
            const double gamma = row * pi / 179;
            if (gamma >= lamp.gamma.front() && gamma <= lamp.gamma.back())
                fmt::print("{} {} {}\n", c, row, lamp.candela_at(radians_from_degrees(c), gamma));
        }
}

} // namespace

int main(int count, char** files) try {
    for (int i = 1; i < count; ++i) {
        const Lm63 file = read_lm63_file(files[i]);
        const bool is_type_c = file.type == Lm63Type::c;
        fmt::print("file {} {} {}\n", is_type_c ? "C" : "AB", measure_max_candela(file.distribution),
                   files[i]);
        if (is_type_c)
            print_candela(file.distribution);
    }
} catch (const InputError& error) {
    fmt::print(stderr, "{}\n", error.what());
    return 1;
}
