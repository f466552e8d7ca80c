#include "duskcast/photometry/lm63.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <fmt/format.h>
#include <functional>
#include <optional>

#include "bracket.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/base/units.hpp"
#include "lm63_text.hpp"
#include "lm63_types.hpp"

namespace duskcast {

namespace {

constexpr int greatest_count = 2000;                ///< of angles; no goniometer comes near
constexpr std::uintmax_t greatest_file = 64u << 20; ///< bytes
constexpr std::uintmax_t greatest_tilt_file = 1u << 20;
constexpr double allowed_noise = 0.005; ///< negative candela, share of the maximum
constexpr int most_tilts = 1000;
constexpr double greatest_opening = 10;         ///< metres; light fittings are 3 m long at most (from memory)
constexpr double greatest_watts = 100'000;      ///< more than any lamp takes
constexpr double greatest_candela = 1e9;        ///< a lighthouse gives a hundredth of it (from memory)
constexpr double dark_candela = 1e-6;           ///< a glow-worm gives a thousand times more (from memory)
constexpr std::int64_t least_plane_step = 1000; ///< millionths of a degree (is_same_plane)
constexpr auto versions_read = "LM-63-1986, 1991 (IESNA91), 1995, 2002 and 2019 are read";

/// The sections of a file in their order. Each member function reads one and leaves the reader behind it.
class Reader {
public:
    Reader(std::string_view text, const std::string& file, const std::filesystem::path& folder)
        : file_(file), folder_(folder), lines_(read_lm63_lines(text, file)) {}

    Lm63 read() {
        read_version();
        read_keywords();
        Lm63Numbers numbers(lines_, at_ + 1, file_);
        read_tilt(numbers);
        read_figures(numbers);
        read_angles(numbers);
        read_candela(numbers);
        result_.distribution =
            result_.type == Lm63Type::c ? unfold(grid_) : turn_to_beam(make_two_sided(grid_), result_.type);
        check_amounts();
        join_poles(result_.distribution);
        return std::move(result_);
    }

private:
    [[noreturn]] void refuse(int line, std::string_view what, std::string_view remedy) const {
        refuse_lm63(file_, line, what, remedy);
    }
    void warn(int line, std::string_view what, std::string_view remedy) {
        result_.warnings.push_back(
            {Severity::warning, {file_, line, 0, ""}, std::string(what), std::string(remedy)});
    }

    void read_version();
    void read_keywords();
    void read_keyword(const Lm63Line& line);
    void check_keywords();
    void read_tilt(Lm63Numbers& numbers);
    void read_tilt_file(const std::string& tilt_file);
    void read_tilt_records(Lm63Numbers& numbers);
    void read_figures(Lm63Numbers& numbers);
    void read_opening(Lm63Numbers& numbers, double metres_per_size);
    double read_factor(Lm63Numbers& numbers, std::string_view meaning);
    void read_angles(Lm63Numbers& numbers);
    std::vector<double> read_angle_row(Lm63Numbers& numbers, std::string_view kind, int count, double least,
                                       double greatest, std::int64_t least_step = 1);
    std::string remedy_outside(std::string_view kind, double angle) const;
    void read_angles_about_beam(Lm63Numbers& numbers);
    void check_horizontal(int line);
    void read_candela(Lm63Numbers& numbers);
    void read_end(Lm63Numbers& numbers);
    void expect_new_line(Lm63Numbers& numbers, std::string_view section);
    void check_closing_plane(int line);
    void check_amounts();

    const std::string& file_;
    const std::filesystem::path& folder_;
    std::vector<Lm63Line> lines_;
    std::size_t at_ = 0; ///< the next line
    Lm63 result_;
    int vertical_count_ = 0;
    int horizontal_count_ = 0;
    double multiplier_ = 1; ///< of every candela value, all factors together
    Lm63Grid grid_;
};

std::string without_blanks(std::string_view text) {
    std::string kept;
    std::copy_if(text.begin(), text.end(), std::back_inserter(kept),
                 [](char c) { return blanks.find(c) == std::string_view::npos; });
    return kept;
}

/// What follows the equals sign of a TILT line in capitals, "NONE"; nothing for any other line.
std::optional<std::string> find_tilt(std::string_view text) {
    const std::string upper = without_blanks(upper_case(text));
    for (const std::string_view head : {"TILT=", "[TILT]=", "[TILT="})
        if (upper.starts_with(head)) {
            const bool has_end = head == "[TILT=" && upper.ends_with(']');
            return upper.substr(head.size(), upper.size() - head.size() - (has_end ? 1 : 0));
        }
    return std::nullopt;
}

void Reader::read_version() {
    while (at_ < lines_.size() && trimmed(lines_[at_].text).empty())
        ++at_;
    if (at_ == lines_.size())
        refuse(1, "the file is empty", "");
    const Lm63Line& line = lines_[at_++];
    if (lines_.size() == 1 && upper_case(line.text).find("TILT=") != std::string::npos)
        refuse(1, "the whole file stands on one line",
               "the version, each keyword, TILT= and the numbers begin lines of their own");
    const std::string tag = without_blanks(upper_case(line.text));
    // A label of 1986 may begin with these letters too: tags go on with a year, a colon or NA.
    const bool is_tag =
        tag.starts_with("IES:") || tag.starts_with("IESNA") ||
        (tag.starts_with("IES") && tag.find_first_not_of("0123456789", 3) == std::string::npos);
    if (!is_tag) {
        const bool has_tilt = std::any_of(lines_.begin(), lines_.end(),
                                          [](const Lm63Line& any) { return !!find_tilt(any.text); });
        if (has_tilt) { // no tag: labels up to the TILT line
            result_.version = Lm63Version::v1986;
            --at_;
            return;
        }
        refuse(line.number,
               fmt::format("this is not an LM-63 file: it begins with \"{}\"", shorten(trimmed(line.text))),
               "the first line names the version, such as IESNA:LM-63-2002");
    }
    const std::size_t year_at = tag.find_last_not_of("0123456789") + 1;
    const std::string head = tag.substr(0, year_at), year = tag.substr(year_at);
    const bool is_known = head == "IESNA" || head == "IES" || head == "IESNA:LM-63-" || head == "IES:LM-63-";
    if (is_known && (year == "1991" || year == "91"))
        result_.version = Lm63Version::v1991;
    else if (is_known && (year == "1995" || year == "95"))
        result_.version = Lm63Version::v1995;
    else if (is_known && (year == "2002" || year == "02"))
        result_.version = Lm63Version::v2002;
    else if (is_known && (year == "2019" || year == "19"))
        result_.version = Lm63Version::v2019;
    else if (is_known && (year == "1986" || year == "86"))
        result_.version = Lm63Version::v1986;
    else
        refuse(line.number, fmt::format("\"{}\" is no known version", shorten(trimmed(line.text))),
               versions_read);
}

void Reader::read_keywords() {
    for (; at_ < lines_.size() && !find_tilt(lines_[at_].text); ++at_) {
        if (trimmed(lines_[at_].text).empty())
            continue;
        if (result_.version == Lm63Version::v1986)
            result_.labels.push_back(make_utf8(trimmed(lines_[at_].text)));
        else
            read_keyword(lines_[at_]);
    }
    if (at_ == lines_.size())
        refuse(lines_.back().number, "the file ends without a TILT= line",
               "put TILT=NONE between the keywords and the numbers");
    check_keywords();
}

void Reader::read_keyword(const Lm63Line& line) {
    const std::string_view text = trimmed(line.text);
    if (!text.starts_with('[')) {
        warn(line.number, fmt::format("\"{}\" belongs to no keyword and is left out", shorten(text)),
             "a keyword line begins with the keyword in square brackets");
        return;
    }
    std::size_t end = text.find(']');
    if (end == std::string_view::npos) {
        end = std::min(text.find_first_of(" \t"), text.size());
        warn(line.number,
             fmt::format("the keyword \"{}\" has no closing bracket", shorten(text.substr(0, end))),
             fmt::format("it is read as {}]", shorten(text.substr(0, end))));
    }
    const std::string key = make_utf8(upper_case(trimmed(text.substr(1, end - 1))));
    const std::string value = make_utf8(trimmed(text.substr(std::min(end + 1, text.size()))));
    if (key == "BLOCK")
        refuse(line.number, "[BLOCK] groups several luminaires in one file, which is not read",
               "save each luminaire as a file of its own");
    if (key != "MORE")
        result_.keywords.emplace_back(key, value);
    else if (result_.keywords.empty())
        warn(line.number, "[MORE] continues no keyword and is left out", "");
    else if (std::string& begun = result_.keywords.back().second; begun.empty() || value.empty())
        begun += value;
    else
        begun += fmt::format(" {}", value);
}

void Reader::check_keywords() {
    if (result_.version != Lm63Version::v2002 && result_.version != Lm63Version::v2019)
        return;
    for (const std::string_view required : {"TEST", "TESTLAB", "ISSUEDATE", "MANUFAC"})
        if (std::none_of(result_.keywords.begin(), result_.keywords.end(),
                         [&](const auto& keyword) { return keyword.first == required; }))
            warn(lines_[at_].number, fmt::format("the required keyword [{}] is missing", required), "");
}

void Reader::read_tilt(Lm63Numbers& numbers) {
    const Lm63Line& line = lines_[at_];
    const std::string tilt = *find_tilt(line.text);
    if (trimmed(line.text).starts_with('['))
        warn(line.number, "TILT is no keyword", "write TILT=NONE without brackets");
    if (tilt == "INCLUDE")
        read_tilt_records(numbers);
    else if (tilt.empty())
        refuse(line.number,
               "nothing follows TILT=", "write TILT=NONE, TILT=INCLUDE or the name of a tilt file");
    else if (tilt != "NONE")
        read_tilt_file(std::string(trimmed(line.text.substr(line.text.find('=') + 1))));
}

/// The same four records in a file of their own.
void Reader::read_tilt_file(const std::string& tilt_file) {
    const int line = lines_[at_].number;
    if (tilt_file.find_first_of("/\\:") != std::string::npos || tilt_file.starts_with(".."))
        refuse(line, fmt::format("the tilt file \"{}\" is named with a folder", shorten(tilt_file)),
               "put it beside this file and give its name alone");
    const std::filesystem::path path = path_in(folder_, make_utf8(tilt_file));
    const WholeFile whole = read_whole_file(path, greatest_tilt_file);
    if (whole.fault == FileFault::unreadable)
        refuse(line, fmt::format("the tilt file \"{}\" cannot be read", shorten(tilt_file)),
               "put it beside this file, or write TILT=NONE where the output does not depend on tilt");
    if (whole.fault == FileFault::too_large)
        refuse(line, fmt::format("the tilt file \"{}\" is larger than 1 MB", shorten(tilt_file)),
               "no tilt file is, check its name");
    const std::string name = text_of(path);
    const std::vector<Lm63Line> lines = read_lm63_lines(whole.bytes, name);
    Lm63Numbers numbers(lines, 0, name);
    read_tilt_records(numbers);
}

/// Lamp geometry, number of pairs, angles, multipliers.
void Reader::read_tilt_records(Lm63Numbers& numbers) {
    result_.tilt.geometry = numbers.read_whole("the lamp's geometry", 1, 3);
    const int count = numbers.read_whole("the number of tilt angles", 1, most_tilts);
    for (int i = 0; i < count; ++i) {
        const double angle = numbers.read_number("a tilt angle");
        if (i > 0 && radians_from_degrees(angle) <= result_.tilt.angles.back())
            numbers.refuse(
                fmt::format("tilt angle {} is not greater than the one before", shorten(numbers.word())),
                "check the tilt angles and their count");
        result_.tilt.angles.push_back(radians_from_degrees(angle));
    }
    for (int i = 0; i < count; ++i) {
        const double multiplier = numbers.read_number("a tilt multiplier");
        if (!(multiplier >= 0))
            numbers.refuse(fmt::format("tilt multiplier {} is negative", shorten(numbers.word())),
                           "it multiplies the candela; give 0 or more");
        result_.tilt.multiplier.push_back(multiplier);
    }
}

/// The 10 and the 3 numbers (reference: ANSI/IES LM-63, fields 1 to 13).
void Reader::read_figures(Lm63Numbers& numbers) {
    expect_new_line(numbers, "the number of lamps");
    result_.lamps = numbers.read_whole("the number of lamps", 1, 1000);
    const double lumens = numbers.read_number("the number of lumens per lamp");
    result_.lumens_per_lamp = lumens < 0 ? -1 : lumens;
    if (lumens == 0 || (lumens < 0 && lumens != -1))
        warn(numbers.line(), fmt::format("the lumens per lamp are {}", numbers.word()),
             "give the rated lumens, or -1 for absolute photometry; the candela are used as they stand");
    multiplier_ = read_factor(numbers, "the candela multiplier");
    vertical_count_ = numbers.read_whole("the number of vertical angles", 2, greatest_count);
    horizontal_count_ = numbers.read_whole("the number of horizontal angles", 1, greatest_count);
    result_.type = static_cast<Lm63Type>(numbers.read_whole("the photometric type (1 C, 2 B, 3 A)", 1, 3));
    if (result_.type != Lm63Type::c && horizontal_count_ < 2)
        refuse(numbers.line(), "a type A or B file has one horizontal angle",
               "two or more are needed; a beam that is the same all round is type C (1)");
    const int unit = numbers.read_whole("the unit of the opening (1 feet, 2 metres)", 1, 2);
    read_opening(numbers, metres_per(unit == 1 ? LengthUnit::foot : LengthUnit::metre));

    expect_new_line(numbers, "the ballast factor");
    multiplier_ *= read_factor(numbers, "the ballast factor");
    // Field 12 was the ballast-lamp photometric factor until 1991; then a place for future use, and in
    // 2019 a code that tells how the file was made: 1.1 there is no gain of 10 %.
    if (result_.version == Lm63Version::v1986 || result_.version == Lm63Version::v1991) {
        multiplier_ *= read_factor(numbers, "the ballast-lamp photometric factor");
    } else {
        const double field_12 = numbers.read_number("the 12th number");
        if (result_.version != Lm63Version::v2019 && field_12 != 1)
            warn(numbers.line(), fmt::format("the 12th number is {}", numbers.word()),
                 "this version keeps it for future use, as 1; it is not used");
    }
    result_.input_watts = numbers.read_number("the number of input watts");
    if (result_.input_watts < 0) {
        warn(numbers.line(), fmt::format("the input watts are {}", numbers.word()),
             "they are taken as unknown");
        result_.input_watts = 0;
    } else if (!(result_.input_watts <= greatest_watts)) {
        refuse(numbers.line(), fmt::format("the input watts are {}", shorten(numbers.word())),
               "no luminaire takes that much; check that no number is missing or too many");
    }

    const auto vertical = static_cast<std::uint64_t>(vertical_count_);
    const auto horizontal = static_cast<std::uint64_t>(horizontal_count_);
    const std::uint64_t needed = vertical + horizontal + vertical * horizontal;
    const std::size_t left = numbers.count_left();
    if (left < needed)
        refuse(lines_.back().number,
               fmt::format(
                   "{} vertical and {} horizontal angles with their candela are {} numbers, but {} follow",
                   vertical, horizontal, needed, left),
               "the file is cut short, or a count of angles is wrong");
}

double Reader::read_factor(Lm63Numbers& numbers, std::string_view meaning) {
    const double factor = numbers.read_number(meaning);
    if (!(factor > 0))
        refuse(numbers.line(), fmt::format("{} is {}", meaning, shorten(numbers.word())),
               "it multiplies every candela value; give a number above 0");
    return factor;
}

/// Sizes are the absolute values. Signs tell the shape: a negative width or length is a round one.
void Reader::read_opening(Lm63Numbers& numbers, double metres_per_size) {
    const double width = numbers.read_number("the width of the opening");
    const double length = numbers.read_number("the length of the opening");
    const double height = numbers.read_number("the height of the opening");
    result_.opening_width = std::abs(width) * metres_per_size;
    result_.opening_length = std::abs(length) * metres_per_size;
    result_.opening_height = std::abs(height) * metres_per_size;
    const double largest = std::max({result_.opening_width, result_.opening_length, result_.opening_height});
    if (!(largest <= greatest_opening))
        refuse(
            numbers.line(),
            fmt::format("the luminous opening is {} m across",
                        largest > 1e6 ? "over 1,000,000" : print_number(largest)),
            "sizes are in feet (1) or metres (2) as the number before them says; these look like inches or "
            "millimetres");
    const bool has_new_signs = result_.version == Lm63Version::v2002 || result_.version == Lm63Version::v2019;
    // A lying cylinder, whose diameter is negative across its axis and upwards, is rectangular from below.
    const bool is_lying = has_new_signs && height < 0 && width * length < 0;
    result_.opening_is_round = (width < 0 || length < 0) && !is_lying;
    // A lone diameter: until 1995 every round shape, later only an upright disk has no length.
    if (width < 0 && length == 0 && !(has_new_signs && height < 0))
        result_.opening_length = result_.opening_width;
}

void Reader::expect_new_line(Lm63Numbers& numbers, std::string_view section) {
    if (!numbers.is_at_line_start())
        warn(numbers.line(), fmt::format("{} should begin a new line", section),
             "check that no number is missing or too many");
}

std::string Reader::remedy_outside(std::string_view kind, double angle) const {
    return result_.type != Lm63Type::c && kind == "horizontal" && angle > 180
               ? "type A counts from -180 to 180 and type B from -90 "
                 "to 90; planes from 0 to 360 are type C (1)"
               : "check the angles and their count";
}

/// `least_step` in millionths of a degree.
std::vector<double> Reader::read_angle_row(Lm63Numbers& numbers, std::string_view kind, int count,
                                           double least, double greatest, std::int64_t least_step) {
    std::vector<double> angles;
    std::string previous;
    for (int i = 0; i < count; ++i) {
        const double angle = numbers.read_number(fmt::format("a {} angle", kind));
        if (!(angle >= least && angle <= greatest))
            refuse(numbers.line(),
                   fmt::format("{} angle {} is outside {:.0f} to {:.0f}", kind, shorten(numbers.word()),
                               least, greatest),
                   remedy_outside(kind, angle));
        const std::int64_t step =
            i > 0 ? count_millionths(angle) - count_millionths(angles.back()) : least_step;
        const auto refuse_after = [&](std::string remedy) {
            refuse(numbers.line(),
                   fmt::format("{} angle {} follows {}", kind, shorten(numbers.word()), previous),
                   std::move(remedy));
        };
        if (step <= 0)
            refuse_after("each angle must be greater than the one before; check the angles and their count");
        if (step < least_step)
            refuse_after("they are one plane; leave one of the two out");
        angles.push_back(angle);
        previous = shorten(numbers.word());
    }
    return angles;
}

/// Type A: bearings all round, elevations -90 to 90; type B: turns all round, -90 to 90 along the plane.
void Reader::read_angles_about_beam(Lm63Numbers& numbers) {
    const bool is_a = result_.type == Lm63Type::a;
    expect_new_line(numbers, "the vertical angles");
    const double most_vertical = is_a ? 90 : 180;
    grid_.vertical = read_angle_row(numbers, "vertical", vertical_count_, -most_vertical, most_vertical);
    const int line = numbers.line();
    expect_new_line(numbers, "the horizontal angles");
    const double most_horizontal = is_a ? 180 : 90;
    grid_.horizontal = read_angle_row(numbers, "horizontal", horizontal_count_, -most_horizontal,
                                      most_horizontal, least_plane_step);
    const auto check = [&](const char* kind, const std::vector<double>& angles, int at) {
        if (angles.front() > 0)
            refuse(at,
                   fmt::format("the {} angles run from {} to {}", kind, print_number(angles.front()),
                               print_number(angles.back())),
                   "types A and B begin at 0, when both sides are alike, or below 0");
    };
    check("vertical", grid_.vertical, line);
    check("horizontal", grid_.horizontal, numbers.line());
}

void Reader::read_angles(Lm63Numbers& numbers) {
    if (result_.type != Lm63Type::c)
        return read_angles_about_beam(numbers);
    expect_new_line(numbers, "the vertical angles");
    grid_.vertical = read_angle_row(numbers, "vertical", vertical_count_, 0, 180);
    const double first = grid_.vertical.front(), last = grid_.vertical.back();
    if ((first != 0 && first != 90) || (last != 90 && last != 180))
        warn(numbers.line(),
             fmt::format("the vertical angles run from {} to {}", print_number(first), print_number(last)),
             "they should begin at 0 or 90 and end at 90 or 180; no light is taken outside them");
    expect_new_line(numbers, "the horizontal angles");
    grid_.horizontal = read_angle_row(numbers, "horizontal", horizontal_count_, 0, 360, least_plane_step);
    check_horizontal(numbers.line());
}

void Reader::check_horizontal(int line) {
    std::vector<double>& horizontal = grid_.horizontal;
    switch (find_symmetry(horizontal)) {
    case Lm63Symmetry::unknown:
        if (horizontal.size() == 1) {
            warn(line, fmt::format("the only horizontal angle is {}", print_number(horizontal.front())),
                 "it should be 0; the beam is taken as the same all round");
            horizontal.front() = 0;
            return;
        }
        refuse(line,
               fmt::format("the horizontal angles run from {} to {}", print_number(horizontal.front()),
                           print_number(horizontal.back())),
               "type C has 0; 0 to 90, 0 to 180 or 0 to 360; or 90 to 270");
    case Lm63Symmetry::none: {
        // Planes at even steps may leave out 360, which repeats 0.
        const double step = horizontal.back() - horizontal[horizontal.size() - 2];
        const double gap = 360 - horizontal.back();
        if (gap > 1e-6 && std::abs(gap - step) > 1e-6)
            warn(line, fmt::format("the horizontal angles end at {}", print_number(horizontal.back())),
                 "the planes from there to 360 are interpolated");
        return;
    }
    default:
        return;
    }
}

void Reader::read_candela(Lm63Numbers& numbers) {
    const std::size_t count = grid_.vertical.size() * grid_.horizontal.size();
    grid_.candela.reserve(count);
    double worst = 0;
    std::string worst_word;
    int worst_line = 0, negative = 0;
    bool is_warned = false;
    for (std::size_t i = 0; i < count; ++i) {
        if (i % grid_.vertical.size() == 0 && !is_warned && !numbers.is_at_line_start()) {
            expect_new_line(numbers, "the candela of each horizontal angle");
            is_warned = true;
        }
        const double candela = numbers.read_number("a candela value") * multiplier_;
        if (!(candela < greatest_candela))
            refuse(numbers.line(), fmt::format("candela value {} is too large", shorten(numbers.word())),
                   "with its multipliers it must stay below 1,000,000,000");
        if (candela < 0) {
            ++negative;
            if (candela < worst) {
                worst = candela;
                worst_word = numbers.word();
                worst_line = numbers.line();
            }
        }
        grid_.candela.push_back(candela);
    }
    const double greatest = *std::max_element(grid_.candela.begin(), grid_.candela.end());
    if (worst < -allowed_noise * greatest)
        refuse(worst_line, fmt::format("candela value {} is negative", shorten(worst_word)),
               "an intensity is 0 or more; only noise within 0.5 % of the greatest value is taken as 0");
    if (!(greatest > 0))
        refuse(numbers.line(), "every candela value is 0", "the lamp gives no light; check the file");
    if (greatest < dark_candela)
        refuse(numbers.line(), fmt::format("the greatest intensity is {:.3g} cd", greatest),
               "no lamp is that faint; check the candela multiplier and the ballast factor");
    if (negative > 0) {
        warn(worst_line, fmt::format("candela values slightly below 0: {}", negative), "they are taken as 0");
        for (double& candela : grid_.candela)
            candela = std::max(candela, 0.0);
    }
    if (result_.type == Lm63Type::c)
        check_closing_plane(numbers.line());
    read_end(numbers);
}

/// The plane at 360, where there is one, repeats the plane at 0.
void Reader::check_closing_plane(int line) {
    if (grid_.horizontal.front() != 0 || grid_.horizontal.back() != 360)
        return;
    const auto first = grid_.candela.begin();
    const auto last = grid_.candela.end() - vertical_count_;
    const double greatest = *std::max_element(first, grid_.candela.end());
    for (int i = 0; i < vertical_count_; ++i)
        if (std::abs(last[i] - first[i]) > 0.02 * greatest) {
            warn(line, "the candela at horizontal angles 0 and 360 differ",
                 "they are one plane; those at 0 are used");
            return;
        }
}

/// More numbers than announced mean that a count is wrong and every value may stand in the wrong place;
/// words are a remark somebody left.
void Reader::read_end(Lm63Numbers& numbers) {
    if (numbers.is_done())
        return;
    const int line = numbers.next_line();
    const std::string_view word = numbers.next_word();
    if (word.find_first_not_of("0123456789.+-eEdD") == std::string_view::npos)
        refuse(line, fmt::format("numbers after the last candela value: {}", numbers.count_left()),
               "a count of angles is wrong, or a comma, which parts numbers, stands for a decimal point");
    warn(line, fmt::format("text follows the last candela value (\"{}\") and is left out", shorten(word)),
         "");
}

void Reader::check_amounts() {
    const Distribution& distribution = result_.distribution;
    const std::size_t width = distribution.gamma.size();
    double least = distribution.candela.front(), greatest = least;
    for (std::size_t i = 0; i < distribution.candela.size(); i += width) {
        least = std::min(least, distribution.candela[i]);
        greatest = std::max(greatest, distribution.candela[i]);
    }
    if (result_.type == Lm63Type::c && distribution.gamma.front() == 0 && greatest - least > 0.02 * greatest)
        warn(0,
             fmt::format("the candela at vertical angle 0 differ between {} and {}", print_number(least),
                         print_number(greatest)),
             "it is one and the same direction in every plane; their mean is used");
    const double rated = result_.lumens_per_lamp * result_.lamps;
    if (!(rated > 0))
        return;
    if (const double measured = measure_lumens(distribution); measured > 1.02 * rated)
        warn(0,
             fmt::format("the candela add up to {} lm, more than the lamps' {} lm", print_number(measured),
                         print_number(rated)),
             "check the candela multiplier");
}

} // namespace

double Lm63Tilt::factor_at(double angle) const {
    if (angles.empty())
        return 1;
    const Bracket bracket = find_bracket(angles, angle);
    return std::lerp(multiplier[bracket.low], multiplier[bracket.high], bracket.weight);
}

Lm63 read_lm63(std::string_view text, const std::string& name, const std::filesystem::path& folder) {
    return Reader(text, name, folder).read();
}

Lm63 read_lm63_file(const std::filesystem::path& file) {
    const std::string name = text_of(file);
    const WholeFile whole = read_whole_file(file, greatest_file);
    if (whole.fault == FileFault::unreadable)
        refuse_lm63(name, 0, "the file cannot be read", "check its name and folder");
    if (whole.fault == FileFault::too_large)
        refuse_lm63(name, 0, "the file is larger than 64 MB", "no photometric file is, check its name");
    return read_lm63(whole.bytes, name, file.parent_path());
}

double opening_diameter(const Lm63& file) {
    std::array<double, 3> sides{file.opening_width, file.opening_length, file.opening_height};
    if (file.opening_width > 0 && file.opening_length > 0)
        sides[2] = 0; // the height stands along the beam
    std::sort(sides.begin(), sides.end(), std::greater<>());
    const double area = sides[0] * sides[1] * (file.opening_is_round ? pi / 4 : 1);
    return 2 * std::sqrt(area / pi);
}

} // namespace duskcast
