#pragma once
// Embree by itself, for comparison.

#include <embree3/rtcore.h>
#include <vector>

#include "bench.hpp"
#include "duskcast/stage/stage.hpp"

/// The stage's opaque triangles and leaves (not its cut-outs) in a bare Embree scene whose rays do not leak.
class BareScene {
public:
    explicit BareScene(const duskcast::Stage& stage);
    ~BareScene();
    BareScene(const BareScene&) = delete;
    BareScene& operator=(const BareScene&) = delete;

    /// Seconds to find what is occluded by a loop of single-ray calls (`stream` 1) or by streams of that
    /// many.
    double trace(const std::vector<duskcast::Ray>& rays, unsigned stream, bool is_coherent,
                 Clock now = wall_seconds) const;

    /// Processor seconds to find the nearest hits by a loop of single-ray calls.
    double trace_hits(const glm::vec3& origin, const std::vector<glm::vec3>& directions) const;

private:
    void attach(RTCGeometryType type, const std::vector<glm::vec3>& vertices, const void* indices,
                RTCFormat format, std::size_t size, std::size_t count);

    RTCDevice device_;
    RTCScene scene_;
};
