#include "duskcast/stage/obj.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <map>
#include <stb_image.h>
#include <system_error>
#include <unordered_map>

#include "duskcast/base/files.hpp"
#include "duskcast/base/png_chunks.hpp"
#include "duskcast/base/text.hpp"
#include "obj_scan.hpp"
#include "tiny_obj.hpp"

namespace duskcast {

namespace {

constexpr int most_pixels_across = 16384;
constexpr std::uintmax_t most_bytes = 1'000'000'000;

/// A file named in an OBJ or MTL, in which exporters on Windows write backslashes. Empty where no file can
/// have this name.
std::filesystem::path find_named(const std::filesystem::path& folder, std::string name) {
    std::replace(name.begin(), name.end(), '\\', '/');
    try {
        return path_in(folder, name);
    } catch (const std::system_error&) {
        return {};
    }
}

Problem make_problem(Severity severity, const std::string& file, std::string_view what,
                     std::string_view remedy) {
    return Problem{.severity = severity,
                   .place = {.file = file},
                   .what = std::string(what),
                   .remedy = std::string(remedy)};
}

[[noreturn]] void fail(const std::string& file, std::string_view what, std::string_view remedy) {
    throw InputError(make_problem(Severity::error, file, what, remedy));
}

/// Whether a word is a number all through: tinyobjloader takes "nan", "inf" and what is missing for 0.
bool is_number(std::string_view word) {
    if (word.starts_with('+'))
        word.remove_prefix(1);
    double value = 0;
    const auto read = read_decimal(word, value);
    return read.ec == std::errc() && read.ptr == word.data() + word.size() && std::isfinite(value);
}

/// The materials of an MTL whose Kd is not three numbers.
std::vector<std::string> find_faulty_colours(std::string text) {
    std::replace(text.begin(), text.end(), '\r', '\n');
    std::vector<std::string> faulty;
    std::string material;
    for (const std::string& line : split(text, '\n')) {
        std::string_view words = line;
        const std::string_view key = take_word(words);
        if (key == "newmtl")
            material = take_word(words);
        // Spectra and CIE colours are left to the loader.
        if (key != "Kd" || line.find("spectral") != std::string::npos ||
            line.find("xyz") != std::string::npos)
            continue;
        int numbers = 0;
        while (numbers < 3 && is_number(take_word(words)))
            ++numbers;
        if (numbers < 3)
            faulty.push_back(material);
    }
    return faulty;
}

/// Opens the MTL beside the OBJ; a missing one is a warning, for the mesh's own finish stands in.
class FolderMaterialReader : public tinyobj::MaterialReader {
public:
    explicit FolderMaterialReader(std::filesystem::path folder) : folder_(std::move(folder)) {}

    bool operator()(const std::string& name, std::vector<tinyobj::material_t>* materials,
                    std::map<std::string, int>* index, std::string* warning, std::string* error) override {
        const std::filesystem::path path = find_named(folder_, name);
        const WholeFile whole = read_whole_file(path, most_bytes);
        if (whole.fault != FileFault::none) {
            missing.push_back(name);
            return false;
        }
        const std::vector<std::string> faults = find_faulty_colours(whole.bytes);
        faulty.insert(faulty.end(), faults.begin(), faults.end());
        memory_std::istream again(whole.bytes);
        tinyobj::LoadMtl(index, materials, &again, warning, error);
        return true;
    }

    std::vector<std::string> missing;
    std::vector<std::string> faulty; ///< materials

private:
    std::filesystem::path folder_;
};

Texture read_texture(const std::string& obj_name, const std::filesystem::path& folder,
                     const std::string& name, ObjAllowance& left) {
    const std::filesystem::path file = find_named(folder, name);
    std::error_code error;
    if (!std::filesystem::is_regular_file(file, error))
        fail(obj_name, fmt::format("texture \"{}\" is not there", name),
             "put the picture beside the OBJ or mend its name in the MTL");
    const WholeFile whole = read_whole_file(file, most_bytes);
    if (whole.fault == FileFault::unreadable)
        fail(obj_name, fmt::format("texture \"{}\" cannot be read ({})", name, whole.reason),
             "check that it may be read");
    if (whole.fault == FileFault::too_large)
        fail(obj_name, fmt::format("texture \"{}\" is larger than 1 GB", name), "scale it down");
    const auto* bytes = reinterpret_cast<const stbi_uc*>(whole.bytes.data());
    const auto size = static_cast<int>(whole.bytes.size());
    int width = 0;
    int height = 0;
    int channels = 0;
    const auto refuse = [&](const char* why) {
        fail(obj_name, fmt::format("texture \"{}\" cannot be read ({})", name, why),
             "save it as PNG or JPEG");
    };
    if (!has_whole_chunks(whole.bytes))
        refuse("a part of it is missing");
    if (!stbi_info_from_memory(bytes, size, &width, &height, &channels))
        refuse(stbi_failure_reason());
    if (width > most_pixels_across || height > most_pixels_across)
        fail(obj_name, fmt::format("texture \"{}\" is {} x {} pixels", name, width, height),
             fmt::format("scale it down to {} pixels across", most_pixels_across));
    const std::size_t texels = static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
    if (texels > left.texels)
        fail(obj_name,
             fmt::format(
                 "texture \"{}\" has {:.0f} million pixels, and there is room for {:.0f} million of the "
                 "{:.0f} million that the textures of a site may have",
                 name, static_cast<double>(texels) / 1e6, std::floor(static_cast<double>(left.texels) / 1e6),
                 static_cast<double>(ObjAllowance().texels) / 1e6),
             "scale the textures down");
    left.texels -= texels;
    stbi_set_flip_vertically_on_load_thread(1);
    stbi_uc* pixels = stbi_load_from_memory(bytes, size, &width, &height, &channels, 4);
    if (pixels == nullptr)
        refuse(stbi_failure_reason());
    Texture texture{.width = width, .height = height, .file = text_of(file)};
    texture.rgba.assign(pixels, pixels + static_cast<std::size_t>(width) * height * 4);
    stbi_image_free(pixels);
    return texture;
}

/// Whether every visible texel of a picture is black.
bool is_black(const Texture& texture) {
    for (std::size_t i = 0; i < texture.rgba.size(); i += 4)
        if (texture.rgba[i + 3] >= 128 &&
            std::max({texture.rgba[i], texture.rgba[i + 1], texture.rgba[i + 2]}) > 0)
            return false;
    return true;
}

/// Puts a separate alpha picture (map_d) into the texture's alpha.
void add_alpha(Texture& texture, const Texture& alpha) {
    for (int row = 0; row < texture.height; ++row)
        for (int column = 0; column < texture.width; ++column) {
            const int x = column * alpha.width / texture.width;
            const int y = row * alpha.height / texture.height;
            const std::uint8_t* from =
                alpha.rgba.data() + 4 * (static_cast<std::size_t>(y) * alpha.width + x);
            std::uint8_t* to =
                texture.rgba.data() + 4 * (static_cast<std::size_t>(row) * texture.width + column);
            // A grey mask says it in its colour, a cut-out picture in its own alpha.
            to[3] = std::min(from[0], from[3]);
        }
}

Texture white_texture(const Texture& like) {
    return {like.width, like.height, std::vector<std::uint8_t>(like.rgba.size(), 255)};
}

Texture make_texture(const tinyobj::material_t& from, const std::string& name,
                     const std::filesystem::path& folder, ObjAllowance& left) {
    Texture texture;
    if (!from.diffuse_texname.empty()) {
        texture = read_texture(name, folder, from.diffuse_texname, left);
        if (is_black(texture)) // usually a picture that went wrong on export
            fail(name,
                 fmt::format("texture \"{}\" is black all over: nothing would be seen", from.diffuse_texname),
                 "export the picture again, or give a dark finish by Kd alone");
    }
    if (!from.alpha_texname.empty() && from.alpha_texname != from.diffuse_texname) {
        const Texture alpha = read_texture(name, folder, from.alpha_texname, left);
        if (texture.rgba.empty())
            texture = white_texture(alpha);
        add_alpha(texture, alpha);
        texture.alpha_file = alpha.file;
    }
    return texture;
}

void read_materials(const std::vector<tinyobj::material_t>& materials, const std::string& name,
                    const std::filesystem::path& folder, ObjAllowance& left, ObjMesh& mesh) {
    std::map<std::pair<std::string, std::string>, int> known; // pictures that several materials share
    for (const tinyobj::material_t& from : materials) {
        Material material{.name = from.name,
                          .reflectance = {from.diffuse[0], from.diffuse[1], from.diffuse[2]}};
        const bool is_sound =
            std::all_of(from.diffuse, from.diffuse + 3, [](float value) { return value >= 0 && value <= 1; });
        if (!is_sound)
            fail(name, fmt::format("material \"{}\" has a diffuse colour (Kd) outside 0..1", from.name),
                 "write Kd with three numbers from 0 to 1");
        if (!from.diffuse_texname.empty() || !from.alpha_texname.empty()) {
            const auto [entry, is_new] = known.try_emplace({from.diffuse_texname, from.alpha_texname},
                                                           static_cast<int>(mesh.textures.size()));
            if (is_new)
                mesh.textures.push_back(make_texture(from, name, folder, left));
            material.texture = entry->second;
            // Exporters often leave Kd black where a picture gives the colour.
            if (!from.diffuse_texname.empty() && material.reflectance == glm::vec3(0))
                material.reflectance = glm::vec3(1);
        }
        mesh.materials.push_back(material);
    }
}

/// tinyobjloader splits a corner such as "3/ 1" in its own way and does not look whether the parts exist.
void check_indices(const tinyobj::attrib_t& attributes, const std::vector<tinyobj::shape_t>& shapes,
                   const std::string& name) {
    const auto is_outside = [](int index, int least, std::size_t values, std::size_t each) {
        return index < least || (index >= 0 && static_cast<std::size_t>(index) >= values / each);
    };
    for (const tinyobj::shape_t& shape : shapes)
        for (const tinyobj::index_t& index : shape.mesh.indices)
            if (is_outside(index.vertex_index, 0, attributes.vertices.size(), 3) ||
                is_outside(index.texcoord_index, -1, attributes.texcoords.size(), 2) ||
                is_outside(index.normal_index, -1, attributes.normals.size(), 3))
                fail(name,
                     "has a face that points to a vertex, texture coordinate or normal it does not have",
                     "write the corners of a face as v, v/vt, v//vn or v/vt/vn, without blanks inside");
}

/// Splits corners that share a position but not a texture coordinate.
class VertexPool {
public:
    VertexPool(const tinyobj::attrib_t& attributes, ObjMesh& mesh) : attributes_(attributes), mesh_(mesh) {}

    unsigned add(const tinyobj::index_t& index) {
        const std::uint64_t key = static_cast<std::uint64_t>(static_cast<std::uint32_t>(index.vertex_index))
                                      << 32 |
                                  static_cast<std::uint32_t>(index.texcoord_index);
        const auto [known, is_new] = known_.try_emplace(key, static_cast<unsigned>(mesh_.vertices.size()));
        if (is_new) {
            mesh_.vertices.push_back(triple(attributes_.vertices, index.vertex_index));
            glm::vec2 uv(0);
            if (index.texcoord_index >= 0) {
                const auto at = 2 * static_cast<std::size_t>(index.texcoord_index);
                uv = {attributes_.texcoords[at], attributes_.texcoords[at + 1]};
            }
            mesh_.uv.push_back(uv);
        }
        return known->second;
    }

    /// Sum of the file's normals at a triangle's corners; zero where it has none.
    glm::vec3 normal_of(const tinyobj::index_t* corner) const {
        glm::vec3 sum(0);
        for (int i = 0; i < 3; ++i)
            if (corner[i].normal_index >= 0)
                sum += triple(attributes_.normals, corner[i].normal_index);
        return sum;
    }

private:
    static glm::vec3 triple(const std::vector<tinyobj::real_t>& values, int index) {
        const auto at = 3 * static_cast<std::size_t>(index);
        return {values[at], values[at + 1], values[at + 2]};
    }

    const tinyobj::attrib_t& attributes_;
    ObjMesh& mesh_;
    std::unordered_map<std::uint64_t, unsigned> known_;
};

/// Comments behind a line's numbers: tinyobjloader takes them for corners.
void blank_comments(std::string& text) {
    for (std::size_t at = text.find('#'); at != std::string::npos; at = text.find('#', at)) {
        const std::size_t end = std::min(text.find_first_of("\r\n", at), text.size());
        const std::size_t start = text.find_last_of("\r\n", at);
        const std::size_t key = start == std::string::npos ? 0 : start + 1;
        const std::string_view line(text.data() + key, at - key);
        const std::size_t first = line.find_first_not_of(" \t");
        if (first == std::string_view::npos || line[first] == 'v' || line[first] == 'f')
            std::fill(text.begin() + static_cast<std::ptrdiff_t>(at),
                      text.begin() + static_cast<std::ptrdiff_t>(end), ' ');
        at = end;
    }
}

} // namespace

ObjMesh read_obj(std::string text, const std::string& name, const std::filesystem::path& folder,
                 ObjAllowance allowed) {
    if (text.starts_with("\xef\xbb\xbf"))
        text.erase(0, 3); // byte order mark
    if (text.find_first_not_of(" \t\r\n") == std::string::npos)
        fail(name, "is empty", "export the mesh again");
    scan_obj(text, name, allowed.triangles);
    blank_comments(text);

    tinyobj::attrib_t attributes;
    std::vector<tinyobj::shape_t> shapes;
    std::vector<tinyobj::material_t> materials;
    std::string warning;
    std::string error;
    FolderMaterialReader material_reader(folder);
    memory_std::istream again(text);
    if (!tinyobj::LoadObj(&attributes, &shapes, &materials, &warning, &error, &again, &material_reader, true))
        fail(name, fmt::format("cannot be read ({})", error.empty() ? "unknown reason" : error),
             "export the mesh again");

    check_indices(attributes, shapes, name);

    ObjMesh mesh;
    for (const std::string& missing : material_reader.missing)
        mesh.warnings.push_back(make_problem(Severity::warning, name,
                                             fmt::format("material file \"{}\" is not there", missing),
                                             "the mesh's own finish is used instead"));
    if (!material_reader.faulty.empty())
        fail(name,
             fmt::format("material \"{}\" has a diffuse colour (Kd) that is not three numbers",
                         material_reader.faulty.front()),
             "write Kd with three numbers from 0 to 1");
    read_materials(materials, name, folder, allowed, mesh);
    VertexPool pool(attributes, mesh);
    std::size_t flat = 0;
    for (const tinyobj::shape_t& shape : shapes) {
        mesh.shape_names.push_back(shape.name);
        for (std::size_t face = 0; 3 * face + 2 < shape.mesh.indices.size(); ++face) {
            const tinyobj::index_t* corner = shape.mesh.indices.data() + 3 * face;
            glm::uvec3 triangle(pool.add(corner[0]), pool.add(corner[1]), pool.add(corner[2]));
            const glm::dvec3 a(mesh.vertices[triangle.x]);
            const glm::dvec3 across = glm::cross(glm::dvec3(mesh.vertices[triangle.y]) - a,
                                                 glm::dvec3(mesh.vertices[triangle.z]) - a);
            if (!(glm::dot(across, across) > 0)) {
                ++flat;
                continue;
            }
            if (glm::dot(glm::dvec3(pool.normal_of(corner)), across) < 0)
                std::swap(triangle.y, triangle.z);
            mesh.corners.push_back(triangle);
            const int material = shape.mesh.material_ids[face];
            mesh.material.push_back(material < static_cast<int>(mesh.materials.size()) ? material : -1);
            mesh.shape.push_back(static_cast<int>(mesh.shape_names.size()) - 1);
        }
    }
    if (flat > 0)
        mesh.warnings.push_back(
            make_problem(Severity::warning, name,
                         fmt::format("{} face{} without area left out", flat, flat == 1 ? "" : "s"), ""));
    if (mesh.corners.empty())
        fail(name, "has no face with an area", "export the mesh again");
    return mesh;
}

ObjMesh read_obj_file(const std::filesystem::path& file, ObjAllowance allowed) {
    WholeFile whole = read_whole_file(file, most_bytes);
    if (whole.fault == FileFault::unreadable)
        fail(text_of(file), "cannot be opened", "check that the file is there and may be read");
    if (whole.fault == FileFault::too_large)
        fail(text_of(file), "is larger than 1 GB", "simplify the mesh");
    return read_obj(std::move(whole.bytes), text_of(file), file.parent_path(), allowed);
}

} // namespace duskcast
