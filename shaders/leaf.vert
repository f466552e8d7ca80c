// Leaves: each side shows what falls on it and what comes through from the other.
in vec4 side_lux; // front, back; the same of the option on the right
in vec3 reflectance;
in vec3 transmittance;
in vec3 leaf_place; // along and across, in its half diagonals; 1: a spray of leaflets
in vec4 leaf_tint; // colour of the light in quarters, where lamps differ
in vec4 leaf_tint_b;

out vec4 v_side_lux;
out vec3 v_reflectance;
out vec3 v_transmittance;
out vec3 v_normal;
out vec3 v_leaf_place;
out vec3 v_leaf_tint;
out vec3 v_leaf_tint_b;

void main() {
    v_side_lux = side_lux;
    v_reflectance = reflectance;
    v_transmittance = transmittance;
    v_normal = normal;
    v_leaf_place = leaf_place;
    v_leaf_tint = 4.0 * leaf_tint.rgb;
    v_leaf_tint_b = 4.0 * leaf_tint_b.rgb;
    gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
