#include "photo_desk.hpp"

#include <algorithm>

#include "duskcast/base/files.hpp"
#include "duskcast/photo/shrink_photo.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

constexpr std::size_t most_plans = 3; ///< some 30 bytes a pixel each

Photo without_marks(Photo photo) {
    photo.marks.clear();
    photo.lengths.clear();
    return photo;
}

} // namespace

PhotoDesk::Held& PhotoDesk::hold(const Session& session, const Photo& photo) {
    std::vector<glm::dvec3> places;
    for (const PhotoMark& mark : photo.marks)
        places.push_back(place_of(session.site(), mark));
    for (const PhotoLength& length : photo.lengths)
        if (const Wall* wall = find_wall(session.site(), length.wall)) {
            const ClickPlane plane = plane_of(*wall, length.along);
            places.insert(places.end(), {plane.point, plane.normal});
        }
    const auto [entry, is_new] = held_.try_emplace(photo.id);
    Held& held = entry->second;
    if (!is_new && held.photo == photo && held.places == places)
        return held;
    if (is_new || held.photo.file != photo.file) {
        held.sight = {};
        held.pixels = nullptr;
        try {
            held.sight.info = read_photo_info(path_in(session.folder(), photo.file));
        } catch (const InputError& error) {
            held.sight.problems = error.problems();
        }
    }
    held.photo = photo;
    held.places = std::move(places);
    if (!held.sight.info)
        return held;
    held.sight.report.reset();
    held.sight.problems.clear();
    try {
        held.sight.report = measure_photo(session.site(), photo, *held.sight.info);
    } catch (const InputError& error) {
        held.sight.problems = error.problems();
    }
    return held;
}

const PhotoSight& PhotoDesk::look(const Session& session, const Photo& photo) {
    return hold(session, photo).sight;
}

void PhotoDesk::forget_files() {
    held_.clear();
    plans_.clear();
    kept_.reset();
}

const RelightPlan& PhotoDesk::plan(Session& session, const Photo& photo, int factor,
                                   const Progress& progress) {
    Held& held = hold(session, photo);
    const CameraFit& fit = held.sight.report->fit;
    const Photo bare = without_marks(photo);
    const auto known = std::find_if(plans_.begin(), plans_.end(), [&](const Plan& one) {
        return one.photo == bare && one.factor == factor && one.camera == fit.parameters &&
               one.stage == session.stage_held();
    });
    if (known != plans_.end()) {
        std::rotate(known, known + 1, plans_.end());
        return *plans_.back().plan;
    }
    // What is of another stage or camera is never wanted again.
    std::erase_if(plans_, [&](const Plan& one) {
        return one.stage != session.stage_held() || (one.photo.id == photo.id && one.factor == factor);
    });
    if (plans_.size() >= most_plans)
        plans_.erase(plans_.begin());
    if (!held.pixels)
        held.pixels = std::make_shared<const PhotoPixels>(read_photo(path_in(session.folder(), photo.file)));
    const PhotoPixels small = shrink_pixels(*held.pixels, factor);
    plans_.push_back({.photo = bare,
                      .factor = factor,
                      .camera = fit.parameters,
                      .stage = session.stage_held(),
                      .plan = std::make_shared<const RelightPlan>(
                          session.site(), session.stage(), shrink_places(bare, factor), small,
                          shrink_camera(fit.camera(), factor), session.bounce(), progress)});
    return *plans_.back().plan;
}

SmallNight PhotoDesk::relight(Session& session, const Photo& photo, int width, bool is_quick,
                              const Progress& progress) {
    const PhotoSight& sight = look(session, photo);
    if (!sight.report)
        throw InputError(sight.problems);
    const auto part = [&](double from, double to) -> Progress {
        if (!progress)
            return {};
        return [&progress, from, to](double share) { progress(from + share * (to - from)); };
    };
    const bool has_bounced = bounced_ && bounced_stage_ == session.stage_held();
    if (!is_quick || !has_bounced || session.is_settled()) {
        session.settle(part(0, 0.3));
        bounced_ = session.lighting().bounced_at;
        bounced_stage_ = session.stage_held();
    }
    const int across = sight.info->size.x;
    const int factor = (across + width - 1) / width;
    const RelightPlan& made = plan(session, photo, factor, part(0.3, 0.7));
    const Lighting& lighting = session.lighting();
    return {.image = made.relight(lighting.fixtures, session.site().ambient, bounced_, part(0.7, 1)),
            .scan = made.scan()};
}

void PhotoDesk::keep_night(const Session& session, const Photo& photo, std::vector<glm::vec3> light,
                           std::vector<std::uint8_t> rgba) {
    const Plan& used = plans_.back();
    kept_.reset();
    kept_ = KeptNight{.photo = photo,
                      .stage = used.stage,
                      .plan = used.plan,
                      .camera = shrink_camera(look(session, photo).report->fit.camera(), used.factor),
                      .fixtures = session.lighting().fixtures,
                      .light = std::move(light),
                      .rgba = std::move(rgba),
                      .made = nullptr};
}

std::optional<GlancedNight> PhotoDesk::glance_at(Session& session, const std::string& id,
                                                 std::string_view text, const Look& look) {
    if (!kept_ || kept_->photo.id != id || kept_->stage != session.stage_held())
        return std::nullopt;
    const std::optional<Session::Glance> glance = session.glance_at(text, look);
    if (!glance || std::find(glance->site.photos.begin(), glance->site.photos.end(), kept_->photo) ==
                       glance->site.photos.end())
        return std::nullopt;
    if (!kept_->made)
        kept_->made = std::make_unique<PhotoGlance>(*kept_->plan, kept_->fixtures, std::move(kept_->light),
                                                    std::move(kept_->rgba));
    return GlancedNight{.width = kept_->camera.width,
                        .height = kept_->camera.height,
                        .rgba = kept_->made->look(glance->fixtures)};
}

} // namespace duskcast
