// Surfaces: triangles with their place in the atlas of light; -1 where no light is known.
in vec2 light_place;
in vec3 reflectance;
#ifdef PICTURED
in vec2 picture_place;
centroid out vec2 v_picture_place;
#endif
in float gridded; // 1 where cells lie side by side; other facets have texels of their own
in float wooden; // 1 on trunks and limbs
in vec3 shine; // cd/m2 that it gives off of itself

// At the middle of what is covered: at an edge the light of another facet would be mixed in.
centroid out vec2 v_place;
out vec3 v_reflectance;
flat out float v_gridded;
out vec3 v_normal;
flat out float v_wooden;
flat out vec3 v_shine;
out vec3 v_spot;

void main() {
    v_place = light_place;
    v_reflectance = reflectance;
#ifdef PICTURED
    v_picture_place = picture_place;
#endif
    v_gridded = gridded;
    v_normal = normal;
    v_wooden = wooden;
    v_shine = shine;
    v_spot = position;
    gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
