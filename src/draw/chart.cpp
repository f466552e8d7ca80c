#include "duskcast/draw/chart.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "chart_plot.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/draw/page.hpp"
#include "heat_map.hpp"

namespace duskcast {
namespace {

constexpr double page_room = page_width - 2 * page_margin;
constexpr double chart_gap = 44;
constexpr double row_gap = 26;
constexpr std::size_t most_coarse_cells = 14; // in a row of a heat map a third of the page wide

InputError make_error(const std::string& what, const std::string& remedy) {
    return InputError({Severity::error, {}, what, remedy});
}

void check(const ChartPage& page) {
    const std::size_t count = page.charts.size() + page.heat_maps.size();
    if (count == 0)
        throw make_error("no chart to draw", "choose one figure at least");
    if (count > most_page_charts)
        throw make_error(fmt::format("{} charts do not fit on one page", count),
                         fmt::format("choose {} figures at most", most_page_charts));
    if (const std::size_t series = list_series(page.charts).size(); series > most_chart_series)
        throw make_error(fmt::format("{} curves cannot be told apart", series),
                         fmt::format("choose {} at most", most_chart_series));
    for (const HeatMap& map : page.heat_maps)
        if (map.x.cells.empty() || map.y.cells.empty())
            throw make_error("the heat map \"" + map.title + "\" has no cells", "give it one at least");
}

/// Columns and the height of a row.
struct Grid {
    std::size_t columns = 1;
    double height = 600;

    explicit Grid(const ChartPage& page) {
        const std::size_t count = page.charts.size() + page.heat_maps.size();
        const bool is_fine =
            std::any_of(page.heat_maps.begin(), page.heat_maps.end(),
                        [](const HeatMap& map) { return map.x.cells.size() > most_coarse_cells; });
        columns = count == 1 ? 1 : count == 2 || count == 4 || is_fine ? 2 : 3;
        height = columns == 1 ? 600 : columns == 2 ? 440 : 400;
    }
    double width() const {
        const double gaps = chart_gap * (static_cast<double>(columns) - 1);
        return (page_room - gaps) / static_cast<double>(columns);
    }
    Box box(std::size_t i, double top) const {
        const double left = page_margin + static_cast<double>(i % columns) * (width() + chart_gap);
        const double upper = top + static_cast<double>(i / columns) * (height + row_gap);
        return {left, upper, left + width(), upper + height};
    }
};

} // namespace

DrawnPage make_chart_page(const ChartPage& page, PictureFormat format) {
    check(page);
    const std::vector<std::string> names = list_series(page.charts);
    const Grid grid(page);
    const Foot foot(page.answers);

    const double head = measure_title(page.detail, page_room) + 18;
    const std::size_t count = page.charts.size() + page.heat_maps.size();
    const bool may_have_end_names = count == 1;
    // Where the curves carry their names at their ends no legend is needed.
    const bool has_end_names = may_have_end_names && !page.charts.empty() &&
                               ChartPlot(page.charts.front(), names, grid.box(0, head), true).has_end_names();
    const bool has_legend = names.size() > 1 && !has_end_names;
    const Legend legend(has_legend ? names : std::vector<std::string>{}, page_room);
    const double top = head + legend.height() + (has_legend ? 14 : 0);
    const double foot_top = grid.box(count - 1, top).bottom + row_gap;
    const double height = std::ceil(foot_top + foot.height());

    Canvas canvas(page_width, height, format);
    draw_title(canvas, page.title, page.detail, page_room);
    legend.draw(canvas, {page_margin, head});
    for (std::size_t i = 0; i < page.charts.size(); ++i)
        ChartPlot(page.charts[i], names, grid.box(i, top), may_have_end_names).draw(canvas);
    for (std::size_t i = 0; i < page.heat_maps.size(); ++i)
        HeatPlot(page.heat_maps[i], grid.box(page.charts.size() + i, top)).draw(canvas);
    foot.draw(canvas, foot_top);
    return {canvas.finish(), height, canvas.words()};
}

std::string draw_charts(const ChartPage& page, PictureFormat format) {
    return make_chart_page(page, format).bytes;
}

} // namespace duskcast
