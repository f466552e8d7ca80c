#pragma once
// Configuration factors: the share of what a small receiver sees that is a given part of a plane.

namespace duskcast {

/// A small receiver in the frame of a plane: its foot point (u, v) and its height over the plane in metres,
/// and its unit normal along u, v and the plane's normal.
struct PlaneReceiver {
    double u = 0, v = 0, height = 0;
    double normal_u = 0, normal_v = 0, normal_up = 0;

    /// Metres of a point of the plane above the receiver's horizon.
    double above_horizon(double at_u, double at_v) const {
        return normal_u * (at_u - u) + normal_v * (at_v - v) - normal_up * height;
    }
};

/// A rectangle in a plane, metres.
struct PlaneRectangle {
    double u0 = 0, u1 = 0, v0 = 0, v1 = 0;

    double width() const { return u1 - u0; }
    double height() const { return v1 - v0; }
    double area() const { return width() * height(); }
    double middle_u() const { return (u0 + u1) / 2; }
    double middle_v() const { return (v0 + v1) / 2; }
    /// Counted from the middle in halves of the sides.
    double place_u(double u) const { return 2 * (u - middle_u()) / width(); }
    double place_v(double v) const { return 2 * (v - middle_v()) / height(); }
};

/// A factor with its trend: seen from the receiver, a spot at (u, v), counted from the middle in halves of
/// the sides, weighs 1 + trend_u u + trend_v v times the mean.
struct FactorTrend {
    double factor = 0, trend_u = 0, trend_v = 0;
};

/// By the points of Gauss, two a side: of a rectangle wholly above the horizon and farther away than its
/// sides are long. Where it is twice as far, whichever way both face: within a thousandth 99 times in a
/// hundred, and never four off.
FactorTrend sample_factor(const PlaneReceiver& receiver, const PlaneRectangle& rectangle);

/// The same of a rectangle that the horizon cuts, of which what lies below it weighs nothing: the factor by
/// measure_factor, the trends by least squares over spots.
FactorTrend measure_cut_factor(const PlaneReceiver& receiver, const PlaneRectangle& rectangle);

/// By the formula of Lambert (1760) for polygons, of what lies above the horizon: exact however near.
double measure_factor(const PlaneReceiver& receiver, const PlaneRectangle& rectangle);

} // namespace duskcast
