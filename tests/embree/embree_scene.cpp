#include "embree_scene.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstring>
#include <embree3/rtcore.h>
#include <fmt/format.h>
#include <numeric>
#include <stdexcept>
#include <string>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/problem.hpp"

namespace duskcast {

static_assert(sizeof(Ray) == sizeof(RTCRay) && alignof(Ray) == alignof(RTCRay));
static_assert(offsetof(Ray, origin) == offsetof(RTCRay, org_x) &&
              offsetof(Ray, near_end) == offsetof(RTCRay, tnear));
static_assert(offsetof(Ray, direction) == offsetof(RTCRay, dir_x) &&
              offsetof(Ray, far_end) == offsetof(RTCRay, tfar));
static_assert(offsetof(Ray, mask) == offsetof(RTCRay, mask) &&
              offsetof(Ray, flags) == offsetof(RTCRay, flags));

namespace {

constexpr unsigned opaque_id = 0;
constexpr unsigned cutout_id = 1;
constexpr unsigned leaf_id = 2;

/// What the cut-out filter needs to find a texel.
struct CutoutData {
    const Triangles* triangles;
    const std::vector<Material>* materials;
    const std::vector<Texture>* textures;
};

/// Rejects hits on see-through texels. Called for occlusion and for nearest-hit queries alike.
void pass_cutouts(const RTCFilterFunctionNArguments* arguments) {
    const auto& data = *static_cast<const CutoutData*>(arguments->geometryUserPtr);
    for (unsigned i = 0; i < arguments->N; ++i) {
        if (arguments->valid[i] == 0)
            continue;
        const unsigned facet = RTCHitN_primID(arguments->hit, arguments->N, i);
        const int texture = (*data.materials)[data.triangles->material[facet]].texture;
        if (texture < 0)
            continue;
        const float u = RTCHitN_u(arguments->hit, arguments->N, i);
        const float v = RTCHitN_v(arguments->hit, arguments->N, i);
        const glm::uvec3& corner = data.triangles->corners[facet];
        const std::vector<glm::vec2>& uv = data.triangles->uv;
        const glm::vec2 at = (1.0f - u - v) * uv[corner.x] + u * uv[corner.y] + v * uv[corner.z];
        if ((*data.textures)[texture].alpha(at.x, at.y) < 0.5f)
            arguments->valid[i] = 0;
    }
}

[[noreturn]] void throw_out_of_memory(const std::string& reason) {
    throw InputError(Problem{.what = "the scene does not fit into memory (" + reason + ")",
                             .remedy = "use larger leaves, fewer plants or simpler meshes"});
}

} // namespace

struct EmbreeScene::Scene {
    RTCDevice device = nullptr;
    RTCScene scene = nullptr;
    CutoutData cutout_data{};

    ~Scene() {
        if (scene)
            rtcReleaseScene(scene);
        if (device)
            rtcReleaseDevice(device);
    }

    void check() const {
        const RTCError error = rtcGetDeviceError(device);
        if (error == RTC_ERROR_OUT_OF_MEMORY)
            throw_out_of_memory("ray kernel");
        if (error != RTC_ERROR_NONE)
            throw std::runtime_error(fmt::format("ray kernel failed with code {}", static_cast<int>(error)));
    }

    void attach(RTCGeometryType type, unsigned id, const std::vector<glm::vec3>& vertices,
                const void* indices, RTCFormat index_format, std::size_t index_size, std::size_t count,
                CutoutData* cutouts) {
        if (count == 0)
            return;
        RTCGeometry geometry = rtcNewGeometry(device, type);
        // Copied, not shared: Embree reads 4 bytes past the last vertex of a shared buffer.
        void* vertex_buffer = rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3,
                                                      sizeof(glm::vec3), vertices.size());
        void* index_buffer =
            rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, index_format, index_size, count);
        if (vertex_buffer == nullptr || index_buffer == nullptr) {
            rtcReleaseGeometry(geometry);
            throw_out_of_memory("facets");
        }
        std::memcpy(vertex_buffer, vertices.data(), vertices.size() * sizeof(glm::vec3));
        std::memcpy(index_buffer, indices, count * index_size);
        if (cutouts) {
            rtcSetGeometryUserData(geometry, cutouts);
            rtcSetGeometryIntersectFilterFunction(geometry, pass_cutouts);
            rtcSetGeometryOccludedFilterFunction(geometry, pass_cutouts);
        }
        rtcCommitGeometry(geometry);
        rtcAttachGeometryByID(scene, geometry, id);
        rtcReleaseGeometry(geometry);
        check();
    }
};

EmbreeScene::EmbreeScene(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
                         const std::vector<Material>& materials, const std::vector<Texture>& textures)
    : scene_(std::make_unique<Scene>()) {
    scene_->device = rtcNewDevice(nullptr);
    if (scene_->device == nullptr)
        throw std::runtime_error("ray kernel cannot start on this processor");
    scene_->scene = rtcNewScene(scene_->device);
    // Without the robust flag nearly a tenth of the rays aimed at shared edges slip between triangles.
    rtcSetSceneFlags(scene_->scene, RTC_SCENE_FLAG_ROBUST);
    rtcSetSceneBuildQuality(scene_->scene, RTC_BUILD_QUALITY_HIGH);
    scene_->cutout_data = {&cutouts, &materials, &textures};
    scene_->attach(RTC_GEOMETRY_TYPE_TRIANGLE, opaque_id, opaque.vertices, opaque.corners.data(),
                   RTC_FORMAT_UINT3, sizeof(glm::uvec3), opaque.size(), nullptr);
    scene_->attach(RTC_GEOMETRY_TYPE_TRIANGLE, cutout_id, cutouts.vertices, cutouts.corners.data(),
                   RTC_FORMAT_UINT3, sizeof(glm::uvec3), cutouts.size(), &scene_->cutout_data);
    std::vector<glm::uvec4> quads(leaves.size());
    for (std::size_t leaf = 0; leaf < quads.size(); ++leaf) {
        const auto first = static_cast<unsigned>(4 * leaf);
        quads[leaf] = {first, first + 1, first + 2, first + 3};
    }
    scene_->attach(RTC_GEOMETRY_TYPE_QUAD, leaf_id, leaves.corners, quads.data(), RTC_FORMAT_UINT4,
                   sizeof(glm::uvec4), leaves.size(), nullptr);
    rtcCommitScene(scene_->scene);
    scene_->check();
}

EmbreeScene::~EmbreeScene() = default;

void EmbreeScene::find_occluded(std::span<Ray> rays, Coherence coherence) const {
    if (rays.empty())
        return;
    RTCIntersectContext context;
    rtcInitIntersectContext(&context);
    context.flags = coherence == Coherence::coherent ? RTC_INTERSECT_CONTEXT_FLAG_COHERENT
                                                     : RTC_INTERSECT_CONTEXT_FLAG_INCOHERENT;
    rtcOccluded1M(scene_->scene, &context, reinterpret_cast<RTCRay*>(rays.data()),
                  static_cast<unsigned>(rays.size()), sizeof(Ray));
}

Hit EmbreeScene::find_hit(const glm::vec3& origin, const glm::vec3& direction, float near_end,
                          float far_end) const {
    RTCIntersectContext context;
    rtcInitIntersectContext(&context);
    RTCRayHit query{};
    query.ray.org_x = origin.x;
    query.ray.org_y = origin.y;
    query.ray.org_z = origin.z;
    query.ray.dir_x = direction.x;
    query.ray.dir_y = direction.y;
    query.ray.dir_z = direction.z;
    query.ray.tnear = near_end;
    query.ray.tfar = far_end;
    query.ray.mask = 0xffffffffu;
    query.hit.geomID = RTC_INVALID_GEOMETRY_ID;
    rtcIntersect1(scene_->scene, &context, &query);
    Hit hit;
    if (query.hit.geomID == RTC_INVALID_GEOMETRY_ID)
        return hit;
    hit.kind = query.hit.geomID == opaque_id   ? FacetKind::opaque
               : query.hit.geomID == cutout_id ? FacetKind::cutout
                                               : FacetKind::leaf;
    hit.facet = query.hit.primID;
    hit.distance = query.ray.tfar;
    hit.u = query.hit.u;
    hit.v = query.hit.v;
    hit.normal = glm::normalize(glm::vec3(query.hit.Ng_x, query.hit.Ng_y, query.hit.Ng_z));
    return hit;
}

namespace {

/// Sensors with the rays under way for them: as many as fill the kernel's stream without leaving the cache.
class SpotBlock {
public:
    SpotBlock(const EmbreeScene& scene, std::span<const SpotPlan> plans, const MakeSpots& make_spots)
        : scene_(scene), plans_(plans), make_spots_(make_spots) {}

    /// `first`: the number of the first of these sensors.
    void trace(std::size_t first, std::span<const SpotSensor> sensors, std::span<SpotsSeen> seen) {
        first_ = first;
        std::fill(seen.begin(), seen.end(), SpotsSeen{});
        for (std::size_t k = 0; k < plans_.size(); ++k) {
            wanted_.clear();
            for (std::size_t i = 0; i < sensors.size(); ++i)
                if (sensors[i].plan == k)
                    wanted_.push_back(i);
            const SpotPlan& plan = plans_[k];
            cast(sensors, seen, 0, plan.pilots, plan.coherence);
            if (plan.from == plan.to)
                continue;
            std::erase_if(wanted_, [&](std::size_t i) {
                return seen[i].visible == 0 || seen[i].visible == seen[i].samples;
            });
            if (plan.is_instead)
                for (const std::size_t i : wanted_)
                    seen[i] = {};
            cast(sensors, seen, plan.from, plan.to, plan.coherence);
        }
    }

private:
    void cast(std::span<const SpotSensor> sensors, std::span<SpotsSeen> seen, int from, int to,
              Coherence coherence) {
        const auto count = static_cast<std::size_t>(to - from);
        rays_.assign(wanted_.size() * count, Ray{});
        Ray* ray = rays_.data();
        for (const std::size_t i : wanted_) {
            make_spots_(first_ + i, from, to, x_.data(), y_.data(), z_.data());
            for (std::size_t k = 0; k < count; ++k, ++ray) {
                ray->origin = sensors[i].origin;
                ray->direction = {x_[k], y_[k], z_[k]};
                ray->far_end = sensors[i].far_end;
            }
        }
        scene_.find_occluded(rays_, coherence);
        ray = rays_.data();
        for (const std::size_t i : wanted_)
            for (std::size_t k = 0; k < count; ++k) {
                ++seen[i].samples;
                seen[i].visible += (ray++)->is_occluded() ? 0 : 1;
            }
    }

    const EmbreeScene& scene_;
    std::span<const SpotPlan> plans_;
    const MakeSpots& make_spots_;
    std::size_t first_ = 0;
    std::vector<std::size_t> wanted_;
    std::vector<Ray> rays_;
    std::array<float, most_spots> x_, y_, z_;
};

} // namespace

void EmbreeScene::find_visible(std::span<const SpotPlan> plans, const MakeSpots& make_spots,
                               std::span<const SpotSensor> sensors, std::span<SpotsSeen> seen) const {
    constexpr std::size_t block_size = 128;
    const std::size_t blocks = (sensors.size() + block_size - 1) / block_size;
    parallel_ranges(blocks, 8, [&](std::size_t begin, std::size_t end) {
        SpotBlock block(*this, plans, make_spots);
        for (std::size_t b = begin; b < end; ++b) {
            const std::size_t from = b * block_size, count = std::min(block_size, sensors.size() - from);
            block.trace(from, sensors.subspan(from, count), seen.subspan(from, count));
        }
    });
}

} // namespace duskcast
