#include "plate_picture.hpp"

#include "body_panel.hpp"
#include "captions.hpp"
#include "duskcast/base/problem.hpp"
#include "plan_panel.hpp"
#include "wall_panel.hpp"

namespace duskcast {
namespace {

constexpr double unseen_lx = 0.01; // a difference of that much shows on no scale

bool is_wanted_face(const PlateSource& source, const Surface& surface, int face) {
    const RunSegment& piece = surface.run[static_cast<std::size_t>(face)];
    for (const Fixture& fixture : source.site.fixtures)
        if (fixture.wall == surface.id && segment_at(surface.run, fixture.along).along == piece.along)
            return true;
    // A corner that a neighbour's lamp grazes is no picture.
    constexpr double least_share = 0.05;
    std::size_t all = 0, lit = 0;
    for (const std::int32_t sensor : face_of(surface, static_cast<std::size_t>(face)).grid.sensor)
        if (sensor >= 0) {
            ++all;
            lit += source.report.total_lx[static_cast<std::size_t>(sensor)] >= scale_low_lx ? 1 : 0;
        }
    return static_cast<double>(lit) > least_share * static_cast<double>(all);
}

/// A plate a face, dark ones too.
std::vector<Plate> list_faces(const Surface& surface, std::size_t index) {
    std::vector<Plate> faces;
    for (int face = 0; face < static_cast<int>(surface.run.size()); ++face)
        faces.push_back({surface.id + "." + name_side(surface, face), static_cast<int>(index), face});
    return faces;
}

bool is_closed_house(const PlateSource& source, const Surface& surface) {
    const Wall* wall = surface.kind == SurfaceKind::wall ? find_wall(source.site, surface.part_of) : nullptr;
    return wall && wall->closed && is_wall_plate(surface);
}

/// A plate a face; those dark all but a little are left out, unless all are.
void add_faces(const PlateSource& source, std::size_t index, std::vector<Plate>& plates) {
    const Surface& surface = source.stage.surfaces[index];
    const std::vector<Plate> all = list_faces(surface, index);
    std::vector<Plate> wanted;
    for (const Plate& plate : all)
        if (is_wanted_face(source, surface, plate.face))
            wanted.push_back(plate);
    const std::vector<Plate>& kept = wanted.empty() ? all : wanted;
    plates.insert(plates.end(), kept.begin(), kept.end());
}

} // namespace

bool is_wall_plate(const Surface& surface) {
    return surface.is_upright() && surface.has_grid() &&
           (surface.kind == SurfaceKind::wall || surface.kind == SurfaceKind::projection);
}

bool is_body_plate(const Surface& surface) {
    return surface.kind == SurfaceKind::tree || surface.kind == SurfaceKind::shrub ||
           surface.kind == SurfaceKind::mesh || surface.kind == SurfaceKind::steps ||
           surface.kind == SurfaceKind::fountain;
}

PlatePicture::PlatePicture(const PlateSource& source, const Plate& plate, int pixels, std::size_t sides) {
    if (plate.surface < 0) {
        ground_.emplace(make_ground_sheet(source));
    } else {
        const Surface& surface = source.stage.surfaces[static_cast<std::size_t>(plate.surface)];
        if (is_wall_plate(surface))
            wall_.emplace(make_wall_sheet(source, surface, plate.face));
        else
            body_.emplace(make_body_sheet(source, surface, pixels, sides));
    }
    panels_ = make_panels(scale_low_lx);
}

std::vector<std::unique_ptr<PlatePanel>> PlatePicture::make_panels(double least_lx) const {
    std::vector<std::unique_ptr<PlatePanel>> panels;
    if (ground_)
        panels.push_back(std::make_unique<PlanPanel>(*ground_, least_lx));
    if (wall_)
        panels.push_back(std::make_unique<WallPanel>(*wall_, least_lx));
    if (body_)
        for (const Elevation& elevation : body_->elevations)
            panels.push_back(std::make_unique<BodyPanel>(*body_, elevation));
    return panels;
}

std::vector<std::unique_ptr<PlatePanel>> PlatePicture::make_exact_panels() const {
    return make_panels(unseen_lx);
}

const PlateText& PlatePicture::text() const {
    return wall_ ? wall_->text : body_ ? body_->text : ground_->text;
}

void PlatePicture::keep_level(double level_lx) {
    (wall_ ? wall_->text : body_ ? body_->text : ground_->text).levels_lx = {level_lx};
}

const std::vector<RulerMark>& PlatePicture::heights() const {
    static const std::vector<RulerMark> none;
    return wall_ ? wall_->heights : body_ ? body_->heights : none;
}

std::vector<Plate> list_plates(const PlateSource& source) {
    std::vector<Plate> plates;
    for (std::size_t i = 0; i < source.stage.surfaces.size(); ++i) {
        const Surface& surface = source.stage.surfaces[i];
        if (is_closed_house(source, surface))
            add_faces(source, i, plates);
        else if (is_wall_plate(surface) || is_body_plate(surface))
            plates.push_back({surface.id, static_cast<int>(i)});
    }
    plates.push_back({"ground", -1});
    return plates;
}

std::vector<Plate> list_photo_plates(const PlateSource& source) {
    std::vector<Plate> plates;
    if (source.photos == nullptr)
        return plates;
    for (Plate plate : list_plates(source)) {
        if (plate.surface < 0)
            continue;
        const Surface& surface = source.stage.surfaces[static_cast<std::size_t>(plate.surface)];
        if (!is_wall_plate(surface))
            continue;
        const bool is_face = plate.face >= 0;
        if (!WallPhoto(source.stage,
                       is_face ? face_of(surface, static_cast<std::size_t>(plate.face)) : surface,
                       *source.photos)
                 .is_any())
            continue;
        plate.id += ".photo";
        plates.push_back(std::move(plate));
    }
    return plates;
}

DrawnPage make_plate_page(const PlateSource& source, const Plate& plate, PictureFormat format) {
    if (plate.surface < 0)
        return draw_ground_sheet(make_ground_sheet(source), format);
    const Surface& surface = source.stage.surfaces[static_cast<std::size_t>(plate.surface)];
    if (is_wall_plate(surface))
        return draw_wall_sheet(make_wall_sheet(source, surface, plate.face), format);
    return draw_body_sheet(make_body_sheet(source, surface), format);
}

std::string draw_plate(const PlateSource& source, const Plate& plate, PictureFormat format) {
    return make_plate_page(source, plate, format).bytes;
}

Plate find_plate(const PlateSource& source, const std::string& id) {
    std::vector<std::string> ids;
    for (const Plate& plate : list_plates(source)) {
        if (plate.id == id)
            return plate;
        ids.push_back(plate.id);
    }
    for (std::size_t i = 0; i < source.stage.surfaces.size(); ++i) {
        const Surface& surface = source.stage.surfaces[i];
        if (surface.id == id && is_wall_plate(surface)) // a closed wall unfolded
            return {id, static_cast<int>(i)};
        if (is_closed_house(source, surface)) // a face that is dark here, and lit in another variant
            for (const Plate& plate : list_faces(surface, i))
                if (plate.id == id)
                    return plate;
    }
    const std::string nearest = find_nearest_word(id, ids);
    throw InputError({Severity::error,
                      {},
                      "there is no plate of \"" + id + "\"",
                      nearest.empty() ? "choose one of the site's walls, plants and bodies, or \"ground\""
                                      : "did you mean \"" + nearest + "\"?"});
}

} // namespace duskcast
