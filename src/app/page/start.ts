// The only script that stands in the page as text: it unpacks the page's own, which the policy knows by its hash.
// The engine is compiled meanwhile, on other threads.

import { compileEngine, unpackPart } from "../engine.ts";

declare global {
    /** The engine's module, under way before the page's own script is there. */
    var duskcast_module: Promise<WebAssembly.Module> | undefined;
}

async function start(): Promise<void> {
    globalThis.duskcast_module = compileEngine();
    globalThis.duskcast_module.catch(() => undefined); // the page tells it
    const script = document.createElement("script");
    script.textContent = new TextDecoder().decode(await unpackPart("duskcast-page"));
    document.body.append(script);
}

void start();
