#include "duskcast/photo/photo_glance.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "duskcast/view/quick_tone.hpp"
#include "duskcast/view/tone.hpp"
#include "relight_state.hpp"

namespace duskcast {
namespace {

constexpr double least_lx = 0.005;       // less is not seen beside the light of the sky
constexpr int squares_across = 240;      // about
constexpr std::size_t most_leaves = 800; // of a plant, that are lit
constexpr double glare_wide = 4;         // degrees that glare reaches (make_glare)
constexpr std::uint32_t no_cell = 0xffffffff;

bool is_same_light(const LitFixture& a, const LitFixture& b) {
    return a.lens == b.lens && a.aim == b.aim && a.scale == b.scale && a.colour == b.colour &&
           a.table.values().data() == b.table.values().data();
}

std::vector<LitFixture> without(const std::vector<LitFixture>& all, const std::vector<LitFixture>& others) {
    std::vector<LitFixture> left;
    for (const LitFixture& one : all)
        if (std::none_of(others.begin(), others.end(), [&](const LitFixture& other) {
                return other.id == one.id && is_same_light(one, other);
            }))
            left.push_back(one);
    return left;
}

/// Lux per channel on sensors.
std::vector<glm::vec3> light_sensors(const Stage& stage, const std::vector<LitFixture>& fixtures,
                                     const Sensors& sensors) {
    std::vector<glm::vec3> lux(sensors.size(), glm::vec3(0));
    std::vector<double> sums(sensors.size());
    for (const LitFixture& fixture : fixtures) {
        std::fill(sums.begin(), sums.end(), 0.0);
        add_direct_light(stage, fixture, sensors, least_lx, sums);
        for (std::size_t i = 0; i < sums.size(); ++i)
            if (sums[i] > 0)
                lux[i] += glm::vec3(sums[i] * fixture.colour);
    }
    return lux;
}

/// What is added to the picture by the glare of lenses, with the rows that it falls on.
struct LensGlare {
    int from = 0, to = 0;
    std::vector<glm::vec3> added;
};

std::vector<LensGlare> find_glare(const Stage& stage, const std::vector<LitFixture>& fixtures,
                                  const Camera& camera) {
    std::vector<LensGlare> found;
    const int reach = static_cast<int>(std::ceil(glare_wide * pi / 180 * camera.pixels_per_tangent)) + 1;
    for (SeenLens& lens : find_lenses(stage, fixtures, camera)) {
        const int middle = static_cast<int>(std::floor(lens.place.y));
        const int from = std::clamp(middle - reach, 0, camera.height),
                  to = std::clamp(middle + reach + 1, 0, camera.height);
        if (from >= to)
            continue;
        ViewImage strip{.camera = crop_rows(camera, from, to)};
        strip.luminance.resize(static_cast<std::size_t>(camera.width) * static_cast<std::size_t>(to - from));
        lens.place.y -= from;
        strip.lenses = {lens};
        found.push_back({from, to, make_glare(strip)});
    }
    return found;
}

/// The leaves or the trunk of a plant: some of what the camera sees of it, and nodes between which night by
/// day runs evenly, as PlantRatio has it.
class PlantNodes {
public:
    /// Adds the sides of leaves to `sensors`.
    PlantNodes(const Stage& stage, const RayKernel& seen, const Camera& camera,
               const std::vector<std::uint32_t>& pixels, double deviation, const std::vector<glm::vec3>& day,
               Sensors& sensors) {
        if (pixels.empty())
            return;
        const std::size_t step = (pixels.size() + most_leaves - 1) / most_leaves;
        std::vector<std::uint32_t> some;
        for (std::size_t i = step / 2; i < pixels.size(); i += step)
            some.push_back(pixels[i]);
        std::vector<glm::dvec2> places;
        glm::vec3 day_sum{0};
        std::vector<Leaf> leaves(some.size());
        look_at_pixels(
            seen, camera, some,
            [&](std::size_t place, const Hit& hit, const glm::vec3& position, const glm::vec3& facing) {
                leaves[place] = {.position = position,
                                 .facing = facing,
                                 .reflectance = stage.reflectance_at(hit, position),
                                 .transmittance = transmittance_of(stage, hit)};
            });
        glm::dvec2 low(1e9), high(-1e9);
        for (std::size_t i = 0; i < some.size(); ++i) {
            const auto width = static_cast<std::uint32_t>(camera.width);
            places.emplace_back(some[i] % width + 0.5, some[i] / width + 0.5);
            low = glm::min(low, places.back());
            high = glm::max(high, places.back());
            day_sum += day[some[i]];
            Leaf& leaf = leaves[i];
            leaf.before = static_cast<std::uint32_t>(sensors.size());
            sensors.add(leaf.position, leaf.facing, 0);
            if (leaf.transmittance != glm::vec3(0))
                sensors.add(leaf.position, -leaf.facing, 0);
        }
        leaves_ = std::move(leaves);
        step_ = std::max(1.0, deviation);
        from_ = low - 2 * step_;
        columns_ = static_cast<int>(std::ceil((high.x - from_.x) / step_)) + 3;
        rows_ = static_cast<int>(std::ceil((high.y - from_.y) / step_)) + 3;
        const float little = 1e-3f / static_cast<float>(some.size()); // far from all leaves: the mean
        for (int row = 0; row < rows_; ++row)
            for (int column = 0; column < columns_; ++column) {
                const glm::dvec2 node = from_ + step_ * glm::dvec2(column, row);
                glm::vec3 bright = little * day_sum;
                first_.push_back(shares_.size());
                for (std::size_t i = 0; i < some.size(); ++i) {
                    const glm::dvec2 off = places[i] - node;
                    const double square = glm::dot(off, off) / (deviation * deviation);
                    if (square < 9) {
                        const auto weight = static_cast<float>(std::exp(-0.5 * square)) + little;
                        shares_.push_back({static_cast<std::uint32_t>(i), weight});
                        bright += weight * day[some[i]];
                    }
                }
                by_day_.push_back(1.0f / glm::max(bright, glm::vec3(1e-12f)));
            }
        first_.push_back(shares_.size());
        ratio_.assign(by_day_.size(), glm::vec3(0));
    }

    bool is_known() const { return !ratio_.empty(); }

    /// In the light on the sensors, lux.
    void light(const std::vector<glm::vec3>& lux) {
        if (!is_known())
            return;
        constexpr auto by_pi = static_cast<float>(1 / pi);
        std::vector<glm::vec3> night;
        glm::vec3 sum{0};
        for (const Leaf& leaf : leaves_) {
            glm::vec3 sent = leaf.reflectance * lux[leaf.before];
            if (leaf.transmittance != glm::vec3(0))
                sent += leaf.transmittance * lux[leaf.before + 1];
            sum += night.emplace_back(by_pi * sent);
        }
        const float little = 1e-3f / static_cast<float>(leaves_.size());
        for (std::size_t node = 0; node < ratio_.size(); ++node) {
            glm::vec3 dark = little * sum;
            for (std::size_t i = first_[node]; i < first_[node + 1]; ++i)
                dark += shares_[i].weight * night[shares_[i].leaf];
            ratio_[node] = dark * by_day_[node];
        }
    }

    glm::vec3 at(const glm::dvec2& place) const {
        const glm::dvec2 node = (place - from_) / step_;
        const double x = std::clamp(node.x, 0.0, columns_ - 1.001),
                     y = std::clamp(node.y, 0.0, rows_ - 1.001);
        const auto column = static_cast<std::size_t>(x), row = static_cast<std::size_t>(y);
        const auto u = static_cast<float>(x - static_cast<double>(column)),
                   v = static_cast<float>(y - static_cast<double>(row));
        const glm::vec3* upper = ratio_.data() + row * static_cast<std::size_t>(columns_) + column;
        const glm::vec3* lower = upper + columns_;
        return glm::mix(glm::mix(upper[0], upper[1], u), glm::mix(lower[0], lower[1], u), v);
    }

private:
    struct Leaf {
        glm::vec3 position{0}, facing{0, 0, 1}, reflectance{0}, transmittance{0};
        std::uint32_t before = 0; ///< sensor; the one after it is on the other side
    };
    struct Share {
        std::uint32_t leaf;
        float weight;
    };
    static glm::vec3 transmittance_of(const Stage& stage, const Hit& hit) {
        return hit.kind == FacetKind::leaf ? stage.materials[stage.leaves.material[hit.facet]].transmittance
                                           : glm::vec3(0);
    }

    std::vector<Leaf> leaves_;
    double step_ = 1; ///< between nodes, pixels of the small picture
    glm::dvec2 from_{0};
    int columns_ = 0, rows_ = 0;
    std::vector<std::size_t> first_; ///< share of each node, and one past the last
    std::vector<Share> shares_;
    std::vector<glm::vec3> by_day_, ratio_; ///< one a node
};

} // namespace

struct PhotoGlance::State {
    const RelightPlan::State& plan;
    std::vector<LitFixture> fixtures;
    std::vector<glm::vec3> light;
    std::vector<std::uint8_t> rgba;

    // Places on the site's faces: at the corners of squares of pixels, and one for each face more that a
    // square shows. Night by day there is lux x gain.
    int side = 1, columns = 0, rows = 0;    ///< of the squares
    Sensors sensors;                        ///< of the cells, then of leaves
    std::vector<glm::vec3> gain;            ///< one a cell
    std::vector<std::uint32_t> corner;      ///< (columns + 1) x (rows + 1) cells
    std::vector<std::uint32_t> cell_of;     ///< one a pixel: which stands for it; no_cell: none
    std::vector<std::uint8_t> is_even;      ///< one a square: all of it lies on the face of its corners
    std::vector<ShortColour> factor;        ///< one a pixel: what it sends by night of such a ratio
    std::vector<PlantNodes> leaves, trunks; ///< one a plant

    // Every pixel of a face, from which light is taken out.
    Sensors whole;
    std::vector<std::uint32_t> whole_pixel;

    // Without the light of some fixtures.
    std::vector<std::string> left_out;
    std::vector<glm::vec3> base;
    std::vector<std::uint8_t> is_touched; ///< one a square

    std::vector<glm::vec3> ratio; ///< one a cell
    QuickNightTone tone;

    State(const RelightPlan::State& of, std::vector<LitFixture> known, std::vector<glm::vec3> known_light,
          std::vector<std::uint8_t> picture);

    void find_cells();
    void leave_out(const std::vector<LitFixture>& some);
    void shine(const std::vector<LitFixture>& some);
    std::vector<std::uint8_t> draw(const std::vector<LensGlare>& glare) const;

    std::size_t width() const { return static_cast<std::size_t>(plan.camera.width); }
    std::size_t height() const { return static_cast<std::size_t>(plan.camera.height); }
    std::size_t square_of(std::size_t pixel) const {
        const auto s = static_cast<std::size_t>(side);
        return pixel / width() / s * static_cast<std::size_t>(columns) + pixel % width() / s;
    }
    std::size_t edge(int index, std::size_t length) const {
        return std::min(static_cast<std::size_t>(index * side), length - 1);
    }
    std::size_t corner_at(int column, int row) const {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns + 1) +
               static_cast<std::size_t>(column);
    }

    /// The night by day of the pixels of a square: call(pixel, ratio).
    template <class Call> void visit_square(int column, int row, const Call& call) const;
    glm::vec3 ratio_of(std::size_t pixel) const;
};

PhotoGlance::State::State(const RelightPlan::State& of, std::vector<LitFixture> known,
                          std::vector<glm::vec3> known_light, std::vector<std::uint8_t> picture)
    : plan(of), fixtures(std::move(known)), light(std::move(known_light)), rgba(std::move(picture)) {
    side =
        std::max(2, static_cast<int>(std::lround(plan.camera.width / static_cast<double>(squares_across))));
    columns = (plan.camera.width + side - 1) / side;
    rows = (plan.camera.height + side - 1) / side;
    factor.resize(plan.count());
    parallel_for(height(), [&](std::size_t row) {
        for (std::size_t pixel = row * width(); pixel < (row + 1) * width(); ++pixel) {
            const float own = static_cast<float>(plan.share[pixel]) / 255;
            switch (plan.part[pixel]) {
            case PhotoPart::solid:
            case PhotoPart::leaf:
            case PhotoPart::trunk:
                factor[pixel] = ShortColour(own * plan.day[pixel].linear());
                break;
            case PhotoPart::pane: // glass mirrors the day
                factor[pixel] = ShortColour(own * plan.coarse_at(plan.coarse_day, pixel));
                break;
            default:
                factor[pixel] = ShortColour(glm::vec3(0));
            }
        }
    });
    find_cells();
    for (const PlantSight& sight : plan.sights) {
        const auto make = [&](const std::vector<std::uint32_t>& pixels, double blur) {
            return PlantNodes(plan.stage, plan.plants.kernel(), plan.small, pixels, blur, plan.plants_day,
                              sensors);
        };
        leaves.push_back(make(sight.leaf_pixels, sight.leaf_blur));
        trunks.push_back(make(sight.trunk_pixels, sight.trunk_blur));
    }
    ratio.assign(gain.size(), glm::vec3(0));
}

void PhotoGlance::State::find_cells() {
    std::vector<std::uint32_t> pixels;
    for (std::size_t pixel = 0; pixel < plan.count(); ++pixel)
        if (plan.face[pixel] != no_face &&
            (plan.part[pixel] == PhotoPart::solid || plan.part[pixel] == PhotoPart::pane))
            pixels.push_back(static_cast<std::uint32_t>(pixel));
    std::vector<glm::vec3> position(plan.count()), normal(plan.count(), glm::vec3(0));
    std::vector<std::uint32_t> at_corners;
    for (int row = 0; row <= rows; ++row)
        for (int column = 0; column <= columns; ++column)
            at_corners.push_back(
                static_cast<std::uint32_t>(edge(row, height()) * width() + edge(column, width())));
    std::vector<glm::vec3> reflectance(plan.count(), glm::vec3(0));
    constexpr std::size_t chunk = 65536;
    for (const std::vector<std::uint32_t>* some : {&pixels, &at_corners})
        for (std::size_t from = 0; from < some->size(); from += chunk) {
            const std::vector<std::uint32_t> part(
                some->begin() + static_cast<std::ptrdiff_t>(from),
                some->begin() + static_cast<std::ptrdiff_t>(std::min(some->size(), from + chunk)));
            look_at_pixels(
                plan.solid.kernel(), plan.camera, part,
                [&](std::size_t place, const Hit& hit, const glm::vec3& there, const glm::vec3& facing) {
                    position[part[place]] = there;
                    normal[part[place]] = facing;
                    reflectance[part[place]] = plan.stage.reflectance_at(hit, there);
                });
        }
    for (const std::uint32_t pixel : pixels)
        if (normal[pixel] != glm::vec3(0)) {
            whole.add(position[pixel], normal[pixel], 0);
            whole_pixel.push_back(pixel);
        }
    const auto add_cell = [&](std::uint32_t pixel) -> std::uint32_t {
        if (normal[pixel] == glm::vec3(0) || plan.face[pixel] == no_face)
            return no_cell;
        const glm::vec3 day = plan.coarse_at(plan.coarse_day, pixel);
        gain.push_back(reflectance[pixel] * static_cast<float>(1 / pi) / glm::max(day, glm::vec3(1e-9f)));
        sensors.add(position[pixel], normal[pixel], 0);
        return static_cast<std::uint32_t>(gain.size() - 1);
    };
    for (const std::uint32_t pixel : at_corners)
        corner.push_back(add_cell(pixel));
    cell_of.assign(plan.count(), no_cell);
    is_even.assign(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows), 0);
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            const std::array<std::size_t, 4> corners{corner_at(column, row), corner_at(column + 1, row),
                                                     corner_at(column, row + 1),
                                                     corner_at(column + 1, row + 1)};
            std::vector<std::pair<FaceKey, std::uint32_t>> known;
            for (const std::size_t one : corners)
                if (corner[one] != no_cell)
                    known.emplace_back(plan.face[at_corners[one]], corner[one]);
            bool is_all_one = known.size() == 4 && known[0].first == known[1].first &&
                              known[0].first == known[2].first && known[0].first == known[3].first;
            const auto s = static_cast<std::size_t>(side);
            const std::size_t left = static_cast<std::size_t>(column) * s,
                              top = static_cast<std::size_t>(row) * s;
            for (std::size_t y = top; y < std::min(height(), top + s); ++y)
                for (std::size_t x = left; x < std::min(width(), left + s); ++x) {
                    const std::size_t pixel = y * width() + x;
                    const bool is_of_face =
                        plan.face[pixel] != no_face &&
                        (plan.part[pixel] == PhotoPart::solid || plan.part[pixel] == PhotoPart::pane);
                    is_all_one = is_all_one && is_of_face && plan.face[pixel] == known[0].first;
                    if (!is_of_face)
                        continue;
                    auto found = std::find_if(known.begin(), known.end(),
                                              [&](const auto& one) { return one.first == plan.face[pixel]; });
                    if (found == known.end()) {
                        const std::uint32_t made = add_cell(static_cast<std::uint32_t>(pixel));
                        if (made == no_cell)
                            continue;
                        known.emplace_back(plan.face[pixel], made);
                        found = known.end() - 1;
                    }
                    cell_of[pixel] = found->second;
                }
            is_even[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) +
                    static_cast<std::size_t>(column)] = is_all_one ? 1 : 0;
        }
}

glm::vec3 PhotoGlance::State::ratio_of(std::size_t pixel) const {
    if (cell_of[pixel] != no_cell)
        return ratio[cell_of[pixel]];
    const PhotoPart part = plan.part[pixel];
    if (part != PhotoPart::leaf && part != PhotoPart::trunk)
        return glm::vec3(0);
    const std::size_t index = plan.plant[pixel];
    const PlantNodes& nodes =
        part == PhotoPart::leaf || !trunks[index].is_known() ? leaves[index] : trunks[index];
    return nodes.is_known() ? nodes.at(plan.on_small(plan.middle_of(pixel))) : glm::vec3(0);
}

template <class Call> void PhotoGlance::State::visit_square(int column, int row, const Call& call) const {
    const std::size_t left = edge(column, width()), right = edge(column + 1, width()),
                      top = edge(row, height()), bottom = edge(row + 1, height());
    const std::size_t end_x = column + 1 == columns ? width() : right,
                      end_y = row + 1 == rows ? height() : bottom;
    if (!is_even[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) +
                 static_cast<std::size_t>(column)]) {
        for (std::size_t y = top; y < end_y; ++y)
            for (std::size_t pixel = y * width() + left; pixel < y * width() + end_x; ++pixel)
                call(pixel, ratio_of(pixel));
        return;
    }
    const auto at = [&](int x, int y) { return ratio[corner[corner_at(x, y)]]; };
    const float across = 1 / static_cast<float>(std::max<std::size_t>(1, right - left)),
                down = 1 / static_cast<float>(std::max<std::size_t>(1, bottom - top));
    for (std::size_t y = top; y < end_y; ++y) {
        const float v = down * static_cast<float>(y - top);
        const glm::vec3 first = glm::mix(at(column, row), at(column, row + 1), v),
                        last = glm::mix(at(column + 1, row), at(column + 1, row + 1), v);
        for (std::size_t x = left; x < end_x; ++x)
            call(y * width() + x, glm::mix(first, last, across * static_cast<float>(x - left)));
    }
}

/// The ratios that some fixtures make.
void PhotoGlance::State::shine(const std::vector<LitFixture>& some) {
    const std::vector<glm::vec3> lux = light_sensors(plan.stage, some, sensors);
    for (std::size_t cell = 0; cell < gain.size(); ++cell)
        ratio[cell] = lux[cell] * gain[cell];
    for (std::vector<PlantNodes>* nodes : {&leaves, &trunks})
        for (PlantNodes& one : *nodes)
            one.light(lux);
}

void PhotoGlance::State::leave_out(const std::vector<LitFixture>& some) {
    std::vector<std::string> ids;
    for (const LitFixture& one : some)
        ids.push_back(one.id);
    if (!base.empty() && ids == left_out)
        return;
    left_out = std::move(ids);
    base = light;
    is_touched.assign(is_even.size(), 0);
    const std::vector<glm::vec3> lux = light_sensors(plan.stage, some, whole);
    ratio = gain; // which runs evenly on a face
    std::vector<glm::vec3> gain_at(plan.count(), glm::vec3(0));
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column)
            visit_square(column, row, [&](std::size_t pixel, const glm::vec3& here) {
                if (cell_of[pixel] != no_cell)
                    gain_at[pixel] = here;
            });
    const auto take = [&](std::size_t pixel, const glm::vec3& night) {
        base[pixel] = glm::max(base[pixel] - factor[pixel].linear() * night, glm::vec3(0));
        is_touched[square_of(pixel)] = 1;
    };
    for (std::size_t i = 0; i < whole_pixel.size(); ++i)
        if (lux[i] != glm::vec3(0))
            take(whole_pixel[i], lux[i] * gain_at[whole_pixel[i]]);
    if (!leaves.empty()) {
        shine(some);
        for (std::size_t pixel = 0; pixel < plan.count(); ++pixel)
            if (plan.plant[pixel] != no_plant && cell_of[pixel] == no_cell)
                if (const glm::vec3 night = ratio_of(pixel); std::max({night.x, night.y, night.z}) > 0)
                    take(pixel, night);
    }
    for (const LensGlare& glare : find_glare(plan.stage, some, plan.camera))
        for (std::size_t i = 0; i < glare.added.size(); ++i)
            if (glare.added[i] != glm::vec3(0)) {
                const std::size_t pixel = static_cast<std::size_t>(glare.from) * width() + i;
                base[pixel] = glm::max(base[pixel] - glare.added[i], glm::vec3(0));
                is_touched[square_of(pixel)] = 1;
            }
}

std::vector<std::uint8_t> PhotoGlance::State::draw(const std::vector<LensGlare>& glare) const {
    std::vector<std::uint8_t> picture = rgba;
    parallel_for(static_cast<std::size_t>(rows), [&](std::size_t row) {
        const auto y = static_cast<int>(row);
        for (int column = 0; column < columns; ++column) {
            const std::size_t square =
                row * static_cast<std::size_t>(columns) + static_cast<std::size_t>(column);
            const int top = y * side, bottom = top + side;
            const bool has_glare = std::any_of(glare.begin(), glare.end(), [&](const LensGlare& one) {
                return one.from < bottom && one.to > top;
            });
            const bool is_all = is_touched[square] != 0 || has_glare;
            if (!is_all && is_even[square]) {
                float most = 0;
                for (const auto& [x, down] : {std::pair(0, 0), {1, 0}, {0, 1}, {1, 1}}) {
                    const glm::vec3& one = ratio[corner[corner_at(column + x, y + down)]];
                    most = std::max({most, one.x, one.y, one.z});
                }
                if (!(most > least_lx))
                    continue;
            }
            visit_square(column, y, [&](std::size_t pixel, const glm::vec3& night) {
                if (!is_all && !(std::max({night.x, night.y, night.z}) > static_cast<float>(least_lx)))
                    return;
                glm::vec3 here = base[pixel] + factor[pixel].linear() * night;
                for (const LensGlare& one : glare) {
                    const std::size_t first = static_cast<std::size_t>(one.from) * width();
                    if (pixel >= first && pixel - first < one.added.size())
                        here += one.added[pixel - first];
                }
                if (here == light[pixel])
                    return;
                const std::array<std::uint8_t, 3> colour = tone.at(here);
                std::copy(colour.begin(), colour.end(),
                          picture.begin() + static_cast<std::ptrdiff_t>(4 * pixel));
            });
        }
    });
    return picture;
}

PhotoGlance::PhotoGlance(const RelightPlan& plan, std::vector<LitFixture> fixtures,
                         std::vector<glm::vec3> light, std::vector<std::uint8_t> rgba)
    : state_(std::make_unique<State>(*plan.state_, std::move(fixtures), std::move(light), std::move(rgba))) {}
PhotoGlance::~PhotoGlance() = default;

std::vector<std::uint8_t> PhotoGlance::look(const std::vector<LitFixture>& fixtures) {
    State& state = *state_;
    const std::vector<LitFixture> gone = without(state.fixtures, fixtures),
                                  come = without(fixtures, state.fixtures);
    if (gone.empty() && come.empty())
        return state.rgba;
    state.leave_out(gone);
    state.shine(come);
    return state.draw(find_glare(state.plan.stage, come, state.plan.camera));
}

} // namespace duskcast
