#include "pictures.hpp"

#include <cmath>
#include <memory>

#include "duskcast/draw/chart.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/photometry/lamp_figures.hpp"
#include "duskcast/sheets/comparison.hpp"
#include "duskcast/sheets/contact_sheet.hpp"
#include "duskcast/sheets/lamp_chart.hpp"
#include "duskcast/sheets/load_picture.hpp"
#include "duskcast/sheets/plate.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast::test {
namespace {

/// A site with its light.
struct House {
    SiteFile file;
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    Report report;

    House(SiteFile site_file, bool is_bounced)
        : file(std::move(site_file)), stage(build_stage(file.site, file.folder())),
          lighting(trace_lighting(*stage, make_fixtures(file.site, file.folder()))) {
        if (is_bounced)
            add_bounce(set_up_bounce(*stage, lighting.fixtures, file.site.ambient), lighting);
        report = measure_report(file.site, *stage, lighting);
    }
    PlateSource source() const { return {file.site, *stage, lighting, report}; }
};

Fixture& find_fixture(Site& site, const std::string& id) {
    for (Fixture& fixture : site.fixtures)
        if (fixture.id == id)
            return fixture;
    throw std::runtime_error("no fixture " + id);
}

/// The house and what is drawn of it, each made once.
class Corner {
public:
    explicit Corner(const std::string& folder) : file_(folder + "/corner.site.json") {}

    const House& house() {
        if (!house_)
            house_ = std::make_unique<House>(read(), true);
        return *house_;
    }
    /// F1 and T1 with another tilt, direct light alone.
    House turned(double degrees) const {
        SiteFile file = read();
        find_fixture(file.site, "F1").tilt = radians_from_degrees(degrees);
        find_fixture(file.site, "T1").tilt = radians_from_degrees(degrees);
        return {std::move(file), false};
    }
    /// As many path lights and wall lights as crowd the words of a plate.
    House crowded() const {
        SiteFile file = read();
        file.site.units = LengthUnit::metre;
        file.site.light = LightUnit::lux;
        for (int i = 0; i < 14; ++i) {
            Fixture more = find_fixture(file.site, i % 2 == 0 ? "F1" : "F2");
            more.id = "M" + std::to_string(i + 1);
            more.along = 1 + 0.5 * i;
            file.site.fixtures.push_back(more);
        }
        return {std::move(file), false};
    }
    const ViewImage& view() {
        if (!view_) {
            const Site& site = house().file.site;
            view_ = std::make_unique<ViewImage>(trace_view(*house().stage, house().lighting.fixtures,
                                                           make_camera(site.views.front(), 480, 300),
                                                           site.ambient, house().lighting.bounced_at));
        }
        return *view_;
    }
    ViewLook look() { return {.ambient_lx = house().file.site.ambient, .marks = house().lighting.fixtures}; }
    /// With lamps of so many times their watts.
    LoadReport load(double times) const {
        SiteFile file = read();
        for (Lamp& lamp : file.site.lamps) {
            lamp.watts *= times;
            if (lamp.volt_amperes)
                *lamp.volt_amperes *= times;
        }
        return measure_load(file.site, file.folder(), {});
    }
    SiteFile read() const { return read_site_file(file_); }

private:
    std::string file_;
    std::unique_ptr<House> house_;
    std::unique_ptr<ViewImage> view_;
};

std::string draw_plate_of(const House& house, const std::string& id) {
    for (const Plate& plate : list_plates(house.source()))
        if (plate.id == id)
            return draw_plate(house.source(), plate, PictureFormat::png);
    throw std::runtime_error("no plate " + id);
}

std::string draw_comparison_of(const Corner& corner, const std::string& plate) {
    const House one = corner.turned(5), other = corner.turned(25);
    Comparison comparison;
    comparison.title = "Corner house \u2013 " + plate;
    comparison.detail = "F1 and T1 turned.";
    comparison.plate = plate;
    comparison.variants.push_back({one.source(), "tilt 5\u00b0", {"as drawn"}});
    comparison.variants.push_back({other.source(), "tilt 25\u00b0", {"leaning towards the target"}});
    comparison.answers = {"Leaning brings the light down."};
    return draw_comparison(comparison, PictureFormat::png);
}

std::string draw_contact_sheet_of(const Corner& corner) {
    std::unique_ptr<House> shown;
    ContactSheet sheet;
    sheet.title = "Corner house \u2013 front";
    sheet.detail = "Tilt of F1 and T1.";
    sheet.plate = "front";
    for (int index = 0; index < 6; ++index)
        sheet.titles.push_back("tilt " + std::to_string(6 * index) + "\u00b0");
    sheet.cell = [&](std::size_t index) {
        const double degrees = 6.0 * static_cast<double>(index);
        shown = std::make_unique<House>(corner.turned(degrees));
        return ContactCell{shown->source(), "a caption"};
    };
    sheet.best = 1;
    sheet.answers = {"Best at 6\u00b0."};
    return draw_contact_sheet(sheet, PictureFormat::png);
}

ChartSeries make_curve(const std::string& name, double peak, double width) {
    ChartSeries series{name, {}};
    for (int i = 0; i <= 30; ++i) {
        const double away = (i - 10) / width;
        series.points.push_back({static_cast<double>(i), peak / (1 + away * away)});
    }
    return series;
}

std::string draw_curves() {
    ChartPage page;
    page.title = "Curves";
    page.detail = "Invented figures over tilt.";
    page.answers = {"The narrow one is better where it is best.", "The wide one forgives."};
    for (const char* figure : {"Reach", "Coverage", "Spill"}) {
        Chart chart;
        chart.title = figure;
        chart.x.title = "tilt, degrees";
        chart.y.title = "ft";
        chart.series = {make_curve("narrow", 24, 5), make_curve("wide", 15, 14), make_curve("oval", 9, 30)};
        chart.series[1].points[20].y.reset();
        chart.marks = {{10, 24, "10\u00b0: 24 ft"}};
        chart.levels = {{20, "20-ft peak"}};
        page.charts.push_back(chart);
    }
    return draw_charts(page, PictureFormat::png);
}

std::string draw_heat_map() {
    HeatMap map;
    map.title = "Coverage";
    map.x = {"tilt, degrees", {"0", "5", "10", "15", "20"}};
    map.y = {"lamp", {"spot 4 W, 24\u00b0", "flood 5 W, 60\u00b0", "oval wash 3 W"}};
    for (int i = 0; i < 15; ++i)
        map.values.push_back(i == 7 ? std::nullopt : std::optional<double>(100 * std::sin(0.2 * i)));
    map.unit = "%";
    map.best = 8;
    const ChartPage page{"Heat map", "Invented figures.", {}, {"One is missing."}, {map}};
    return draw_charts(page, PictureFormat::png);
}

LampEntry make_entry(const Lamp& lamp, const SheetOptions& options) {
    LampDescription described{.id = lamp.id, .name = lamp.name, .watts = lamp.watts, .lens_diameter = 0.05};
    described.distribution = make_distribution(lamp.figures);
    return {described, make_lamp_sheet(described, options)};
}

std::string draw_lamps(const Corner& corner, std::size_t count) {
    const SheetOptions options{{1.5, 3, 6, 9}, {0.3, 0.4, 0.5}, radians_from_degrees(8), {5, 10, 20}};
    const SiteFile file = corner.read();
    std::vector<LampEntry> lamps;
    for (std::size_t i = 0; i < count; ++i)
        lamps.push_back(make_entry(file.site.lamps[i], options));
    return draw_lamp_chart(lamps, options, LengthUnit::foot, LightUnit::footcandle, PictureFormat::png);
}

} // namespace

std::vector<Picture> list_pictures(const std::string& folder) {
    const auto corner = std::make_shared<Corner>(folder);
    std::vector<Picture> pictures;
    const auto add = [&](const std::string& name, const Tolerance& tolerance,
                         std::function<std::string()> draw) {
        pictures.push_back({name, std::move(draw), tolerance});
    };
    add("wall-plate", plate_tolerance, [=] { return draw_plate_of(corner->house(), "front"); });
    add("projection-plate", plate_tolerance, [=] { return draw_plate_of(corner->house(), "front.bay"); });
    add("crown-plate", plate_tolerance, [=] { return draw_plate_of(corner->house(), "birch"); });
    add("ground-plate", plate_tolerance, [=] { return draw_plate_of(corner->house(), "ground"); });
    add("crowded-wall-plate", plate_tolerance, [=] { return draw_plate_of(corner->crowded(), "front"); });
    add("wall-comparison", plate_tolerance, [=] { return draw_comparison_of(*corner, "front"); });
    add("crown-comparison", plate_tolerance, [=] { return draw_comparison_of(*corner, "birch"); });
    add("contact-sheet", plate_tolerance, [=] { return draw_contact_sheet_of(*corner); });
    add("luminance-plate", view_tolerance,
        [=] { return draw_luminance_plate(corner->view(), corner->look(), "Corner house", "View walk."); });
    add("night-view", view_tolerance, [=] { return draw_night_picture(corner->view(), corner->look()); });
    pictures.back().is_halved = false;
    add("day-view", view_tolerance, [=] { return draw_day_picture(corner->view(), corner->look()); });
    pictures.back().is_halved = false;
    add("curves", drawn_tolerance, [] { return draw_curves(); });
    add("heat-map", drawn_tolerance, [] { return draw_heat_map(); });
    add("lamp-sheet", drawn_tolerance, [=] { return draw_lamps(*corner, 1); });
    add("lamps-together", drawn_tolerance, [=] { return draw_lamps(*corner, 4); });
    add("cable-plan", drawn_tolerance,
        [=] { return draw_cable_plan(corner->read().site, corner->load(1), PictureFormat::png); });
    add("one-line", drawn_tolerance,
        [=] { return draw_one_line(corner->read().site, corner->load(6), PictureFormat::png); });
    return pictures;
}

} // namespace duskcast::test
