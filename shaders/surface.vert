// Surfaces: triangles with their place in the atlas of light, or lux at their corners where they have none.
in vec2 light_place;
in float corner_lux;
in float corner_lux_b;
in vec3 reflectance;

out vec2 v_place;
out float v_corner_lux;
out float v_corner_lux_b;
out vec3 v_reflectance;
out vec3 v_normal;
out vec3 v_world;

void main() {
    v_place = light_place;
    v_corner_lux = corner_lux;
    v_corner_lux_b = corner_lux_b;
    v_reflectance = reflectance;
    v_normal = normal;
    v_world = position;
    gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
