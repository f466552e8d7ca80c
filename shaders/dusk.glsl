// The dusk ramp of draw/colour_scale.hpp, and the place of an illuminance on the fixed scale of light.

vec3 dusk_colour(float t) {
    float place = clamp(t, 0.0, 1.0);
    float lightness = 0.18 + 0.77 * place;
    float hue = radians(268.0 + 190.0 * place);
    float chroma = 0.08 + 0.09 * sin(3.14159265 * place);
    float a = chroma * cos(hue);
    float b = chroma * sin(hue);
    // OKLab: B. Ottosson, "A perceptual color space for image processing" (2020).
    vec3 lms = vec3(lightness + 0.3963377774 * a + 0.2158037573 * b, lightness - 0.1055613458 * a - 0.0638541728 * b,
                    lightness - 0.0894841775 * a - 1.2914855480 * b);
    lms = lms * lms * lms;
    return vec3(encode_srgb(dot(lms, vec3(4.0767416621, -3.3077115913, 0.2309699292))),
                encode_srgb(dot(lms, vec3(-1.2684380046, 2.6097574011, -0.3413193965))),
                encode_srgb(dot(lms, vec3(-0.0041960863, -0.7034186147, 1.7076147010))));
}

float scale_place(float lux, float least_lx, float most_lx) {
    return lux > least_lx ? min(1.0, log(lux / least_lx) / log(most_lx / least_lx)) : 0.0;
}
