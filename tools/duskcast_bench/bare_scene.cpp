#include "bare_scene.hpp"

#include <algorithm>
#include <cstring>
#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>

#include "bench.hpp"

using namespace duskcast;

BareScene::BareScene(const Stage& stage) : device_(rtcNewDevice(nullptr)), scene_(rtcNewScene(device_)) {
    rtcSetSceneFlags(scene_, RTC_SCENE_FLAG_ROBUST);
    rtcSetSceneBuildQuality(scene_, RTC_BUILD_QUALITY_HIGH);
    std::vector<glm::uvec4> quads;
    for (unsigned i = 0; i < stage.leaves.size(); ++i)
        quads.emplace_back(4 * i, 4 * i + 1, 4 * i + 2, 4 * i + 3);
    attach(RTC_GEOMETRY_TYPE_TRIANGLE, stage.opaque.vertices, stage.opaque.corners.data(), RTC_FORMAT_UINT3,
           sizeof(glm::uvec3), stage.opaque.size());
    attach(RTC_GEOMETRY_TYPE_QUAD, stage.leaves.corners, quads.data(), RTC_FORMAT_UINT4, sizeof(glm::uvec4),
           quads.size());
    rtcCommitScene(scene_);
}

BareScene::~BareScene() {
    rtcReleaseScene(scene_);
    rtcReleaseDevice(device_);
}

double BareScene::trace(const std::vector<Ray>& rays, unsigned stream, bool is_coherent, Clock now) const {
    std::vector<Ray> work = rays;
    const auto copy = [&](std::size_t from, std::size_t count) {
        std::memcpy(static_cast<void*>(work.data() + from), rays.data() + from, count * sizeof(Ray));
    };
    const double seconds = best_seconds(
        3,
        [&] {
            tbb::parallel_for(tbb::blocked_range<std::size_t>(0, work.size(), 4096), [&](const auto& range) {
                copy(range.begin(), range.size());
                RTCIntersectContext context;
                rtcInitIntersectContext(&context);
                context.flags =
                    is_coherent ? RTC_INTERSECT_CONTEXT_FLAG_COHERENT : RTC_INTERSECT_CONTEXT_FLAG_INCOHERENT;
                auto* first = reinterpret_cast<RTCRay*>(work.data());
                for (std::size_t i = range.begin(); i < range.end(); i += stream) {
                    if (stream == 1)
                        rtcOccluded1(scene_, &context, first + i);
                    else
                        rtcOccluded1M(scene_, &context, first + i,
                                      static_cast<unsigned>(std::min<std::size_t>(stream, range.end() - i)),
                                      sizeof(RTCRay));
                }
            });
        },
        now);
    return seconds;
}

double BareScene::trace_hits(const glm::vec3& origin, const std::vector<glm::vec3>& directions) const {
    std::vector<RTCRayHit> rays(directions.size());
    double best = 1e30;
    for (int repeat = 0; repeat < 3; ++repeat) {
        for (std::size_t i = 0; i < rays.size(); ++i) {
            rays[i] = {};
            rays[i].ray.org_x = origin.x, rays[i].ray.org_y = origin.y, rays[i].ray.org_z = origin.z;
            rays[i].ray.dir_x = directions[i].x, rays[i].ray.dir_y = directions[i].y;
            rays[i].ray.dir_z = directions[i].z;
            rays[i].ray.tnear = surface_offset, rays[i].ray.tfar = 1e5f;
            rays[i].ray.mask = 0xffffffffu;
            rays[i].hit.geomID = RTC_INVALID_GEOMETRY_ID;
        }
        best = std::min(best, best_seconds(
                                  1,
                                  [&] {
                                      RTCIntersectContext context;
                                      rtcInitIntersectContext(&context);
                                      for (RTCRayHit& ray : rays)
                                          rtcIntersect1(scene_, &context, &ray);
                                  },
                                  processor_seconds));
    }
    return best;
}

void BareScene::attach(RTCGeometryType type, const std::vector<glm::vec3>& vertices, const void* indices,
                       RTCFormat format, std::size_t size, std::size_t count) {
    if (count == 0)
        return;
    RTCGeometry geometry = rtcNewGeometry(device_, type);
    std::memcpy(rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3,
                                        sizeof(glm::vec3), vertices.size()),
                vertices.data(), vertices.size() * sizeof(glm::vec3));
    std::memcpy(rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, format, size, count), indices,
                count * size);
    rtcCommitGeometry(geometry);
    rtcAttachGeometry(scene_, geometry);
    rtcReleaseGeometry(geometry);
}
