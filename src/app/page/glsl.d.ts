// esbuild hands shaders over as text.
declare module "*.glsl" {
    const text: string;
    export default text;
}
declare module "*.vert" {
    const text: string;
    export default text;
}
declare module "*.frag" {
    const text: string;
    export default text;
}
