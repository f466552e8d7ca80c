#include "text_layout.hpp"

#include <algorithm>

namespace duskcast {
namespace {

constexpr char32_t replacement = 0xfffd;

/// Length of the sequence that a byte begins, 0 where none begins.
int sequence_length(unsigned char byte) {
    return byte < 0x80 ? 1 : byte < 0xc2 ? 0 : byte < 0xe0 ? 2 : byte < 0xf0 ? 3 : byte < 0xf5 ? 4 : 0;
}

bool may_break_after(const std::u32string& line, std::size_t i) {
    if (line[i] == U' ')
        return true;
    const bool is_hyphen = line[i] == U'-' || line[i] == U'\u2010' || line[i] == U'\u2013';
    const bool is_before_digit = i + 1 < line.size() && line[i + 1] >= U'0' && line[i + 1] <= U'9';
    return is_hyphen && i > 0 && !is_before_digit; // "-5" and "1-2" stay whole
}

} // namespace

std::u32string decode_utf8(const std::string& text) {
    std::u32string signs;
    for (std::size_t i = 0; i < text.size();) {
        const auto first = static_cast<unsigned char>(text[i]);
        const int length = sequence_length(first);
        char32_t sign = length < 2 ? first : first & (0x7fu >> length);
        int read = 1;
        for (; read < length && i + static_cast<std::size_t>(read) < text.size(); ++read) {
            const auto next = static_cast<unsigned char>(text[i + static_cast<std::size_t>(read)]);
            if ((next & 0xc0) != 0x80)
                break;
            sign = sign << 6 | (next & 0x3f);
        }
        const bool is_whole = length > 0 && read == length && !(length == 3 && sign < 0x800) &&
                              !(length == 4 && (sign < 0x10000 || sign > 0x10ffff)) &&
                              !(sign >= 0xd800 && sign < 0xe000);
        signs += is_whole ? sign : replacement;
        i += static_cast<std::size_t>(read);
    }
    return signs;
}

std::vector<TextLine> lay_out_text(const std::string& text, const TextStyle& style, double wrap) {
    const double line_height = (ascent + descent) * style.size * (wrap > 0 ? wrapped_line_step : 1);
    std::vector<TextLine> lines;
    const auto add = [&](std::u32string signs) {
        double width = 0;
        for (const char32_t sign : signs)
            width += style.size * advance_of(sign, style.is_bold);
        lines.push_back({std::move(signs), width, static_cast<double>(lines.size()) * line_height});
    };
    const auto add_wrapped = [&](const std::u32string& line) {
        std::size_t begin = 0, last_break = 0;
        double width = 0;
        for (std::size_t i = 0; i < line.size(); ++i) {
            const double advance = style.size * advance_of(line[i], style.is_bold);
            if (wrap > 0 && width + advance > wrap && i > begin && line[i] != U' ') {
                const std::size_t next = last_break > begin ? last_break : i;
                std::size_t end = next;
                while (end > begin && line[end - 1] == U' ')
                    --end;
                add(line.substr(begin, end - begin));
                begin = next;
                width = 0;
                i = next - 1; // the new line's signs once more
                continue;
            }
            width += advance;
            if (may_break_after(line, i))
                last_break = i + 1;
        }
        add(line.substr(begin));
    };
    const std::u32string signs = decode_utf8(text);
    for (std::size_t begin = 0; begin <= signs.size();) {
        const std::size_t end = std::min(signs.find(U'\n', begin), signs.size());
        add_wrapped(signs.substr(begin, end - begin));
        begin = end + 1;
    }
    return lines;
}

glm::dvec2 measure_text(const std::string& text, const TextStyle& style, double wrap) {
    double width = 0, top = 0;
    for (const TextLine& line : lay_out_text(text, style, wrap)) {
        width = std::max(width, line.width);
        top = line.top;
    }
    return {width, top + (ascent + descent) * style.size};
}

} // namespace duskcast
