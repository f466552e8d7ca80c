// A sky for orientation only: it lights nothing and is in no figure.
uniform int look;
in vec3 v_way;
out vec4 colour;

void main() {
    float up = normalize(v_way).z;
    vec3 low = look == 2 ? vec3(0.86, 0.90, 0.93) : vec3(0.165, 0.180, 0.255);
    vec3 high = look == 2 ? vec3(0.45, 0.62, 0.80) : vec3(0.043, 0.063, 0.118);
    vec3 glow = look == 2 ? vec3(0.0) : vec3(0.10, 0.045, 0.0) * exp(-max(up, 0.0) * 14.0);
    vec3 below = look == 2 ? vec3(0.36, 0.42, 0.28) : vec3(0.016, 0.020, 0.026);
    vec3 above = mix(low, high, smoothstep(0.0, 0.55, up)) + glow;
    colour = vec4(look == 1 ? vec3(0.05, 0.06, 0.10) : mix(below, above, smoothstep(-0.012, 0.004, up)), 1.0);
}
