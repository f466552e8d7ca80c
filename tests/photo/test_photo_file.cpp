// Photos that are at fault, and photos that lie on their side.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <doctest/doctest.h>

#include "../../src/photo/exif.hpp"
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

/// Big-endian, as PNG and Exif write numbers here.
std::string four_bytes(std::uint32_t value) {
    return {char(value >> 24), char(value >> 16 & 255), char(value >> 8 & 255), char(value & 255)};
}

/// A PNG of 8 bits a channel without compression: ISO/IEC 15948, with CRC-32 after its annex D and the stored
/// blocks of RFC 1950 and 1951. Colour type 2: red, green, blue; 6: with alpha; 0: grey; 4: grey with alpha.
std::string png_of(int width, int height, int colour_type, int channels, const std::string& samples) {
    const auto chunk = [](const std::string& name, const std::string& data) {
        std::uint32_t crc = 0xffffffff;
        for (const char byte : name + data) {
            crc ^= static_cast<std::uint8_t>(byte);
            for (int bit = 0; bit < 8; ++bit)
                crc = crc & 1 ? 0xedb88320 ^ crc >> 1 : crc >> 1;
        }
        return four_bytes(static_cast<std::uint32_t>(data.size())) + name + data + four_bytes(~crc);
    };
    std::string rows;
    for (int y = 0; y < height; ++y)
        rows += '\0' + samples.substr(static_cast<std::size_t>(y * width * channels),
                                      static_cast<std::size_t>(width * channels));
    std::uint32_t a = 1, b = 0;
    for (const char byte : rows) {
        a = (a + static_cast<std::uint8_t>(byte)) % 65521;
        b = (b + a) % 65521;
    }
    const auto size = static_cast<unsigned>(rows.size());
    const std::string stored = std::string("\x78\x01\x01") + char(size & 255) + char(size >> 8) +
                               char(~size & 255) + char(~size >> 8 & 255) + rows + four_bytes(b << 16 | a);
    return std::string("\x89PNG\r\n\x1a\n") +
           chunk("IHDR", four_bytes(static_cast<std::uint32_t>(width)) +
                             four_bytes(static_cast<std::uint32_t>(height)) + '\x08' + char(colour_type) +
                             std::string(3, '\0')) +
           chunk("IDAT", stored) + chunk("IEND", "");
}

} // namespace

TEST_CASE("a PNG's pixels are read from the top, grey as three channels, and what is see-through as black") {
    const Folder folder;
    const auto read = [&](int colour_type, int channels, const std::string& samples) {
        folder.write("photo.png", png_of(3, 2, colour_type, channels, samples));
        const PhotoPixels pixels = read_photo(folder / "photo.png");
        CHECK(pixels.size == glm::ivec2(3, 2));
        CHECK(read_photo_info(folder / "photo.png").size == pixels.size);
        CHECK(!read_photo_info(folder / "photo.png").focal_35mm);
        return std::vector<int>(pixels.rgb.begin(), pixels.rgb.end());
    };
    using Values = std::vector<int>;
    CHECK(read(2, 3, "abcdefghijklmnopqr") ==
          Values{97, 98, 99, 100, 101, 102, 103, 104, 105, 106, 107, 108, 109, 110, 111, 112, 113, 114});
    CHECK(read(0, 1, "abcdef") ==
          Values{97, 97, 97, 98, 98, 98, 99, 99, 99, 100, 100, 100, 101, 101, 101, 102, 102, 102});
    // White without cover, white covered by two fifths, and white whole; then greens.
    CHECK(read(6, 4,
               std::string("\xff\xff\xff\0\xff\xff\xff\x66\xff\xff\xff\xff"
                           "\0\xff\0\0\0\xff\0\x66\0\xff\0\xff",
                           24)) ==
          Values{0, 0, 0, 102, 102, 102, 255, 255, 255, 0, 0, 0, 0, 102, 0, 0, 255, 0});
    CHECK(read(4, 2, std::string("\xff\0\xff\x66\xff\xff\x64\0\x64\xff\0\xff", 12)) ==
          Values{0, 0, 0, 102, 102, 102, 255, 255, 255, 0, 0, 0, 100, 100, 100, 0, 0, 0});
}

TEST_CASE("a value of the file is light by the law of sRGB, and blown out near its end") {
    const Folder folder;
    std::string samples;
    for (int value = 0; value < 256; ++value)
        samples += std::string{char(value), char(255 - value), '\0'};
    folder.write("photo.png", png_of(256, 1, 2, 3, samples));
    const PhotoPixels pixels = read_photo(folder / "photo.png");
    // IEC 61966-2-1: V / 12.92 up to 0.04045, then ((V + 0.055) / 1.055)^2.4.
    const auto light_of = [](double value) {
        const double v = value / 255;
        return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    };
    for (int value = 0; value < 256; ++value) {
        CAPTURE(value);
        const glm::vec3 linear = pixels.linear_at(static_cast<std::size_t>(value));
        CHECK(static_cast<double>(linear.x) == doctest::Approx(light_of(value)).epsilon(1e-5));
        CHECK(static_cast<double>(linear.y) == doctest::Approx(light_of(255 - value)).epsilon(1e-5));
        CHECK(linear.z == 0);
        CHECK(pixels.is_blown_out(static_cast<std::size_t>(value)) == (value >= 253 || value <= 2));
    }
}

TEST_CASE("a PNG that is cut off or damaged inside is refused when its pixels are wanted") {
    const Folder folder;
    const std::string good = png_of(3, 2, 2, 3, "abcdefghijklmnopqr");
    const auto refusal = [&](const std::string& bytes) {
        folder.write("photo.png", bytes);
        return message_of([&] { read_photo(folder / "photo.png"); });
    };
    CHECK(refusal(good) == "no error");
    CHECK(refusal(good.substr(0, good.size() - 12)).find("cut off before its end") != std::string::npos);
    std::string damaged = good;
    damaged[good.find("IDAT") + 6] = '\x07'; // a block of a kind that does not exist (RFC 1951, 3.2.3)
    CHECK(refusal(damaged).find("the photo is damaged") != std::string::npos);
    CHECK(message_of([&] { read_photo_info(folder / "photo.png"); }) == "no error"); // its header is whole
    std::string header = good;
    header[good.find("IHDR") + 9] = '\x01'; // colour type 1 does not exist
    CHECK(refusal(header).find("the photo is damaged") != std::string::npos);
}

TEST_CASE("a lens or a turn that Exif cannot mean is left out") {
    const Folder folder;
    const auto info_with = [&](int turn, int focal) {
        folder.write("photo.jpg", with_exif(photo_bytes(), turn, focal));
        return read_photo_info(folder / "photo.jpg");
    };
    for (const int turn : {0, 9, 300}) {
        const PhotoInfo info = info_with(turn, 0); // 0: unknown (CIPA DC-008, FocalLengthIn35mmFilm)
        CHECK(info.turn == 1);
        CHECK(info.size == glm::ivec2(960, 640));
        CHECK(!info.focal_35mm);
    }
}

TEST_CASE("our own reader of Exif finds what the library finds, whichever way its numbers are written") {
    const Folder folder;
    const std::string good = photo_bytes();
    const auto swapped = [](std::string bytes, std::initializer_list<std::pair<int, int>> fields) {
        const std::size_t tiff = bytes.find(std::string("MM\0*", 4));
        bytes.replace(tiff, 2, "II");
        for (const auto& [at, width] : fields)
            std::reverse(bytes.begin() + static_cast<std::ptrdiff_t>(tiff) + at,
                         bytes.begin() + static_cast<std::ptrdiff_t>(tiff) + at + width);
        return bytes;
    };
    for (const int turn : {0, 1, 3, 6, 8, 9})
        for (const int focal : {0, 13, 26}) {
            const std::string big = with_exif(good, turn, focal);
            const std::string little = swapped(big, {{2, 2},
                                                     {4, 4},
                                                     {8, 2},
                                                     {10, 2},
                                                     {12, 2},
                                                     {14, 4},
                                                     {18, 2},
                                                     {22, 2},
                                                     {24, 2},
                                                     {26, 4},
                                                     {30, 4},
                                                     {38, 2},
                                                     {40, 2},
                                                     {42, 2},
                                                     {44, 4},
                                                     {48, 2}});
            for (const std::string& bytes : {big, little}) {
                folder.write("photo.jpg", bytes);
                const PhotoInfo info = read_photo_info(folder / "photo.jpg"); // libexif where it is there
                const ExifFigures figures = read_exif_figures(bytes);
                CAPTURE(turn);
                CAPTURE(focal);
                CHECK(figures.turn.value_or(1) == info.turn);
                CHECK(figures.focal_35mm.value_or(0) == info.focal_35mm.value_or(0));
                CHECK(info.turn == (turn >= 1 && turn <= 8 ? turn : 1));
                CHECK(info.focal_35mm.value_or(0) == focal);
                // Cut off or overwritten it says what it still can, and reads nothing that is not there.
                for (std::size_t size = 0; size < 80; ++size) {
                    const ExifFigures cut = read_exif_figures(std::string_view(bytes).substr(0, size));
                    CHECK((!cut.turn || cut.turn == figures.turn));
                    std::string broken = bytes.substr(0, 80);
                    broken[size] = '\xff';
                    read_exif_figures(broken);
                }
            }
        }
    CHECK(!read_exif_figures(good).turn);
    CHECK(!read_exif_figures("").turn);
    // A lens as a long number, which no camera writes: neither reader takes it, and none is below 0.
    std::string as_long = with_exif(good, 6, 26);
    const std::size_t at = as_long.find(std::string("MM\0*", 4)) + 42; // the type in the entry of the lens
    as_long.replace(at, 10, std::string("\0\4\0\0\0\1\xff\xff\xff\xfe", 10));
    folder.write("photo.jpg", as_long);
    CHECK(read_exif_figures(as_long).turn == 6);
    CHECK(!read_exif_figures(as_long).focal_35mm);
    CHECK(!read_photo_info(folder / "photo.jpg").focal_35mm);
}

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
