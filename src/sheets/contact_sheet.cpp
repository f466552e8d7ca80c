#include "duskcast/sheets/contact_sheet.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "contact_sheet.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/draw/text.hpp"
#include "plate_picture.hpp"

namespace duskcast {
namespace {

constexpr double sheet_room = page_width - 2 * page_margin;
constexpr double cell_gap = 26;
constexpr double line_height = 19; // of title and caption
constexpr int most_title_lines = 2;
constexpr double least_width = 126; // of a cell, for its words
constexpr double most_width = 470;
constexpr double most_rows_height = 1500; // of all rows
constexpr double nearly = 0.94;           // of the largest scale; more columns are worth so much
constexpr double least_full_width = 260;  // of a cell that shows the lines of all levels
constexpr int cell_body_pixels = 240;
const TextStyle title_style{.size = 13.5, .is_bold = true, .ink = text_ink};
const TextStyle caption_style{.size = 13, .ink = quiet_ink};

double words_height(int title_lines) {
    return (title_lines + 1) * line_height + 10;
}

/// "Lines at 0.5, 1 and 2 fc."
std::string name_lines(const PlateText& text) {
    std::string names;
    for (std::size_t i = 0; i < text.levels_lx.size(); ++i)
        names += (i == 0                           ? ""
                  : i + 1 == text.levels_lx.size() ? " and "
                                                   : ", ") +
                 print_number(text.levels_lx[i] / lux_per(text.light));
    return names.empty() ? ""
                         : (text.levels_lx.size() > 1 ? "Lines at " : "The line is ") + names + " " +
                               std::string(name_of(text.light)) + ".";
}

void draw_cell(Canvas& canvas, const std::string& title, const ContactCell& cell, const PlatePanel& panel,
               const Box& box, const ContactGrid& grid, bool is_best) {
    PlateFrame frame = panel.extent();
    const double height = box.height() - words_height(grid.title_lines);
    // Something larger than the first cell's, such as a tree some years on, is shrunk to the cell.
    frame.scale = std::min({grid.scale, box.width() / frame.width(), height / frame.height()});
    frame.left = box.left;
    frame.bottom = box.bottom - line_height - 6;
    panel.draw(canvas, frame, PanelDetail::tiny);
    double y = box.top + line_height / 2;
    for (const std::string& line :
         split_lines(break_words(keep_units(title), title_style, box.width(), grid.title_lines))) {
        canvas.text(line, {box.left, y}, Anchor::left, title_style);
        y += line_height;
    }
    canvas.text(cut_text(cell.caption, caption_style, box.width()), {box.left, box.bottom - line_height / 2},
                Anchor::left, caption_style);
    if (is_best) {
        constexpr double air = 8;
        canvas.line({{box.left - air, box.top - air},
                     {box.right + air, box.top - air},
                     {box.right + air, box.bottom + air},
                     {box.left - air, box.bottom + air}},
                    true, 2.6, text_ink);
    }
}

} // namespace

ContactGrid::ContactGrid(std::size_t count, const glm::dvec2& size, int lines)
    : title_lines(lines), count_(count) {
    const double words = words_height(lines);
    const auto fit = [&](std::size_t columns) {
        const double gaps = cell_gap * (static_cast<double>(columns) - 1);
        const double width = std::min((sheet_room - gaps) / static_cast<double>(columns), most_width);
        const auto rows = static_cast<double>((count + columns - 1) / columns);
        const double height = (most_rows_height - rows * (words + cell_gap)) / rows;
        return width < least_width ? 0 : std::min(width / size.x, height / size.y);
    };
    for (std::size_t columns = 1; columns <= count; ++columns)
        scale = std::max(scale, fit(columns));
    for (std::size_t columns = 1; columns <= count; ++columns)
        if (fit(columns) > nearly * scale)
            columns_ = columns;
    scale = fit(columns_);
    // Cells stay wide enough for their words where the picture is slim.
    cell_ = {std::max(scale * size.x, least_width), scale * size.y + words};
    // Cells that have sheet_room to spare stand farther apart.
    const double spare = sheet_room - static_cast<double>(columns_) * cell_.x;
    gap_ = columns_ > 1 ? std::min(spare / (static_cast<double>(columns_) - 1), 2 * cell_gap) : 0;
}

double ContactGrid::height() const {
    const auto rows = static_cast<double>((count_ + columns_ - 1) / columns_);
    return rows * cell_.y + (rows - 1) * cell_gap;
}

Box ContactGrid::cell(std::size_t index, double top) const {
    const double left = page_margin + static_cast<double>(index % columns_) * (cell_.x + gap_);
    const double upper = top + static_cast<double>(index / columns_) * (cell_.y + cell_gap);
    return {left, upper, left + cell_.x, upper + cell_.y};
}

DrawnPage make_contact_sheet(const ContactSheet& sheet, PictureFormat format) {
    const std::size_t count = sheet.titles.size();
    if (count == 0)
        throw InputError({Severity::error, {}, "no variant to show", "choose one at least"});
    if (count > most_contact_cells)
        throw InputError({Severity::error,
                          {},
                          fmt::format("{} variants do not fit on one sheet", count),
                          fmt::format("choose {} at most, or coarser steps", most_contact_cells)});
    std::optional<ContactCell> cell(sheet.cell(0));
    std::optional<Canvas> canvas;
    std::optional<ContactGrid> grid;
    std::optional<Foot> foot;
    const double top = heading_height + 12;
    double height = 0;
    for (std::size_t i = 0; i < count; ++i) {
        if (i > 0)
            cell.emplace(sheet.cell(i));
        PlatePicture picture(cell->source, find_plate(cell->source, sheet.plate), cell_body_pixels, 1);
        const PlatePanel& panel = *picture.panels().front();
        if (i == 0) {
            const PlateFrame extent = panel.extent();
            const glm::dvec2 size(extent.width(), extent.height());
            grid.emplace(count, size);
            const double room = grid->cell(0, 0).width();
            if (std::any_of(sheet.titles.begin(), sheet.titles.end(), [&](const std::string& title) {
                    return measure_text(title, title_style).x > room;
                }))
                grid.emplace(count, size, most_title_lines); // what comes last tells cells apart
        }
        if (grid->cell(0, 0).width() < least_full_width)
            picture.keep_level(
                find_main_level(cell->source.site, cell->source.report.levels_lx, sheet.plate));
        if (i == 0) {
            PlateText text = picture.text();
            text.title = sheet.title;
            text.detail = sheet.detail + (sheet.detail.empty() ? "" : " ") +
                          (picture.is_body() ? "Seen " + panel.side() + "." : name_lines(text));
            text.answers = sheet.answers;
            foot.emplace(text.answers);
            height = std::ceil(top + grid->height() + 34 + foot->height());
            canvas.emplace(page_width, height, format);
            draw_heading(*canvas, text);
        }
        draw_cell(*canvas, sheet.titles[i], *cell, panel, grid->cell(i, top), *grid, sheet.best == i);
    }
    foot->draw(*canvas, top + grid->height() + 34);
    return {canvas->finish(), height, canvas->words()};
}

std::string draw_contact_sheet(const ContactSheet& sheet, PictureFormat format) {
    return make_contact_sheet(sheet, format).bytes;
}

} // namespace duskcast
