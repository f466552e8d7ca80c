// OBJ meshes placed on the site. Upright planes become walls of their own, with a grid; the rest of a mesh
// carries sensors strewn over its triangles.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <unordered_set>

#include "builder.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/stage/obj.hpp"
#include "mesh_sensors.hpp"

namespace duskcast {

namespace {

constexpr double least_wall_area = 1.0;  // m2: smaller upright planes stay with the rest
constexpr std::size_t most_planes = 256; // a mesh of many facets is no façade
constexpr double farthest = 2000;        // metres from the origin: beyond, floats no longer tell millimetres

struct Plane {
    int shape = 0;
    glm::dvec3 normal{0};
    double offset = 0;
    double area = 0;
    std::vector<std::size_t> facets;
};

/// As ids are, and no longer than file names have room for.
std::string id_from(const std::string& name) {
    constexpr std::size_t longest = 64;
    return name.empty() ? "part" : dashed(name.substr(0, longest));
}

class MeshBuilder {
public:
    /// Takes what the mesh holds from what is `left`.
    MeshBuilder(StageBuilder& builder, std::size_t number, ObjAllowance& left)
        : builder_(builder), stage_(builder.stage), description_(builder.site.meshes[number]),
          number_(number),
          mesh_(read_obj_file(path_in(builder.folder, builder.site.meshes[number].file), left)) {
        left.triangles -= mesh_.corners.size();
        for (const Texture& texture : mesh_.textures)
            left.texels -= texture.rgba.size() / 4;
        stage_.warnings.insert(stage_.warnings.end(), mesh_.warnings.begin(), mesh_.warnings.end());
    }

    void build() {
        place_vertices();
        add_materials();
        make_facets();
        find_planes();
        add_surfaces();
        add_triangles();
    }

private:
    void place_vertices() {
        const double cosine = std::cos(description_.turn);
        const double sine = std::sin(description_.turn);
        for (const glm::vec3& vertex : mesh_.vertices) {
            const glm::dvec3 own = description_.scale * glm::dvec3(vertex);
            // Y up: x stays right, what was towards the viewer (z) becomes south.
            const glm::dvec3 upright = description_.up == UpAxis::y ? glm::dvec3(own.x, -own.z, own.y) : own;
            const glm::dvec3 turned(cosine * upright.x + sine * upright.y,
                                    cosine * upright.y - sine * upright.x, upright.z);
            vertices_.push_back(turned + description_.at);
            if (!(glm::length(vertices_.back()) < farthest))
                throw InputError(Problem{
                    .place = {.path = fmt::format("meshes[{}].scale", number_)},
                    .what = fmt::format("the mesh \"{}\" reaches more than {:.0f} m from the site's origin",
                                        description_.id, farthest),
                    .remedy =
                        "\"scale\" is metres per unit of the OBJ: 0.001 for millimetres, 0.0254 for inches"});
            builder_.low = glm::min(builder_.low, glm::dvec2(vertices_.back()));
            builder_.high = glm::max(builder_.high, glm::dvec2(vertices_.back()));
        }
    }

    void add_materials() {
        const int first_texture = static_cast<int>(stage_.textures.size());
        for (Texture& texture : mesh_.textures) {
            cutout_texture_.push_back(texture.has_cutouts());
            stage_.textures.push_back(std::move(texture));
        }
        for (Material material : mesh_.materials) {
            is_cutout_.push_back(material.texture >= 0 && cutout_texture_[material.texture]);
            if (material.texture >= 0)
                material.texture += first_texture;
            material_.push_back(builder_.add_material(material));
        }
        own_material_ = builder_.add_material(description_.finish);
    }

    void make_facets() {
        for (std::size_t i = 0; i < mesh_.corners.size(); ++i) {
            const glm::uvec3& corner = mesh_.corners[i];
            MeshFacet facet = make_facet({vertices_[corner.x], vertices_[corner.y], vertices_[corner.z]});
            const int material = mesh_.material[i];
            facet.is_cutout = material >= 0 && is_cutout_[material];
            if (facet.is_cutout) {
                facet.texture = stage_.materials[material_[material]].texture;
                facet.uv = {mesh_.uv[corner.x], mesh_.uv[corner.y], mesh_.uv[corner.z]};
            }
            facets_.push_back(facet);
        }
    }

    void find_planes() {
        std::vector<std::size_t> upright;
        for (std::size_t i = 0; i < facets_.size(); ++i)
            if (!facets_[i].is_cutout && std::abs(facets_[i].normal.z) <= 0.02)
                upright.push_back(i);
        // Largest first: small facets must not use up the planes, nor tilt one.
        sort_stably(upright, [&](std::size_t a, std::size_t b) { return facets_[a].area > facets_[b].area; });
        std::vector<Plane> planes;
        for (const std::size_t i : upright) {
            const MeshFacet& facet = facets_[i];
            const auto is_on = [&](const Plane& known) {
                return known.shape == mesh_.shape[i] && glm::dot(known.normal, facet.normal) > 0.9995 &&
                       std::all_of(facet.corner.begin(), facet.corner.end(), [&](const glm::dvec3& corner) {
                           return std::abs(glm::dot(known.normal, corner) - known.offset) < 5e-3;
                       });
            };
            auto plane = std::find_if(planes.begin(), planes.end(), is_on);
            if (plane == planes.end()) {
                if (planes.size() == most_planes)
                    continue;
                plane = planes.insert(
                    planes.end(),
                    {mesh_.shape[i], facet.normal, glm::dot(facet.normal, facet.corner[0]), 0, {}});
            }
            plane->area += facet.area;
            plane->facets.push_back(i);
        }
        for (Plane& plane : planes) {
            if (plane.area < least_wall_area)
                continue;
            std::sort(plane.facets.begin(), plane.facets.end());
            planes_.push_back(std::move(plane));
        }
        sort_stably(planes_,
                    [](const Plane& a, const Plane& b) { return a.facets.front() < b.facets.front(); });
    }

    void add_surfaces() {
        std::map<int, int> planes_of_shape;
        for (const Plane& plane : planes_)
            ++planes_of_shape[plane.shape];
        std::map<int, int> next;
        std::unordered_set<std::string> taken; // in small letters: some disks tell no others
        for (const Surface& surface : stage_.surfaces)
            taken.insert(lower_case(surface.id));
        surface_.assign(facets_.size(), 0);
        rest_ = builder_.add_surface(description_.id, SurfaceKind::mesh, description_.id);
        taken.insert(lower_case(description_.id));
        std::fill(surface_.begin(), surface_.end(), rest_);
        for (const Plane& plane : planes_) {
            std::string id = description_.id + "." + id_from(mesh_.shape_names[plane.shape]);
            if (planes_of_shape[plane.shape] > 1)
                id += fmt::format(".{}", ++next[plane.shape]);
            while (!taken.insert(lower_case(id)).second)
                id += "-2";
            const std::uint16_t surface = builder_.add_surface(id, SurfaceKind::wall, description_.id);
            std::vector<MeshFacet> facets;
            for (const std::size_t facet : plane.facets) {
                surface_[facet] = surface;
                facets.push_back(facets_[facet]);
            }
            lay_out_plane(surface, plane, facets);
        }
        std::vector<MeshFacet> strewn;
        for (std::size_t i = 0; i < facets_.size(); ++i)
            if (surface_[i] == rest_)
                strewn.push_back(facets_[i]);
        builder_.sensor_jobs.emplace_back(
            [&builder = builder_, rest = rest_, strewn] { strew_sensors(builder, rest, strewn); });
    }

    void lay_out_plane(std::uint16_t index, const Plane& plane, const std::vector<MeshFacet>& facets) {
        Surface& surface = stage_.surfaces[index];
        RunSegment segment;
        segment.outward = glm::normalize(glm::dvec2(plane.normal));
        segment.direction = {-segment.outward.y, segment.outward.x};
        double from = 1e300;
        double to = -1e300;
        double low = 1e300;
        double high = -1e300;
        for (const MeshFacet& facet : facets)
            for (const glm::dvec3& corner : facet.corner) {
                const double along = glm::dot(glm::dvec2(corner), segment.direction);
                from = std::min(from, along);
                to = std::max(to, along);
                low = std::min(low, corner.z);
                high = std::max(high, corner.z);
            }
        segment.start = plane.offset * glm::dvec2(plane.normal);
        segment.start += (from - glm::dot(segment.start, segment.direction)) * segment.direction;
        segment.length = to - from;
        surface.run = {segment};
        surface.outline = find_outline(surface, facets); // heights count from the ground, as the foot is 0
        builder_.sensor_jobs.emplace_back(
            [&builder = builder_, index, facets, normal = plane.normal, offset = plane.offset, low, high] {
                place_plane_sensors(builder, index, facets, normal, offset, low, high);
            });
    }

    /// The edges that only one of the plane's triangles has.
    static std::vector<OutlineShape> find_outline(const Surface& surface,
                                                  const std::vector<MeshFacet>& facets) {
        using Key = std::array<std::int64_t, 4>;
        std::map<Key, std::pair<int, std::array<glm::dvec2, 2>>> edges;
        const auto rounded = [](double value) {
            return static_cast<std::int64_t>(std::llround(value * 1e4));
        };
        for (const MeshFacet& facet : facets)
            for (int i = 0; i < 3; ++i) {
                glm::dvec2 a = surface.unfold(facet.corner[i]);
                glm::dvec2 b = surface.unfold(facet.corner[(i + 1) % 3]);
                if (std::pair(rounded(b.x), rounded(b.y)) < std::pair(rounded(a.x), rounded(a.y)))
                    std::swap(a, b);
                auto& edge = edges[{rounded(a.x), rounded(a.y), rounded(b.x), rounded(b.y)}];
                edge.first += 1;
                edge.second = {a, b};
            }
        std::vector<OutlineShape> outline;
        for (const auto& [key, edge] : edges)
            if (edge.first == 1)
                outline.push_back({OutlineShape::Role::edge, "", {edge.second[0], edge.second[1]}, false});
        return outline;
    }

    void add_triangles() {
        std::vector<glm::uvec3> opaque;
        for (std::size_t i = 0; i < facets_.size(); ++i)
            if (!facets_[i].is_cutout)
                opaque.push_back(mesh_.corners[i]);
        const std::vector<std::uint8_t> bounds_body = find_closed_bodies(mesh_.vertices, opaque);
        std::size_t opaque_count = 0;
        for (Triangles* triangles : {&stage_.opaque, &stage_.cutouts})
            for (std::size_t i = 0; i < facets_.size(); ++i) {
                if (facets_[i].is_cutout != (triangles == &stage_.cutouts))
                    continue;
                const auto first = static_cast<unsigned>(triangles->vertices.size());
                const glm::uvec3& corner = mesh_.corners[i];
                triangles->uv.resize(first, glm::vec2(0)); // those before may have none
                for (const unsigned vertex : {corner.x, corner.y, corner.z}) {
                    triangles->vertices.emplace_back(vertices_[vertex]);
                    triangles->uv.push_back(mesh_.uv[vertex]);
                }
                const int material = mesh_.material[i];
                triangles->add({first, first + 1, first + 2},
                               material < 0 ? own_material_ : material_[material], surface_[i],
                               !facets_[i].is_cutout && bounds_body[opaque_count++]);
            }
    }

    StageBuilder& builder_;
    Stage& stage_;
    const Mesh& description_;
    std::size_t number_;
    ObjMesh mesh_;
    std::vector<glm::dvec3> vertices_;
    std::vector<bool> cutout_texture_;
    std::vector<bool> is_cutout_;
    std::vector<std::uint16_t> material_;
    std::uint16_t own_material_ = 0;
    std::vector<MeshFacet> facets_;
    std::vector<Plane> planes_;
    std::vector<std::uint16_t> surface_;
    std::uint16_t rest_ = 0;
};

} // namespace

void StageBuilder::build_meshes() {
    ObjAllowance left;
    for (std::size_t i = 0; i < site.meshes.size(); ++i)
        MeshBuilder(*this, i, left).build();
}

} // namespace duskcast
