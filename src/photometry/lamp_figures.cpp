#include "duskcast/photometry/lamp_figures.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <utility>

#include "duskcast/units/problem.hpp"
#include "duskcast/units/units.hpp"

namespace duskcast {

namespace {

constexpr double ln2 = 0.69314718055994530942;
constexpr double ln10 = 2.30258509299404568402;
constexpr double least_exponent = 0.5, greatest_exponent = 8;
constexpr double least_angle_deg = 1, greatest_angle_deg = 170;
constexpr double agreement = 0.10; ///< how far four figures may be apart

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

/// Lumens of a lamp with 1 cd on the axis.
double unit_lumens(Falloff falloff, double exponent) {
    falloff.exponent = exponent;
    return measure_lumens(make_unit_distribution(falloff));
}

/// The exponent whose beam holds `lumens` for 1 cd on the axis; of several the one nearest to the plain
/// exponent. Lumens need not rise or fall steadily with the exponent (in a wide beam the light gained
/// inside outweighs what is lost outside), hence a scan before the bisection.
std::optional<double> find_exponent(const Falloff& falloff, double lumens) {
    constexpr int scan = 32;
    const double plain = plain_exponent(falloff.profile);
    const auto scanned = [](int i) {
        return least_exponent * std::pow(greatest_exponent / least_exponent, static_cast<double>(i) / scan);
    };
    std::optional<std::pair<double, double>> bracket;
    double before = unit_lumens(falloff, least_exponent) - lumens;
    for (int i = 1; i <= scan; ++i) {
        const double here = unit_lumens(falloff, scanned(i)) - lumens;
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
    const bool rises = unit_lumens(falloff, high) > unit_lumens(falloff, low);
    for (int i = 0; i < 48; ++i) {
        const double middle = (low + high) / 2;
        const bool is_high = (unit_lumens(falloff, middle) > lumens) == rises;
        (is_high ? high : low) = middle;
    }
    return (low + high) / 2;
}

std::string print_degrees(double radians) {
    return print_number(degrees_from_radians(radians)) + "°";
}

class Faults {
public:
    void add(std::string path, std::string what, std::string remedy) {
        problems_.push_back(
            {Severity::error, {"", 0, 0, std::move(path)}, std::move(what), std::move(remedy)});
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

void check_figures(const LampFigures& figures) {
    Faults faults;
    if (!figures.lumens && !figures.centre_candela)
        faults.add("lumens", "neither lumens nor candela are given", "give one of them, or both");
    check_amount(figures.lumens, "lumens", faults);
    check_amount(figures.centre_candela, "candela", faults);
    check_angle(figures.beam_angle, "beam", "50 %", faults);
    if (figures.field_angle) {
        check_angle(*figures.field_angle, "field", "10 %", faults);
        if (*figures.field_angle <= figures.beam_angle)
            faults.add("field",
                       fmt::format("a field angle of {} is not wider than the beam angle of {}",
                                   print_degrees(*figures.field_angle), print_degrees(figures.beam_angle)),
                       "the field angle is where 10 % of the maximum is left, the beam angle where 50 % is; "
                       "swap them or leave the field angle out");
    }
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

Distribution make_distribution(const LampFigures& figures) {
    check_figures(figures);
    Falloff falloff{figures.profile, figures.beam_angle / 2, plain_exponent(figures.profile)};
    const bool has_both = figures.lumens && figures.centre_candela;
    if (figures.field_angle) {
        falloff.exponent = exponent_from_field(falloff, *figures.field_angle);
    } else if (has_both) {
        const std::optional<double> exponent =
            find_exponent(falloff, *figures.lumens / *figures.centre_candela);
        if (!exponent)
            refuse_amounts(figures, unit_lumens(falloff, falloff.exponent));
        falloff.exponent = *exponent;
    }

    Distribution distribution = make_unit_distribution(falloff);
    const double lumens_per_candela = measure_lumens(distribution);
    const double centre = figures.lumens ? *figures.lumens / lumens_per_candela : *figures.centre_candela;
    if (has_both && std::abs(centre / *figures.centre_candela - 1) > agreement)
        refuse_amounts(figures, lumens_per_candela);
    for (double& candela : distribution.candela)
        candela *= centre;
    return distribution;
}

} // namespace duskcast
