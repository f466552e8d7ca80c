#pragma once
// LM-63 text taken apart: lines whatever their ends, numbers whatever their delimiters.

#include <string>
#include <string_view>
#include <vector>

namespace duskcast {

inline constexpr std::string_view blanks = " \t\f\v"; ///< within a line

struct Lm63Line {
    int number = 0; ///< from 1, as an editor counts
    std::string_view text;
};

/// Throws InputError at a line of the file `file`.
[[noreturn]] void refuse_lm63(const std::string& file, int line, std::string_view what,
                              std::string_view remedy);

/// Ends of line may be CR LF, LF or CR, mixed. Left out: a byte-order mark, the Ctrl-Z and NUL that old
/// programs leave at the end. UTF-16 is refused.
std::vector<Lm63Line> read_lm63_lines(std::string_view text, const std::string& file);

/// For quoting in a message: cut to a length a person reads.
std::string shorten(std::string_view text);

/// The text itself when it is UTF-8; otherwise read as Latin-1, as old files with a degree sign are.
std::string make_utf8(std::string_view text);

/// Reads numbers one after the other across lines. Delimiters are blanks, tabs, commas and line ends.
class Lm63Numbers {
public:
    Lm63Numbers(const std::vector<Lm63Line>& lines, std::size_t first, const std::string& file);

    /// `meaning` is how messages call the number: "the candela multiplier".
    double read_number(std::string_view meaning);
    int read_whole(std::string_view meaning, int least, int greatest);

    /// At the number read last.
    [[noreturn]] void refuse(std::string_view what, std::string_view remedy) const;

    bool is_at_line_start();
    bool is_done();
    std::size_t count_left() const;                 ///< words not yet read
    std::string_view next_word();                   ///< without taking it; "" at the end
    int next_line();                                ///< of the next word; of the last line at the end
    int line() const;                               ///< of the number read last
    std::string_view word() const { return word_; } ///< the number read last, as written

private:
    void skip_delimiters();

    const std::vector<Lm63Line>& lines_;
    const std::string& file_;
    std::size_t at_line_ = 0;
    std::size_t at_ = 0;
    std::string_view word_;
    int word_line_ = 0;
};

} // namespace duskcast
