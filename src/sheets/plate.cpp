#include "duskcast/sheets/plate.hpp"

#include "panels.hpp"

namespace duskcast {
std::vector<Plate> list_plates(const PlateSource& source) {
    std::vector<Plate> plates;
    for (std::size_t i = 0; i < source.stage.surfaces.size(); ++i) {
        const Surface& surface = source.stage.surfaces[i];
        if (is_wall_plate(surface) || is_body_plate(surface))
            plates.push_back({surface.id, static_cast<int>(i)});
    }
    plates.push_back({"ground", -1});
    return plates;
}

DrawnPage make_plate_page(const PlateSource& source, const Plate& plate, PictureFormat format) {
    if (plate.surface < 0)
        return draw_ground_sheet(make_ground_sheet(source), format);
    const Surface& surface = source.stage.surfaces[static_cast<std::size_t>(plate.surface)];
    if (is_wall_plate(surface))
        return draw_wall_sheet(make_wall_sheet(source, surface), format);
    return draw_body_sheet(make_body_sheet(source, surface), format);
}

std::string draw_plate(const PlateSource& source, const Plate& plate, PictureFormat format) {
    return make_plate_page(source, plate, format).bytes;
}

} // namespace duskcast
