#pragma once
// A photo by night: what its pixels reflect, seen in the light that the engine finds.

#include <cstdint>
#include <functional>
#include <memory>

#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/photo/photo_file.hpp"
#include "duskcast/view/view_trace.hpp"

namespace duskcast {

/// What a pixel of a photo shows.
enum class PhotoPart : std::uint8_t { beyond, sky, solid, pane, leaf, trunk, unlit };

/// What tells how bright the daylight was.
enum class DaylightFrom { white, walls, surfaces };

/// Shares of the picture, and how the daylight was found.
struct PhotoScan {
    double sky = 0;       ///< shares of all pixels
    double beyond = 0;    ///< shows nothing of the site: goes to dusk
    double plants = 0;    ///< leaves and trunks in masks
    double unlit = 0;     ///< masked as such
    double blown_out = 0; ///< too bright for the file, sky left out
    DaylightFrom daylight_from = DaylightFrom::walls;
    bool is_sunny = false;                   ///< for looks: its sun is evened out as the site has it
    bool is_white_blown_out = false;         ///< so that the walls were taken
    std::vector<std::string> unseen_plants;  ///< masked, but the camera sees nothing of them on the site
    std::vector<std::string> unmasked_trees; ///< before a wall as the camera sees it, without a mask
};

class NightPhoto;

/// A photo ready to be relit: all that does not change with the fixtures. Night and day are traced through
/// its camera in small pictures of the site, with and without plants; their ratio is free of the site's
/// finishes and smooth, so that the photo's own pixels carry the detail.
class RelightPlan {
public:
    /// `setup`: of the stage; its light is not used, only its operator. `picture` may go afterwards. The
    /// stage must outlive the plan. Throws InputError, without a place, where the photo shows nothing of the
    /// site.
    RelightPlan(const Site& site, const Stage& stage, const Photo& photo, const PhotoPixels& picture,
                const Camera& camera, const BounceSetup& setup, const Progress& progress = {});
    ~RelightPlan();

    const PhotoScan& scan() const;

    /// The photo in this light. The plan must outlive it. `ambient_lx` and `bounced` as for trace_view.
    NightPhoto trace(const std::vector<LitFixture>& fixtures, double ambient_lx, const BouncedLight& bounced,
                     const Progress& progress = {}) const;

    /// All of its rows at once.
    ViewImage relight(const std::vector<LitFixture>& fixtures, double ambient_lx, const BouncedLight& bounced,
                      const Progress& progress = {}) const;

private:
    friend class NightPhoto;
    friend class PhotoGlance;
    struct State;
    std::unique_ptr<State> state_;
};

/// A photo in the light of a night, cd/m2, as a view of the photo's size: surfaces by what the pixels show
/// (of leaves their plant), no sun. The light is found for a million pixels at most; those of the photo are
/// made as they are wanted, so that a phone's picture need not be held in floats as a whole.
class NightPhoto {
public:
    NightPhoto(NightPhoto&&) noexcept;
    ~NightPhoto();

    const Camera& camera() const; ///< of the photo

    /// The rows from..to-1 as a view by themselves, with all lenses.
    ViewImage rows(int from, int to) const;

    /// The picture with pixels `factor` times as large, as shrink_image makes it.
    ViewImage shrunk(int factor) const;

    /// The same; meanwhile `visit` sees all of the picture in strips, the lowest first, with the row that
    /// each begins at.
    ViewImage visit_strips(int factor,
                           const std::function<void(const ViewImage& strip, int from)>& visit) const;

private:
    friend class RelightPlan;
    struct Light;
    struct Pixel {
        glm::vec3 luminance{0}, sky_return{0};
        float distance = 0;
        int surface = -1;
    };
    explicit NightPhoto(std::unique_ptr<const Light> light);
    Pixel find_pixel(std::size_t at) const;

    std::unique_ptr<const Light> light_;
};

/// How much more light of a CIE overcast sky, L = (1 + 2 sin h) / 3, a face gets than of a uniform one, both
/// giving level ground the same; by the upward part of its normal. (Moon and Spencer 1942; on slopes by
/// Muneer 2004. Faces that look down get what the ground sends up.)
double overcast_gain(double normal_up);

/// The camera of the rows from..to-1 of a picture.
Camera crop_rows(const Camera& camera, int from, int to);

/// The picture with pixels `factor` times as large, means of what they cover; surfaces by their middles.
ViewImage shrink_image(const ViewImage& image, int factor);

} // namespace duskcast
