#pragma once

#include "duskcast/draw/canvas.hpp"
#include "pixels.hpp"

namespace duskcast::test {

/// A page of one colour with what `draw` adds.
template <class Draw> Pixels draw_page(const Colour& paper, const Draw& draw) {
    Canvas canvas(400, 200, PictureFormat::png);
    canvas.fill(Box{0, 0, 400, 200}, {paper, 1});
    draw(canvas);
    return read_pixels(canvas.finish());
}

inline constexpr Colour green{0, 1, 0};

} // namespace duskcast::test
