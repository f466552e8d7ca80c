// Bodies that touch: their faces between them are one place twice, and no light comes there.

#include "duskcast/light/bounce.hpp"
#include "stage_maker.hpp"

using namespace duskcast;

TEST_CASE("bounce: of bodies that touch, what can be lit is the surface of their union") {
    StageMaker maker;
    Triangles& opaque = maker.stage->opaque;
    const std::uint16_t grey = maker.material(glm::vec3(0.3f));
    for (const float x : {-1.0f, 1.0f}) // four cubes of 2 m round one edge
        for (const float y : {-1.0f, 1.0f}) {
            const std::size_t first = opaque.size(), corner = opaque.vertices.size();
            maker.add_box(glm::vec3(1), grey, true);
            for (std::size_t i = corner; i < opaque.vertices.size(); ++i)
                opaque.vertices[i] += glm::vec3(x, y, 0);
            opaque.close_body(first);
        }
    const auto bounce = trace_bounce(maker.finish());
    double area = 0;
    for (const float patch : bounce->patches.area)
        area += static_cast<double>(patch);
    CHECK(area == doctest::Approx(2 * 4 * 4 + 4 * 4 * 2).epsilon(1e-4)); // of 4 x 24 m2 of faces
}
