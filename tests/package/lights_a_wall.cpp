#include <cstdio>
#include <duskcast/light/lighting.hpp>

int main(int, char** arguments) {
    const duskcast::SiteFile file = duskcast::read_site_file(arguments[1]);
    const auto stage = duskcast::build_stage(file.site, file.folder());
    const auto lighting = duskcast::trace_lighting(*stage, duskcast::make_fixtures(file.site, file.folder()));
    const duskcast::Surface& wall = stage->surfaces.at(0);
    double lumens = 0;
    for (std::size_t i = wall.first; i < wall.first + wall.count; ++i)
        lumens += lighting.direct_lx[i] * stage->sensors.area[i];
    std::printf("%.1f of %.1f lumens fall on %s\n", lumens, lighting.fixtures.at(0).lumens, wall.id.c_str());
}
