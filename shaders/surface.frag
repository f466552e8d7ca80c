uniform sampler2D light;
uniform sampler2D light_b;

uniform sampler2D tint; // colour of the light, where lamps differ
uniform sampler2D tint_b;
uniform bool is_tinted;
uniform bool is_tinted_b;
#ifdef PICTURED
uniform sampler2D picture;
uniform vec3 glow; // cd/m2 where a face's picture glows most: a lit room
centroid in vec2 v_picture_place;
#endif

centroid in vec2 v_place;
in vec3 v_reflectance;
flat in float v_gridded;
in vec3 v_normal;
flat in float v_wooden;
flat in vec3 v_shine;
in vec3 v_spot; // m
out vec4 colour;

// Between sensors by a cubic B-spline, in four taps of the linear filter: cells of half a foot show no corners.
float smooth_light(sampler2D map, vec2 place) {
    vec2 size = vec2(textureSize(map, 0));
    vec2 at = place * size - 0.5;
    vec2 f = fract(at);
    vec2 low = floor(at);
    vec2 w0 = (1.0 - f) * (1.0 - f) * (1.0 - f) / 6.0;
    vec2 w1 = (4.0 - 6.0 * f * f + 3.0 * f * f * f) / 6.0;
    vec2 w3 = f * f * f / 6.0;
    vec2 w2 = 1.0 - w0 - w1 - w3;
    vec2 before = w0 + w1;
    vec2 after = w2 + w3;
    vec2 p = (low - 0.5 + w1 / before) / size;
    vec2 q = (low + 1.5 + w3 / after) / size;
    return before.y * (before.x * texture(map, p).r + after.x * texture(map, vec2(q.x, p.y)).r) +
           after.y * (before.x * texture(map, vec2(p.x, q.y)).r + after.x * texture(map, q).r);
}

float light_at(sampler2D map) {
    return v_gridded > 0.5 ? smooth_light(map, v_place) : texture(map, v_place).r;
}

vec3 tint_at(sampler2D map, bool is_given) {
    return is_given && v_place.x >= 0.0 ? texture(map, v_place).rgb : lamp_colour;
}

void main() {
    vec3 reflectance = v_reflectance;
#ifdef PICTURED
    vec4 pictured = texture(picture, v_picture_place);
#ifndef FACE
    if (pictured.a < 0.5)
        discard;
#endif
    reflectance *= pictured.rgb;
#endif
    if (v_wooden > 0.5)
        reflectance *= bark_shown(v_spot, length(fwidth(v_spot)));
    float lux = 0.0;
    if (v_place.x >= 0.0)
        lux = gl_FragCoord.x > split ? light_at(light_b) : light_at(light);
    vec3 light_colour = gl_FragCoord.x > split ? tint_at(tint_b, is_tinted_b) : tint_at(tint, is_tinted);
    if (look == 1)
        colour = vec4(scale_colour(lux, v_place.x >= 0.0), 1.0);
    else if (look == 2)
        colour = vec4(day_colour(reflectance, normalize(gl_FrontFacing ? v_normal : -v_normal)), 1.0);
    else {
        vec3 radiant = reflectance * (lux * light_colour + ambient_lx);
        if (gl_FrontFacing)
            radiant += 3.14159265 * v_shine;
#ifdef FACE
        radiant += 3.14159265 * pictured.a * glow;
#endif
        colour = vec4(night_of(radiant), 1.0);
    }
}
