// Lamps made from the figures on their box, against closed forms of the two families.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/photometry/lamp_figures.hpp"

using namespace duskcast;

namespace {

constexpr double ln2 = 0.69314718055994530942;
const double field_ratio = std::log(10.0) / ln2; // (argument at the field angle)^exponent

double full_deg(const Distribution& distribution, double share) {
    return degrees_from_radians(measure_full_angle(distribution, share));
}

LampFigures figures_deg(Profile profile, double beam, std::optional<double> lumens,
                        std::optional<double> candela, std::optional<double> field = std::nullopt) {
    LampFigures figures{lumens, candela, radians_from_degrees(beam), std::nullopt, profile};
    if (field)
        figures.field_angle = radians_from_degrees(*field);
    return figures;
}

/// The field angle that belongs to an exponent (inverse of the families' equations), degrees.
double field_deg(Profile profile, double beam_deg, double exponent) {
    const double half = radians_from_degrees(beam_deg / 2), a = std::pow(field_ratio, 1 / exponent);
    return degrees_from_radians(
        2 * (profile == Profile::gaussian ? a * half : std::acos(std::pow(std::cos(half), a))));
}

/// Lumens per candela of the family by the midpoint rule on an even grid: nothing shared with the program.
double lumens_per_candela(Profile profile, double beam_deg, double exponent) {
    const double half = radians_from_degrees(beam_deg / 2);
    const double end = profile == Profile::gaussian && beam_deg >= 120 ? pi : pi / 2;
    constexpr int cells = 100000;
    double sum = 0;
    for (int i = 0; i < cells; ++i) {
        const double g = end * (i + 0.5) / cells;
        const double a =
            profile == Profile::gaussian ? g / half : std::log(std::cos(g)) / std::log(std::cos(half));
        sum += std::exp(-ln2 * std::pow(a, exponent)) * std::sin(g);
    }
    return 2 * pi * sum * end / cells;
}

std::string message_of(const LampFigures& figures) {
    try {
        make_distribution(figures);
    } catch (const InputError& error) {
        return error.what();
    }
    return "nothing was thrown";
}

} // namespace

TEST_CASE("plain beams against closed forms") {
    // cos^n: n = ln 0.5 / ln cos(beam/2), cd per lm = (n + 1) / 2 pi, share inside the beam = 1 - cos^(n+1);
    // Gaussian: field / beam = sqrt(ln 10 / ln 2) = 1.8226.
    struct Row {
        double beam, candela_per_lumen, share_inside, field, gaussian_lumens_per_candela, gaussian_field;
    };
    for (const Row& row :
         {Row{12, 20.2419, 0.503, 21.82, 0.04957, 21.87}, Row{24, 5.1521, 0.511, 43.37, 0.19673, 43.74},
          Row{36, 2.3575, 0.524, 64.34, 0.43686, 65.61}, Row{60, 0.9261, 0.567, 103.35, 1.16239, 109.36}}) {
        CAPTURE(row.beam);
        const Distribution cosine = make_distribution(figures_deg(Profile::cosine, row.beam, 100, {}));
        CHECK(measure_lumens(cosine) == doctest::Approx(100).epsilon(1e-12));
        CHECK(measure_centre_candela(cosine) == doctest::Approx(100 * row.candela_per_lumen).epsilon(1e-4));
        const double inside = measure_zonal_lumens(cosine, 0, radians_from_degrees(row.beam / 2)) / 100;
        CHECK(std::abs(inside - row.share_inside) < 0.0006);
        CHECK(std::abs(full_deg(cosine, 0.1) - row.field) < 0.01);
        const Distribution gaussian = make_distribution(figures_deg(Profile::gaussian, row.beam, {}, 1));
        CHECK(measure_lumens(gaussian) == doctest::Approx(row.gaussian_lumens_per_candela).epsilon(5e-4));
        CHECK(std::abs(full_deg(gaussian, 0.1) - row.gaussian_field) < 0.01);
    }
}

TEST_CASE("the handbook's cross-check of halogen lamps") {
    // cos^n: 500 cd at 36 degrees = 212 lm; 3300 cd at 12 degrees = 163 lm (2 pi I0 / (n + 1)).
    CHECK(measure_lumens(make_distribution(figures_deg(Profile::cosine, 36, {}, 500))) ==
          doctest::Approx(212).epsilon(0.002));
    CHECK(measure_lumens(make_distribution(figures_deg(Profile::cosine, 12, {}, 3300))) ==
          doctest::Approx(163).epsilon(0.002));
}

TEST_CASE("lamps hold the figures they are made from") {
    double worst_lumens = 0, worst_angle = 0;
    for (const Profile profile : {Profile::cosine, Profile::gaussian}) {
        const double plain = profile == Profile::cosine ? 1 : 2;
        for (const double beam : {1.0, 2.0, 5.0, 12.0, 24.0, 36.0, 60.0, 90.0, 119.0, 120.0, 150.0, 170.0})
            for (const double exponent : {0.5, 0.8, 1.0, 1.5, 2.0, 3.0, 8.0}) {
                const double field = field_deg(profile, beam, exponent);
                const bool is_plain = exponent == plain;
                if (!is_plain && field > 170)
                    continue; // not a figure that may be given
                CAPTURE(beam);
                CAPTURE(exponent);
                const std::optional<double> given = is_plain ? std::nullopt : std::optional<double>(field);
                const double expected = lumens_per_candela(profile, beam, exponent);
                const Distribution by_candela =
                    make_distribution(figures_deg(profile, beam, {}, 1000, given));
                CHECK(measure_centre_candela(by_candela) == 1000);
                CHECK(measure_lumens(by_candela) == doctest::Approx(1000 * expected).epsilon(5e-4));
                worst_lumens =
                    std::max(worst_lumens, std::abs(measure_lumens(by_candela) / expected / 1000 - 1));
                const Distribution by_lumens = make_distribution(figures_deg(profile, beam, 300, {}, given));
                CHECK(measure_lumens(by_lumens) == doctest::Approx(300).epsilon(1e-12));
                CHECK(std::abs(full_deg(by_lumens, 0.5) - beam) < 0.01);
                worst_angle = std::max(worst_angle, std::abs(full_deg(by_lumens, 0.5) - beam));
                if (field <= 170) {
                    CHECK(std::abs(full_deg(by_lumens, 0.1) - field) < 0.01);
                    worst_angle = std::max(worst_angle, std::abs(full_deg(by_lumens, 0.1) - field));
                }
                CHECK(std::is_sorted(by_lumens.gamma.begin(), by_lumens.gamma.end(), std::less_equal<>()));
                CHECK(by_lumens.gamma.size() < 4000);
            }
    }
    MESSAGE("largest error: lumens " << worst_lumens * 100 << " %, angles " << worst_angle << " degrees");
}

TEST_CASE("lumens and candela together choose the exponent") {
    for (const Profile profile : {Profile::cosine, Profile::gaussian})
        for (const double beam : {2.0, 12.0, 36.0, 60.0})
            for (const double exponent : {0.7, 1.0, 1.3, 2.0, 4.0}) {
                CAPTURE(beam);
                CAPTURE(exponent);
                const double lumens = 1000 * lumens_per_candela(profile, beam, exponent);
                const Distribution lamp = make_distribution(figures_deg(profile, beam, lumens, 1000));
                CHECK(measure_lumens(lamp) == doctest::Approx(lumens).epsilon(1e-12));
                CHECK(measure_centre_candela(lamp) == doctest::Approx(1000).epsilon(1e-9));
                CHECK(std::abs(full_deg(lamp, 0.5) - beam) < 0.01);
                // The field angle that comes of it is that of the exponent the figures were worked with.
                CHECK(full_deg(lamp, 0.1) ==
                      doctest::Approx(std::min(field_deg(profile, beam, exponent), 180.0)).epsilon(0.005));
            }
}

TEST_CASE("four figures that agree within 10 % keep lumens and angles") {
    const double lumens = 1000 * lumens_per_candela(Profile::gaussian, 24, 2);
    const double field = field_deg(Profile::gaussian, 24, 2);
    const Distribution lamp =
        make_distribution(figures_deg(Profile::gaussian, 24, lumens * 1.08, 1000, field));
    CHECK(measure_lumens(lamp) == doctest::Approx(lumens * 1.08).epsilon(1e-12));
    CHECK(measure_centre_candela(lamp) == doctest::Approx(1080).epsilon(1e-3));
    CHECK(std::abs(full_deg(lamp, 0.1) - field) < 0.01);
}

TEST_CASE("reflector lamps throw nothing behind") {
    for (const Profile profile : {Profile::cosine, Profile::gaussian})
        CHECK(make_distribution(figures_deg(profile, 100, 300, {})).gamma.back() == pi / 2);
    CHECK(make_distribution(figures_deg(Profile::cosine, 60, 300, {})).candela.back() == 0);
    CHECK(make_distribution(figures_deg(Profile::gaussian, 120, 300, {})).gamma.back() == pi);
}

TEST_CASE("every refused set of figures says why") {
    const auto cosine = [](double beam, std::optional<double> lumens, std::optional<double> candela,
                           std::optional<double> field = std::nullopt) {
        return message_of(figures_deg(Profile::cosine, beam, lumens, candela, field));
    };
    CHECK(cosine(12, {}, {}) ==
          "lumens: error: neither lumens nor candela are given; give one of them, or both");
    CHECK(cosine(12, 0, {}) == "lumens: error: lumens is 0; give a number above 0");
    CHECK(cosine(12, -5, {}) == "lumens: error: lumens is -5; give a number above 0");
    CHECK(cosine(12, {}, std::nan("")) == "candela: error: candela is unknown; give a number above 0");
    CHECK(cosine(0.5, 100, {}) ==
          "beam: error: a beam angle of 0.5° is outside 1° to 170°; give the full angle "
          "at 50 % of the maximum intensity");
    CHECK(cosine(171, 100, {}) ==
          "beam: error: a beam angle of 171° is outside 1° to 170°; give the full angle "
          "at 50 % of the maximum intensity");
    CHECK(cosine(60, 100, {}, 175) ==
          "field: error: a field angle of 175° is outside 1° to 170°; give the full "
          "angle at 10 % of the maximum intensity");
    CHECK(
        cosine(24, 100, {}, 20) ==
        "field: error: a field angle of 20° is not wider than the beam angle of 24°; the field angle is "
        "where "
        "10 % of the maximum is left, the beam angle where 50 % is; swap them or leave the field angle out");
    // Limits by hand: 3.3219^(1/8) = 1.1619 and acos(cos(12 deg)^1.1619) = 12.93 deg;
    // 3.3219^2 = 11.035 and acos(cos(12 deg)^11.035) = 38.40 deg.
    CHECK(cosine(24, 100, {}, 24.5) ==
          "field: error: a field angle of 24.5° is too narrow for a beam angle of "
          "24°; give one between 25.9° and 76.8° or leave it out");
    CHECK(cosine(12, 100, {}, 120) ==
          "field: error: a field angle of 120° is too wide for a beam angle of 12°; "
          "give one between 12.9° and 39.5° or leave it out");
    CHECK(
        message_of(figures_deg(Profile::gaussian, 12, 100, {}, 140)) ==
        "field: error: a field angle of 140° is too wide for a beam angle of 12°; give one between 13.9° and "
        "132° or leave it out");
    // cos^n: 500 cd at 12 degrees is 24.7 lm (2 pi 500 / 127.184).
    CHECK(cosine(12, 300, 500) ==
          "candela: error: 300 lm and 500 cd cannot both be right for a 12° beam: 500 cd in "
          "that beam is about 24.7 lm; correct one of the figures, or leave out lumens or "
          "candela");
    CHECK(cosine(12, 5, 500) ==
          "candela: error: 5 lm and 500 cd cannot both be right for a 12° beam: 500 cd in "
          "that beam is about 24.7 lm; correct one of the figures, or leave out lumens or "
          "candela");
    CHECK(cosine(12, 30, 500, 21.82) ==
          "candela: error: 30 lm and 500 cd cannot both be right for a 12° beam with a 21.8° field: 500 cd "
          "in that "
          "beam is about 24.7 lm; correct one of the figures, or leave out lumens or candela");
    // All faults at once.
    CHECK(cosine(200, -1, {}) ==
          "lumens: error: lumens is -1; give a number above 0\nbeam: error: a beam angle of "
          "200° is outside 1° to 170°; give the full angle at 50 % of the maximum intensity");
}
