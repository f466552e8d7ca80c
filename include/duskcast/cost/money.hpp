#pragma once
// Money and what is multiplied with it, as whole numbers: a bill must add up to the cent.
// The one rule of rounding: to the nearest unit, halves upwards. What is added up is rounded first, so that
// the figures that are shown add up.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace duskcast {

using Cents = std::int64_t;              ///< hundredths of the currency
using Millionths = std::int64_t;         ///< of one: a share; 82,500 are 8.25 %
using HourTenThousandths = std::int64_t; ///< 5,000 are half an hour

inline constexpr std::int64_t cents_per_unit = 100;
inline constexpr std::int64_t millionths_per_one = 1'000'000;
inline constexpr std::int64_t ten_thousandths_per_hour = 10'000;

/// value * numerator / denominator, rounded to the nearest, halves up. None may be negative, `denominator`
/// not 0; denominator * numerator and the result must fit.
std::int64_t scale_rounded(std::int64_t value, std::int64_t numerator, std::int64_t denominator);

/// Why a text is no figure.
enum class FigureFault { none, not_a_number, comma, negative, too_fine, too_large };

struct Figure {
    std::int64_t value = 0; ///< in units of 10^-decimals
    FigureFault fault = FigureFault::none;
};

/// Reads "12", "12.5" or ".5" exactly, as a whole number of 10^-decimals. Nothing else is a figure: no
/// blanks, no exponent, no thousands mark, no currency sign. `most` is the largest allowed, in the same unit,
/// and at most 10^15.
Figure read_figure(std::string_view text, int decimals, std::int64_t most);

std::string print_cents(Cents cents);       ///< "1,234.50", for people
std::string print_plain_cents(Cents cents); ///< "1234.50", for a machine

/// A whole number of 10^-decimals without trailing zeros, at least `least` decimals: "8.25", "0.50".
std::string print_figure(std::int64_t value, int decimals, int least = 0);

/// "8.25 %"
std::string print_percent(Millionths share);

} // namespace duskcast
