// The stage for drawing, and what the eye sees of it.

#include <algorithm>
#include <array>
#include <cmath>

#include "answers.hpp"
#include "duskcast/app/face_pictures.hpp"
#include "duskcast/app/stage_mesh.hpp"
#include "duskcast/sheets/fall_words.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "duskcast/sheets/view_words.hpp"
#include "duskcast/site/dormer_plan.hpp"
#include "duskcast/site/fountain_plan.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/steps_plan.hpp"
#include "duskcast/site/terraces.hpp"
#include "duskcast/view/fixture_bodies.hpp"

namespace duskcast {

const char* outline_word(OutlineShape::Role role) {
    switch (role) {
    case OutlineShape::Role::edge:
        return "edge";
    case OutlineShape::Role::gable:
        return "gable";
    case OutlineShape::Role::opening:
        return "opening";
    case OutlineShape::Role::projection:
        return "projection";
    case OutlineShape::Role::corner:
        return "corner";
    case OutlineShape::Role::area:
        return "area";
    }
    return "edge";
}

std::vector<std::uint8_t> print_rgba(const Raster& raster) {
    std::vector<std::uint8_t> rgba;
    rgba.reserve(4 * raster.colour.size());
    for (const Colour& pixel : raster.colour) {
        for (const double channel : pixel)
            rgba.push_back(static_cast<std::uint8_t>(std::lround(255 * std::clamp(channel, 0.0, 1.0))));
        rgba.push_back(255);
    }
    return rgba;
}

namespace {

Json print_surface(const Surface& surface, AnswerMaker& maker) {
    Json grid = nullptr;
    if (surface.has_grid())
        grid = json_object({{"u0", surface.grid.u0},
                            {"v0", surface.grid.v0},
                            {"step", surface.grid.step},
                            {"columns", surface.grid.columns},
                            {"rows", surface.grid.rows},
                            {"cells", maker.add(surface.grid.sensor)}});
    Json outline = Json::array();
    for (const OutlineShape& shape : surface.outline)
        outline.push_back(json_object({{"role", outline_word(shape.role)},
                                       {"id", shape.id},
                                       {"points", points(shape.points)},
                                       {"is_closed", shape.is_closed}}));
    Json run = Json::array();
    for (const RunSegment& segment : surface.run)
        run.push_back(json_object({{"start", point(segment.start)},
                                   {"direction", point(segment.direction)},
                                   {"outward", point(segment.outward)},
                                   {"along", segment.along},
                                   {"length", segment.length}}));
    return json_object({{"id", surface.id},
                        {"kind", duskcast::name_of(surface.kind)},
                        {"part_of", surface.part_of},
                        {"first", surface.first},
                        {"count", surface.count},
                        {"area_m2", surface.area},
                        {"grid", std::move(grid)},
                        {"outline", std::move(outline)},
                        {"run", std::move(run)},
                        {"foot", surface.foot}});
}

/// A roof as the plan shows it: its edges, and what stands on it.
Json print_roof(const Site& site, const Roof& roof) {
    const RoofPlan plan = plan_roof(site, roof);
    Json chimneys = Json::array(), dormers = Json::array();
    const glm::dvec2 front = glm::normalize(plan.sides[0].end - plan.sides[0].start);
    for (const Chimney& chimney : roof.chimneys) {
        const glm::dvec2 across = chimney.width / 2 * front,
                         inwards = chimney.depth / 2 * glm::dvec2(-front.y, front.x);
        chimneys.push_back(json_object(
            {{"id", chimney.id},
             {"outline", points({chimney.at - across - inwards, chimney.at + across - inwards,
                                 chimney.at + across + inwards, chimney.at - across + inwards})}}));
    }
    for (const Dormer& dormer : roof.dormers) {
        const DormerPlan lies = plan_dormer(plan, dormer);
        const glm::dvec2 along = glm::normalize(lies.side->end - lies.side->start),
                         inwards(-along.y, along.x);
        const double back = std::isfinite(lies.back) ? lies.back : lies.face + (lies.right - lies.left);
        const auto at = [&](double x, double y) { return lies.side->start + x * along + y * inwards; };
        dormers.push_back(
            json_object({{"id", dormer.id},
                         {"outline", points({at(lies.left, lies.face), at(lies.right, lies.face),
                                             at(lies.right, back), at(lies.left, back)})}}));
    }
    return json_object({{"id", roof.id},
                        {"outline", points(plan.outline(true))},
                        {"chimneys", std::move(chimneys)},
                        {"dormers", std::move(dormers)}});
}

Json print_plan(const Site& site) {
    Json walls = Json::array(), projections = Json::array(), areas = Json::array(), trees = Json::array(),
         roofs = Json::array(), steps = Json::array(), fountains = Json::array(), lanterns = Json::array(),
         shrubs = Json::array(), cables = Json::array(), falls = Json::array(), transformers = Json::array(),
         hubs = Json::array();
    for (const Wall& wall : site.walls) {
        walls.push_back(
            json_object({{"id", wall.id}, {"outline", points(wall.path)}, {"is_closed", wall.closed}}));
        for (const Projection& projection : wall.projections)
            projections.push_back(json_object(
                {{"id", wall.id + "." + projection.id}, {"outline", points(outline_of(wall, projection))}}));
    }
    for (const Steps& flight : site.steps) {
        Json treads = Json::array();
        for (const Tread& tread : plan_steps(site, flight).treads)
            treads.push_back(points(tread.outline));
        steps.push_back(json_object({{"id", flight.id}, {"treads", std::move(treads)}}));
    }
    for (const Roof& roof : site.roofs)
        roofs.push_back(print_roof(site, roof));
    for (const Fountain& fountain : site.fountains) {
        Json rims = Json::array();
        for (const double radius : plan_fountain(site, fountain).rims)
            rims.push_back(points(circle_round(fountain.at, radius)));
        fountains.push_back(json_object({{"id", fountain.id}, {"rims", std::move(rims)}}));
    }
    for (const Lantern& lantern : site.lanterns)
        lanterns.push_back(json_object({{"id", lantern.id},
                                        {"at", point(glm::dvec2(place_lantern(site, lantern).position))},
                                        {"width", lantern.width}}));
    for (const GroundArea& area : site.ground.areas)
        areas.push_back(
            json_object({{"id", area.id}, {"kind", name_of(area.kind)}, {"outline", points(area.outline)}}));
    for (const GroundArea& area : site.ground.areas)
        if (const std::optional<FallLine> line = find_fall_line(area))
            falls.push_back(json_object({{"id", area.id},
                                         {"high", point(line->high)},
                                         {"low", point(line->low)},
                                         {"words", print_fall(area, site.units)}}));
    for (const Tree& tree : site.trees)
        trees.push_back(json_object({{"id", tree.id},
                                     {"at", point(tree.at)},
                                     {"crown_radius", tree.width / 2},
                                     {"trunk_radius", trunk_diameter(tree) / 2},
                                     {"height", tree.height}}));
    for (const Shrub& shrub : site.shrubs)
        shrubs.push_back(json_object({{"id", shrub.id},
                                      {"outline", points(shrub.outline)},
                                      {"path", points(shrub.path)},
                                      {"width", shrub.width}}));
    if (site.network) {
        for (const CableRun& run : site.network->runs) {
            const CableCourse course = lay_cable(site, run);
            for (const std::vector<glm::dvec2>* line : {&course.home, &course.cable})
                if (!line->empty())
                    cables.push_back(
                        json_object({{"run", run.id}, {"gauge", run.gauge}, {"course", points(*line)}}));
            for (std::size_t i = 0; i < course.joints.size(); ++i)
                cables.push_back(json_object({{"run", run.id},
                                              {"gauge", run.lead_gauge},
                                              {"course", points({course.joints[i], course.lights[i]})}}));
        }
        for (const Transformer& transformer : site.network->transformers)
            transformers.push_back(json_object({{"id", transformer.id}, {"at", point(transformer.at)}}));
        for (const Hub& hub : site.network->hubs)
            hubs.push_back(json_object({{"id", hub.id}, {"at", point(hub.at)}}));
    }
    return json_object({{"walls", std::move(walls)},
                        {"projections", std::move(projections)},
                        {"areas", std::move(areas)},
                        {"falls", std::move(falls)},
                        {"trees", std::move(trees)},
                        {"shrubs", std::move(shrubs)},
                        {"cables", std::move(cables)},
                        {"hubs", std::move(hubs)},
                        {"transformers", std::move(transformers)},
                        {"roofs", std::move(roofs)},
                        {"steps", std::move(steps)},
                        {"fountains", std::move(fountains)},
                        {"lanterns", std::move(lanterns)}});
}

/// Least and most of all facets but the ground's.
Json print_bounds(const Stage& stage) {
    glm::vec3 least(HUGE_VALF), most(-HUGE_VALF);
    const auto add = [&](const glm::vec3& corner) {
        least = glm::min(least, corner);
        most = glm::max(most, corner);
    };
    for (const Triangles* triangles : {&stage.opaque, &stage.cutouts})
        for (std::size_t i = 0; i < triangles->size(); ++i)
            if (stage.surfaces[triangles->surface[i]].kind != SurfaceKind::ground)
                for (int corner = 0; corner < 3; ++corner)
                    add(triangles->vertices[triangles->corners[i][corner]]);
    for (const glm::vec3& corner : stage.leaves.corners)
        add(corner);
    if (!(least.x <= most.x))
        least = most = glm::vec3(0);
    return json_object({{"least", point(glm::dvec3(least))}, {"most", point(glm::dvec3(most))}});
}

std::vector<float> interleave(const std::vector<float>& x, const std::vector<float>& y,
                              const std::vector<float>& z) {
    std::vector<float> all;
    all.reserve(3 * x.size());
    for (std::size_t i = 0; i < x.size(); ++i)
        all.insert(all.end(), {x[i], y[i], z[i]});
    return all;
}

} // namespace

Json answer_scene(const Session& session, AnswerMaker& maker) {
    const Stage& stage = session.stage();
    StageMesh mesh = make_stage_mesh(stage);
    FacePictures faces = make_face_pictures(stage, mesh);
    Json surfaces = Json::array(), materials = Json::array(), textures = Json::array();
    Json pictures = Json::array();
    for (FacePicture& picture : faces.pictures)
        pictures.push_back(json_object({{"width", picture.width},
                                        {"height", picture.height},
                                        {"rgba", maker.add(std::move(picture.rgba))},
                                        {"glow", point(picture.glow)}}));
    for (const Surface& surface : stage.surfaces)
        surfaces.push_back(print_surface(surface, maker));
    for (const Material& material : stage.materials)
        materials.push_back(json_object({{"name", material.name},
                                         {"reflectance", point(glm::dvec3(material.reflectance))},
                                         {"transmittance", point(glm::dvec3(material.transmittance))},
                                         {"luminance", point(glm::dvec3(material.luminance))},
                                         {"texture", material.texture}}));
    for (const Texture& texture : stage.textures)
        textures.push_back(json_object(
            {{"width", texture.width}, {"height", texture.height}, {"rgba", maker.add(texture.rgba)}}));
    std::vector<float> leaf_corners;
    leaf_corners.reserve(3 * stage.leaves.corners.size());
    for (const glm::vec3& corner : stage.leaves.corners)
        leaf_corners.insert(leaf_corners.end(), {corner.x, corner.y, corner.z});
    const Sensors& sensors = stage.sensors;
    return json_object({{"surfaces", std::move(surfaces)},
                        {"materials", std::move(materials)},
                        {"textures", std::move(textures)},
                        {"face_pictures", std::move(pictures)},
                        {"sensor_position", maker.add(interleave(sensors.x, sensors.y, sensors.z))},
                        {"sensor_normal", maker.add(interleave(sensors.nx, sensors.ny, sensors.nz))},
                        {"atlas", json_object({{"width", mesh.atlas.width},
                                               {"height", mesh.atlas.height},
                                               {"sensor", maker.add(std::move(mesh.atlas.sensor))}})},
                        {"mixes", json_object({{"end", maker.add(std::move(mesh.mixes.end))},
                                               {"sensor", maker.add(std::move(mesh.mixes.sensor))},
                                               {"share", maker.add(std::move(mesh.mixes.share))}})},
                        {"triangles", json_object({{"position", maker.add(std::move(mesh.position))},
                                                   {"normal", maker.add(std::move(mesh.normal))},
                                                   {"light_uv", maker.add(std::move(mesh.light_uv))},
                                                   {"texture_uv", maker.add(std::move(mesh.texture_uv))},
                                                   {"face_picture", maker.add(std::move(faces.picture))},
                                                   {"face_uv", maker.add(std::move(faces.uv))},
                                                   {"surface", maker.add(std::move(mesh.surface))},
                                                   {"material", maker.add(std::move(mesh.material))},
                                                   {"cutout", maker.add(std::move(mesh.cutout))},
                                                   {"solid", maker.add(std::move(mesh.solid))}})},
                        {"leaves", json_object({{"corners", maker.add(std::move(leaf_corners))},
                                                {"surface", maker.add(stage.leaves.surface)},
                                                {"material", maker.add(stage.leaves.material)},
                                                {"sensor", maker.add(std::move(mesh.leaf_sensor))}})},
                        {"bounds", print_bounds(stage)},
                        {"plan", print_plan(session.site())}});
}

Json answer_view(Session& session, const Json& question, AnswerMaker& maker, const Progress& progress) {
    const Site& site = session.site();
    const std::string id = value_of<std::string>(question, "view", "");
    View view{.id = id};
    if (!id.empty()) {
        const auto known =
            std::find_if(site.views.begin(), site.views.end(), [&](const View& one) { return one.id == id; });
        if (known == site.views.end())
            refuse("the site has no view \"" + id + "\"", "name one of those under \"views\"");
        view = *known;
    } else {
        const auto read = [&](const char* key) {
            const auto values = question.at(key).get<std::array<double, 3>>();
            const glm::dvec3 at(values[0], values[1], values[2]);
            constexpr double farthest = 1e4; // metres
            if (!(glm::length(at) < farthest))
                refuse("a place is asked about that is too far away", "give one of the property, in metres");
            return at;
        };
        view.eye = read("eye");
        view.look_at = read("look_at");
        view.field_of_view = value_of(question, "field_of_view", view.field_of_view);
    }
    constexpr int most_pixels = 8000, most_stops = 10; // as `duskcast view` takes
    const double stops = figure_of(question, "exposure", 0, -most_stops, most_stops);
    const Camera camera = make_camera(view, count_of(question, "width", 0, 1, most_pixels),
                                      count_of(question, "height", 0, 1, most_pixels));
    check_eye(session.stage(), view);
    session.settle([&](double share) {
        if (progress)
            progress(0.4 * share);
    });
    const Lighting& lighting = session.lighting();
    const bool is_day = value_of<std::string>(question, "look", "night") == "day";
    const ViewImage image = trace_view(
        session.stage(), lighting.fixtures, camera, site.ambient, lighting.bounced_at,
        [&](double share) {
            if (progress)
                progress(0.4 + 0.6 * share);
        },
        nullptr, is_day ? Detail::fine : Detail::fine_by_night);
    const ViewLook look{.stops = stops, .ambient_lx = site.ambient, .sky = site.sky};
    const ViewImage shown = show_bodies(build_fixture_bodies(site), session.stage(), lighting.fixtures,
                                        site.ambient, lighting.bounced_at, image);
    const Raster raster = is_day ? make_day_raster(shown) : make_night_raster(shown, look);
    ViewResult result{
        .report = measure_view(view.id, image, lighting.fixtures, find_regions(site, session.stage())),
        .features = look_from_views(site, session.stage(), {view}, lighting.fixtures, lighting.bounced_at,
                                    usual_lit_luminance, static_cast<double>(camera.height) / camera.width),
        .stops = look.stops};
    return json_object({{"width", camera.width},
                        {"height", camera.height},
                        {"rgba", maker.add(print_rgba(raster))},
                        {"sentences", print_views(site, {result}, usual_lit_luminance)}});
}

} // namespace duskcast
