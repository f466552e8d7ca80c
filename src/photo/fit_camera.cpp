#include "duskcast/photo/fit_camera.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <unsupported/Eigen/NonLinearOptimization>
#include <unsupported/Eigen/NumericalDiff>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {
namespace {

// How well things are known before the marks are looked at: common practice, no source.
constexpr double usual_click = 1.0 / 960;               // of the picture's width
constexpr double roll_deviation = 2 * pi / 180;         // a camera is held level
constexpr double usual_eye = 1.6, eye_deviation = 0.25; // metres
constexpr double focal_deviation = 0.03;                // what files tell is rounded to a millimetre
constexpr double axis_deviation = 0.1;                  // of the width, where a picture was cropped
constexpr double distortion_deviation = 0.05;
constexpr std::size_t marks_for_distortion = 8;
constexpr double robust_clicks = 3;            // farther off, a mark pulls with a force that no longer grows
constexpr double robust_mean = 0.914;          // of the square of a click that is off as usual, in the mean
constexpr double suspect_square = 25;          // of 2 degrees of freedom: 1 mark in 270,000
constexpr double suspect_length_square = 21.4; // the same of 1 degree of freedom
constexpr double lost_length = 100;            // residual of a length whose ends do not meet its plane
constexpr double most_eye_share = 0.2;         // of the distance: a camera less well known is no camera

/// A mark's distance as the robust loss counts it: Huber's idea in the smooth form 2 (sqrt(1 + s) - 1).
double robust_share(double square) {
    const double s = square / (robust_clicks * robust_clicks);
    return s < 1e-12 ? 1 : std::sqrt(2 * (std::sqrt(1 + s) - 1) / s);
}

/// How long a line between two pixels is on its plane; none where that is not before the eye.
std::optional<double> length_on(const Camera& camera, const TapedLength& taped) {
    glm::dvec3 ends[2];
    int end = 0;
    for (const glm::dvec2& pixel : {taped.from, taped.to}) {
        const glm::dvec3 way = camera.direction_at(pixel);
        const double distance =
            glm::dot(taped.point - camera.eye, taped.normal) / glm::dot(way, taped.normal);
        if (!(distance > 0 && distance < 1e6))
            return std::nullopt;
        ends[end++] = camera.eye + distance * way;
    }
    return glm::distance(ends[0], ends[1]);
}

/// The logarithm of how much too long the camera has it.
std::optional<double> length_error(const Camera& camera, const TapedLength& taped) {
    const auto length = length_on(camera, taped);
    if (!length || !(*length > 0))
        return std::nullopt;
    return std::log(*length / taped.length);
}

double pixels_of(const TapedLength& taped) {
    return glm::distance(taped.from, taped.to);
}

/// Standard deviation of that logarithm, of two clicks.
double length_deviation(const TapedLength& taped, double click) {
    return std::sqrt(2.0) * click / pixels_of(taped);
}

/// What was pointed at.
struct Pointed {
    std::span<const Mark> marks;
    std::span<const TapedLength> lengths;
};

/// The least squares of a picture: residuals in standard deviations.
class Observations {
public:
    Observations(const CameraModel& model, const Pointed& pointed, const LensKnown& known, bool is_robust)
        : model_(model), pointed_(pointed), known_(known), is_robust_(is_robust) {
        click_ = usual_click * model.size().x;
    }

    using Scalar = double;
    using InputType = Eigen::VectorXd;
    using ValueType = Eigen::VectorXd;
    using JacobianType = Eigen::MatrixXd;
    enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };

    int inputs() const { return model_.parameter_count(); }
    int values() const {
        return 2 * static_cast<int>(pointed_.marks.size()) + static_cast<int>(pointed_.lengths.size()) + 2 +
               (known_.focal_px ? 1 : 0) + (model_.axis() >= 0 ? 2 : 0) + (model_.distortion() >= 0 ? 1 : 0);
    }

    int operator()(const Eigen::VectorXd& input, Eigen::VectorXd& values) const {
        const std::span<const double> parameters(input.data(), static_cast<std::size_t>(input.size()));
        const Camera camera = model_.camera(parameters);
        const double stretch = model_.stretch(parameters);
        int at = 0;
        for (const Mark& mark : pointed_.marks) {
            const glm::dvec2 off =
                (project_softly(camera, mark.place + stretch * mark.stretch) - mark.pixel) / click_;
            const double share = is_robust_ ? robust_share(glm::dot(off, off)) : 1;
            values[at++] = share * off.x;
            values[at++] = share * off.y;
        }
        for (const TapedLength& taped : pointed_.lengths) {
            const auto error = length_error(camera, taped);
            const double off = error ? *error / length_deviation(taped, click_) : lost_length;
            values[at++] = (is_robust_ ? robust_share(off * off) : 1) * off;
        }
        values[at++] = input[CameraModel::roll] / roll_deviation;
        values[at++] = (input[CameraModel::eye_z] - known_.eye_height.value_or(usual_eye)) / eye_deviation;
        if (known_.focal_px)
            values[at++] = (input[CameraModel::log_focal] - std::log(*known_.focal_px)) / focal_deviation;
        if (model_.axis() >= 0) {
            values[at++] = input[model_.axis()] / axis_deviation;
            values[at++] = input[model_.axis() + 1] / axis_deviation;
        }
        if (model_.distortion() >= 0)
            values[at++] = input[model_.distortion()] / distortion_deviation;
        return 0;
    }

private:
    /// What lies behind the eye falls far outside, the farther the more: the search finds its way back.
    static glm::dvec2 project_softly(const Camera& camera, const glm::dvec3& place) {
        constexpr double near = 0.3;
        const glm::dvec3 way = place - camera.eye;
        const double depth = glm::dot(way, camera.forward);
        const double soft = depth > near ? depth : near * std::exp(std::min(0.0, depth - near));
        const glm::dvec2 tangents = glm::dvec2(glm::dot(way, camera.right), -glm::dot(way, camera.up)) / soft;
        const double bend = depth > near ? 1 + camera.distortion * glm::dot(tangents, tangents) : 1;
        return 0.5 * glm::dvec2(camera.width, camera.height) + camera.axis_offset +
               camera.pixels_per_tangent * bend * tangents;
    }

    const CameraModel& model_;
    Pointed pointed_;
    const LensKnown& known_;
    bool is_robust_;
    double click_;
};

struct Descent {
    Eigen::VectorXd parameters;
    double cost = 1e300; ///< squares, summed
};

Descent descend(const Observations& observations, Eigen::VectorXd start, int evaluations) {
    Eigen::NumericalDiff<Observations, Eigen::Central> differences(observations);
    Eigen::LevenbergMarquardt<Eigen::NumericalDiff<Observations, Eigen::Central>> search(differences);
    search.parameters.maxfev = evaluations;
    search.minimize(start);
    Eigen::VectorXd values(observations.values());
    observations(start, values);
    const double cost = values.squaredNorm();
    return std::isfinite(cost) ? Descent{start, cost} : Descent{};
}

/// Five sides to stand on of each of the four quarters, and three angles of view unless it is known.
std::vector<Eigen::VectorXd> starts_of(const CameraModel& model, std::span<const Mark> marks,
                                       const LensKnown& known) {
    glm::dvec3 middle{0};
    glm::dvec2 middle_px{0};
    for (const Mark& mark : marks) {
        middle += (mark.place + mark.stretch) / static_cast<double>(marks.size());
        middle_px += mark.pixel / static_cast<double>(marks.size());
    }
    double spread = 0, spread_px = 0;
    for (const Mark& mark : marks) {
        spread += glm::dot(mark.place + mark.stretch - middle, mark.place + mark.stretch - middle);
        spread_px += glm::dot(mark.pixel - middle_px, mark.pixel - middle_px);
    }
    std::vector<double> focals;
    if (known.focal_px)
        focals = {*known.focal_px};
    else
        for (const double field : {60.0, 40.0, 80.0})
            focals.push_back(0.5 * model.size().x / std::tan(field * pi / 360));
    const glm::dvec2 off = middle_px - 0.5 * glm::dvec2(model.size());
    std::vector<Eigen::VectorXd> starts;
    constexpr int sides = 16;
    for (const double focal : focals)
        for (int side = 0; side < sides; ++side) {
            const double from = 2 * pi * side / sides, distance = focal * std::sqrt(spread / spread_px);
            glm::dvec3 eye = middle + distance * glm::dvec3(std::sin(from), std::cos(from), 0);
            eye.z = known.eye_height.value_or(usual_eye);
            const glm::dvec3 way = middle - eye;
            Eigen::VectorXd start = Eigen::VectorXd::Zero(model.parameter_count());
            start[CameraModel::eye_x] = eye.x;
            start[CameraModel::eye_y] = eye.y;
            start[CameraModel::eye_z] = eye.z;
            start[CameraModel::azimuth] = std::atan2(way.x, way.y) - std::atan2(off.x, focal);
            start[CameraModel::pitch] =
                std::atan2(way.z, std::hypot(way.x, way.y)) + std::atan2(off.y, focal);
            start[CameraModel::log_focal] = std::log(focal);
            starts.push_back(start);
        }
    return starts;
}

Descent search_from_all_sides(const CameraModel& model, const Pointed& pointed, const LensKnown& known) {
    const Observations observations(model, pointed, known, true);
    std::vector<Descent> rough;
    for (const Eigen::VectorXd& start : starts_of(model, pointed.marks, known))
        rough.push_back(descend(observations, start, 40));
    sort_stably(rough, [](const Descent& a, const Descent& b) { return a.cost < b.cost; });
    Descent best;
    for (std::size_t i = 0; i < 3; ++i) {
        const Descent fine = descend(observations, rough[i].parameters, 400);
        if (fine.cost < best.cost)
            best = fine;
    }
    return best;
}

/// How wide the marks' places spread along three axes, the widest first: standard deviations, metres.
Eigen::Vector3d widths_of(std::span<const Mark> marks) {
    const double count = static_cast<double>(marks.size());
    glm::dvec3 middle(0);
    for (const Mark& mark : marks)
        middle += (mark.place + mark.stretch) / count;
    Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
    for (const Mark& mark : marks) {
        const glm::dvec3 off = mark.place + mark.stretch - middle;
        for (int i = 0; i < 3; ++i)
            for (int k = 0; k < 3; ++k)
                spread(i, k) += off[i] * off[k] / count;
    }
    const Eigen::Vector3d squares = Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(spread).eigenvalues();
    return squares.reverse().cwiseMax(0).cwiseSqrt();
}

bool is_on_picture(glm::ivec2 size, const glm::dvec2& pixel) {
    return pixel.x >= 0 && pixel.y >= 0 && pixel.x <= size.x && pixel.y <= size.y;
}

[[noreturn]] void refuse_outside(glm::ivec2 size, const std::string& what, const glm::dvec2& pixel) {
    refuse(fmt::format("{} lies outside the picture, at {:.1f}, {:.1f}", what, pixel.x, pixel.y),
           fmt::format("give pixels from the upper left corner, up to {}, {}", size.x, size.y));
}

void check_pointed(glm::ivec2 size, const Pointed& pointed) {
    if (pointed.marks.size() < 4)
        refuse(
            fmt::format("{} marks do not settle a camera", pointed.marks.size()),
            "mark 4 places at the least, better 6 wide and high on the front and 2 on the ground before it");
    for (const Mark& mark : pointed.marks) {
        if (!is_on_picture(size, mark.pixel))
            refuse_outside(size, "mark " + mark.id, mark.pixel);
        for (const Mark& other : pointed.marks)
            if (&other < &mark && glm::distance(other.pixel, mark.pixel) < 0.5)
                refuse(fmt::format("marks {} and {} are the same pixel", other.id, mark.id),
                       "two places fall on one pixel only by mistake: point at one of them again");
    }
    for (const TapedLength& taped : pointed.lengths)
        for (const glm::dvec2& pixel : {taped.from, taped.to})
            if (!is_on_picture(size, pixel))
                refuse_outside(size, "an end of length " + taped.id, pixel);
    const Eigen::Vector3d widths = widths_of(pointed.marks);
    if (!(widths[1] > 0.03 * widths[0]))
        refuse("all marks lie on one line, about which the camera could turn",
               "mark a place well above or beside it, such as the eave or a window's upper corner");
}

/// All that was pointed at, on the picture turned over.
struct Mirrored {
    std::vector<Mark> marks;
    std::vector<TapedLength> lengths;

    Mirrored(glm::ivec2 size, const Pointed& pointed)
        : marks(pointed.marks.begin(), pointed.marks.end()),
          lengths(pointed.lengths.begin(), pointed.lengths.end()) {
        for (Mark& mark : marks)
            mark.pixel.x = size.x - mark.pixel.x;
        for (TapedLength& taped : lengths) {
            taped.from.x = size.x - taped.from.x;
            taped.to.x = size.x - taped.to.x;
        }
    }
    Pointed pointed() const { return {marks, lengths}; }
};

/// The covariance at the best place: the inverse of J^T J (Hartley and Zisserman 2004, 5.2).
Eigen::MatrixXd covariance_of(const Observations& observations, const Eigen::VectorXd& parameters) {
    const Eigen::NumericalDiff<Observations, Eigen::Central> differences(observations);
    Eigen::MatrixXd slopes(observations.values(), observations.inputs());
    differences.df(parameters, slopes);
    const Eigen::VectorXd scale = slopes.colwise().norm().cwiseMax(1e-12);
    const Eigen::MatrixXd scaled = slopes * scale.cwiseInverse().asDiagonal();
    // Small matrices: products by their definition and one column after the other, as Eigen's blocked ones
    // would take more time to compile, and more room in a page, than all else here.
    const Eigen::LDLT<Eigen::MatrixXd> factors(scaled.transpose().lazyProduct(scaled));
    Eigen::MatrixXd inverse(observations.inputs(), observations.inputs());
    for (int k = 0; k < observations.inputs(); ++k)
        inverse.col(k) = factors.solve(Eigen::VectorXd::Unit(observations.inputs(), k));
    return scale.cwiseInverse().asDiagonal() * inverse * scale.cwiseInverse().asDiagonal();
}

std::span<const double> as_span(const Eigen::VectorXd& values) {
    return {values.data(), static_cast<std::size_t>(values.size())};
}

glm::dvec2 off_of(const CameraModel& model, const Eigen::VectorXd& parameters, const Mark& mark) {
    const auto place = model.camera(as_span(parameters))
                           .project(mark.place + model.stretch(as_span(parameters)) * mark.stretch);
    return place ? mark.pixel - *place : glm::dvec2(1e6);
}

template <class Thing> std::vector<Thing> leave_out_one(std::span<const Thing> things, std::size_t which) {
    std::vector<Thing> others(things.begin(), things.end());
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(which));
    return others;
}

/// At the distance of a place, across the line of sight.
double metres_a_pixel(const Camera& camera, const glm::dvec3& place) {
    return glm::dot(place - camera.eye, camera.forward) / camera.pixels_per_tangent;
}

/// Leaves each mark and each length out in turn and asks all else what it should be. The one that is off the
/// most, beyond what that can know, looks wrong; of several wrong ones the worst is named.
class SuspectFinder {
public:
    SuspectFinder(const CameraModel& model, const Pointed& pointed, const LensKnown& known,
                  const Eigen::VectorXd& parameters, CameraFit& fit)
        : model_(model), pointed_(pointed), known_(known), parameters_(parameters), fit_(fit),
          click_(usual_click * model.size().x) {}

    void find() {
        for (std::size_t i = 0; i < pointed_.marks.size(); ++i)
            look_at_mark(i);
        for (std::size_t i = 0; i < pointed_.lengths.size(); ++i)
            look_at_length(i);
        if (suspect_)
            *suspect_ = true;
    }

private:
    /// The camera of the others; `error` is a residual of what was left out, pixels or a logarithm. Returns
    /// how much that tells: its square in standard deviations, by its own clicks and what the camera is
    /// not sure of.
    template <int count, class Error>
    double weigh(const Pointed& others, const Eigen::VectorXd& without, double own_deviation,
                 const Error& error) const {
        using Off = Eigen::Matrix<double, count, 1>;
        const Off off = error(without);
        const Observations plain(model_, others, known_, false);
        Eigen::Matrix<double, count, Eigen::Dynamic> slopes(count, model_.parameter_count());
        for (int k = 0; k < model_.parameter_count(); ++k) {
            Eigen::VectorXd moved = without;
            moved[k] += 1e-6;
            slopes.col(k) = (error(moved) - off) / 1e-6;
        }
        const Eigen::Matrix<double, count, count> spread =
            slopes.lazyProduct(covariance_of(plain, without)).lazyProduct(slopes.transpose()) +
            own_deviation * own_deviation * Eigen::Matrix<double, count, count>::Identity();
        return off.dot(spread.ldlt().solve(off));
    }

    /// Four marks may agree on a wrong camera.
    static bool can_judge(const Pointed& others) { return others.marks.size() + others.lengths.size() >= 5; }

    void accuse(double share, bool& is_suspect) {
        if (share <= worst_)
            return;
        worst_ = share;
        suspect_ = &is_suspect;
    }

    void look_at_mark(std::size_t i) {
        const Mark& mark = pointed_.marks[i];
        const std::vector<Mark> marks = leave_out_one(pointed_.marks, i);
        const Pointed others{marks, pointed_.lengths};
        const Eigen::VectorXd without =
            descend(Observations(model_, others, known_, true), parameters_, 200).parameters;
        const auto error = [&](const Eigen::VectorXd& parameters) {
            const glm::dvec2 off = off_of(model_, parameters, mark);
            return Eigen::Vector2d(off.x, off.y);
        };
        fit_.marks[i].without_px = error(without).norm();
        const Camera camera = model_.camera(as_span(without));
        fit_.marks[i].without_m =
            fit_.marks[i].without_px *
            metres_a_pixel(camera, mark.place + model_.stretch(as_span(without)) * mark.stretch);
        if (can_judge(others))
            accuse(weigh<2>(others, without, click_, error) / suspect_square, fit_.marks[i].is_suspect);
    }

    void look_at_length(std::size_t i) {
        const TapedLength& taped = pointed_.lengths[i];
        const std::vector<TapedLength> lengths = leave_out_one(pointed_.lengths, i);
        const Pointed others{pointed_.marks, lengths};
        const Eigen::VectorXd without =
            descend(Observations(model_, others, known_, true), parameters_, 200).parameters;
        const auto error = [&](const Eigen::VectorXd& parameters) {
            return Eigen::Matrix<double, 1, 1>(
                length_error(model_.camera(as_span(parameters)), taped).value_or(lost_length));
        };
        fit_.lengths[i].without_m = taped.length * std::expm1(std::min(error(without)[0], 20.0));
        if (can_judge(others))
            accuse(weigh<1>(others, without, length_deviation(taped, click_), error) / suspect_length_square,
                   fit_.lengths[i].is_suspect);
    }

    const CameraModel& model_;
    Pointed pointed_;
    const LensKnown& known_;
    const Eigen::VectorXd& parameters_;
    CameraFit& fit_;
    double click_;
    double worst_ = 1; ///< of what makes one suspect
    bool* suspect_ = nullptr;
};

} // namespace

CameraModel::CameraModel(glm::ivec2 size, bool has_axis, bool has_distortion, bool has_stretch)
    : size_(size) {
    if (has_axis) {
        axis_ = count_;
        count_ += 2;
    }
    if (has_distortion)
        distortion_ = count_++;
    if (has_stretch)
        stretch_ = count_++;
}

Camera CameraModel::camera(std::span<const double> p) const {
    Camera camera{.width = size_.x, .height = size_.y, .eye = {p[eye_x], p[eye_y], p[eye_z]}};
    const double sine = std::sin(p[azimuth]), cosine = std::cos(p[azimuth]);
    camera.forward = {sine * std::cos(p[pitch]), cosine * std::cos(p[pitch]), std::sin(p[pitch])};
    const glm::dvec3 level{cosine, -sine, 0}, upright = glm::cross(level, camera.forward);
    camera.right = std::cos(p[roll]) * level + std::sin(p[roll]) * upright;
    camera.up = std::cos(p[roll]) * upright - std::sin(p[roll]) * level;
    camera.pixels_per_tangent = std::exp(p[log_focal]);
    if (axis_ >= 0) {
        const auto at = static_cast<std::size_t>(axis_);
        camera.axis_offset = glm::dvec2(p[at], p[at + 1]) * static_cast<double>(size_.x);
    }
    if (distortion_ >= 0)
        camera.distortion = p[static_cast<std::size_t>(distortion_)];
    return camera;
}

double CameraModel::stretch(std::span<const double> p) const {
    return stretch_ < 0 ? 1 : std::exp(p[static_cast<std::size_t>(stretch_)]);
}

double CameraFit::deviation(int parameter) const {
    const auto at = static_cast<std::size_t>(parameter);
    return std::sqrt(covariance[at * (parameters.size() + 1)]);
}

CameraFit fit_camera(glm::ivec2 size, std::span<const Mark> marks, const LensKnown& known,
                     std::span<const TapedLength> lengths) {
    const Pointed pointed{marks, lengths};
    check_pointed(size, pointed);
    const bool has_stretch = std::any_of(marks.begin(), marks.end(),
                                         [](const Mark& mark) { return mark.stretch != glm::dvec3(0); });
    const CameraModel model(size, known.is_cropped, marks.size() >= marks_for_distortion, has_stretch);
    const Descent best = search_from_all_sides(model, pointed, known);
    const double clicks = usual_click * size.x;

    const Mirrored turned(size, pointed);
    if (best.cost > 50 * static_cast<double>(marks.size()) &&
        9 * search_from_all_sides(model, turned.pointed(), known).cost < best.cost)
        refuse("the picture is mirrored: its marks fit with left and right exchanged",
               "turn the picture over, left to right, and mark it again");

    CameraFit fit{.model = model};
    fit.parameters.assign(best.parameters.begin(), best.parameters.end());
    const Observations plain(model, pointed, known, false);
    Eigen::MatrixXd covariance = covariance_of(plain, best.parameters);
    // What is usual counts as much as four observations; the robust loss bounds what one wrong mark adds.
    const int free = std::max(0, plain.values() - plain.inputs());
    const double scale = (best.cost / robust_mean + 4) / (free + 4);
    fit.click_px = clicks * std::sqrt(scale);
    // So few marks tell a click's error only roughly: widened so that 1.645 deviations hold nine in ten, as
    // of Student's distribution (the first term of Fisher's expansion).
    const double widened = 1 + (1.645 * 1.645 + 1) / (4.0 * (free + 4));
    covariance *= scale * widened * widened;

    const Camera camera = fit.camera();
    glm::dvec3 middle{0};
    for (const Mark& mark : marks)
        middle += (mark.place + fit.model.stretch(fit.parameters) * mark.stretch) /
                  static_cast<double>(marks.size());
    const Eigen::Vector3d widths = widths_of(marks);
    fit.is_flat = widths[2] < 0.02 * widths[0];
    const double eye_spread = std::sqrt(std::max(
        0.0,
        Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(covariance.topLeftCorner<3, 3>()).eigenvalues()[2]));
    if (!(eye_spread < most_eye_share * glm::distance(camera.eye, middle)))
        refuse(fit.is_flat && !known.focal_px ? "the marks lie in one plane seen nearly square-on: how "
                                                "far off the camera stood cannot be known"
                                              : "these marks leave open where the camera stood",
               "mark a place on the ground 12 ft (3.5 m) or more before the wall, or give the lens's focal "
               "length");
    fit.covariance.assign(covariance.data(), covariance.data() + covariance.size());
    for (const Mark& mark : marks) {
        const glm::dvec3 place = mark.place + fit.model.stretch(fit.parameters) * mark.stretch;
        MarkFit one{.id = mark.id, .off_px = off_of(model, best.parameters, mark)};
        one.off_m = glm::length(one.off_px) * metres_a_pixel(camera, place);
        fit.marks.push_back(one);
    }
    for (const TapedLength& taped : lengths) {
        const double error = length_error(camera, taped).value_or(lost_length);
        fit.lengths.push_back({.id = taped.id,
                               .off_px = error * pixels_of(taped),
                               .off_m = taped.length * std::expm1(std::min(error, 20.0))});
    }
    SuspectFinder(model, pointed, known, best.parameters, fit).find();
    return fit;
}

} // namespace duskcast
