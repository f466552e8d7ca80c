// Any bytes as the picture on a mesh: refused with InputError, or read to the last texel.
#include "../folder.hpp"
#include "duskcast/stage/obj.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    static const test::Folder folder;
    static const bool has_material = [] {
        folder.write("wall.mtl", "newmtl wall\nmap_Kd picture.png\n");
        return true;
    }();
    fuzz::require(has_material);
    folder.write("picture.png", std::string(fuzz::text_of(data, size)));
    const auto mesh = fuzz::read_or_refuse([&] {
        return read_obj("mtllib wall.mtl\nusemtl wall\nv 0 0 0\nv 1 0 0\nv 0 0 1\nf 1 2 3\n", "fuzz.obj",
                        folder.path(), {.texels = 1'000'000});
    });
    if (!mesh)
        return 0;
    fuzz::require(mesh->textures.size() == 1);
    const Texture& texture = mesh->textures.front();
    fuzz::require(texture.rgba.size() ==
                  4 * static_cast<std::size_t>(texture.width) * static_cast<std::size_t>(texture.height));
    return 0;
}
