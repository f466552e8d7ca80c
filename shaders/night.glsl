// Luminance to what a dark-adapted eye makes of it: night_tone and night_colour of view/tone.hpp, which say where
// the figures come from. tests/page compares the two.

const float night_toe = 0.1;
const float night_scale = 0.18 / sqrt(0.6 * (0.6 + night_toe));
const float night_white = sqrt(100.0 * (100.0 + night_toe)) * night_scale;
const vec3 adapted_white = vec3(1.613518674, 0.871395885, 0.467362787); // two thirds of the way to 2700 K

float luminance_of(vec3 colour) {
    return dot(colour, vec3(0.2126, 0.7152, 0.0722));
}

float night_tone(float luminance, float stops) {
    float l = max(0.0, luminance) * exp2(stops);
    float s = sqrt(l * (l + night_toe)) * night_scale;
    return min(1.0, s * (1.0 + s / (night_white * night_white)) / (1.0 + s));
}

float encode_srgb(float linear) {
    float x = clamp(linear, 0.0, 1.0);
    return x <= 0.0031308 ? 12.92 * x : 1.055 * pow(x, 1.0 / 2.4) - 0.055;
}

vec3 night_colour(vec3 luminance, float stops) {
    float y = luminance_of(luminance);
    if (!(y > 0.0))
        return vec3(0.0);
    vec3 hue = max(luminance, vec3(0.0)) / adapted_white;
    hue /= luminance_of(hue);
    vec3 grey = vec3(0.86, 0.98, 1.30);
    grey /= luminance_of(grey);
    float colourful = clamp(log(y / 0.003) / log(1.0 / 0.003), 0.0, 1.0);
    hue = mix(grey, hue, colourful);
    float tone = night_tone(y, stops);
    float most = max(hue.r, max(hue.g, hue.b));
    float keep = most * tone > 1.0 && most > 1.0 ? max(0.0, (1.0 / tone - 1.0) / (most - 1.0)) : 1.0;
    vec3 even = tone * mix(vec3(1.0), hue, keep);
    vec3 each = vec3(night_tone(y * hue.r, stops), night_tone(y * hue.g, stops), night_tone(y * hue.b, stops));
    vec3 shown = 0.5 * (even + each);
    return vec3(encode_srgb(shown.r), encode_srgb(shown.g), encode_srgb(shown.b));
}
