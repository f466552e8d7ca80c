#pragma once
// What a fixture's own parts cut out of its lamp's light. All parts are black and thin.

namespace duskcast {

/// The circular rim of an opening in front of the lens, square to the axis: the mouth of a tube, the edge of
/// a hat, the grate over a well. Diameter 0: none.
struct Rim {
    double diameter = 0; ///< metres; at least the lens's
    double distance = 0; ///< from the lens, metres

    bool operator==(const Rim&) const = default;
};

/// A honeycomb of cells; each acts as a tube as wide as a circle of the cell's area. Cell 0: none.
struct Louvre {
    double cell = 0;  ///< width of a cell across flats, metres
    double depth = 0; ///< metres

    bool operator==(const Louvre&) const = default;
};

/// Parts that turn with the lens. Several together multiply, which is exact where at most one of them hides
/// part of the lens in a direction.
struct Shield {
    double lens_diameter = 0; ///< metres; 0: parts without penumbra
    double shroud_length = 0; ///< a tube all round the lens, as wide as it
    double hood_length = 0;   ///< half such a tube, on the side of C180: away from what an uplight leans to
    Rim rim;
    Louvre louvre;

    bool is_symmetric() const { return hood_length == 0; }
    bool operator==(const Shield&) const = default;
};

/// Share of a lens seen through a rim, from an angle off the axis: the overlap of two circles whose centres
/// lie distance * tan(gamma) apart, over the lens's area. 1 without a rim, 0 from 90 degrees on.
double visible_share(const Rim& rim, double lens_diameter, double gamma);

/// Share of a honeycomb's area that is open at an angle off its axis; blades take no room on the axis.
double visible_share(const Louvre& louvre, double gamma);

/// Share of the lens visible in direction (c, gamma) of the lamp's frame. A half tube hides the points of the
/// lens whose ray meets it.
double visible_lens_share(const Shield& shield, double c, double gamma);

} // namespace duskcast
