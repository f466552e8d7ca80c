// Random distributions written as LM-63 and read back. The bounds follow from the number of digits printed.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <string>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/lm63.hpp"

using namespace duskcast;

namespace {

/// The same numbers with every library.
class Dice {
public:
    explicit Dice(unsigned seed) : engine_(seed) {}
    double between(double low, double high) { return low + (high - low) * engine_() / 4294967296.0; }
    int whole(int low, int high) { return low + static_cast<int>(engine_() % (high - low + 1u)); }

private:
    std::mt19937 engine_;
};

/// From 0 to `last`, all steps different and the least a twentieth of the mean.
std::vector<double> make_angles(Dice& dice, int count, double first, double last) {
    std::vector<double> angles{0};
    for (int i = 1; i < count; ++i)
        angles.push_back(angles.back() + dice.between(0.05, 2));
    const double scale = (last - first) / angles.back();
    for (double& angle : angles)
        angle = first + angle * scale;
    angles.front() = first;
    angles.back() = last;
    return angles;
}

double greatest_of(Dice& dice) {
    return std::pow(10.0, dice.between(-3, 7));
}

/// Ends at 90, 180 or anywhere; its first angle is 0, 90 or in between.
Distribution make_random(Dice& dice, int planes) {
    Distribution lamp;
    const double first = dice.whole(0, 3) > 0 ? 0 : dice.whole(0, 1) > 0 ? pi / 2 : dice.between(0.01, 1);
    const double last = dice.whole(0, 1) > 0                  ? pi
                        : first < 1.5 && dice.whole(0, 1) > 0 ? pi / 2
                                                              : dice.between(1.7, 3);
    lamp.gamma = make_angles(dice, dice.whole(2, 40), first, last);
    lamp.c = planes == 1 ? std::vector<double>{0} : make_angles(dice, planes, 0, 2 * pi);
    const double greatest = greatest_of(dice);
    const std::size_t width = lamp.gamma.size();
    for (std::size_t i = 0; i < lamp.c.size() * width; ++i)
        lamp.candela.push_back(dice.whole(0, 5) > 0 ? dice.between(0, greatest) : 0);
    lamp.candela.front() = greatest;
    if (planes > 1)
        std::copy_n(lamp.candela.begin(), width, lamp.candela.end() - static_cast<std::ptrdiff_t>(width));
    join_poles(lamp);
    return lamp;
}

/// Of type A or B, as the reader makes them, bright along the beam and dark at its edges.
Distribution make_random_tilted(Dice& dice) {
    std::string candela;
    const auto vertical = make_angles(dice, dice.whole(3, 9), -dice.between(20, 80), dice.between(20, 80));
    const auto horizontal = make_angles(dice, dice.whole(3, 9), -dice.between(20, 80), dice.between(20, 80));
    const double greatest = greatest_of(dice);
    std::string text = "IESNA:LM-63-1995\nTILT=NONE\n1 -1 1 " + std::to_string(vertical.size()) + " " +
                       std::to_string(horizontal.size()) + (dice.whole(0, 1) > 0 ? " 2" : " 3") +
                       " 2 0 0 0\n1 1 5\n";
    for (const auto* angles : {&vertical, &horizontal}) {
        for (const double angle : *angles)
            text += std::to_string(angle) + " ";
        text += "\n";
    }
    for (const double h : horizontal) {
        for (const double v : vertical) {
            const bool is_edge = h == horizontal.front() || h == horizontal.back() || v == vertical.front() ||
                                 v == vertical.back();
            text += std::to_string(is_edge ? 0 : greatest * dice.between(0.5, 1)) + " ";
        }
        text += "\n";
    }
    return read_lm63(text, "tilted.ies").distribution;
}

/// Half a unit of the last digit of six, of the greatest value; whole numbers at the least.
double half_unit(const Distribution& lamp) {
    const double exponent = std::floor(std::log10(measure_max_candela(lamp) * (1 + 5e-7)));
    return 0.5 * std::pow(10.0, std::min(exponent - 5, 0.0));
}

Lm63 write_and_read(const Distribution& lamp) {
    Lm63 file;
    file.distribution = lamp;
    Lm63 back = read_lm63(print_lm63(file), "back.ies");
    CHECK(back.warnings.empty());
    return back;
}

std::string print_figures(const Distribution& lamp) {
    Lm63 file;
    file.distribution = lamp;
    const std::string text = print_lm63(file);
    return text.substr(text.find("TILT="));
}

/// The greatest difference at the nodes of `lamp`; a node that is lost fails.
double worst_at_nodes(const Distribution& lamp, const Distribution& back) {
    REQUIRE(back.c.size() == lamp.c.size());
    for (std::size_t plane = 0; plane < lamp.c.size(); ++plane)
        CHECK(std::abs(back.c[plane] - lamp.c[plane]) < radians_from_degrees(0.51e-6));
    double worst = 0;
    for (std::size_t i = 0; i < lamp.gamma.size(); ++i) {
        const auto node = std::find_if(back.gamma.begin(), back.gamma.end(), [&](double gamma) {
            return std::abs(gamma - lamp.gamma[i]) < radians_from_degrees(0.51e-6);
        });
        REQUIRE(node != back.gamma.end());
        const auto at = static_cast<std::size_t>(node - back.gamma.begin());
        for (std::size_t plane = 0; plane < lamp.c.size(); ++plane)
            worst = std::max(worst, std::abs(back.candela[plane * back.gamma.size() + at] -
                                             lamp.candela[plane * lamp.gamma.size() + i]));
    }
    return worst;
}

/// Each value is off by half a unit at most, so the lumens by 4 pi of it; angles are off by half a millionth
/// of a degree, which moves no zone by more than 2e-8 of the greatest over 2 pi, twice a node; and beyond
/// either end light fades over 1e-4 radians, a ring of 2 pi 1e-4 / 2 at the most.
double allowed_lumens(const Distribution& lamp) {
    const bool is_faded = (lamp.gamma.front() > 0 && std::abs(lamp.gamma.front() - pi / 2) > 1e-9) ||
                          (lamp.gamma.back() < pi && std::abs(lamp.gamma.back() - pi / 2) > 1e-9);
    const double nodes = static_cast<double>(lamp.gamma.size() + lamp.c.size());
    return 4 * pi * half_unit(lamp) +
           measure_max_candela(lamp) * (4 * pi * 2e-8 * nodes + (is_faded ? 2 * pi * 1e-4 : 0));
}

} // namespace

TEST_CASE("random distributions come back within half a unit of the last digit") {
    Dice dice(20240611);
    for (int round = 0; round < 300; ++round) {
        CAPTURE(round);
        const Distribution lamp = make_random(dice, round % 3 == 0 ? 1 : dice.whole(3, 25));
        const Distribution back = write_and_read(lamp).distribution;
        CHECK(worst_at_nodes(lamp, back) <= 1.0001 * half_unit(lamp));
        CHECK(std::abs(measure_lumens(back) - measure_lumens(lamp)) <= allowed_lumens(lamp));
        CHECK(back.candela_at(1, lamp.gamma.front() - 2e-4) == 0); // no light is added before
        CHECK(back.candela_at(1, lamp.gamma.back() + 2e-4) == 0);  // nor after
    }
}

TEST_CASE("random distributions of types A and B come back as resampled") {
    Dice dice(7);
    double worst_lumens = 0;
    for (int round = 0; round < 12; ++round) {
        CAPTURE(round);
        const Distribution tilted = make_random_tilted(dice);
        REQUIRE(tilted.is_tilted());
        const Distribution lamp = make_untilted(tilted);
        const Distribution back = write_and_read(tilted).distribution;
        CHECK(worst_at_nodes(lamp, back) <= 1.0001 * half_unit(lamp));
        CHECK(std::abs(measure_lumens(back) - measure_lumens(lamp)) <= allowed_lumens(lamp));
        worst_lumens = std::max(worst_lumens, std::abs(measure_lumens(back) / measure_lumens(tilted) - 1));
    }
    // Between the samples, 2.5 and 0.25 degrees apart, lies what the grid's kinks make of it.
    MESSAGE("lumens after resampling differ by up to ", worst_lumens);
    CHECK(worst_lumens < 1e-3);
}

TEST_CASE("what is written of awkward distributions is read without a warning") {
    const auto symmetric = [](std::vector<double> gamma, std::vector<double> candela) {
        return Distribution{{0}, std::move(gamma), std::move(candela)};
    };
    // Ends beside 0, 90 and 180 degrees, nodes that print alike, and a greatest value that rounds up.
    for (const Distribution& lamp : {
             symmetric({0.0001, 1}, {5, 5}), symmetric({1e-7, 1}, {5, 5}),
             symmetric({0, pi / 2 - 1e-5}, {5, 5}), symmetric({0, pi / 2 + 1e-5}, {5, 5}),
             symmetric({pi / 2 + 1e-5, pi - 1e-5}, {5, 5}), symmetric({pi / 2 - 1e-5, pi}, {5, 5}),
             symmetric({0, 0.5, 0.5 + 1e-9, 1}, {5, 4, 0, 0}), symmetric({0, 1}, {9.9999997, 3}),
             symmetric({0, 1}, {2e-6, 1e-6}), symmetric({0, 1}, {9.99e8, 1}),
             Distribution{
                 {0, pi, 2 * pi}, {1e-6, 1}, {5, 4, 4, 3, 5, 4}}, // planes that would meet at the pole
         }) {
        CAPTURE(lamp.gamma.front());
        CAPTURE(lamp.gamma.back());
        const Lm63 back = write_and_read(lamp);
        CHECK(print_figures(back.distribution) == print_figures(lamp));
        CHECK(measure_max_candela(back.distribution) ==
              doctest::Approx(lamp.is_symmetric() ? measure_max_candela(lamp) : 4.5).epsilon(5.1e-6));
    }
}

TEST_CASE("the shape of the opening and long texts come back") {
    Lm63 file;
    file.distribution = {{0}, {0, 1}, {100, 0}};
    file.opening_is_round = true;
    file.opening_width = file.opening_height = 0.2; // an upright disk has no length
    file.keywords = {{"LAMP", "x" + std::string(119, ' ') + "y"}, {"OTHER", "a"}};
    for (int i = 0; i < 100; ++i)
        file.keywords.back().second += "\xC2\xB0"; // the degree sign; no blank, and odd cuts
    const Lm63 back = read_lm63(print_lm63(file), "back.ies");
    CHECK(back.warnings.empty());
    CHECK(back.opening_is_round);
    CHECK(back.opening_width == 0.2);
    CHECK(back.opening_length == 0);
    CHECK(back.opening_height == 0.2);
    const std::string& other = back.keywords.back().second;
    CHECK(other.size() == 202);                                // joined with a blank
    CHECK(other.substr(other.find(' ') + 1, 2) == "\xC2\xB0"); // not cut within a character
}
