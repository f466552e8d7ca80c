// The figures of a lamp's sheet against closed forms and published tables.

#include <doctest/doctest.h>

#include <cmath>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/lamp_figures.hpp"
#include "duskcast/photometry/lamp_sheet.hpp"

using namespace duskcast;

namespace {

constexpr auto rad = radians_from_degrees;

LampDescription lamp_of(Distribution distribution) {
    LampDescription lamp;
    lamp.distribution = std::move(distribution);
    return lamp;
}

LampSheet sheet_of(const LampFigures& figures, const SheetOptions& options = {}) {
    return make_lamp_sheet(lamp_of(make_distribution(figures)), options);
}

} // namespace

TEST_CASE("share of the lumens inside the beam, and the field angle, of cosine-power beams") {
    // Closed forms: the flux inside half angle h is 1 - cos(h)^(n+1) of the whole, n = ln 0.5 / ln cos h.
    // Spot diameter at 3 m: 6 tan(h).
    struct Row {
        double beam_deg, share, field_deg, spot;
    };
    for (const Row& row : {Row{12, 0.503, 21.82, 0.6306}, Row{24, 0.511, 43.37, 1.2753},
                           Row{36, 0.524, 64.34, 1.9495}, Row{60, 0.567, 103.35, 3.4641}}) {
        CAPTURE(row.beam_deg);
        const LampSheet sheet =
            sheet_of({.lumens = 300, .beam_angle = rad(row.beam_deg)}, {.distances = {3}, .setbacks = {}});
        CHECK(sheet.lumens == doctest::Approx(300).epsilon(5e-4));
        CHECK(sheet.beam_lumens / sheet.lumens == doctest::Approx(row.share).epsilon(2e-3));
        CHECK(degrees_from_radians(sheet.beam_of_max.mean) == doctest::Approx(row.beam_deg).epsilon(1e-4));
        CHECK(degrees_from_radians(sheet.field_of_max.mean) == doctest::Approx(row.field_deg).epsilon(3e-4));
        CHECK(sheet.beam_of_centre.mean == doctest::Approx(sheet.beam_of_max.mean));
        const double n = std::log(0.5) / std::log(std::cos(rad(row.beam_deg / 2)));
        CHECK(sheet.field_lumens / sheet.lumens ==
              doctest::Approx(1 - std::pow(0.1, (n + 1) / n)).epsilon(1e-3));
        CHECK(sheet.max_candela == doctest::Approx(300 * (n + 1) / (2 * pi)).epsilon(1e-3));
        REQUIRE(sheet.spots.size() == 1);
        CHECK(sheet.spots[0].along == doctest::Approx(row.spot).epsilon(1e-3));
        CHECK(sheet.spots[0].across == sheet.spots[0].along);
        CHECK(sheet.spots[0].centre_lux == doctest::Approx(sheet.centre_candela / 9));
    }
}

TEST_CASE("zonal lumens of an isotropic source and of a Lambert face") {
    // Zonal constants 2 pi (cos g1 - cos g2); a Lambert face gives I0 pi (sin^2 g2 - sin^2 g1).
    const LampSheet even = make_lamp_sheet(lamp_of({{0}, {0, pi}, {100, 100}}), {});
    REQUIRE(even.zones.size() == 18);
    CHECK(even.lumens == doctest::Approx(1256.6371).epsilon(1e-7)); // 400 pi
    CHECK(even.zones[0].lumens == doctest::Approx(9.55).epsilon(1e-3));
    CHECK(even.zones[8].lumens == doctest::Approx(109.11).epsilon(1e-4));
    CHECK(degrees_from_radians(even.beam_of_max.along) == doctest::Approx(360));
    CHECK(even.designation.empty()); // no reflector lamp
    Distribution lambert{{0}, {}, {}};
    for (int i = 0; i <= 900; ++i) {
        lambert.gamma.push_back(pi / 2 * i / 900);
        lambert.candela.push_back(100 * std::cos(lambert.gamma.back()));
    }
    const LampSheet face = make_lamp_sheet(lamp_of(lambert), {});
    REQUIRE(face.zones.size() == 9);
    double sum = 0;
    for (std::size_t zone = 0; zone < 9; ++zone) {
        const double a = std::sin(rad(10.0 * static_cast<double>(zone))),
                     b = std::sin(rad(10.0 * static_cast<double>(zone + 1)));
        CHECK(face.zones[zone].lumens == doctest::Approx(100 * pi * (b * b - a * a)).epsilon(1e-4));
        sum += face.zones[zone].lumens;
    }
    CHECK(sum == doctest::Approx(314.1593).epsilon(1e-5));
    CHECK(degrees_from_radians(face.beam_of_max.along) == doctest::Approx(120).epsilon(1e-5)); // cos 60 = 1/2
}

TEST_CASE("centre and maximum apart: both beam angles") {
    // A ring at 30 degrees with 25 cd left of 100 on the axis: (30 / h)^2 = 2 for h = 30 / sqrt 2.
    const double half = 30 / std::sqrt(2.0);
    const LampSheet sheet =
        sheet_of({.centre_candela = 100, .beam_angle = rad(2 * half), .ring_angle = rad(30)});
    CHECK(sheet.max_candela == doctest::Approx(100));
    CHECK(sheet.centre_candela == doctest::Approx(25).epsilon(1e-3));
    CHECK(degrees_from_radians(sheet.max_gamma) == doctest::Approx(30));
    CHECK(degrees_from_radians(sheet.beam_of_max.mean) == doctest::Approx(2 * (30 + half)).epsilon(1e-3));
    // 12.5 cd is 3 halvings below the ring's 100: half sqrt 3 beyond it.
    CHECK(degrees_from_radians(sheet.beam_of_centre.mean) ==
          doctest::Approx(2 * (30 + half * std::sqrt(3.0))).epsilon(1e-3));
    CHECK(sheet.designation.empty());
    // On a screen 2 m off, I cos^3 / d^2 is greatest within the ring: searched apart, degree by hundredth.
    const LampSheet screen =
        sheet_of({.centre_candela = 100, .beam_angle = rad(2 * half), .ring_angle = rad(30)},
                 {.distances = {2}, .setbacks = {}});
    double greatest = 0;
    for (int i = 0; i < 9000; ++i) {
        const double off = (i / 100.0 - 30) / half;
        greatest =
            std::max(greatest, 100 * std::pow(2, -off * off) * std::pow(std::cos(rad(i / 100.0)), 3) / 4);
    }
    CHECK(screen.spots[0].greatest_lux == doctest::Approx(greatest).epsilon(1e-4));
    CHECK(screen.spots[0].centre_lux == doctest::Approx(25.0 / 4).epsilon(1e-3));
}

TEST_CASE("a beam with a peak is measured across its own middle") {
    // Wholly to one side of the axis: 50 % from 25 to 55 degrees.
    const LampSheet sheet = sheet_of({.lumens = 300, .beam_angle = rad(30), .peak_angle = rad(40)});
    CHECK(degrees_from_radians(sheet.beam_of_max.along) == doctest::Approx(30).epsilon(5e-3));
    CHECK(degrees_from_radians(sheet.max_gamma) == doctest::Approx(40).epsilon(1e-2));
    CHECK(sheet.lumens == doctest::Approx(300));
}

TEST_CASE("light on a wall") {
    // E = I s / (s^2 + h^2)^1.5, worked: 1000 cd from 0.6 m out, 3 m up: 20.9526 lx.
    const Distribution even{{0}, {0, pi}, {1000, 1000}};
    CHECK(wall_lux(even, 0.6, 0.3, 3, 0) == doctest::Approx(20.9526).epsilon(1e-5));
    // An even source is brightest straight ahead, I / s^2, and has a level out to the radius r in
    // (s^2 + r^2)^1.5 = I s / E; the widest stretch is at its own height.
    const SheetOptions options{.distances = {}, .setbacks = {0.3, 0.6}, .tilt = 0, .levels = {10, 1e5}};
    LampDescription lamp = lamp_of(even);
    lamp.tolerance = 0.9;
    lamp.depreciation = 0.8;
    const LampSheet sheet = make_lamp_sheet(lamp, options);
    REQUIRE(sheet.wall.size() == 4);
    CHECK(sheet.light_loss == doctest::Approx(0.72));
    const double r = std::sqrt(std::pow(720 * 0.6 / 10, 2.0 / 3) - 0.36);
    const WallSpread& row = sheet.wall[2];
    CHECK(row.setback == 0.6);
    CHECK(row.brightest_lux == doctest::Approx(720 / 0.36));
    CHECK(row.brightest_at == 0);
    CHECK(row.is_reached);
    CHECK(row.from == doctest::Approx(0));
    CHECK(row.to == doctest::Approx(r).epsilon(1e-4));
    CHECK(row.width == doctest::Approx(2 * r).epsilon(1e-4));
    CHECK(row.width_at == doctest::Approx(0));
    CHECK(!sheet.wall[3].is_reached);
    CHECK(sheet.wall[3].to == 0);
    // Upright, a narrow beam's axis runs beside the wall: its edge at half the maximum meets the wall at
    // s / tan(h), where the light is I0 / 2 sin(h) (sin(h) / s)^2.
    const Distribution spot = make_distribution({.centre_candela = 5000, .beam_angle = rad(20)});
    const double h = rad(10);
    CHECK(wall_lux(spot, 0.4, 0, 0.4 / std::tan(h), 0) ==
          doctest::Approx(2500 * std::pow(std::sin(h), 3) / 0.16).epsilon(1e-4));
    // Leant to the wall by 10 degrees, the middle of the beam meets it there, at full intensity.
    CHECK(wall_lux(spot, 0.4, h, 0.4 / std::tan(h), 0) ==
          doctest::Approx(5000 * std::pow(std::sin(h), 3) / 0.16).epsilon(1e-4));
}

TEST_CASE("MR16 designations") {
    // Encyclopaedia table of MR16 designations (after NEMA); NLPIP Lighting Answers MR16, 2002.
    struct Row {
        double deg;
        const char* name;
    };
    for (const Row& row : {Row{6, "VNSP"}, Row{8, "NSP"}, Row{10, "NSP"}, Row{15, "NSP"}, Row{18, "SP"},
                           Row{24, "NFL"}, Row{30, "NFL"}, Row{36, "FL"}, Row{40, "FL"}, Row{55, "WFL"},
                           Row{60, "WFL"}, Row{75, "VWFL"}, Row{21, "SP"}, Row{23, "NFL"}, Row{50, "WFL"}})
        CHECK(find_designation(rad(row.deg)) == std::string(row.name));
    CHECK(sheet_of({.lumens = 300, .beam_angle = rad(36)}).designation == "FL");
}

TEST_CASE("from where the candela may be trusted") {
    // Five times the size for a wide, diffuse face (IES definition 9.1.1); further for a beam.
    CHECK(find_trusted_distance(0.05, rad(150)) == doctest::Approx(0.25));
    CHECK(find_trusted_distance(0.05, 0.2) == doctest::Approx(2.5));
    CHECK(find_trusted_distance(0, 0.2) == 0);
}
