#pragma once
// A table of figures, one row a variant.

#include <string>
#include <vector>

#include "duskcast/study/figures.hpp"

namespace duskcast {

struct NamedFigures {
    std::string name;
    const Figures* figures = nullptr;
};

/// `title` heads the names, which take `title_width` letters.
std::string print_figures_table(const Site& site, const std::string& title, std::size_t title_width,
                                const std::vector<Quantity>& quantities, const Focus& focus,
                                const std::vector<NamedFigures>& rows);

} // namespace duskcast
