// Draws the reference pictures and compares them with those in the folder, or renews those.

#include <algorithm>
#include <cstdio>
#include <cstring>
#include <exception>
#include <filesystem>
#include <fstream>

#include "difference.hpp"
#include "duskcast/draw/canvas.hpp"
#include "folder.hpp"
#include "pictures.hpp"

namespace {

using namespace duskcast;
using test::Difference;
using test::Pixels;

std::string encode_png(const Pixels& pixels) {
    Raster raster{pixels.width, pixels.height, {}, {}};
    for (std::size_t i = 0; i < pixels.rgb.size(); i += 3)
        raster.colour.push_back(
            {pixels.rgb[i] / 255.0, pixels.rgb[i + 1] / 255.0, pixels.rgb[i + 2] / 255.0});
    raster.opacity.assign(raster.colour.size(), 1.0);
    Canvas canvas(pixels.width, pixels.height, PictureFormat::png);
    canvas.image(raster, {0, 0, static_cast<double>(pixels.width), static_cast<double>(pixels.height)}, {},
                 false);
    return canvas.finish();
}

void write(const std::filesystem::path& file, const std::string& bytes) {
    std::filesystem::create_directories(file.parent_path());
    std::ofstream(file, std::ios::binary) << bytes;
}

/// The picture moved to the right by a pixel.
Pixels moved(const Pixels& pixels) {
    Pixels result = pixels;
    for (std::size_t i = result.rgb.size(); i-- > 3;)
        result.rgb[i] = result.rgb[i - 3];
    return result;
}

void print(const std::string& name, const Pixels& drawn, const Difference& difference, const char* verdict) {
    if (difference.is_same_size)
        std::printf("%-20s %4d x %-4d  greatest %3d  mean %8.5f  changed %8.5f %%  %s\n", name.c_str(),
                    drawn.width, drawn.height, difference.greatest, difference.mean,
                    100 * difference.changed_share, verdict);
    else
        std::printf("%-20s %4d x %-4d  another size  %s\n", name.c_str(), drawn.width, drawn.height, verdict);
}

int run(const std::filesystem::path& folder, const std::filesystem::path& drawn_folder, bool is_renewing) {
    int faults = 0;
    for (const test::Picture& picture : test::list_pictures(folder.string())) {
        const Pixels whole = test::decode_png(picture.draw());
        const Pixels drawn = picture.is_halved ? test::halve(whole) : whole;
        const std::filesystem::path file = folder / (picture.name + ".png");
        if (!std::filesystem::exists(file)) {
            print(picture.name, drawn, {}, is_renewing ? "new" : "MISSING");
            faults += is_renewing ? 0 : 1;
            if (is_renewing)
                write(file, encode_png(drawn));
            continue;
        }
        const Pixels kept = test::decode_png(test::read_bytes(file));
        const Difference difference = test::find_difference(kept, drawn);
        const bool is_same = difference.is_same_size && difference.greatest == 0;
        if (is_renewing) {
            print(picture.name, drawn, difference, is_same ? "unchanged" : "renewed");
            if (!is_same)
                write(file, encode_png(drawn));
            continue;
        }
        // A tolerance that lets through a picture out of its place would let through anything.
        const bool can_fail = !picture.tolerance.allows(test::find_difference(kept, moved(kept)));
        const bool is_good = picture.tolerance.allows(difference) && can_fail;
        print(picture.name, drawn, difference,
              is_good    ? ""
              : can_fail ? "CHANGED"
                         : "TOO PLAIN: the picture moved by a pixel would pass");
        if (!is_good) {
            ++faults;
            write(drawn_folder / (picture.name + ".png"), encode_png(drawn));
        }
    }
    if (faults > 0)
        std::printf("%d not as in %s; as drawn now in %s. If that is meant, tools/renew-pictures.\n", faults,
                    folder.string().c_str(), drawn_folder.string().c_str());
    return faults == 0 ? 0 : 1;
}

} // namespace

int main(int count, char** arguments) {
    const bool is_renewing = count == 4 && std::strcmp(arguments[3], "--renew") == 0;
    if (count != 3 && !is_renewing) {
        std::fprintf(stderr, "usage: check_pictures REFERENCE_FOLDER FOLDER_FOR_CHANGED_ONES [--renew]\n");
        return 2;
    }
    try {
        return run(arguments[1], arguments[2], is_renewing);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "check_pictures: %s\n", error.what());
        return 1;
    }
}
