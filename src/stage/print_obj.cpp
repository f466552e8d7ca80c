#include "duskcast/stage/print_obj.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <map>
#include <numeric>

#include "cell_part.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/layout.hpp"
#include "roof_body.hpp"

namespace duskcast {

namespace {

std::string material_name(std::size_t index, const Material& material) {
    return fmt::format("m{}", index) + (material.name.empty() ? "" : dashed("-" + material.name));
}

std::string print_colour(const char* key, const glm::vec3& colour) {
    return fmt::format("{} {} {} {}\n", key, colour.r, colour.g, colour.b);
}

/// Parts of the level ground with the surface and the material there.
class GroundParts {
public:
    explicit GroundParts(const Stage& stage) : stage_(stage) {
        for (const GroundCover& area : stage.ground_areas)
            for (std::size_t i = 0, j = area.outline.size() - 1; i < area.outline.size(); j = i++)
                edges_.push_back({area.outline[j], area.outline[i]});
    }

    /// Calls put(convex part, surface, material); `usual` is the material outside every area.
    template <class Put>
    void cut(const glm::dvec2& low, const glm::dvec2& high, std::uint16_t usual, const Put& put) const {
        cut(low, high, edges_, usual, put);
    }

private:
    /// Halves the rectangle until few edges are left in it: parts grow with the square of their number.
    template <class Put>
    void cut(const glm::dvec2& low, const glm::dvec2& high, const std::vector<PlaneLine>& edges,
             std::uint16_t usual, const Put& put) const {
        constexpr std::size_t few = 6;
        constexpr double least = 0.01; // metres
        std::vector<PlaneLine> inside;
        for (const PlaneLine& edge : edges)
            if (glm::all(glm::lessThan(glm::min(edge.from, edge.to), high)) &&
                glm::all(glm::greaterThan(glm::max(edge.from, edge.to), low)))
                inside.push_back(edge);
        const glm::dvec2 size = high - low;
        const int axis = size.x > size.y ? 0 : 1;
        if (inside.size() > few && size[axis] > least) {
            glm::dvec2 middle_low = low, middle_high = high;
            middle_low[axis] = middle_high[axis] = (low[axis] + high[axis]) / 2;
            cut(low, middle_high, inside, usual, put);
            cut(middle_low, high, inside, usual, put);
            return;
        }
        for (const ConvexPart& part : cut_rectangle(low, high, inside)) {
            const glm::dvec2 middle =
                std::accumulate(part.begin(), part.end(), glm::dvec2(0)) / static_cast<double>(part.size());
            const int surface = stage_.ground_surface_at(middle);
            std::uint16_t material = usual;
            for (const GroundCover& area : stage_.ground_areas)
                if (area.surface == surface)
                    material = static_cast<std::uint16_t>(area.material);
            put(part, surface, material);
        }
    }

    const Stage& stage_;
    std::vector<PlaneLine> edges_;
};

class ObjPrinter {
public:
    ObjPrinter(const Stage& stage, std::string& text)
        : stage_(stage), text_(text), groups_(stage.surfaces.size()) {}

    void print() {
        add_triangles(stage_.opaque);
        add_triangles(stage_.cutouts);
        std::vector<std::vector<std::uint32_t>> leaves(groups_.size());
        for (std::uint32_t i = 0; i < stage_.leaves.size(); ++i)
            leaves[stage_.leaves.surface[i]].push_back(i);
        for (std::size_t surface = 0; surface < groups_.size(); ++surface) {
            if (groups_[surface].empty() && leaves[surface].empty())
                continue;
            fmt::format_to(std::back_inserter(text_), "g {}\n", stage_.surfaces[surface].id);
            for (const auto& [material, faces] : groups_[surface]) {
                use(material);
                text_ += faces;
            }
            int used = -1;
            for (const std::uint32_t leaf : leaves[surface])
                print_leaf(leaf, used);
        }
    }

private:
    void use(std::uint16_t material) {
        fmt::format_to(std::back_inserter(text_), "usemtl {}\n",
                       material_name(material, stage_.materials[material]));
    }

    /// Its number in the file.
    std::size_t add_vertex(const glm::vec3& at) {
        fmt::format_to(std::back_inserter(text_), "v {} {} {}\n", at.x, at.y, at.z);
        return ++vertices_;
    }

    void add_triangles(const Triangles& triangles) {
        const std::size_t first = vertices_ + 1;
        for (const glm::vec3& vertex : triangles.vertices)
            add_vertex(vertex);
        const std::size_t first_uv = texture_corners_ + 1;
        for (const glm::vec2& uv : triangles.uv)
            fmt::format_to(std::back_inserter(text_), "vt {} {}\n", uv.x, uv.y);
        texture_corners_ += triangles.uv.size();
        glm::dvec2 low(1e300), high(-1e300);
        int ground = -1;
        for (std::size_t i = 0; i < triangles.size(); ++i) {
            const glm::uvec3& corner = triangles.corners[i];
            const std::uint16_t material = triangles.material[i];
            if (stage_.surfaces[triangles.surface[i]].kind == SurfaceKind::ground) {
                if (stage_.surfaces[triangles.surface[i]].id != "ground")
                    continue; // of a terrace, which is cut with the rest
                ground = material;
                for (int k = 0; k < 3; ++k) {
                    low = glm::min(low, glm::dvec2(triangles.vertices[corner[k]]));
                    high = glm::max(high, glm::dvec2(triangles.vertices[corner[k]]));
                }
                continue;
            }
            std::string& faces = groups_[triangles.surface[i]][material];
            faces += "f";
            for (int k = 0; k < 3; ++k) {
                fmt::format_to(std::back_inserter(faces), " {}", first + corner[k]);
                if (stage_.materials[material].texture >= 0 && !triangles.uv.empty())
                    fmt::format_to(std::back_inserter(faces), "/{}", first_uv + corner[k]);
            }
            faces += "\n";
        }
        if (ground >= 0)
            GroundParts(stage_).cut(
                low, high, static_cast<std::uint16_t>(ground),
                [&](const ConvexPart& part, int surface, std::uint16_t material) {
                    std::string& faces = groups_[surface][material];
                    std::string line = "f";
                    for (const glm::dvec2& corner : part)
                        line += fmt::format(
                            " {}",
                            add_vertex(glm::vec3(
                                corner,
                                stage_.surfaces[static_cast<std::size_t>(surface)].plane.height_at(corner))));
                    faces += line + "\n";
                });
    }

    void print_leaf(std::uint32_t leaf, int& used) {
        if (const std::uint16_t material = stage_.leaves.material[leaf]; material != used) {
            use(material);
            used = material;
        }
        std::size_t last = 0;
        for (int k = 0; k < 4; ++k)
            last = add_vertex(stage_.leaves.corners[4 * static_cast<std::size_t>(leaf) + k]);
        fmt::format_to(std::back_inserter(text_), "f {} {} {} {}\n", last - 3, last - 2, last - 1, last);
    }

    const Stage& stage_;
    std::string& text_;
    std::vector<std::map<std::uint16_t, std::string>> groups_; ///< faces by surface and material
    std::size_t vertices_ = 0;
    std::size_t texture_corners_ = 0;
};

std::string print_mtl(const Stage& stage, const std::filesystem::path& folder) {
    std::string text = "# Kd: reflectance, linear sRGB. Tf: transmittance of leaves. Ke: luminance, cd/m2.\n";
    for (std::size_t i = 0; i < stage.materials.size(); ++i) {
        const Material& material = stage.materials[i];
        // A pattern that is in no file comes out as its mean.
        const bool is_pattern = material.texture >= 0 && stage.textures[material.texture].file.empty() &&
                                stage.textures[material.texture].alpha_file.empty();
        const glm::vec3 reflectance =
            is_pattern ? material.reflectance * glm::vec3(mean_albedo(stage.textures[material.texture]))
                       : material.reflectance;
        text += fmt::format("newmtl {}\n", material_name(i, material)) + print_colour("Kd", reflectance);
        if (material.transmittance != glm::vec3(0))
            text += print_colour("Tf", material.transmittance);
        if (material.luminance != glm::vec3(0))
            text += print_colour("Ke", material.luminance);
        if (material.texture < 0)
            continue;
        const Texture& texture = stage.textures[material.texture];
        for (const auto& [key, file] :
             {std::pair("map_Kd", &texture.file), std::pair("map_d", &texture.alpha_file)})
            if (!file->empty())
                text += fmt::format("{} {}\n", key,
                                    text_of(std::filesystem::proximate(path_in({}, *file), folder)));
    }
    return text;
}

} // namespace

ObjText print_obj(const Stage& stage, const std::string& mtl_name, const std::filesystem::path& folder) {
    ObjText made{.obj = fmt::format("# Metres, z up.\nmtllib {}\n", mtl_name),
                 .mtl = print_mtl(stage, folder)};
    ObjPrinter(stage, made.obj).print();
    return made;
}

} // namespace duskcast
