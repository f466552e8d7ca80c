#pragma once
// The parts of a contact sheet.

#include "duskcast/draw/page.hpp"
#include "duskcast/sheets/contact_sheet.hpp"

namespace duskcast {

/// Where the cells stand: in as many columns as let them be largest.
class ContactGrid {
public:
    /// `size`: of what each cell shows, metres. `title_lines`: of the words above it.
    ContactGrid(std::size_t count, const glm::dvec2& size, int title_lines = 1);

    double scale = 0; ///< pixels a metre
    int title_lines = 1;
    std::size_t columns() const { return columns_; }
    double height() const;
    Box cell(std::size_t index, double top) const;

private:
    std::size_t count_;
    std::size_t columns_ = 1;
    glm::dvec2 cell_{0};
    double gap_ = 0;
};

DrawnPage make_contact_sheet(const ContactSheet& sheet, PictureFormat format);

} // namespace duskcast
