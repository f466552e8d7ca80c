#include "duskcast/photometry/lamp_figures.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <functional>
#include <utility>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {

namespace {

constexpr double ln2 = 0.69314718055994530942;
constexpr double ln10 = 2.30258509299404568402;
constexpr double least_exponent = 0.5, greatest_exponent = 8;
constexpr double least_angle_deg = 1, greatest_angle_deg = 170;
constexpr double agreement = 0.10; ///< how far four figures may be apart
constexpr double greatest_peak_deg = 60;
constexpr int oval_planes = 180; ///< every 2 degrees

double plain_exponent(Profile profile) {
    return profile == Profile::cosine ? 1 : 2;
}

/// One lamp's fall-off: maximum 1, 0.5 at the half beam angle. Equations in lamp_figures.hpp.
struct Falloff {
    Profile profile;
    double half_beam; ///< radians
    double exponent;

    /// What is raised to the exponent: 0 on axis, 1 at the half beam angle.
    double argument(double gamma) const {
        return profile == Profile::cosine ? std::log(std::cos(gamma)) / std::log(std::cos(half_beam))
                                          : gamma / half_beam;
    }

    double operator()(double gamma) const {
        if (profile == Profile::cosine && gamma >= end() - 1e-12)
            return 0;
        return std::exp(-ln2 * std::pow(std::max(argument(gamma), 0.0), exponent));
    }

    /// The largest gamma with light. A reflector lamp throws none behind it; only a Gaussian beam of
    /// 120 degrees or more stands for a lamp that is open to the sides and goes on to the zenith.
    double end() const {
        const bool is_open = profile == Profile::gaussian && half_beam >= radians_from_degrees(60) - 1e-9;
        return is_open ? pi : pi / 2;
    }

    /// Half the field angle, where the curve is at 10 %. Radians.
    double half_field() const {
        const double argument_at_field = std::pow(ln10 / ln2, 1 / exponent);
        return profile == Profile::cosine
                   ? std::acos(std::exp(argument_at_field * std::log(std::cos(half_beam))))
                   : argument_at_field * half_beam;
    }
};

/// Nodes in gamma. Even steps out to the half beam angle and proportional steps beyond follow the curve
/// at every beam width; towards the end at 90 degrees steps shrink, for there the curve of a wide beam
/// falls ever more steeply. The half beam and half field angles are nodes, so that both are exact.
std::vector<double> make_gamma_grid(const Falloff& falloff) {
    constexpr int steps = 256;
    constexpr double least_step = radians_from_degrees(0.0005);
    const double end = falloff.end();
    std::vector<double> gamma;
    for (int i = 0; i <= steps; ++i)
        gamma.push_back(falloff.half_beam * i / steps);
    for (;;) {
        const double here = gamma.back();
        double step = here / steps;
        if (falloff.profile == Profile::cosine)
            step = std::min(step, std::max((end - here) / 16, least_step));
        if (here + 1.5 * step >= end)
            break;
        gamma.push_back(here + step);
    }
    gamma.push_back(end);
    const double half_field = falloff.half_field();
    const auto above = std::lower_bound(gamma.begin(), gamma.end(), half_field);
    if (above != gamma.end() && *above - half_field > 1e-9)
        gamma.insert(above, half_field);
    return gamma;
}

Distribution make_unit_distribution(const Falloff& falloff) {
    Distribution unit{{0}, make_gamma_grid(falloff), {}};
    unit.candela.reserve(unit.gamma.size());
    for (const double gamma : unit.gamma)
        unit.candela.push_back(falloff(gamma));
    return unit;
}

/// The half beam angle in a plane, the 50 % contour on a screen square to the axis being an ellipse.
double half_beam_in(double along, double across, double c) {
    const double x = std::cos(c) / std::tan(along), y = std::sin(c) / std::tan(across);
    return std::atan(1 / std::hypot(x, y));
}

/// A beam of two fall-offs: `along` in C0-C180, `across` in C90-C270; between them half angle and exponent
/// change smoothly. Ends at 90 degrees.
Distribution make_oval_unit(const Falloff& along, const Falloff& across, int planes) {
    Distribution unit;
    unit.gamma = make_gamma_grid(along.half_beam < across.half_beam ? along : across);
    for (const Falloff& plane : {along, across})
        for (const double node : {plane.half_beam, plane.half_field()}) {
            const auto above = std::lower_bound(unit.gamma.begin(), unit.gamma.end(), node);
            if (above != unit.gamma.end() && *above - node > 1e-9)
                unit.gamma.insert(above, node);
        }
    while (unit.gamma.back() > pi / 2)
        unit.gamma.pop_back();
    for (int plane = 0; plane <= planes; ++plane) {
        const double c = plane == planes ? 0 : 2 * pi * plane / planes; // the last plane is the first
        Falloff falloff = along;
        falloff.half_beam = half_beam_in(along.half_beam, across.half_beam, c);
        const double share = std::sin(c) * std::sin(c);
        falloff.exponent = along.exponent + share * (across.exponent - along.exponent);
        unit.c.push_back(2 * pi * plane / planes);
        for (const double gamma : unit.gamma)
            unit.candela.push_back(falloff(gamma));
    }
    return unit;
}

/// A ring: the fall-off to both sides of `ring`, up to 90 degrees.
Distribution make_ring_unit(const Falloff& falloff, double ring) {
    constexpr int steps = 900;
    Distribution unit{{0}, {}, {}};
    for (int i = 0; i <= steps; ++i)
        unit.gamma.push_back(pi / 2 * i / steps);
    for (const double off :
         {0.0, falloff.half_beam, -falloff.half_beam, falloff.half_field(), -falloff.half_field()}) {
        const double node = ring + off;
        const auto above = std::lower_bound(unit.gamma.begin(), unit.gamma.end(), node);
        if (above != unit.gamma.begin() && above != unit.gamma.end() && *above - node > 1e-9)
            unit.gamma.insert(above, node);
    }
    for (const double gamma : unit.gamma)
        unit.candela.push_back(falloff(std::abs(gamma - ring)));
    return unit;
}

/// Turns a beam by `peak` towards C0. Near the plane of the lens it fades out, to nothing at
/// `fade_to`: the grid's cells are smaller than what is left to 90 degrees, so none goes behind.
void turn_to_peak(Distribution& beam, double peak) {
    constexpr double fade_from = radians_from_degrees(84), fade_to = radians_from_degrees(87);
    if (beam.is_symmetric()) {
        const std::vector<double> plane = beam.candela;
        beam.c.clear();
        beam.candela.clear();
        for (int i = 0; i <= oval_planes; ++i) {
            beam.c.push_back(2 * pi * i / oval_planes);
            beam.candela.insert(beam.candela.end(), plane.begin(), plane.end());
        }
    }
    const double sine = std::sin(peak), cosine = std::cos(peak);
    beam.lamp_from_grid = glm::dmat3(cosine, 0, sine, 0, 1, 0, -sine, 0, cosine);
    for (std::size_t i = 0; i < beam.candela.size(); ++i) {
        const glm::dvec3 direction = beam.lamp_from_grid * direction_at(beam.c[i / beam.gamma.size()],
                                                                        beam.gamma[i % beam.gamma.size()]);
        const double gamma = std::acos(std::clamp(-direction.z, -1.0, 1.0));
        beam.candela[i] *= std::clamp((fade_to - gamma) / (fade_to - fade_from), 0.0, 1.0);
    }
}

/// A lamp with 1 cd at its greatest, of an exponent in each main plane.
Distribution make_unit(const LampFigures& figures, double exponent, double exponent_across, int planes) {
    Falloff along{figures.profile, figures.beam_angle / 2, exponent};
    if (figures.ring_angle)
        return make_ring_unit(along, *figures.ring_angle);
    Distribution unit;
    if (figures.beam_angle_across)
        unit =
            make_oval_unit(along, {figures.profile, *figures.beam_angle_across / 2, exponent_across}, planes);
    else
        unit = make_unit_distribution(along);
    if (figures.peak_angle > 0)
        turn_to_peak(unit, figures.peak_angle);
    return unit;
}

/// The exponent whose beam holds `lumens` for 1 cd on the axis; of several the one nearest to the plain
/// exponent. Lumens need not rise or fall steadily with the exponent (in a wide beam the light gained
/// inside outweighs what is lost outside), hence a scan before the bisection.
std::optional<double> find_exponent(double plain, double lumens,
                                    const std::function<double(double)>& unit_lumens) {
    constexpr int scan = 32;
    const auto scanned = [](int i) {
        return least_exponent * std::pow(greatest_exponent / least_exponent, static_cast<double>(i) / scan);
    };
    std::optional<std::pair<double, double>> bracket;
    double before = unit_lumens(least_exponent) - lumens;
    for (int i = 1; i <= scan; ++i) {
        const double here = unit_lumens(scanned(i)) - lumens;
        const bool is_crossing = (before <= 0) != (here <= 0) || here == 0;
        const auto distance = [&](double from, double to) {
            return std::abs(std::log(std::sqrt(from * to) / plain));
        };
        if (is_crossing &&
            (!bracket || distance(scanned(i - 1), scanned(i)) < distance(bracket->first, bracket->second)))
            bracket = {scanned(i - 1), scanned(i)};
        before = here;
    }
    if (!bracket)
        return std::nullopt;
    auto [low, high] = *bracket;
    const bool rises = unit_lumens(high) > unit_lumens(low);
    for (int i = 0; i < 48; ++i) {
        const double middle = (low + high) / 2;
        const bool is_high = (unit_lumens(middle) > lumens) == rises;
        (is_high ? high : low) = middle;
    }
    return (low + high) / 2;
}

std::string print_degrees(double radians) {
    return print_number(degrees_from_radians(radians)) + "°";
}

class Faults {
public:
    void add(std::string_view path, std::string_view what, std::string_view remedy) {
        problems_.push_back(
            {Severity::error, {"", 0, 0, std::string(path)}, std::string(what), std::string(remedy)});
    }
    void throw_any() const {
        if (!problems_.empty())
            throw InputError(problems_);
    }

private:
    std::vector<Problem> problems_;
};

constexpr double greatest_amount = 1e7; ///< lumens or candela

void check_amount(const std::optional<double>& amount, const std::string& key, Faults& faults) {
    if (amount && !(*amount > 0 && std::isfinite(*amount)))
        faults.add(key, fmt::format("{} is {}", key, print_number(*amount)), "give a number above 0");
    else if (amount && *amount > greatest_amount)
        faults.add(key, fmt::format("{} is {}", key, print_number(*amount)),
                   "no lamp gives more than 10 million");
}

void check_angle(double angle, const std::string& key, const std::string& meaning, Faults& faults) {
    const double degrees = degrees_from_radians(angle);
    if (!(degrees >= least_angle_deg - 1e-9 && degrees <= greatest_angle_deg + 1e-9))
        faults.add(key, fmt::format("a {} angle of {} is outside 1° to 170°", key, print_degrees(angle)),
                   fmt::format("give the full angle at {} of the maximum intensity", meaning));
}

void check_field(double field, double beam, Faults& faults) {
    check_angle(field, "field", "10 %", faults);
    if (field <= beam)
        faults.add("field",
                   fmt::format("a field angle of {} is not wider than the beam angle of {}",
                               print_degrees(field), print_degrees(beam)),
                   "the field angle is where 10 % of the maximum is left, the beam angle where 50 % is; "
                   "swap them or leave the field angle out");
}

void check_shape(const LampFigures& figures, Faults& faults) {
    const double peak = degrees_from_radians(figures.peak_angle);
    if (!(peak >= 0 && peak <= greatest_peak_deg + 1e-9))
        faults.add("peak",
                   fmt::format("a peak at {} is outside 0° to 60°", print_degrees(figures.peak_angle)),
                   "give the angle from the lens's axis to the middle of the beam");
    if (!figures.ring_angle)
        return;
    const double ring = degrees_from_radians(*figures.ring_angle);
    if (!(ring > 0 && ring < 90))
        faults.add("ring",
                   fmt::format("a ring at {} is not between 0° and 90°", print_degrees(*figures.ring_angle)),
                   "give the angle from the axis at which the ring is brightest");
    if (figures.beam_angle_across || peak > 0)
        faults.add("ring",
                   fmt::format("a ring has no {}", figures.beam_angle_across ? "second beam angle" : "peak"),
                   "it is the same all round the axis; leave one of the two out");
}

void check_figures(const LampFigures& figures) {
    Faults faults;
    if (!figures.lumens && !figures.centre_candela)
        faults.add("lumens", "neither lumens nor candela are given", "give one of them, or both");
    check_amount(figures.lumens, "lumens", faults);
    check_amount(figures.centre_candela, "candela", faults);
    check_angle(figures.beam_angle, "beam", "50 %", faults);
    if (figures.beam_angle_across)
        check_angle(*figures.beam_angle_across, "beam", "50 %", faults);
    if (figures.field_angle)
        check_field(*figures.field_angle, figures.beam_angle, faults);
    if (figures.field_angle && figures.field_angle_across && figures.beam_angle_across)
        check_field(*figures.field_angle_across, *figures.beam_angle_across, faults);
    if (figures.field_angle &&
        figures.field_angle_across.has_value() != figures.beam_angle_across.has_value())
        faults.add("field", "beam and field angle are one figure and two",
                   "give two of both, side to side and up and down, or one of both");
    check_shape(figures, faults);
    faults.throw_any();
}

/// From 0.5 = exp(-ln 2) and 0.1 = exp(-ln 2 a^exponent), a being the argument at the field angle.
double exponent_from_field(Falloff falloff, double field_angle) {
    const double exponent = std::log(ln10 / ln2) / std::log(falloff.argument(field_angle / 2));
    constexpr double rounding = 1e-6; // what a figure printed at the limit may have lost
    if (exponent >= least_exponent - rounding && exponent <= greatest_exponent + rounding)
        return exponent;
    const auto field_at = [&](double limit) {
        falloff.exponent = limit;
        return std::min(2 * falloff.half_field(), radians_from_degrees(greatest_angle_deg));
    };
    throw InputError(Problem{
        Severity::error,
        {"", 0, 0, "field"},
        fmt::format("a field angle of {} is too {} for a beam angle of {}", print_degrees(field_angle),
                    exponent > greatest_exponent ? "narrow" : "wide", print_degrees(2 * falloff.half_beam)),
        fmt::format("give one between {} and {} or leave it out", print_degrees(field_at(greatest_exponent)),
                    print_degrees(field_at(least_exponent)))});
}

[[noreturn]] void refuse_amounts(const LampFigures& figures, double lumens_per_candela) {
    std::string beam = fmt::format("{} beam", print_degrees(figures.beam_angle));
    if (figures.field_angle)
        beam += fmt::format(" with a {} field", print_degrees(*figures.field_angle));
    throw InputError(Problem{
        Severity::error,
        {"", 0, 0, "candela"},
        fmt::format("{} lm and {} cd cannot both be right for a {}: {} cd in that beam is about {} lm",
                    print_number(*figures.lumens), print_number(*figures.centre_candela), beam,
                    print_number(*figures.centre_candela),
                    print_number(*figures.centre_candela * lumens_per_candela)),
        "correct one of the figures, or leave out lumens or candela"});
}

} // namespace

Distribution make_distribution(const LampFigures& given) {
    check_figures(given);
    LampFigures figures = given;
    if (figures.ring_angle)
        figures.profile = Profile::gaussian; // powers of the cosine have no meaning about a ring
    const double plain = plain_exponent(figures.profile);
    double along = plain, across = plain;
    const bool has_both = figures.lumens && figures.centre_candela;
    if (figures.field_angle) {
        along = exponent_from_field({figures.profile, figures.beam_angle / 2, plain}, *figures.field_angle);
        across = figures.field_angle_across
                     ? exponent_from_field({figures.profile, *figures.beam_angle_across / 2, plain},
                                           *figures.field_angle_across)
                     : along;
    } else if (has_both) {
        constexpr int few_planes = 36; // the search needs many
        const auto unit_lumens = [&](double exponent) {
            return measure_lumens(make_unit(figures, exponent, exponent, few_planes));
        };
        const std::optional<double> exponent =
            find_exponent(plain, *figures.lumens / *figures.centre_candela, unit_lumens);
        if (!exponent)
            refuse_amounts(figures, unit_lumens(plain));
        along = across = *exponent;
    }

    Distribution distribution = make_unit(figures, along, across, oval_planes);
    const double lumens_per_candela = measure_lumens(distribution);
    const double centre = figures.lumens ? *figures.lumens / lumens_per_candela : *figures.centre_candela;
    if (has_both && std::abs(centre / *figures.centre_candela - 1) > agreement)
        refuse_amounts(figures, lumens_per_candela);
    for (double& candela : distribution.candela)
        candela *= centre;
    return distribution;
}

} // namespace duskcast
