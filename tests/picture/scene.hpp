#pragma once
// What several tests of the room need: a folder of their own, a small lit site, a look at a PNG's pixels.

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "duskcast/picture/colour_scale.hpp"
#include "duskcast/picture/plate.hpp"
#include "duskcast/stage/obj.hpp"

namespace duskcast::test {

/// A folder that is removed in the end.
class Folder {
public:
    explicit Folder(const std::string& name)
        : path_(std::filesystem::temp_directory_path() / ("duskcast-picture-" + name)) {
        std::filesystem::remove_all(path_);
        std::filesystem::create_directories(path_);
    }
    ~Folder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;

    std::filesystem::path operator/(const std::string& name) const { return path_ / name; }
    const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

inline void write(const std::filesystem::path& file, const std::string& bytes) {
    std::ofstream(file, std::ios::binary) << bytes;
}

inline std::string read(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

/// The pixels of a PNG, by way of the reader for textures.
inline Texture read_pixels(const std::string& png) {
    const Folder folder("pixels");
    write(folder / "page.png", png);
    write(folder / "page.mtl", "newmtl page\nmap_Kd page.png\n");
    write(folder / "page.obj",
          "mtllib page.mtl\nusemtl page\nv 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nf 1/1 2/1 3/1\n");
    return read_obj_file(folder / "page.obj").textures.at(0);
}

/// Mean place and number of the pixels near a colour; y upwards, as textures count.
struct Patch {
    double x = 0, y = 0;
    std::size_t count = 0;
};

inline Patch find_colour(const Texture& page, const Colour& colour, int tolerance = 2) {
    Patch patch;
    for (int y = 0; y < page.height; ++y)
        for (int x = 0; x < page.width; ++x) {
            const std::uint8_t* pixel = &page.rgba[4 * (static_cast<std::size_t>(y) * page.width + x)];
            bool is_near = true;
            for (std::size_t i = 0; i < 3; ++i)
                is_near = is_near && std::abs(pixel[i] - 255 * colour[i]) <= tolerance;
            if (is_near) {
                patch.x += x;
                patch.y += y;
                ++patch.count;
            }
        }
    if (patch.count > 0) {
        patch.x /= static_cast<double>(patch.count);
        patch.y /= static_cast<double>(patch.count);
    }
    return patch;
}

/// A fixture of 100 cd whatever the direction, with a lens that is a point.
inline LitFixture make_point(const std::string& id, const glm::vec3& at) {
    LitFixture fixture;
    fixture.id = id;
    fixture.lens.centre = at;
    fixture.table = IntensityTable(Distribution{{0}, {0, pi}, {100, 100}}, {});
    return fixture;
}

} // namespace duskcast::test
