// How a surface's light is shown: by night, as figures on the fixed scale, or by day.
uniform int look; // 0 night, 1 light on the scale, 2 day
uniform vec3 lamp_colour;
uniform float ambient_lx;
uniform float least_lx;
uniform float most_lx;
uniform float levels[8];
uniform int level_count;
uniform float split; // pixels: right of it the other option is shown

const vec3 sun = normalize(vec3(-0.45, -0.7, 0.75));

vec3 day_colour(vec3 reflectance, vec3 normal) {
    float sky = 0.5 + 0.5 * normal.z;
    float direct = max(0.0, dot(normal, sun));
    vec3 light = vec3(0.46, 0.52, 0.62) * (0.45 + 0.55 * sky) + vec3(1.0, 0.93, 0.80) * direct * 0.95;
    vec3 shown = reflectance * light * 1.5;
    shown = shown / (1.0 + 0.45 * shown);
    return vec3(encode_srgb(shown.r), encode_srgb(shown.g), encode_srgb(shown.b));
}

vec3 scale_colour(float lux, bool has_lines) {
    vec3 colour = dusk_colour(scale_place(lux, least_lx, most_lx));
    if (!has_lines)
        return colour;
    float here = log(max(lux, 1e-4));
    float change = max(fwidth(here), 1e-5);
    for (int i = 0; i < 8; ++i) {
        if (i >= level_count)
            break;
        float off = abs(here - log(levels[i])) / change;
        float line = (1.0 - smoothstep(0.6, 1.3, off)) * (1.0 - smoothstep(0.25, 0.6, change));
        colour = mix(colour, scale_place(levels[i], least_lx, most_lx) > 0.55 ? vec3(0.15, 0.1, 0.2) : vec3(1.0, 0.98, 0.92),
                     0.8 * line);
    }
    return colour;
}

vec3 night_of(vec3 radiant_lux) {
    return night_colour(radiant_lux / 3.14159265, 0.0);
}
