// Leaves: each side shows what falls on it and what comes through from the other.
in vec4 side_lux; // front, back; the same of the option on the right
in vec3 reflectance;
in vec3 transmittance;

out vec4 v_side_lux;
out vec3 v_reflectance;
out vec3 v_transmittance;
out vec3 v_normal;

void main() {
    v_side_lux = side_lux;
    v_reflectance = reflectance;
    v_transmittance = transmittance;
    v_normal = normal;
    gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
