out vec3 v_way;
uniform mat4 world_from_clip;

void main() {
    vec4 far = world_from_clip * vec4(position.xy, 1.0, 1.0);
    vec4 near = world_from_clip * vec4(position.xy, -1.0, 1.0);
    v_way = far.xyz / far.w - near.xyz / near.w;
    gl_Position = vec4(position.xy, 0.99999, 1.0);
}
