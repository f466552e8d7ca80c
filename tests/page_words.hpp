#pragma once
// The words of a finished page and where they stand.

#include <algorithm>
#include <doctest/doctest.h>
#include <string>

#include "duskcast/draw/page.hpp"

namespace duskcast::test {

inline int count_words(const DrawnPage& page, const std::string& text) {
    return static_cast<int>(std::count_if(page.words.begin(), page.words.end(),
                                          [&](const Canvas::Words& words) { return words.text == text; }));
}

inline const Box& find_words(const DrawnPage& page, const std::string& text) {
    const auto found = std::find_if(page.words.begin(), page.words.end(),
                                    [&](const Canvas::Words& words) { return words.text == text; });
    REQUIRE_MESSAGE(found != page.words.end(), text);
    return found->box;
}

/// All words are on the page and none lies on another. Letters fill their boxes by two thirds of the height:
/// boxes may touch by `slack` pixels.
inline void check_apart(const DrawnPage& page, double slack = 0) {
    const Box paper{0, 0, page_width, page.height};
    for (std::size_t i = 0; i < page.words.size(); ++i) {
        Box box = page.words[i].box;
        CHECK_MESSAGE(paper.contains(box), page.words[i].text);
        box.top += slack;
        box.bottom -= slack;
        for (std::size_t j = 0; j < i; ++j)
            if (box.overlaps(page.words[j].box))
                FAIL_CHECK(page.words[i].text << " lies on " << page.words[j].text);
    }
}

} // namespace duskcast::test
