#include "checker.hpp"
#include "duskcast/base/text.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {
namespace {

constexpr std::size_t max_points = 2000;

bool is_id_character(char c) {
    return is_letter(c) || is_digit(c) || c == '-' || c == '_' || c == '.';
}

double cross(const glm::dvec2& a, const glm::dvec2& b) {
    return a.x * b.y - a.y * b.x;
}

bool is_within_box(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& p) {
    return p.x >= std::min(a.x, b.x) && p.x <= std::max(a.x, b.x) && p.y >= std::min(a.y, b.y) &&
           p.y <= std::max(a.y, b.y);
}

int side(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& p) {
    const double turn = cross(b - a, p - a);
    return turn > 0 ? 1 : turn < 0 ? -1 : 0;
}

/// Whether two closed segments share a point.
bool do_meet(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c, const glm::dvec2& d) {
    const int abc = side(a, b, c), abd = side(a, b, d), cda = side(c, d, a), cdb = side(c, d, b);
    if (abc != abd && cda != cdb && abc * abd <= 0 && cda * cdb <= 0 && (abc || abd) && (cda || cdb))
        return true;
    return (!abc && is_within_box(a, b, c)) || (!abd && is_within_box(a, b, d)) ||
           (!cda && is_within_box(c, d, a)) || (!cdb && is_within_box(c, d, b));
}

bool crosses_itself(const std::vector<glm::dvec2>& points, bool closed) {
    const std::size_t count = points.size(), edges = closed ? count : count - 1;
    for (std::size_t i = 0; i < edges; ++i) {
        const glm::dvec2 &a = points[i], &b = points[(i + 1) % count];
        for (std::size_t j = i + 1; j < edges; ++j) {
            const glm::dvec2 &c = points[j], &d = points[(j + 1) % count];
            const bool follows = j == i + 1, precedes = closed && i == 0 && j == edges - 1;
            if (follows || precedes) {
                // Neighbours share a point; they must not double back over one another.
                const glm::dvec2 first = follows ? b - a : d - c, second = follows ? d - c : b - a;
                if (cross(first, second) == 0 && glm::dot(first, second) < 0)
                    return true;
            } else if (do_meet(a, b, c, d)) {
                return true;
            }
        }
    }
    return false;
}

} // namespace

std::optional<IdSpace::Taken> IdSpace::take(const std::string& id, const std::string& path) {
    const auto [entry, is_new] = by_lower_case.try_emplace(lower_case(id), Taken{id, path});
    return is_new ? std::nullopt : std::optional(entry->second);
}

std::vector<std::string> IdSpace::ids() const {
    std::vector<std::string> ids;
    for (const auto& [small, taken] : by_lower_case)
        ids.push_back(taken.id);
    return ids;
}

void Checker::error(const std::string& path, const Message& message) {
    problems.push_back({Severity::error, {"", 0, 0, path}, message.what, message.remedy});
}

void Checker::warn(const std::string& path, const Message& message) {
    problems.push_back({Severity::warning, {"", 0, 0, path}, message.what, message.remedy});
}

std::string Checker::shown(double metres) const {
    const bool is_foot = site.units == LengthUnit::foot;
    const double size = std::abs(metres), inches = metres / metres_per_inch;
    if (is_foot && size > 0 && size < metres_per_inch && inches * 2 != std::round(inches * 2))
        return print_number(inches) + " in";
    if (!is_foot && size > 0 && size < 0.01)
        return print_number(metres * 1000) + " mm";
    return print_length(metres, site.units);
}

std::string Checker::shown_limit(double metres) const {
    const double unit = metres_per(site.units);
    return shown(std::abs(metres) > 3 * unit ? std::trunc(metres / unit) * unit : metres);
}

void Checker::check_id(IdSpace& space, const std::string& id, const std::string& path) {
    const std::string id_path = join_path(path, "id");
    if (id.empty())
        return error(id_path, messages::id_empty());
    if (id.size() > 64 || id.front() == '.' || !std::all_of(id.begin(), id.end(), is_id_character))
        return error(id_path, messages::id_characters(id));
    if (!space.takes_dots && id.find('.') != std::string::npos)
        return error(id_path, messages::id_dotted(id));
    if (lower_case(id) == space.reserved)
        return error(id_path, messages::id_reserved(id, space.owner));
    if (const auto taken = space.take(id, path))
        error(id_path, taken->id == id ? messages::id_twice(id, taken->path)
                                       : messages::id_case(id, taken->id, taken->path));
}

// Every comparison is written so that NaN fails it.

bool Checker::check_size(const std::string& path, double metres, double limit) {
    if (!(metres > touch))
        error(path, messages::not_positive(shown(metres)));
    else if (!(metres <= limit))
        error(path, messages::absurd(shown(metres), shown_limit(limit)));
    else
        return true;
    return false;
}

bool Checker::check_distance(const std::string& path, double metres, double limit) {
    if (!(metres >= 0))
        error(path, messages::negative(shown(metres)));
    else if (!(metres <= limit))
        error(path, messages::absurd(shown(metres), shown_limit(limit)));
    else
        return true;
    return false;
}

bool Checker::check_along(const std::string& path, double along, const std::vector<RunSegment>& run,
                          const std::string& what) {
    if (!(along > run_length(run) + touch)) // what is no figure is told of elsewhere
        return true;
    error(path, messages::off_the_run(shown(along), what, shown(run_length(run))));
    return false;
}

bool Checker::check_span(const std::string& path, double metres, double low, double high) {
    if (metres >= low && metres <= high)
        return true;
    error(path, messages::out_of_range(shown(metres), shown_limit(low), shown_limit(high)));
    return false;
}

bool Checker::check_level(const std::string& path, double metres, double limit) {
    return check_span(path, metres, -limit, limit);
}

bool Checker::check_point(const std::string& path, const glm::dvec2& point) {
    return check_level(path, point.x, max_length) && check_level(path, point.y, max_length);
}

bool Checker::check_range(const std::string& path, double value, double low, double high) {
    if (value >= low && value <= high)
        return true;
    error(path, messages::out_of_range(print_number(value), print_number(low), print_number(high)));
    return false;
}

bool Checker::check_illuminance(const std::string& path, double lux, const KeyRange& range) {
    if (range.is_above_least ? lux > range.least && lux <= range.most
                             : lux >= range.least && lux <= range.most)
        return true;
    const std::string given = print_illuminance(lux, site.light),
                      most = print_illuminance(range.most, site.light);
    error(path, range.is_above_least
                    ? messages::level_out_of_range(given, most)
                    : messages::out_of_range(given, print_illuminance(range.least, site.light), most));
    return false;
}

bool Checker::check_angle(const std::string& path, double radians, const KeyRange& range) {
    const double rounding = 1e-9;
    if (radians >= range.least - rounding && radians <= range.most + rounding)
        return true;
    error(path,
          messages::out_of_range(print_angle(radians), print_angle(range.least), print_angle(range.most)));
    return false;
}

bool Checker::check_place(const std::string& path, const glm::dvec3& point) {
    return check_point(path, glm::dvec2(point)) && check_level(path, point.z, max_height);
}

bool Checker::check_finish(const std::string& path, const Finish& finish) {
    for (int i = 0; i < 3; ++i)
        if (!check_range(join_path(path, "reflectance"), finish.reflectance[i], 0, 1))
            return false;
    return true;
}

bool Checker::check_line(const std::string& path, const std::vector<glm::dvec2>& points, bool closed,
                         const std::string& what) {
    const std::size_t least = closed ? 3 : 2;
    if (points.size() < least)
        error(path, messages::too_few_points(least));
    else if (points.size() > max_points)
        error(path, messages::too_many_points(max_points));
    if (points.size() < least || points.size() > max_points)
        return false;
    const double apart = 1e-3;
    bool is_good = true;
    for (std::size_t i = 0; i < points.size(); ++i) {
        is_good = check_point(join_path(path, i), points[i]) && is_good;
        if (i > 0 && glm::distance(points[i - 1], points[i]) < apart) {
            error(join_path(path, i), messages::points_coincide());
            is_good = false;
        }
    }
    if (points.size() > 2 && glm::distance(points.front(), points.back()) < apart) {
        error(join_path(path, points.size() - 1), messages::ends_where_it_began(!closed));
        is_good = false;
    }
    if (is_good && crosses_itself(points, closed)) {
        error(path, messages::crosses_itself(what));
        is_good = false;
    } else if (is_good && closed && std::abs(signed_area(points)) < apart * apart) {
        error(path, messages::no_area());
        is_good = false;
    }
    return is_good;
}

std::string root_of(const std::string& path) {
    return path.substr(0, std::min(path.find(']'), path.size() - 1) + 1);
}

double run_length(const std::vector<RunSegment>& run) {
    return run.empty() ? 0 : run.back().along + run.back().length;
}

bool is_usable(const Wall& wall) {
    return run_length(run_of(wall)) > 0 && wall.height > 0;
}

bool is_on_one_segment(const std::vector<RunSegment>& run, double from, double width) {
    const RunSegment& segment = segment_at(run, from + width / 2);
    return from >= segment.along - touch && from + width <= segment.along + segment.length + touch;
}

} // namespace duskcast
