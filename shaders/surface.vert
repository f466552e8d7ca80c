// Surfaces: triangles with their place in the atlas of light; -1 where no light is known.
in vec2 light_place;
in vec3 reflectance;

out vec2 v_place;
out vec3 v_reflectance;
out vec3 v_normal;

void main() {
    v_place = light_place;
    v_reflectance = reflectance;
    v_normal = normal;
    gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
