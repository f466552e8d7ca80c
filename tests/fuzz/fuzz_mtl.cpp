// Any bytes as the MTL of a mesh: refused with InputError, or read as finishes that reflect no more than
// falls on them. A picture stands beside it to name.
#include "../folder.hpp"
#include "duskcast/stage/obj.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    static const test::Folder folder;
    static const bool has_picture =
        std::filesystem::copy_file(DUSKCAST_CORPUS "/../obj/boards.png", folder.path() / "boards.png",
                                   std::filesystem::copy_options::overwrite_existing);
    fuzz::require(has_picture);
    folder.write("fuzz.mtl", std::string(fuzz::text_of(data, size)));
    const auto mesh = fuzz::read_or_refuse([&] {
        return read_obj("mtllib fuzz.mtl\nusemtl wall\nv 0 0 0\nv 1 0 0\nv 0 0 1\nf 1 2 3\n", "fuzz.obj",
                        folder.path(), {.texels = 1'000'000});
    });
    if (!mesh)
        return 0;
    for (const Material& material : mesh->materials) {
        for (int channel = 0; channel < 3; ++channel)
            fuzz::require(material.reflectance[channel] >= 0 && material.reflectance[channel] <= 1);
        fuzz::require(material.texture < static_cast<int>(mesh->textures.size()));
    }
    return 0;
}
