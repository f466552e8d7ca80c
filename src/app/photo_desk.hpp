#pragma once
// The photos of a property while it is worked on: their pixels and cameras, and what relighting them needs,
// kept as far as a change leaves it as it was.

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/app/session.hpp"
#include "duskcast/photo/photo_report.hpp"
#include "duskcast/photo/relight.hpp"

namespace duskcast {

/// What is known of a photo.
struct PhotoSight {
    std::optional<PhotoInfo> info;     ///< none: the file is at fault
    std::optional<PhotoReport> report; ///< none: the camera is not known
    std::vector<Problem> problems;     ///< why
};

/// A photo by night, in fewer pixels.
struct SmallNight {
    ViewImage image;
    PhotoScan scan;
};

class PhotoDesk {
public:
    const PhotoSight& look(const Session& session, const Photo& photo);

    /// In whole-numbered pixels of the photo for one, so that at most `width` are left across. `is_quick`:
    /// with the light that last bounced on this stage, where there is any. Throws InputError as look() tells,
    /// and as RelightPlan.
    SmallNight relight(Session& session, const Photo& photo, int width, bool is_quick,
                       const Progress& progress);

    /// To be called when one of the files has changed.
    void forget_files();

private:
    struct Held {
        Photo photo;
        std::vector<glm::dvec3> places; ///< of its marks, and the planes of its lengths
        PhotoSight sight;
        std::shared_ptr<const PhotoPixels> pixels; ///< null: not wanted so far
    };
    struct Plan {
        Photo photo; ///< without its marks
        int factor = 1;
        std::vector<double> camera;
        std::shared_ptr<const Stage> stage;
        std::unique_ptr<const RelightPlan> plan;
    };
    Held& hold(const Session& session, const Photo& photo);
    const RelightPlan& plan(Session& session, const Photo& photo, int factor, const Progress& progress);

    std::map<std::string, Held> held_;
    std::vector<Plan> plans_; ///< the one used last at the end
    BouncedLight bounced_;    ///< of the last time that a photo was relit with settled light
    std::shared_ptr<const Stage> bounced_stage_;
};

} // namespace duskcast
