#pragma once
// The photos of a property while it is worked on: their pixels and cameras, and what relighting them needs,
// kept as far as a change leaves it as it was.

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/app/session.hpp"
#include "duskcast/photo/photo_glance.hpp"
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

/// The picture of one under a moving hand.
struct GlancedNight {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgba;
};

class PhotoDesk {
public:
    const PhotoSight& look(const Session& session, const Photo& photo);

    /// In whole-numbered pixels of the photo for one, so that at most `width` are left across. `is_quick`:
    /// with the light that last bounced on this stage, where there is any. Throws InputError as look() tells,
    /// and as RelightPlan.
    SmallNight relight(Session& session, const Photo& photo, int width, bool is_quick,
                       const Progress& progress);

    /// Keeps a photo as it was just relit by relight(), in the session's light, for glance_at(): `light` and
    /// `rgba` as PhotoGlance takes them.
    void keep_night(const Session& session, const Photo& photo, std::vector<glm::vec3> light,
                    std::vector<std::uint8_t> rgba);

    /// The photo that was kept last in the direct light of another text's fixtures; none where that text
    /// changes more than fixtures, or nothing was kept.
    std::optional<GlancedNight> glance_at(Session& session, const std::string& photo, std::string_view text,
                                          const Look& look);

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
        std::shared_ptr<const RelightPlan> plan;
    };
    Held& hold(const Session& session, const Photo& photo);
    const RelightPlan& plan(Session& session, const Photo& photo, int factor, const Progress& progress);

    /// A night that was relit, and what it becomes; `made` when it is first looked at.
    struct KeptNight {
        Photo photo;
        std::shared_ptr<const Stage> stage;
        std::shared_ptr<const RelightPlan> plan;
        Camera camera;
        std::vector<LitFixture> fixtures;
        std::vector<glm::vec3> light;
        std::vector<std::uint8_t> rgba;
        std::unique_ptr<PhotoGlance> made;
    };

    std::map<std::string, Held> held_;
    std::vector<Plan> plans_; ///< the one used last at the end
    std::optional<KeptNight> kept_;
    BouncedLight bounced_;    ///< of the last time that a photo was relit with settled light
    std::shared_ptr<const Stage> bounced_stage_;
};

} // namespace duskcast
