uniform sampler2D light;
uniform sampler2D light_b;

in vec2 v_place;
in vec3 v_reflectance;
in vec3 v_normal;
out vec4 colour;

void main() {
    float lux = 0.0;
    if (v_place.x >= 0.0)
        lux = gl_FragCoord.x > split ? texture(light_b, v_place).r : texture(light, v_place).r;
    if (look == 1)
        colour = vec4(scale_colour(lux, v_place.x >= 0.0), 1.0);
    else if (look == 2)
        colour = vec4(day_colour(v_reflectance, normalize(gl_FrontFacing ? v_normal : -v_normal)), 1.0);
    else
        colour = vec4(night_of(v_reflectance * (lux * lamp_colour + ambient_lx)), 1.0);
}
