// The fixed scale of light: its colours are the engine's (draw/colour_scale.hpp), in a texture from the scale's
// least to its most.
uniform sampler2D ramp;

vec3 dusk_colour(float t) {
    float colours = float(textureSize(ramp, 0).x);
    return texture(ramp, vec2((clamp(t, 0.0, 1.0) * (colours - 1.0) + 0.5) / colours, 0.5)).rgb;
}

float scale_place(float lux, float least_lx, float most_lx) {
    return lux > least_lx ? min(1.0, log(lux / least_lx) / log(most_lx / least_lx)) : 0.0;
}
