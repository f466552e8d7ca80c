#pragma once
// Fixtures on a page: their marks, and what is said of them below.

#include <string>
#include <vector>

#include "duskcast/draw/page.hpp"
#include "duskcast/sheets/fixture_words.hpp"

namespace duskcast {

/// What a fixture's mark takes up: its rim included, and as far as its stem goes.
inline constexpr double fixture_mark_radius = 7, fixture_stem = 15;

/// A dot with a stem the way the fixture points on the page (next to nothing: no stem). Hollow and dashed:
/// something stands before it.
void draw_fixture_mark(Canvas& canvas, const glm::dvec2& at, const glm::dvec2& direction,
                       bool is_hidden = false);

/// A ring round a lens in a picture, on a rim that sets it off; dashed where something stands before it.
void draw_lens_ring(Canvas& canvas, const glm::dvec2& at, const Ink& ink, const Ink& rim, bool is_hidden);

/// A stretch of the page with fixtures' marks above it: x of each fixture, in the fixtures' order.
struct MarkGroup {
    std::vector<double> marks;
    double left = 0;
    double right = 0;
};

/// Words side by side below the fixtures' marks, joined to them by thin leaders. Where they do not fit, or
/// the fixtures are marked in several places, only the ids stand there and a list in columns follows.
class FixtureRow {
public:
    FixtureRow(std::vector<FixtureText> fixtures, std::vector<MarkGroup> groups);

    double height() const { return height_; }
    void draw(Canvas& canvas, double top) const;

private:
    std::vector<FixtureText> fixtures_;
    std::vector<MarkGroup> groups_;
    std::vector<std::vector<double>> middles_; ///< of the labels, one vector a group
    bool is_list_ = false;
    double height_ = 0;
};

} // namespace duskcast
