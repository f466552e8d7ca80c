in vec4 v_side_lux;
in vec3 v_reflectance;
in vec3 v_transmittance;
in vec3 v_normal;
out vec4 colour;

void main() {
    vec2 sides = gl_FragCoord.x > split ? v_side_lux.zw : v_side_lux.xy;
    float near = gl_FrontFacing ? sides.x : sides.y;
    float far = gl_FrontFacing ? sides.y : sides.x;
    if (look == 1)
        colour = vec4(scale_colour(near, false), 1.0);
    else if (look == 2)
        colour = vec4(day_colour(v_reflectance * 1.15 + 0.25 * v_transmittance, normalize(gl_FrontFacing ? v_normal : -v_normal)), 1.0);
    else
        colour = vec4(night_of(v_reflectance * (near * lamp_colour + ambient_lx) + v_transmittance * (far * lamp_colour + ambient_lx)), 1.0);
}
