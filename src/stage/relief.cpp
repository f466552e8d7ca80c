// Claddings as height fields with colours.

#include <array>
#include <cmath>

#include "builder.hpp"
#include "relief_shapes.hpp"

namespace duskcast {
namespace {

/// What a relief draws at random: a stream for each, so that they know nothing of one another.
struct Stream {
    enum : unsigned { wobble, grain, coarse, stand, lean, other_lean, tone, hue, width, other_width, butt };
};

/// A brick, a stone or a shingle and a place on it.
struct Unit {
    glm::ivec2 id{0};
    float edge = 0;     ///< metres to its nearest edge; below 0 in the joint
    glm::vec2 place{0}; ///< from about its middle
};

/// Borders at about every `step`, each moved by up to `share` of a step, in the course `row`.
struct BorderPair {
    int index;
    float low, high;
};
BorderPair find_borders(float u, float step, float share, int row) {
    const auto border = [&](int i) {
        return (static_cast<float>(i) + share * (2 * random_at({i, row}, Stream::width) - 1)) * step;
    };
    const int i = static_cast<int>(std::floor(u / step));
    const float low = border(i);
    if (u < low)
        return {i - 1, border(i - 1), low};
    const float high = border(i + 1);
    if (u >= high)
        return {i + 1, high, border(i + 2)};
    return {i, low, high};
}

/// Length and height from the middle of one joint to the middle of the next.
Unit find_in_box(const glm::vec2& at, const glm::vec2& low, const glm::vec2& high, float joint,
                 const glm::ivec2& id) {
    const float beside =
        std::min(std::min(at.x - low.x, high.x - at.x), std::min(at.y - low.y, high.y - at.y));
    return {id, beside - joint / 2, at - 0.5f * (low + high)};
}

/// Modular brick, 7 5/8 x 2 1/4 in with joints of 3/8 in: three courses to 8 in (trade sizes of North
/// America, from memory).
constexpr float brick_joint = 0.375f * inch;
constexpr float coursed_joint = 0.5f * inch, rubble_joint = 0.6f * inch;
constexpr float brick_length = 8 * inch, brick_course = 8 * inch / 3;

Unit find_running(const glm::vec2& at) {
    const int row = static_cast<int>(std::floor(at.y / brick_course));
    const float shift = row % 2 == 0 ? 0 : brick_length / 2;
    const int column = static_cast<int>(std::floor((at.x - shift) / brick_length));
    const glm::vec2 low(static_cast<float>(column) * brick_length + shift,
                        static_cast<float>(row) * brick_course);
    return find_in_box(at, low, low + glm::vec2(brick_length, brick_course), brick_joint, {column, row});
}

/// Stretchers and headers in turn, the headers over the middles of the stretchers below.
Unit find_flemish(const glm::vec2& at) {
    constexpr float pair = 1.5f * brick_length;
    const int row = static_cast<int>(std::floor(at.y / brick_course));
    const float shift = row % 2 == 0 ? 0 : pair / 2;
    const int column = static_cast<int>(std::floor((at.x - shift) / pair));
    const float left = static_cast<float>(column) * pair + shift;
    const bool is_header = at.x - left >= brick_length;
    const float low = static_cast<float>(row) * brick_course;
    return find_in_box(at, {is_header ? left + brick_length : left, low},
                       {is_header ? left + pair : left + brick_length, low + brick_course}, brick_joint,
                       {2 * column + (is_header ? 1 : 0), row});
}

/// Courses of 8, 5, 10 and 6 in, over and over, in stones about 17 in long (common practice, no source).
Unit find_coursed(const glm::vec2& at) {
    constexpr std::array<float, 4> tops{8 * inch, 13 * inch, 23 * inch, 29 * inch};
    const float round = std::floor(at.y / tops[3]), v = at.y - round * tops[3];
    int i = 0;
    while (i < 3 && v >= tops[i])
        ++i;
    const int row = 4 * static_cast<int>(round) + i;
    const auto [column, left, right] = find_borders(at.x, 17 * inch, 0.34f, row);
    const float bottom = round * tops[3] + (i > 0 ? tops[i - 1] : 0);
    return find_in_box(at, {left, bottom}, {right, round * tops[3] + tops[i]}, coursed_joint, {column, row});
}

/// Each place belongs to the nearest of points spread at random (Worley 1996), in stones about 14 x 8 in.
Unit find_rubble(const glm::vec2& at) {
    const glm::vec2 size(14 * inch, 8 * inch);
    const glm::vec2 scaled = at / size;
    const glm::ivec2 cell(glm::floor(scaled));
    float nearest = 1e9f, second = 1e9f;
    Unit unit;
    glm::vec2 other(0);
    for (int y = -1; y <= 1; ++y)
        for (int x = -1; x <= 1; ++x) {
            const glm::ivec2 id = cell + glm::ivec2(x, y);
            const glm::vec2 spread(random_at(id, Stream::width), random_at(id, Stream::other_width));
            const glm::vec2 off = (scaled - glm::vec2(id) - 0.15f - 0.7f * spread) * size;
            // Stones lie rather than stand.
            const float distance = off.x * off.x * 0.45f + off.y * off.y * 1.4f;
            if (distance < nearest) {
                second = nearest;
                other = unit.place;
                nearest = distance;
                unit = {id, 0, off};
            } else if (distance < second) {
                second = distance;
                other = off;
            }
        }
    // To the border half way between the two middles.
    const glm::vec2 weight(0.45f, 1.4f);
    const float rise = 2 * glm::length(weight * (unit.place - other));
    unit.edge = (second - nearest) / std::max(rise, 1e-6f) - rubble_joint / 2;
    return unit;
}

/// How units look beside how they lie.
struct MasonryLook {
    Unit (*find)(const glm::vec2&);
    float course;        ///< metres
    float depth;         ///< of the joints
    float joint;         ///< their width
    float arris;         ///< over how much a face rounds off to the joint
    float wobble;        ///< of its edges
    float stand, tilt;   ///< how far units differ: back, and in slope
    glm::vec2 rough;     ///< height and length of the face's grain, metres
    glm::vec2 rock;      ///< the same of its larger shapes
    float spread;        ///< of the units' colours, 0.2: a fifth either way
    float warmth = 0.3f; ///< share of that by which they are redder or bluer
    glm::vec3 mortar;    ///< reflectance; below 0: as the units
};

class Masonry final : public Relief {
public:
    Masonry(const MasonryLook& look, const glm::vec3& mean)
        : Relief(look.depth, look.course), look_(look), mortar_(mean), unit_(mean) {
        // Joints and units come to the mean. Over many places, because edges wobble and stones differ.
        constexpr int side = 200;
        const auto mean_over = [&](const auto& value) {
            glm::dvec3 sum(0);
            for (int y = 0; y < side; ++y)
                for (int x = 0; x < side; ++x) {
                    const glm::vec2 off(random_at({x, y}, Stream::width), random_at({x, y}, Stream::grain));
                    sum += glm::dvec3(value(0.06f * (glm::vec2(x, y) + off)));
                }
            return glm::vec3(sum / double(side * side));
        };
        const float units =
            mean_over([&](const glm::vec2& at) { return glm::vec3(face_share(look_.find(at), at)); }).x;
        if (look.mortar.x >= 0) // no units darker than half the mean, no joints darker than two thirds
            mortar_ = glm::clamp(look.mortar, mean * 0.67f,
                                 glm::max(mean * 0.67f, mean * (1 - 0.5f * units) / (1 - units)));
        // Pale units differ less: nothing gives back more than it gets.
        const glm::vec3 even = (mean - (1 - units) * mortar_) / units;
        const float room = 0.97f / std::max({even.r, even.g, even.b, 0.01f}) - 1;
        look_.spread = std::clamp(room / (1.4f + look_.warmth), 0.0f, look_.spread);
        unit_ = units * even / mean_over([&](const glm::vec2& at) {
                    const Unit unit = look_.find(at);
                    return face_share(unit, at) * tone_of(unit, at);
                });
    }

    float height(const glm::vec2& at) const override {
        const Unit unit = look_.find(at);
        const float share = face_share(unit, at);
        if (share <= 0)
            return -depth();
        const float back = look_.stand * random_at(unit.id, Stream::stand);
        const glm::vec2 slope(random_at(unit.id, Stream::lean) - 0.5f,
                              random_at(unit.id, Stream::other_lean) - 0.5f);
        float face = -0.5f * (look_.rough.x + look_.rock.x) - back +
                     2 * look_.tilt * glm::dot(slope, unit.place) +
                     0.5f * look_.rough.x * noise_at(at / look_.rough.y, Stream::grain);
        if (look_.rock.x > 0)
            face += 0.5f * look_.rock.x * noise_at(at / look_.rock.y, Stream::coarse);
        return std::clamp(-depth() + share * (depth() + face), -depth(), 0.0f);
    }

    float clearance(const glm::vec2& at) const override {
        const float flattest = 0.02f; // shapes that are higher than that over their length throw shadows
        return look_.rock.x > flattest * look_.rock.y ? 0 : look_.find(at).edge - look_.arris - look_.wobble;
    }

    float joint() const override { return look_.joint + look_.arris; }

    ReliefSpot spot(const glm::vec2& at) const override {
        const Unit unit = look_.find(at);
        const float share = face_share(unit, at);
        return {.reflectance = glm::mix(mortar_, unit_ * tone_of(unit, at), share)};
    }

private:
    float face_share(const Unit& unit, const glm::vec2& at) const {
        if (unit.edge < -look_.wobble)
            return 0;
        if (unit.edge > look_.arris + look_.wobble)
            return 1;
        return ease((unit.edge + look_.wobble * noise_at(at / 0.025f, Stream::wobble)) / look_.arris);
    }

    glm::vec3 tone_of(const Unit& unit, const glm::vec2& at) const {
        const float level = 1 + look_.spread * (2 * random_at(unit.id, Stream::tone) - 1) +
                            0.25f * look_.spread * noise_at(at / 0.045f, Stream::tone);
        const float warm = look_.warmth * look_.spread * (2 * random_at(unit.id, Stream::hue) - 1);
        return level * glm::vec3(1 + warm, 1, 1 - warm);
    }

    MasonryLook look_;
    glm::vec3 mortar_, unit_;
};

MasonryLook brick_look(Unit (*find)(const glm::vec2&)) {
    return {.find = find,
            .course = brick_course,
            .depth = 0.003f,
            .joint = brick_joint,
            .arris = 0.0033f, // a joint struck hollow, against edges that are not sharp
            .wobble = 0.001f,
            .stand = 0.0004f,
            .tilt = 0.003f,
            .rough = {0.0004f, 0.011f},
            .rock = {0.0005f, 0.06f},
            .spread = 0.3f,
            .warmth = 0.5f,
            .mortar = {0.27f, 0.235f, 0.20f}};
}

MasonryLook masonry_look(Cladding cladding) {
    switch (cladding) {
    case Cladding::brick_flemish:
        return brick_look(find_flemish);
    case Cladding::brick_painted: {
        MasonryLook look = brick_look(find_running); // paint fills joints and covers colours
        look.depth = 0.0022f, look.arris = 0.005f, look.spread = 0.02f, look.mortar = glm::vec3(-1);
        return look;
    }
    case Cladding::stone_coursed:
        return {.find = find_coursed,
                .course = 7.25f * inch,
                .depth = 0.013f,
                .joint = coursed_joint,
                .arris = 0.014f,
                .wobble = 0.003f,
                .stand = 0.003f,
                .tilt = 0.010f,
                .rough = {0.0016f, 0.022f},
                .rock = {0.006f, 0.11f},
                .spread = 0.2f,
                .mortar = {0.30f, 0.28f, 0.25f}};
    case Cladding::stone_rubble:
        return {.find = find_rubble,
                .course = 8 * inch,
                .depth = 0.020f,
                .joint = rubble_joint,
                .arris = 0.020f,
                .wobble = 0.004f,
                .stand = 0.005f,
                .tilt = 0.016f,
                .rough = {0.0016f, 0.02f},
                .rock = {0.007f, 0.10f},
                .spread = 0.22f,
                .mortar = {0.28f, 0.26f, 0.23f}};
    default:
        return brick_look(find_running);
    }
}

/// Fibre-cement or timber boards 8 1/4 in wide and 5/16 in thick that lap by 1 1/4 in (common practice, no
/// source).
class LapSiding final : public Relief {
public:
    explicit LapSiding(const glm::vec3& mean) : Relief(thickness, weather), mean_(mean) {}

    float height(const glm::vec2& at) const override {
        const float up = at.y - weather * std::floor(at.y / weather);
        const float grained = 0.00012f * (1 + noise_at({at.x / 0.08f, at.y / 0.006f}, Stream::grain));
        return std::max(-thickness, -thickness * std::max(up / weather, 1 - ease(up / edge)) - grained);
    }
    ReliefSpot spot(const glm::vec2& at) const override {
        return {.reflectance = mean_ * (1 + 0.02f * noise_at({at.x / 0.3f, at.y / 0.02f}, Stream::tone))};
    }

private:
    static constexpr float weather = 7 * inch, thickness = 0.3125f * inch, edge = 0.005f;
    glm::vec3 mean_;
};

/// Shingles of random width about 6 in, 5 in to the weather, 3/8 in thick at the butt, 3/16 in apart.
class Shingles final : public Relief {
public:
    explicit Shingles(const glm::vec3& mean) : Relief(thickness, weather), mean_(mean) {}

    float height(const glm::vec2& at) const override {
        const Place place = find(at);
        const float grained = 0.0003f * (1 + noise_at({at.x / 0.007f, at.y / 0.25f}, Stream::grain));
        const float face = -thickness * std::max(place.up, 1 - ease(place.above / 0.005f)) - grained;
        return std::max(-thickness, glm::mix(-thickness, face, ease(place.beside / 0.002f)));
    }
    ReliefSpot spot(const glm::vec2& at) const override {
        const Place place = find(at);
        const float level = 1 + 0.16f * (2 * random_at(place.id, Stream::tone) - 1) +
                            0.06f * noise_at({at.x / 0.008f, at.y / 0.2f}, Stream::tone);
        return {.reflectance = mean_ * level};
    }

private:
    static constexpr float weather = 5 * inch, thickness = 0.375f * inch;
    struct Place {
        glm::ivec2 id;
        float up, above, beside; ///< share of the course; metres above the butt and to the gap beside
    };
    Place find(const glm::vec2& at) const {
        int row = static_cast<int>(std::floor(at.y / weather));
        // Butts hang a little lower or higher.
        const auto lowest = [&](int one) {
            const int column = find_borders(at.x, 6 * inch, 0.35f, one).index;
            return static_cast<float>(one) * weather + 0.008f * random_at({column, one}, Stream::butt);
        };
        if (at.y < lowest(row))
            --row;
        const auto [column, left, right] = find_borders(at.x, 6 * inch, 0.35f, row);
        const float above = at.y - lowest(row);
        return {{column, row},
                std::min(1.0f, above / weather),
                above,
                std::min(at.x - left, right - at.x) - 0.09375f * inch};
    }
    glm::vec3 mean_;
};

/// A sand finish over the waves that a trowel leaves.
class Stucco final : public Relief {
public:
    explicit Stucco(const glm::vec3& mean) : Relief(0.004f, 0.15f), mean_(mean) {}

    float height(const glm::vec2& at) const override {
        const float all = 0.0004f * noise_at(at / 0.009f, Stream::grain) +
                          0.0009f * noise_at(at / 0.06f, Stream::coarse) +
                          0.0007f * noise_at(at / 0.4f, Stream::stand);
        return -0.002f + all;
    }
    ReliefSpot spot(const glm::vec2& at) const override {
        return {.reflectance = mean_ * (1 + 0.03f * noise_at(at / 0.25f, Stream::tone))};
    }

private:
    glm::vec3 mean_;
};

/// Boards 12 in from middle to middle, their joints under battens of 2 1/2 x 3/4 in.
class BoardAndBatten final : public Relief {
public:
    explicit BoardAndBatten(const glm::vec3& mean) : Relief(thickness, apart), mean_(mean) {}

    float height(const glm::vec2& at) const override {
        const float off = std::abs(at.x - apart * std::round(at.x / apart));
        const float grained = 0.00015f * (1 + noise_at({at.x / 0.006f, at.y / 0.15f}, Stream::grain));
        return std::max(-thickness, -thickness * (1 - ease((1.25f * inch - off) / 0.0025f)) - grained);
    }
    ReliefSpot spot(const glm::vec2& at) const override {
        return {.reflectance = mean_ * (1 + 0.03f * noise_at({at.x / 0.02f, at.y / 0.5f}, Stream::tone))};
    }

private:
    static constexpr float apart = 12 * inch, thickness = 0.75f * inch;
    glm::vec3 mean_;
};

} // namespace

Relief::Slant Relief::slant(const glm::vec2& at) const {
    constexpr float step = 0.001f;
    const glm::vec2 corner = at - step / 2;
    const float first = height(corner), right = height(corner + glm::vec2(step, 0)),
                up = height(corner + glm::vec2(0, step));
    return {height(at), glm::vec2(right - first, up - first) / step};
}

std::shared_ptr<const Relief> make_cladding(Cladding cladding, const glm::vec3& reflectance) {
    switch (cladding) {
    case Cladding::brick:
    case Cladding::brick_flemish:
    case Cladding::brick_painted:
    case Cladding::stone_coursed:
    case Cladding::stone_rubble:
        break;
    case Cladding::lap_siding:
        return std::make_shared<LapSiding>(reflectance);
    case Cladding::shingle:
        return std::make_shared<Shingles>(reflectance);
    case Cladding::stucco:
        return std::make_shared<Stucco>(reflectance);
    case Cladding::board_and_batten:
        return std::make_shared<BoardAndBatten>(reflectance);
    }
    return std::make_shared<Masonry>(masonry_look(cladding), reflectance);
}

void StageBuilder::add_cladding(std::uint16_t surface, const UprightFace& face, Cladding cladding,
                                const Finish& finish, std::vector<glm::dvec2> outline) {
    const glm::dvec3& mean = finish.reflectance;
    std::shared_ptr<const Relief>& relief = claddings[{cladding, {mean.r, mean.g, mean.b}}];
    if (!relief)
        relief = make_cladding(cladding, mean);
    stage.reliefs.push_back({surface, face.run, face.foot, std::move(outline), relief});
}

} // namespace duskcast
