// What emscripten makes of tools/web/exports.cpp; tools/build-web tells esbuild where it is.
declare module "duskcast-engine" {
    // biome-ignore lint/suspicious/noExplicitAny: the worker says what it has
    const createEngine: (options: object) => Promise<any>;
    export default createEngine;
}
