#pragma once
// Wavefront OBJ with MTL and textures.

#include <filesystem>
#include <string>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/stage/geometry.hpp"

namespace duskcast {

/// A mesh in the OBJ's own units and axes.
struct ObjMesh {
    std::vector<glm::vec3> vertices;
    std::vector<glm::vec2> uv; ///< one a vertex
    std::vector<glm::uvec3> corners;
    std::vector<int> material; ///< one a triangle; -1: none
    std::vector<int> shape;    ///< one a triangle: index into shape_names
    std::vector<std::string> shape_names;
    std::vector<Material> materials; ///< textures index into `textures`
    std::vector<Texture> textures;
    std::vector<Problem> warnings; ///< what was left out or repaired
};

/// What the meshes of a site may hold together, or what is left of it.
struct ObjAllowance {
    std::size_t triangles = 5'000'000;                                 ///< about 3 GB once built
    std::size_t texels = sizeof(void*) < 8 ? 64'000'000 : 256'000'000; ///< of 4 bytes each
};

/// Reads through tinyobjloader and stb_image. Polygons are split, vertices without uv get (0, 0), triangles
/// are wound so that the file's normals, where given, point outwards; degenerate ones are left out.
/// `folder` is where MTL and textures are looked for; `name` is what messages call the file.
/// Throws InputError for a file with nothing in it, a number that is not finite, an index out of range, a
/// texture that is missing or unreadable, more triangles or texels than are allowed.
ObjMesh read_obj(std::string text, const std::string& name, const std::filesystem::path& folder,
                 ObjAllowance allowed = {});

/// Throws InputError also when the file cannot be opened or is larger than 1 GB.
ObjMesh read_obj_file(const std::filesystem::path& file, ObjAllowance allowed = {});

} // namespace duskcast
