// Prints what the engine computes for a site, bit by bit, to compare builds of it: a name, how many values,
// and the doubles themselves; then the next name.
// print_figures SITE FILE [all]: the light; with `all` also small pictures of its views and the load of its
// network.

#include <cstdio>
#include <cstring>
#include <fmt/format.h>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/measure/report.hpp"
#include "duskcast/power/load.hpp"
#include "duskcast/view/view_trace.hpp"

using namespace duskcast;

namespace {

class FigureFile {
public:
    explicit FigureFile(const char* name) : stream_(name, std::ios::binary) {}

    void write(std::string_view name, const std::vector<double>& values) {
        stream_ << name << ' ' << values.size() << '\n';
        stream_.write(reinterpret_cast<const char*>(values.data()),
                      static_cast<std::streamsize>(values.size() * sizeof(double)));
    }
    bool is_good() {
        stream_.flush();
        return stream_.good();
    }

private:
    std::ofstream stream_;
};

void add(const Stats& stats, std::vector<double>& figures) {
    figures.insert(figures.end(), {stats.area, static_cast<double>(stats.sensors), stats.min_lx,
                                   stats.mean_lx, stats.max_lx, stats.mean_to_min.value_or(-1)});
    for (const LevelShare& level : stats.coverage)
        figures.push_back(level.share);
}

void write_report(const Report& report, FigureFile& file) {
    std::vector<double> surfaces, reaches, trees;
    for (const SurfaceReport& surface : report.surfaces) {
        add(surface.stats, surfaces);
        add(surface.direct, surfaces);
    }
    for (const FixtureReach& fixture : report.reaches)
        for (const std::vector<Reach>& reach : {fixture.levels, fixture.together})
            for (const Reach& one : reach)
                reaches.push_back(one.height.value_or(-1));
    for (const TreeReport& tree : report.trees)
        for (const TreeBand& band : tree.bands)
            trees.push_back(band.mean_lx);
    const Spill& spill = report.spill;
    file.write("surfaces", surfaces);
    file.write("reach", reaches);
    file.write("trees", trees);
    file.write("spill", {spill.emitted_lm, spill.target_lm, spill.other_lm, spill.ground_lm, spill.sky_lm});
}

void write_views(const Site& site, const Stage& stage, const Lighting& lighting, FigureFile& file) {
    std::vector<double> luminance;
    for (const View& view : site.views) {
        const ViewImage image = trace_view(stage, lighting.fixtures, make_camera(view, 120, 75), site.ambient,
                                           lighting.bounced_at);
        for (const glm::vec3& pixel : image.luminance)
            for (int channel = 0; channel < 3; ++channel)
                luminance.push_back(static_cast<double>(pixel[channel]));
    }
    file.write("luminance", luminance);
}

void write_load(const SiteFile& site, FigureFile& file) {
    std::vector<double> load;
    for (const FixtureLoad& fixture : measure_load(site.site, site.folder(), {}).fixtures)
        load.insert(load.end(), {fixture.volts, fixture.amps, fixture.watts});
    file.write("load", load);
}

} // namespace

int main(int count, char** words) {
    if (count < 3) {
        std::fputs("usage: print_figures SITE FILE [all]\n", stderr);
        return 2;
    }
    try {
        const SiteFile site = read_site_file(words[1]);
        const auto stage = build_stage(site.site, site.folder());
        Lighting lighting = trace_lighting(*stage, make_fixtures(site.site, site.folder()));
        add_bounce(set_up_bounce(*stage, lighting.fixtures, site.site.ambient), lighting);
        FigureFile file(words[2]);
        file.write("direct", lighting.direct_lx);
        file.write("bounced", lighting.bounced_lx);
        write_report(measure_report(site.site, *stage, lighting), file);
        if (count > 3) {
            write_views(site.site, *stage, lighting, file);
            if (site.site.network)
                write_load(site, file);
        }
        return file.is_good() ? 0 : 1;
    } catch (const InputError& error) {
        for (const Problem& problem : error.problems())
            fmt::print(stderr, "{}\n", problem.what);
        return 1;
    }
}
