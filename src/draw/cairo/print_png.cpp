#include "print_png.hpp"

#include <csetjmp>
#include <png.h>
#include <stdexcept>
#include <vector>
#include <zlib.h>

namespace duskcast {

namespace {

void append_png(png_structp png, png_bytep bytes, png_size_t count) {
    static_cast<std::string*>(png_get_io_ptr(png))->append(reinterpret_cast<const char*>(bytes), count);
}

void flush_nothing(png_structp) {}

/// What libpng holds while it writes.
struct PngWriter {
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
    png_infop info = png != nullptr ? png_create_info_struct(png) : nullptr;
    PngWriter() = default;
    PngWriter(const PngWriter&) = delete;
    PngWriter& operator=(const PngWriter&) = delete;
    ~PngWriter() { png_destroy_write_struct(&png, &info); }
};

} // namespace

std::string print_png(int width, int height, const std::uint32_t* pixels, std::size_t stride, PngKind kind) {
    std::string bytes;
    std::vector<png_byte> row(3 * static_cast<std::size_t>(width));
    PngWriter writer;
    // libpng's errors come back here; nothing that has a destructor is made after this.
    if (writer.info == nullptr || setjmp(png_jmpbuf(writer.png)) != 0)
        throw std::runtime_error("a picture of this size cannot be written");
    png_set_write_fn(writer.png, &bytes, append_png, flush_nothing);
    const bool is_grainy = kind == PngKind::grainy;
    png_set_compression_strategy(writer.png, is_grainy ? Z_RLE : Z_DEFAULT_STRATEGY);
    png_set_filter(writer.png, PNG_FILTER_TYPE_BASE, is_grainy ? PNG_ALL_FILTERS : PNG_FILTER_NONE);
    png_set_IHDR(writer.png, writer.info, static_cast<png_uint_32>(width), static_cast<png_uint_32>(height),
                 8, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
                 PNG_FILTER_TYPE_DEFAULT);
    png_write_info(writer.png, writer.info);
    for (std::size_t y = 0; y < static_cast<std::size_t>(height); ++y) {
        for (std::size_t x = 0; x < static_cast<std::size_t>(width); ++x)
            for (std::size_t channel = 0; channel < 3; ++channel)
                row[3 * x + channel] =
                    static_cast<png_byte>(pixels[y * stride + x] >> (16 - 8 * channel) & 0xff);
        png_write_row(writer.png, row.data());
    }
    png_write_end(writer.png, nullptr);
    return bytes;
}

} // namespace duskcast
