#pragma once
// What somebody reads on a page: rows of its tables, text without tags.

#include <string>
#include <utility>
#include <vector>

namespace duskcast::test {

/// Text between tags, which part words as line ends do; the five references of escape_html as characters.
inline std::string text_of_html(const std::string& html) {
    std::string text;
    bool is_tag = false;
    for (const char c : html) {
        if (c == '<')
            is_tag = true;
        const bool is_gap = is_tag ? c == '>' : c == ' ' || c == '\n';
        if (is_gap && !text.empty() && text.back() != ' ')
            text += ' ';
        else if (!is_tag && !is_gap)
            text += c;
        if (c == '>')
            is_tag = false;
    }
    const std::vector<std::pair<std::string, std::string>> references{
        {"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&#39;", "'"}, {"&amp;", "&"}};
    for (const auto& [reference, letter] : references)
        for (std::size_t at = text.find(reference); at != std::string::npos;
             at = text.find(reference, at + 1))
            text.replace(at, reference.size(), letter);
    while (!text.empty() && text.back() == ' ')
        text.pop_back();
    return text;
}

/// What stands between two marks, at each place where it does.
inline std::vector<std::string> list_between(const std::string& text, const std::string& from,
                                             const std::string& to) {
    std::vector<std::string> found;
    for (std::size_t at = text.find(from); at != std::string::npos;) {
        const std::size_t begin = at + from.size(), end = text.find(to, begin);
        if (end == std::string::npos)
            break;
        found.push_back(text.substr(begin, end - begin));
        at = text.find(from, end);
    }
    return found;
}

/// The cells of a table's row that begins with that heading; empty: there is no such row.
inline std::vector<std::string> cells_of(const std::string& page, const std::string& heading) {
    const std::vector<std::string> rows = list_between(page, ">" + heading + "</th>", "</tr>");
    std::vector<std::string> cells;
    if (rows.size() == 1)
        for (const std::string& cell : list_between(rows[0], "<td", "</td>"))
            cells.push_back(text_of_html(cell.substr(cell.find('>') + 1)));
    return cells;
}

} // namespace duskcast::test
