#pragma once
// One picture of every kind that the program draws, of an invented corner house.

#include <functional>
#include <string>
#include <vector>

#include "difference.hpp"

namespace duskcast::test {

struct Picture {
    std::string name;
    std::function<std::string()> draw; ///< bytes of a PNG
    Tolerance tolerance;
    bool is_halved = true; ///< pages are kept at half their size
};

/// `folder`: that of corner.site.json. The house is lit when the first picture that shows its light is drawn.
std::vector<Picture> list_pictures(const std::string& folder);

} // namespace duskcast::test
