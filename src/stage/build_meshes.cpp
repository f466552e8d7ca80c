// OBJ meshes placed on the site. Upright planes become walls of their own, with a grid; the rest of a mesh
// carries sensors strewn over its triangles.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

#include "builder.hpp"
#include "duskcast/stage/obj.hpp"
#include "random.hpp"

namespace duskcast {

namespace {

constexpr double least_wall_area = 1.0;      // m2: smaller upright planes stay with the rest
constexpr std::size_t most_planes = 256;     // a mesh of many facets is no façade
constexpr std::size_t most_strewn = 200'000; // sensors on the rest of one mesh

/// A triangle of a mesh in the site's axes.
struct Facet {
    std::array<glm::dvec3, 3> corner;
    glm::dvec3 normal{0};
    double area = 0;
    bool is_cutout = false;
    int texture = -1;
    std::array<glm::vec2, 3> uv{};
};

struct Plane {
    int shape = 0;
    glm::dvec3 normal{0};
    double offset = 0;
    double area = 0;
    std::vector<std::size_t> facets;
};

/// Letters, digits and dashes, as ids have them.
std::string id_from(const std::string& name) {
    std::string id;
    for (const char c : name)
        id += std::isalnum(static_cast<unsigned char>(c)) || c == '-' || c == '_' ? c : '-';
    return id.empty() ? "part" : id;
}

class MeshBuilder {
public:
    MeshBuilder(StageBuilder& builder, const Mesh& description)
        : builder_(builder), stage_(builder.stage), description_(description),
          mesh_(read_obj_file(builder.folder / description.file)) {
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
            // Y up: x stays right, what was towards the onlooker (z) becomes south.
            const glm::dvec3 upright = description_.up == UpAxis::y ? glm::dvec3(own.x, -own.z, own.y) : own;
            const glm::dvec3 turned(cosine * upright.x + sine * upright.y,
                                    cosine * upright.y - sine * upright.x, upright.z);
            vertices_.push_back(turned + description_.at);
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
            Facet facet{.corner = {vertices_[corner.x], vertices_[corner.y], vertices_[corner.z]}};
            const glm::dvec3 across =
                glm::cross(facet.corner[1] - facet.corner[0], facet.corner[2] - facet.corner[0]);
            facet.area = glm::length(across) / 2;
            facet.normal = across / (2 * facet.area);
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
        std::vector<Plane> planes;
        for (std::size_t i = 0; i < facets_.size(); ++i) {
            const Facet& facet = facets_[i];
            if (facet.is_cutout || std::abs(facet.normal.z) > 0.02)
                continue;
            const double offset = glm::dot(facet.normal, facet.corner[0]);
            auto plane = std::find_if(planes.begin(), planes.end(), [&](const Plane& known) {
                return known.shape == mesh_.shape[i] && glm::dot(known.normal, facet.normal) > 0.9995 &&
                       std::abs(known.offset - offset) < 5e-3;
            });
            if (plane == planes.end()) {
                if (planes.size() == most_planes)
                    continue;
                plane = planes.insert(planes.end(), {mesh_.shape[i], facet.normal, offset, 0, {}});
            }
            plane->area += facet.area;
            plane->facets.push_back(i);
        }
        for (Plane& plane : planes)
            if (plane.area >= least_wall_area)
                planes_.push_back(std::move(plane));
    }

    void add_surfaces() {
        std::map<int, int> planes_of_shape;
        for (const Plane& plane : planes_)
            ++planes_of_shape[plane.shape];
        std::map<int, int> next;
        surface_.assign(facets_.size(), 0);
        rest_ = builder_.add_surface(description_.id, SurfaceKind::mesh, description_.id);
        std::fill(surface_.begin(), surface_.end(), rest_);
        for (const Plane& plane : planes_) {
            std::string id = description_.id + "." + id_from(mesh_.shape_names[plane.shape]);
            if (planes_of_shape[plane.shape] > 1)
                id += fmt::format(".{}", ++next[plane.shape]);
            while (stage_.find_surface(id) >= 0)
                id += "-2";
            const std::uint16_t surface = builder_.add_surface(id, SurfaceKind::wall, description_.id);
            std::vector<Facet> facets;
            for (const std::size_t facet : plane.facets) {
                surface_[facet] = surface;
                facets.push_back(facets_[facet]);
            }
            lay_out_plane(surface, plane, facets);
        }
        std::vector<Facet> strewn;
        for (std::size_t i = 0; i < facets_.size(); ++i)
            if (surface_[i] == rest_)
                strewn.push_back(facets_[i]);
        builder_.sensor_jobs.emplace_back(
            [&builder = builder_, rest = rest_, strewn] { strew_sensors(builder, rest, strewn); });
    }

    void lay_out_plane(std::uint16_t index, const Plane& plane, const std::vector<Facet>& facets) {
        Surface& surface = stage_.surfaces[index];
        RunSegment segment;
        segment.outward = glm::normalize(glm::dvec2(plane.normal));
        segment.direction = {-segment.outward.y, segment.outward.x};
        double from = 1e300;
        double to = -1e300;
        double low = 1e300;
        double high = -1e300;
        for (const Facet& facet : facets)
            for (const glm::dvec3& corner : facet.corner) {
                const double along = glm::dot(glm::dvec2(corner), segment.direction);
                from = std::min(from, along);
                to = std::max(to, along);
                low = std::min(low, corner.z);
                high = std::max(high, corner.z);
            }
        segment.start = glm::dvec2(facets.front().corner[0]);
        segment.start += (from - glm::dot(segment.start, segment.direction)) * segment.direction;
        segment.length = to - from;
        surface.run = {segment};
        surface.foot = low;
        surface.outline = find_outline(surface, facets);
        builder_.sensor_jobs.emplace_back([&builder = builder_, index, facets, segment, height = high - low] {
            place_plane_sensors(builder, index, facets, segment, height);
        });
    }

    /// The edges that only one of the plane's triangles has.
    static std::vector<OutlineShape> find_outline(const Surface& surface, const std::vector<Facet>& facets) {
        using Key = std::array<std::int64_t, 4>;
        std::map<Key, std::pair<int, std::array<glm::dvec2, 2>>> edges;
        const auto rounded = [](double value) {
            return static_cast<std::int64_t>(std::llround(value * 1e4));
        };
        for (const Facet& facet : facets)
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

    static void place_plane_sensors(StageBuilder& builder, std::uint16_t index,
                                    const std::vector<Facet>& facets, const RunSegment& segment,
                                    double height) {
        constexpr int parts = 4;
        Surface& surface = builder.stage.surfaces[index];
        const double step = builder.site.sensor_spacing;
        SensorGrid grid{.u0 = 0, .v0 = 0, .step = step};
        grid.columns = std::max(1, static_cast<int>(std::ceil(segment.length / step - 1e-6)));
        grid.rows = std::max(1, static_cast<int>(std::ceil(height / step - 1e-6)));
        const auto cells = static_cast<std::size_t>(grid.columns) * grid.rows;
        grid.sensor.assign(cells, -1);
        grid.top.assign(grid.columns, 0);
        std::vector<std::uint16_t> covered(cells, 0); // a bit for each of 4 x 4 parts of a cell
        for (const Facet& facet : facets)
            cover_cells(surface, facet, grid, covered);
        std::vector<SensorSpot> spots;
        for (int row = 0; row < grid.rows; ++row)
            for (int column = 0; column < grid.columns; ++column) {
                const std::uint16_t bits = covered[static_cast<std::size_t>(row) * grid.columns + column];
                if (bits == 0)
                    continue;
                grid.top[column] = std::max(grid.top[column], std::min(height, (row + 1) * step));
                glm::dvec2 sum(0);
                int count = 0;
                for (int bit = 0; bit < parts * parts; ++bit)
                    if (bits >> bit & 1) {
                        sum += glm::dvec2(bit % parts + 0.5, bit / parts + 0.5) / static_cast<double>(parts);
                        ++count;
                    }
                const glm::dvec2 spot = (sum / static_cast<double>(count) + glm::dvec2(column, row)) * step;
                spots.push_back(
                    {column, row,
                     glm::dvec3(segment.start + spot.x * segment.direction, surface.foot + spot.y),
                     glm::dvec3(segment.outward, 0), count * step * step / (parts * parts)});
            }
        surface.grid = std::move(grid);
        builder.add_sensors(index, spots);
    }

    static void cover_cells(const Surface& surface, const Facet& facet, const SensorGrid& grid,
                            std::vector<std::uint16_t>& covered) {
        constexpr int parts = 4;
        const double fine = grid.step / parts;
        const std::array<glm::dvec2, 3> p{surface.unfold(facet.corner[0]), surface.unfold(facet.corner[1]),
                                          surface.unfold(facet.corner[2])};
        const glm::dvec2 low = glm::min(p[0], glm::min(p[1], p[2]));
        const glm::dvec2 high = glm::max(p[0], glm::max(p[1], p[2]));
        const auto side = [](const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c) {
            return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
        };
        const double sign = side(p[0], p[1], p[2]) < 0 ? -1 : 1;
        const int last_row = std::min(grid.rows * parts - 1, static_cast<int>(high.y / fine));
        const int last_column = std::min(grid.columns * parts - 1, static_cast<int>(high.x / fine));
        for (int row = std::max(0, static_cast<int>(low.y / fine)); row <= last_row; ++row)
            for (int column = std::max(0, static_cast<int>(low.x / fine)); column <= last_column; ++column) {
                const glm::dvec2 spot((column + 0.5) * fine, (row + 0.5) * fine);
                if (sign * side(p[0], p[1], spot) < 0 || sign * side(p[1], p[2], spot) < 0 ||
                    sign * side(p[2], p[0], spot) < 0)
                    continue;
                const auto cell = static_cast<std::size_t>(row / parts) * grid.columns + column / parts;
                covered[cell] |= static_cast<std::uint16_t>(1u << (row % parts * parts + column % parts));
            }
    }

    /// One sensor for every spacing squared of area, evenly along the running sum of area. Cut-outs are
    /// leaves and the like: both their sides count, and nothing is laid where they are see-through.
    static void strew_sensors(StageBuilder& builder, std::uint16_t index, const std::vector<Facet>& facets) {
        double total = 0;
        for (const Facet& facet : facets)
            total += facet.area;
        const double per_sensor =
            std::max(builder.site.sensor_spacing * builder.site.sensor_spacing, total / most_strewn);
        Random random(index);
        std::vector<SensorSpot> spots;
        double next = per_sensor / 2;
        double passed = 0;
        for (const Facet& facet : facets) {
            for (; next < passed + facet.area; next += per_sensor) {
                const double root = std::sqrt(random.uniform());
                const double share = random.uniform();
                const double w0 = 1 - root;
                const double w1 = root * (1 - share);
                const double w2 = root * share;
                const glm::dvec3 spot = w0 * facet.corner[0] + w1 * facet.corner[1] + w2 * facet.corner[2];
                if (facet.is_cutout) {
                    const glm::vec2 uv = static_cast<float>(w0) * facet.uv[0] +
                                         static_cast<float>(w1) * facet.uv[1] +
                                         static_cast<float>(w2) * facet.uv[2];
                    if (builder.stage.textures[facet.texture].alpha(uv.x, uv.y) < 0.5f)
                        continue;
                    spots.push_back({0, 0, spot, -facet.normal, per_sensor});
                }
                spots.push_back({0, 0, spot, facet.normal, per_sensor});
            }
            passed += facet.area;
        }
        builder.add_sensors(index, spots);
    }

    void add_triangles() {
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
                               material < 0 ? own_material_ : material_[material], surface_[i], false);
            }
    }

    StageBuilder& builder_;
    Stage& stage_;
    const Mesh& description_;
    ObjMesh mesh_;
    std::vector<glm::dvec3> vertices_;
    std::vector<bool> cutout_texture_;
    std::vector<bool> is_cutout_;
    std::vector<std::uint16_t> material_;
    std::uint16_t own_material_ = 0;
    std::vector<Facet> facets_;
    std::vector<Plane> planes_;
    std::vector<std::uint16_t> surface_;
    std::uint16_t rest_ = 0;
};

} // namespace

void StageBuilder::build_meshes() {
    for (const Mesh& mesh : site.meshes)
        MeshBuilder(*this, mesh).build();
}

} // namespace duskcast
