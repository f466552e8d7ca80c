#pragma once
// A look at the elements of an XML document, which must be well-formed (XML 1.0, sections 2.1 and 3.1).

#include <cctype>
#include <doctest/doctest.h>
#include <map>
#include <string>
#include <vector>

namespace duskcast::test {

struct Element {
    std::string name;
    std::map<std::string, std::string> attributes;
};
using Elements = std::vector<Element>;

/// All elements in the order they begin. Every one ends, within the one it began in; attributes are quoted,
/// each once; no bare "<" or "&" stands in text or values.
inline Elements read_elements(const std::string& xml) {
    Elements elements;
    std::vector<std::string> open;
    std::size_t at = 0;
    const auto check_text = [](const std::string& text) {
        for (std::size_t i = text.find('&'); i != std::string::npos; i = text.find('&', i + 1)) {
            const std::size_t end = text.find(';', i);
            REQUIRE((end != std::string::npos && end > i + 1 && end < i + 10));
        }
        REQUIRE(text.find('<') == std::string::npos);
    };
    while (at < xml.size()) {
        const std::size_t next = std::min(xml.find('<', at), xml.size());
        check_text(xml.substr(at, next - at));
        if (next == xml.size())
            break;
        const std::size_t end = xml.find('>', next);
        REQUIRE(end != std::string::npos);
        std::string tag = xml.substr(next + 1, end - next - 1);
        at = end + 1;
        if (tag.starts_with("?") || tag.starts_with("!"))
            continue;
        if (tag.starts_with("/")) {
            REQUIRE(!open.empty());
            REQUIRE(tag.substr(1) == open.back());
            open.pop_back();
            continue;
        }
        const bool is_empty = tag.ends_with("/");
        if (is_empty)
            tag.pop_back();
        REQUIRE((elements.empty() || !open.empty())); // one root
        Element element;
        std::size_t i = 0;
        while (i < tag.size() && !std::isspace(static_cast<unsigned char>(tag[i])))
            element.name += tag[i++];
        while ((i = tag.find_first_not_of(" \n\t\r", i)) != std::string::npos) {
            const std::size_t equals = tag.find('=', i);
            REQUIRE(equals != std::string::npos);
            const char quote = tag.at(equals + 1);
            REQUIRE((quote == '"' || quote == '\''));
            const std::size_t close = tag.find(quote, equals + 2);
            REQUIRE(close != std::string::npos);
            const std::string value = tag.substr(equals + 2, close - equals - 2);
            check_text(value);
            REQUIRE(element.attributes.emplace(tag.substr(i, equals - i), value).second);
            i = close + 1;
        }
        if (!is_empty)
            open.push_back(element.name);
        elements.push_back(std::move(element));
    }
    REQUIRE(open.empty());
    return elements;
}

} // namespace duskcast::test
