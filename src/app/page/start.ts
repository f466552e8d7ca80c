// The only script that stands in the page as text: it unpacks the page's own, which the policy knows by its hash.

import { unpackPart } from "../engine.ts";

async function start(): Promise<void> {
    const script = document.createElement("script");
    script.textContent = new TextDecoder().decode(await unpackPart("duskcast-page"));
    document.body.append(script);
}

void start();
