// Photos that are at fault, and photos that lie on their side.

#include <doctest/doctest.h>

#include "../folder.hpp"
#include "../message_of.hpp"
#include "duskcast/photo/photo_file.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

std::string photo_bytes() {
    return read_bytes(DUSKCAST_SOURCE_DIR "/scenes/street-photo/street.jpg");
}

/// Where the frame's header begins (marker SOF0, ITU-T T.81 table B.1).
std::size_t frame_of(const std::string& jpeg) {
    const std::size_t at = jpeg.find("\xff\xc0");
    REQUIRE(at != std::string::npos);
    return at;
}

/// The JPEG with Exif's Orientation and FocalLengthIn35mmFilm (CIPA DC-008: tags 0x0112 and 0xA405) in front.
std::string with_exif(const std::string& jpeg, int turn, int focal) {
    const auto two = [](int value) { return std::string{char(value >> 8), char(value & 255)}; };
    const auto four = [&](int value) { return two(value >> 16) + two(value & 0xffff); };
    const auto entry = [&](int tag, int type, int value) {
        return two(tag) + two(type) + four(1) + (type == 3 ? two(value) + two(0) : four(value));
    };
    const std::string tiff = std::string("MM") + two(42) + four(8) + two(2) + entry(0x0112, 3, turn) +
                             entry(0x8769, 4, 38) + four(0) + two(1) + entry(0xa405, 3, focal) + four(0);
    const std::string body = std::string("Exif\0\0", 6) + tiff;
    return jpeg.substr(0, 2) + "\xff\xe1" + two(static_cast<int>(body.size()) + 2) + body + jpeg.substr(2);
}

} // namespace

TEST_CASE("a photo at fault is refused with what is wrong with it") {
    const Folder folder;
    const auto refusal = [&](const std::string& bytes) {
        folder.write("photo.jpg", bytes);
        const std::string message = message_of([&] { read_photo(folder / "photo.jpg"); });
        CHECK(message_of([&] { read_photo_info(folder / "photo.jpg"); }) == message);
        return message;
    };
    const auto says = [](const std::string& message, const std::string& part) {
        CAPTURE(message);
        CHECK(message.find(part) != std::string::npos);
    };
    const std::string good = photo_bytes();
    CHECK(refusal(good) == "no error");
    says(refusal(""), "the photo is empty");
    says(refusal(good.substr(0, good.size() / 2)), "cut off before its end");
    // A small picture for the eye inside of Exif has an end mark of its own.
    says(refusal(with_exif(good, 1, 26).insert(40, "\xff\xd9").substr(0, good.size() / 2)), "cut off");
    std::string inks = good;
    inks[frame_of(good) + 9] = 4;
    says(refusal(inks), "four inks (CMYK)");
    std::string deep = good;
    deep[frame_of(good) + 4] = 12;
    says(refusal(deep), "12 bits a colour");
    says(refusal(std::string("\0\0\0\x18"
                             "ftypheic",
                             12)),
         "neither a JPEG nor a PNG");
    const std::string png = read_bytes(DUSKCAST_TEST_DIR "/photo/street-truth.png");
    CHECK(refusal(png) == "no error");
    std::string sixteen = png;
    sixteen[24] = 16; // IHDR's bit depth (PNG specification 11.2.2)
    says(refusal(sixteen), "16 bits a colour");
    std::string moving = png;
    moving.insert(33, std::string("\0\0\0\x08"
                                  "acTL\0\0\0\2\0\0\0\0\0\0\0\0",
                                  20));
    says(refusal(moving), "several frames");
    std::string huge = good;
    for (const std::size_t i : {5u, 6u, 7u, 8u})
        huge[frame_of(good) + i] = '\x7f';
    says(refusal(huge), "32639 x 32639 pixels");
    says(message_of([&] { read_photo(folder / "none.jpg"); }), "cannot be read");
}

TEST_CASE("a photo on its side is stood upright, and its file tells the lens") {
    const Folder folder;
    const std::string good = photo_bytes();
    const auto write = [&](int turn) {
        folder.write("photo.jpg", with_exif(good, turn, 26));
        return folder / "photo.jpg";
    };
    const PhotoPixels upright = read_photo(write(1));
    REQUIRE(upright.size == glm::ivec2(960, 640));
    // Where the file's upper left corner goes: the row and column that CIPA DC-008 names for each value.
    struct Turn {
        int value;
        bool is_right, is_bottom, is_on_side;
    };
    for (const Turn& turn :
         {Turn{2, true, false, false}, Turn{3, true, true, false}, Turn{4, false, true, false},
          Turn{5, false, false, true}, Turn{6, true, false, true}, Turn{7, true, true, true},
          Turn{8, false, true, true}}) {
        CAPTURE(turn.value);
        const PhotoPixels turned = read_photo(write(turn.value));
        const PhotoInfo info = read_photo_info(folder / "photo.jpg");
        if (info.turn == 1) // the build has no libexif
            return;
        CHECK(turned.size == (turn.is_on_side ? glm::ivec2(640, 960) : glm::ivec2(960, 640)));
        CHECK(info.size == turned.size);
        CHECK(info.focal_35mm == 26);
        // The file's pixel (300, 100) from its own corner.
        const glm::ivec2 in_file = turn.is_on_side ? glm::ivec2(100, 300) : glm::ivec2(300, 100);
        const int x = turn.is_right ? turned.size.x - 1 - in_file.x : in_file.x;
        const int y = turn.is_bottom ? turned.size.y - 1 - in_file.y : in_file.y;
        CHECK(turned.linear_at(static_cast<std::size_t>(y) * turned.size.x + x) ==
              upright.linear_at(100 * 960 + 300));
    }
}
