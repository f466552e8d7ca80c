// Packs page, worker and wasm module into one HTML file, and a folder for hosting beside it.
// usage: node bundle.mjs --engine BUILD/tools/duskcast_engine --site SITE --out FOLDER
// Run by tools/build-web, after `npm ci` here.

import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import {
    existsSync,
    mkdirSync,
    mkdtempSync,
    readdirSync,
    readFileSync,
    rmSync,
    statSync,
    writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { build, transform } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const most_bytes = 2_500_000; // of the page: it is sent by mail
const { engine, site, out } = parseArgs({
    options: { engine: { type: "string" }, site: { type: "string" }, out: { type: "string" } },
}).values;
if (!engine || !site || !out) throw new Error("give --engine, --site and --out");

/** One script of a source and what it imports. */
async function bundleScript(entry, options = {}) {
    const result = await build({
        entryPoints: [join(here, entry)],
        bundle: true,
        minify: true,
        write: false,
        format: "iife",
        target: "es2022",
        legalComments: "none", // the notices have them
        jsx: "automatic",
        jsxImportSource: "preact",
        loader: { ".glsl": "text", ".vert": "text", ".frag": "text" },
        logLevel: "warning",
        ...options,
    });
    return result.outputFiles[0].text;
}

/** In gzip's format by zopfli, which takes some seconds for 5 % less than gzip's best. */
function zip(bytes) {
    const folder = mkdtempSync(join(tmpdir(), "duskcast-"));
    try {
        const file = join(folder, "bytes");
        writeFileSync(file, bytes);
        return execFileSync("zopfli", ["-c", file], { maxBuffer: most_bytes });
    } finally {
        rmSync(folder, { recursive: true });
    }
}
const pack = bytes => zip(bytes).toString("base64");
const hash = text => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
/** Nothing in a script may look like its end. */
const inert = text => text.replaceAll("</script", "<\\/script").replaceAll("<!--", "<\\!--");

/** The licences of everything that is in the file, as their packages bring them. */
function collectNotices() {
    const found = [];
    for (const name of ["preact", "@preact/signals", "@preact/signals-core", "three"]) {
        const folder = join(here, "node_modules", name);
        const file = readdirSync(folder).find(entry => /^licen[cs]e/i.test(entry));
        if (!file) throw new Error(`${name} brings no licence`);
        found.push([name, readFileSync(join(folder, file), "utf8")]);
    }
    for (const name of [
        "libglm-dev",
        "libfmt-dev",
        "nlohmann-json3-dev",
        "libfast-float-dev",
        "libtinyobjloader-dev",
        "libstb-dev",
        "emscripten",
    ]) {
        const file = `/usr/share/doc/${name}/copyright`;
        if (!existsSync(file)) throw new Error(`${file} is missing: install ${name} (tools/setup --web)`);
        found.push([name, readFileSync(file, "utf8")]);
    }
    return found.map(([name, text]) => `${name}\n${"-".repeat(name.length)}\n${text.trim()}\n`).join("\n\n");
}

const wasm = zip(readFileSync(`${engine}.wasm`));
const worker = await bundleScript("worker.ts", {
    alias: { "duskcast-engine": resolve(`${engine}.js`) },
    external: ["fs", "path", "crypto", "perf_hooks"], // of node, where the tests run the module
});
// The page's own script is packed like the engine; what unpacks it is all that a browser has to read at once.
const script = await bundleScript("page/main.tsx");
const starter = inert(await bundleScript("page/start.ts"));
// Later rules win over earlier ones: windows of other sizes come last.
const sheets = "colours elements mast panes marks plan hand photo bench prices papers notices windows".split(
    " ",
);
const style = sheets.map(name => readFileSync(join(here, `page/style/${name}.css`), "utf8")).join("\n");
const css = (await transform(style, { loader: "css", minify: true })).code;
const html = readFileSync(join(here, "page/index.html"), "utf8");
const text = readFileSync(site, "utf8");
if (/"(file|catalogue)"\s*:/.test(text))
    throw new Error(`${site} names other files; take one that needs none`);

const part = (id, content) => `<script type="application/octet-stream" id="${id}">${content}</script>\n`;
const carried = JSON.stringify({ text, files: {}, is_client: false }).replaceAll("<", "\\u003c");
const parts =
    part("duskcast-wasm", wasm.toString("base64")) +
    part("duskcast-worker", pack(worker)) +
    part("duskcast-page", pack(script)) +
    part("duskcast-notices", pack(collectNotices()));

/** `own`: where a hosted page may fetch from. */
function makePage({ own, head = "", scripts = [] }) {
    const policy = [
        "default-src 'none'",
        `script-src 'wasm-unsafe-eval' ${[starter, script, ...scripts].map(hash).join(" ")}`,
        `worker-src blob: ${own}`,
        "style-src 'unsafe-inline'",
        `img-src data: blob: ${own}`,
        `manifest-src ${own || "'none'"}`,
        `connect-src blob: data: ${own}`,
        "base-uri 'none'",
        "form-action 'none'",
    ].join("; ");
    const places = {
        "<!--csp-->": `<meta http-equiv="Content-Security-Policy" content="${policy}">\n${head}`,
        "/*css*/": css,
        "<!--parts-->":
            `<script type="application/json" id="duskcast-site">${carried}</script>\n${parts}` +
            [...scripts, starter].map(one => `<script>${one}</script>`).join("\n"),
    };
    let page = html;
    for (const [place, content] of Object.entries(places)) {
        if (page.split(place).length !== 2) throw new Error(`index.html must hold ${place} once`);
        page = page.replace(place, () => content);
    }
    return page;
}

function write(name, content) {
    const file = join(out, name);
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(file, content);
    return statSync(file).size;
}

const size = write("duskcast.html", makePage({ own: "" }));

// For a web server: installable, and complete without a network once it was seen.
const hosted = makePage({
    own: "'self'",
    head: '<link rel="manifest" href="manifest.webmanifest">\n<link rel="icon" href="icon.svg">',
    scripts: ['navigator.serviceWorker?.register("service-worker.js");'],
});
const icon =
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64"><rect width="64" height="64" fill="#141d2f"/>' +
    '<path d="M32 56 14 12h36z" fill="#e8b36a" opacity=".85"/><rect x="27" y="52" width="10" height="6" ' +
    'fill="#f6ead2"/></svg>\n';
write("hosted/index.html", hosted);
write("hosted/icon.svg", icon);
write(
    "hosted/manifest.webmanifest",
    JSON.stringify({
        name: "duskcast",
        short_name: "duskcast",
        description: "Landscape lighting, lit before it is installed",
        start_url: "./",
        display: "standalone",
        background_color: "#141d2f",
        theme_color: "#141d2f",
        icons: [{ src: "icon.svg", sizes: "any", type: "image/svg+xml", purpose: "any" }],
    }),
);
const files = ["./", "index.html", "icon.svg", "manifest.webmanifest"];
const version = createHash("sha256").update(hosted).digest("hex").slice(0, 16);
write(
    "hosted/service-worker.js",
    `// Keeps the page for when there is no network; a new version takes its place at the next visit.
const cache_name = "duskcast-${version}";
addEventListener("install", event => {
    event.waitUntil(caches.open(cache_name).then(cache => cache.addAll(${JSON.stringify(files)})));
    skipWaiting();
});
addEventListener("activate", event => {
    event.waitUntil(
        caches.keys().then(names =>
            Promise.all(names.filter(name => name.startsWith("duskcast-") && name !== cache_name)
                .map(name => caches.delete(name)))));
});
addEventListener("fetch", event => {
    if (event.request.method === "GET")
        event.respondWith(caches.match(event.request).then(known => known ?? fetch(event.request)));
});
`,
);

console.log(
    `${join(out, "duskcast.html")}: ${(size / 1e6).toFixed(2)} MB, module ${(wasm.length / 1e6).toFixed(3)} MB packed`,
);
if (size > most_bytes) throw new Error(`the page is larger than ${most_bytes / 1e6} MB`);
