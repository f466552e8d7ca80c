// The engine as a page has it (engine.ts, worker.ts and the wasm module) in node, whose threads stand in for Workers.
// usage: node page_engine.mjs DUSKCAST.HTML SITE
// Takes worker and module out of the page. Ends with 1 where something is not as it should be.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { Worker as Thread } from "node:worker_threads";
import { gunzipSync } from "node:zlib";
import { build } from "../../src/app/node_modules/esbuild/lib/main.js";

const [page_file, site_file] = process.argv.slice(2);
const page = readFileSync(page_file, "utf8");
const take = id => Buffer.from(page.match(new RegExp(`id="${id}">([^<]*)<`))[1], "base64");
const unpack = id => gunzipSync(take(id));

// Every page is sent with the module: less than 1 MB of it, and no locales, which come with streams of C++.
assert.ok(take("duskcast-wasm").length < 1_000_000, "the module, packed, takes 1 MB or more");
assert.ok(!unpack("duskcast-wasm").includes("%a %b %d"), "the module holds the standard library's locales");

let started = 0;
let last_thread;
/** A Worker of the page. */
globalThis.Worker = class {
    constructor(script) {
        ++started;
        const scope =
            "const { parentPort } = require('node:worker_threads'); globalThis.self = globalThis;" +
            "globalThis.postMessage = (data, transfer) => parentPort.postMessage(data, transfer);" +
            "parentPort.on('message', data => globalThis.onmessage({ data }));";
        this.thread = new Thread(scope + script, { eval: true });
        last_thread = this.thread;
        this.thread.on("message", data => this.onmessage({ data }));
        this.thread.on("error", reason => this.onerror({ message: String(reason), preventDefault() {} }));
    }
    postMessage(data, transfer) {
        this.thread.postMessage(data, transfer);
    }
    terminate() {
        this.thread.terminate();
    }
};
globalThis.Blob = class {
    constructor([text]) {
        this.text = text;
    }
};
URL.createObjectURL = blob => blob.text;
URL.revokeObjectURL = () => undefined;

const { outputFiles } = await build({
    entryPoints: [new URL("../../src/app/engine.ts", import.meta.url).pathname],
    format: "esm",
    write: false,
});
const { startEngine, Cancelled, EngineFault } = await import(
    `data:text/javascript;base64,${Buffer.from(outputFiles[0].contents).toString("base64")}`
);
const text = readFileSync(site_file, "utf8");
const edit = change => {
    const site = JSON.parse(text);
    change(site);
    return JSON.stringify(site);
};

const is_same = (a, b) => a.length === b.length && a.every((value, i) => value === b[i]);

const engine = await startEngine({
    worker: unpack("duskcast-worker").toString(),
    wasm: unpack("duskcast-wasm"),
});
const scale = await engine.scale();
assert.equal(scale.colours.length, 768);

const opened = await engine.open({ text, files: {} });
assert.ok(opened.is_accepted, JSON.stringify(opened.problems));
assert.ok(opened.is_stage_new);
assert.ok(opened.fixtures[0].words.includes("back, tilt"));
const scene = await engine.scene();
assert.equal(scene.sensor_position.length, 3 * opened.light.direct.length);
assert.equal(scene.triangles.light_uv.length, 6 * scene.triangles.surface.length);
assert.equal(scene.atlas.sensor.length, scene.atlas.width * scene.atlas.height);

// Of many changes in a row the first and the last are answered.
const answers = await Promise.all(
    [1, 2, 3, 4, 5].map(tilt => engine.change(edit(site => (site.fixtures[0].tilt = tilt)))),
);
assert.equal(answers.filter(answer => answer === null).length, 3);
assert.ok(Math.abs(answers[4].fixtures[0].tilt - (5 * Math.PI) / 180) < 1e-9);
assert.deepEqual(answers[4].fixtures_changed, [opened.fixtures[0].id]);

// A refused text leaves the light as it was.
const refused = await engine.change(edit(site => (site.fixtures[0].lamp = "none")));
assert.equal(refused.is_accepted, false);
assert.equal(refused.problems[0].pointer, "/fixtures/0/lamp");
assert.ok(is_same(refused.light.direct, answers[4].light.direct));
assert.equal((await engine.scene()).sensor_position.length, scene.sensor_position.length);

// Settled light comes by itself before the report.
let early = null;
engine.onLight(light => (early = light));
const shares = [];
engine.onProgress(progress => shares.push(progress));
const settled = await engine.settle();
assert.ok(settled && early);
assert.equal(settled.version, answers[4].version);
assert.ok(is_same(early.total, settled.light.total));
assert.ok(settled.light.total.every((lux, i) => lux >= settled.light.direct[i]));
assert.ok(settled.sentences.length > 0);
assert.ok(shares.some(({ task, share }) => task === "bounce" && share > 0 && share <= 1));
const probed = await engine.probe({ position: [0.5, -0.001, 1], normal: [0, -1, 0] });
assert.ok(probed.bounced_lx > 0);

// Of two that are asked for at once the later one counts, and it is of the newest document.
const turning = engine.change(edit(site => (site.fixtures[0].tilt = 12)));
const [earlier, again] = await Promise.all([engine.settle(), engine.settle()]);
assert.equal(earlier === null, true);
assert.equal(again.version, (await turning).version);
const other = await engine.settleFor({ variant: JSON.parse(text).variants[0].id });
assert.ok(!is_same(other.light.direct, again.light.direct));
assert.ok(is_same((await engine.settle()).light.total, again.light.total));

// A study can be cancelled, and what is held stays.
const study = engine.sweep({ fixtures: ["U5"], vary: "tilt=0..20:0.1" });
setTimeout(() => engine.cancel(), 50);
await assert.rejects(study, Cancelled);
const sweep = await engine.sweep({ fixtures: ["U5"], vary: "tilt=4..8:2", is_direct_only: true });
assert.deepEqual(sweep.labels, ["4°", "6°", "8°"]);
await assert.rejects(engine.sweep({ fixtures: ["U5"], vary: "tlt=4..8:2" }), EngineFault);

// A worker that breaks is one message and a new worker with the last document.
const told = [];
engine.onFault(message => told.push(message));
const count = started;
const front_study = engine.sweep({ fixtures: ["U5"], vary: "tilt=0..20:0.1" });
await new Promise(resolve => setTimeout(resolve, 100));
assert.equal(started, count + 1);
last_thread.emit("error", new Error("out of memory"));
await assert.rejects(front_study, EngineFault);
assert.equal(told.length, 1);
assert.ok((await engine.change(text)).is_accepted);

// How long a drag takes, for people to read: this machine's figures are no test.
const times = [];
for (let i = 0; i < 40; ++i) {
    const moved = edit(site => (site.fixtures[0].tilt = 5 + i / 10));
    const start = performance.now();
    await engine.change(moved);
    times.push(performance.now() - start);
}
times.sort((a, b) => a - b);
console.log(`a tilt dragged: ${times[20].toFixed(1)} ms median, ${opened.light.direct.length} sensors`);
engine.close();
process.exit(0);
