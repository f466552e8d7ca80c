// Prints what the page's shaders are compared with: the ramp of light and the colours of the night, as JSON.

#include <cmath>
#include <cstdio>
#include <glm/glm.hpp>

#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/tone.hpp"

namespace {

void print_colour(const duskcast::Colour& colour, bool is_last) {
    std::printf("[%.9f,%.9f,%.9f]%s", colour[0], colour[1], colour[2], is_last ? "" : ",");
}

} // namespace

int main() {
    constexpr int steps = 256;
    // Every fourth is one of the 256 colours that the page is given; between them it mixes.
    constexpr int dusk_steps = 4 * 255 + 1;
    std::printf("{\"dusk\":[");
    for (int i = 0; i < dusk_steps; ++i)
        print_colour(duskcast::dusk_colour(i / (dusk_steps - 1.0)), i + 1 == dusk_steps);
    // From 0.001 to 300 cd/m2, in the light of 2700 K on brick, of 4000 K on white, and of a blue thing.
    const glm::dvec3 tints[] = {duskcast::light_colour(2700) * glm::dvec3(0.30, 0.14, 0.09),
                                duskcast::light_colour(4000) * 0.8, {0.05, 0.1, 0.9}};
    std::printf("],\"night\":[");
    for (const glm::dvec3& tint : tints)
        for (int i = 0; i < steps; ++i) {
            const glm::dvec3 luminance = tint * (0.001 * std::pow(300000.0, i / (steps - 1.0)));
            std::printf("{\"luminance\":[%.9g,%.9g,%.9g],\"colour\":", luminance.x, luminance.y, luminance.z);
            print_colour(duskcast::night_colour(luminance), true);
            std::printf("}%s", &tint == &tints[2] && i + 1 == steps ? "" : ",");
        }
    std::printf("]}\n");
}
