// The page in a real browser, from a file and with the network cut, by pointer and keyboard.
// usage: node --test tests/page/    with DUSKCAST_PAGE (duskcast.html), DUSKCAST (the program), DUSKCAST_RAMPS

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "../../src/app/node_modules/playwright-core/index.mjs";

const root = resolve(import.meta.dirname, "../..");
export const page_file = resolve(process.env.DUSKCAST_PAGE ?? join(root, "build-web/page/duskcast.html"));
export const program = resolve(process.env.DUSKCAST ?? join(root, "build/tools/duskcast"));
export const ramps_program = resolve(
    process.env.DUSKCAST_RAMPS ?? join(root, "build/tests/page/print_ramps"),
);

export const folder = mkdtempSync(join(tmpdir(), "duskcast-page-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));

export const sizes = { desktop: [1440, 900], tablet: [1180, 820], phone: [390, 844] };

/** A browser that draws in software, so that every machine does the same. */
export function startBrowser() {
    return chromium.launch({
        executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
        args: ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
    });
}

/** A window on a file with the network cut; what the console says and what is asked for is noted. */
export async function openWindow(browser, options = {}) {
    const [width, height] = sizes[options.size ?? "desktop"];
    const context =
        options.context ??
        (await browser.newContext({
            viewport: { width, height },
            acceptDownloads: true,
            hasTouch: options.size === "phone",
        }));
    await context.setOffline(true);
    const page = await context.newPage();
    // With a listener from the start the browser asks us for files each time; one that comes with the key may be late.
    page.on("filechooser", () => {});
    const faults = [];
    page.on("console", message => {
        if (message.type() === "error") faults.push(message.text());
    });
    page.on("pageerror", error => faults.push(error.stack ?? error.message));
    page.on("request", request => {
        if (!/^(file|data|blob):/.test(request.url())) faults.push(`asks for ${request.url()}`);
    });
    await page.goto(pathToFileURL(options.file ?? page_file).href);
    return { page, context, faults };
}

/** Until the report of the property as it is now is there: a change makes the pictures busy at once. */
export async function untilSettled(page, timeout = 120000) {
    await untilShown(page);
    await page.locator(".waking").waitFor({ state: "detached", timeout });
    await page.locator('main[aria-busy="false"]').waitFor({ timeout });
}

/** Until what was done last is in the document. */
export async function untilShown(page) {
    await page.evaluate(
        () => new Promise(shown => requestAnimationFrame(() => requestAnimationFrame(shown))),
    );
}

export async function save(page, name = "saved.site.json") {
    await page.getByRole("button", { name: "File" }).click();
    const [download] = await Promise.all([
        page.waitForEvent("download"),
        page.getByRole("button", { name: "Save the site file" }).click(),
    ]);
    const file = join(folder, name);
    await download.saveAs(file);
    return file;
}

/** Drops files in as from a desktop. */
export async function dropFiles(page, files) {
    const parts = files.map(({ name, bytes }) => ({ name, base64: Buffer.from(bytes).toString("base64") }));
    const before = await page.evaluate(lastChange);
    await page.evaluate(list => {
        const transfer = new DataTransfer();
        for (const { name, base64 } of list)
            transfer.items.add(
                new File([Uint8Array.from(atob(base64), letter => letter.charCodeAt(0))], name),
            );
        dispatchEvent(new DragEvent("drop", { dataTransfer: transfer, bubbles: true, cancelable: true }));
    }, parts);
    // Until they are read the page is as it was, and settled; what is refused changes nothing.
    await page
        .waitForFunction(
            time => (performance.getEntriesByName("duskcast change").at(-1)?.startTime ?? 0) > time,
            before,
            { timeout: 3000 },
        )
        .catch(() => undefined);
}

function lastChange() {
    return performance.getEntriesByName("duskcast change").at(-1)?.startTime ?? 0;
}

export function run(...args) {
    return execFileSync(program, args, { encoding: "utf8", maxBuffer: 1 << 26 });
}

export function openTab(page, words) {
    return page.getByRole("tab", { name: words }).click();
}

export async function dragBy(page, locator, dx, dy) {
    const box = await locator.boundingBox();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let step = 1; step <= 6; step++) await page.mouse.move(x + (dx * step) / 6, y + (dy * step) / 6);
    await page.mouse.up();
}

export { join, readFileSync, root, writeFileSync };
