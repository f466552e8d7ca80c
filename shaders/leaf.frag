uniform bool is_tinted;
uniform bool is_tinted_b;

in vec4 v_side_lux;
in vec3 v_reflectance;
in vec3 v_transmittance;
in vec3 v_normal;
in vec3 v_leaf_place;
in vec3 v_leaf_tint;
in vec3 v_leaf_tint_b;
out vec4 colour;

// A pointed blade is as far as 1 - u^2 from its midrib, in halves of its length and width. One blade has the area of
// the stage's leaf, and so have the seven of a spray together (view/leaf_look.cpp).
bool is_in_blade(vec2 place, vec2 middle, vec2 way, vec2 half_size) {
    vec2 off = place - middle;
    vec2 at = vec2(dot(off, way), way.x * off.y - way.y * off.x) / half_size;
    return abs(at.y) < 1.0 - at.x * at.x;
}

bool is_in_leaf() {
    vec2 place = v_leaf_place.xy;
    if (v_leaf_place.z < 0.5)
        return is_in_blade(place, vec2(0.0), vec2(1.0, 0.0), vec2(1.0, 0.75));
    const vec2 half_size = vec2(0.5, 3.0 / 14.0);
    if (is_in_blade(place, vec2(0.66, 0.0), vec2(1.0, 0.0), half_size))
        return true;
    vec2 way = vec2(0.5299, place.y < 0.0 ? -0.8480 : 0.8480); // 58 degrees off the twig
    for (int i = 0; i < 3; ++i) {
        vec2 base = vec2(0.1 - 0.48 * float(i), sign(way.y) * 0.03);
        if (is_in_blade(place, base + 0.51 * way, way, half_size))
            return true;
    }
    return false;
}

void main() {
    if (!is_in_leaf())
        discard;
    bool is_right = gl_FragCoord.x > split;
    vec2 sides = is_right ? v_side_lux.zw : v_side_lux.xy;
    float near = gl_FrontFacing ? sides.x : sides.y;
    float far = gl_FrontFacing ? sides.y : sides.x;
    vec3 light_colour = lamp_colour;
    if (is_right ? is_tinted_b : is_tinted)
        light_colour = is_right ? v_leaf_tint_b : v_leaf_tint;
    if (look == 1)
        colour = vec4(scale_colour(near, false), 1.0);
    else if (look == 2)
        colour = vec4(day_colour(v_reflectance * 1.15 + 0.25 * v_transmittance, normalize(gl_FrontFacing ? v_normal : -v_normal)), 1.0);
    else
        colour = vec4(night_of(v_reflectance * (near * light_colour + ambient_lx) + v_transmittance * (far * light_colour + ambient_lx)), 1.0);
}
