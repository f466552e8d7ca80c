// How fast the page answers in headless Chromium, as medians with their bounds. Run by tools/bench --web.
// usage: node tools/web/bench.mjs    after tools/build-web --page; DUSKCAST_PAGE names another page
// Times run from the change of the document to its direct light, to the picture of the walk (which Chromium draws in
// software here) and to the bounced light. On a machine that others use too they say little; what stands under "own"
// is the time that the engine's thread had a core for it. The ratio is of the lesser: with bounced light "own" holds
// part of the report too, which the engine begins at once.

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { dropFiles, openWindow, root, startBrowser, untilSettled } from "../../tests/page/page.mjs";

const median = list => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];
const print = (what, list, bound, own = []) => {
    const found = list.filter(Number.isFinite);
    const figure = found.length ? median(found) : Number.NaN;
    const times = own.filter(Number.isFinite);
    const used = times.length ? median(times) : undefined;
    const counted = Math.min(used ?? figure, figure);
    const columns = [
        `${figure.toFixed(0)} ms`,
        used === undefined ? "" : `${used.toFixed(0)} ms`,
        bound ? `${bound} ms` : "",
        bound ? (counted / bound).toFixed(2) : "",
    ];
    const missed = bound && counted > bound ? "  MISSED" : "";
    console.log(what.padEnd(52) + columns.map(column => column.padStart(10)).join("") + missed);
};

/** Milliseconds that each engine of this program's browser has had a core so far (Linux), by thread. */
function readThreads() {
    const read = path => {
        try {
            return readFileSync(path, "utf8");
        } catch {
            return ""; // it has just ended
        }
    };
    const parentOf = pid => Number(/\) \S+ (\d+)/.exec(read(`/proc/${pid}/stat`))?.[1] ?? 0);
    const isOurs = pid => pid > 1 && (pid === process.pid || isOurs(parentOf(pid)));
    const times = new Map();
    for (const pid of readdirSync("/proc")
        .filter(name => /^\d+$/.test(name))
        .map(Number)) {
        if (!read(`/proc/${pid}/cmdline`).includes("--type=renderer") || !isOurs(pid)) continue;
        for (const thread of readdirSync(`/proc/${pid}/task`)) {
            if (!read(`/proc/${pid}/task/${thread}/comm`).startsWith("DedicatedWorker")) continue;
            times.set(thread, Number(read(`/proc/${pid}/task/${thread}/schedstat`).split(" ")[0]) / 1e6);
        }
    }
    return times;
}

const browser = await startBrowser();
const scene = name => JSON.parse(readFileSync(join(root, `scenes/${name}/${name}.site.json`), "utf8"));

/** A page on a site, settled, which keeps all moments that it notes. */
async function openOn(site, files = []) {
    const opened = await openWindow(browser);
    const { page } = opened;
    await untilSettled(page);
    await page.evaluate(() => {
        window.moments = [];
        new PerformanceObserver(list => {
            for (const { name, startTime, detail } of list.getEntries())
                window.moments.push({ name: name.replace("duskcast ", ""), at: startTime, detail });
        }).observe({ type: "mark" });
        const held = [];
        const post = Worker.prototype.postMessage;
        Worker.prototype.postMessage = function (...message) {
            if (window.is_report_held && message[0]?.question?.ask === "report")
                held.push(() => post.apply(this, message));
            else post.apply(this, message);
        };
        window.askForReports = () => {
            window.is_report_held = false;
            for (const ask of held.splice(0)) ask();
        };
    });
    if (site) {
        await dropFiles(page, [
            { name: "bench.site.json", bytes: Buffer.from(JSON.stringify(site)) },
            ...files,
        ]);
        await page.waitForTimeout(1000);
        await untilSettled(page, 600000); // bounced light of a great crown, on a machine that others use too
    }
    return opened;
}

/** Milliseconds from a change to the light, the picture and the bounced light, for each time it is made;
 *  `is_direct_only`: the next change does not wait for the bounced light, as under a hand that moves on. */
async function measure(page, times, make, is_direct_only = false) {
    const found = { light: [], drawn: [], whole: [], own: [], own_whole: [], sensors: 0 };
    for (let i = 0; i < times; i++) {
        await page.evaluate(held => {
            window.moments.length = 0;
            window.is_report_held = held;
        }, !is_direct_only);
        const before = readThreads();
        await make(i);
        await page.waitForFunction(() => window.moments.some(one => one.name === "direct"));
        // The front engine is the first that was started, the back engine the second.
        const [front, back] = [...before.keys()].sort((a, b) => Number(a) - Number(b));
        const since = thread =>
            (readThreads().get(thread) ?? Number.NaN) - (before.get(thread) ?? Number.NaN);
        found.own.push(since(front));
        if (!is_direct_only) {
            await page.waitForFunction(() => window.moments.some(one => one.name === "whole"), null, {
                timeout: 120000,
            });
            found.own_whole.push(since(back));
            await page.evaluate(() => window.askForReports());
            await untilSettled(page);
        }
        await page.waitForTimeout(50);
        const moments = await page.evaluate(() => window.moments);
        const change = moments.find(one => one.name === "change");
        if (!change) continue;
        const after = (name, from) => moments.find(one => one.name === name && one.at >= from);
        const light = after("direct", change.at);
        found.light.push(light?.at - change.at);
        found.drawn.push(after("drawn", light?.at)?.at - change.at);
        found.whole.push(after("whole", change.at)?.at - change.at);
        found.sensors = light?.detail ?? found.sensors;
    }
    return found;
}

/** The broad oak has about 100 thousand leaves of this length; at 9 in it has 39 thousand. */
const fine_leaf = "5.6 in";

const pick = async (page, id) => {
    const mark = page.locator(`.wall [data-fixture="${id}"], .plan [data-fixture="${id}"]`).first();
    await mark.focus();
};

console.log("".padEnd(52) + ["median", "own", "bound", "ratio"].map(word => word.padStart(10)).join(""));
const opens = [];
const engines = [];
for (let i = 0; i < 5; i++) {
    const { page, context } = await openWindow(browser);
    await page.locator(".waking").waitFor({ state: "detached", timeout: 60000 });
    // The walk is drawn before there is light as well.
    const lit = await page.waitForFunction(() => {
        const [engine, direct, drawn] = ["engine", "direct", "drawn"].map(
            moment => performance.getEntriesByName(`duskcast ${moment}`)[0]?.startTime,
        );
        return drawn >= direct && { engine, drawn };
    });
    const { engine, drawn } = await lit.jsonValue();
    engines.push(engine);
    opens.push(drawn);
    await context.close();
}
print("Open to the first lit picture", opens, 3000);
print("Engine ready", engines, 500);

const fine = scene("two-gables");
fine.sensor_spacing = "1 in";
fine.ground_spacing = "6 in";
delete fine.variants; // their bills would be counted in
{
    const { page, context } = await openOn(fine);
    await pick(page, "U2");
    const lean = await measure(page, 9, i => page.keyboard.press(i % 2 ? "[" : "]"));
    console.log(`  ${(lean.sensors / 1000).toFixed(0)} thousand sensors:`);
    print("Lean a light: direct light", lean.light, 16, lean.own);
    print("  drawn in the walk", lean.drawn);
    print("  bounced light, after the hand rests", lean.whole, 100, lean.own_whole);
    const move = await measure(page, 9, i => page.keyboard.press(i % 2 ? "ArrowLeft" : "ArrowRight"));
    print("Move a light along the wall: direct light", move.light, 33, move.own);
    await context.close();
}
{
    const { page, context } = await openOn(undefined);
    await page.getByRole("tab", { name: "Picked" }).click();
    await page.getByText("Wall", { exact: false }).and(page.locator("summary")).click();
    await page.locator(".thing-list button", { hasText: "front" }).first().click();
    const height = await measure(page, 5, async i => {
        await page
            .getByLabel("Height", { exact: true })
            .first()
            .fill(i % 2 ? "10 ft" : "11 ft");
        await page.keyboard.press("Enter");
    });
    print("Change a wall's height: direct light", height.light, 500, height.own);
    print("  drawn in the walk", height.drawn);
    await context.close();
}
{
    const oak = scene("broad-oak");
    const { page, context } = await openOn(oak);
    await pick(page, oak.fixtures.find(fixture => fixture.tree).id);
    const move = await measure(page, 5, i => page.keyboard.press(i % 2 ? "ArrowLeft" : "ArrowRight"));
    console.log(`  ${(move.sensors / 1000).toFixed(0)} thousand sensors, under the crown of a broad oak:`);
    print("Move a light under the crown: direct light", move.light, 150, move.own);
    await context.close();
}
{
    const street = scene("street-photo");
    const picture = readFileSync(join(root, "scenes/street-photo/street.jpg"));
    const { page, context } = await openOn(street, [{ name: "street.jpg", bytes: picture }]);
    const noted = (name, since) =>
        page.waitForFunction(
            ([what, from]) => window.moments.find(one => one.name === what && one.at >= from)?.at,
            [name, since],
            { timeout: 120000 },
        );
    await noted("night drawn", 0);
    await page.waitForTimeout(1000); // made ready for the hand
    const box = await page.locator('.photo [data-fixture="U4"] .lens').boundingBox();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    const found = { drawn: [], own: [], first: 0 };
    for (let i = 1; i <= 16; i++) {
        await page.evaluate(() => {
            window.moments.length = 0;
        });
        const before = readThreads();
        const [, back] = [...before.keys()].sort((a, b) => Number(a) - Number(b));
        await page.mouse.move(x - 5 * i, y);
        const change = await (await noted("change", 0)).jsonValue();
        const drawn = await (await noted("glance drawn", change)).jsonValue();
        const own = (readThreads().get(back) ?? Number.NaN) - (before.get(back) ?? Number.NaN);
        if (i === 1) found.first = drawn - change;
        else {
            found.drawn.push(drawn - change);
            found.own.push(own);
        }
    }
    await page.mouse.up();
    await noted("night drawn", 0);
    console.log(
        `  a photo of 960 x 640 pixels; the first picture of a drag took ${found.first.toFixed(0)} ms:`,
    );
    print("Drag a light on the photo: drawn", found.drawn, 33, found.own);
    await context.close();
}
{
    const oak = scene("broad-oak");
    for (const tree of oak.trees) tree.leaf_size = fine_leaf;
    const { page, context } = await openOn(oak);
    await pick(page, oak.fixtures.find(fixture => fixture.tree).id);
    const move = await measure(page, 5, i => page.keyboard.press(i % 2 ? "ArrowLeft" : "ArrowRight"), true);
    console.log(
        `  ${(move.sensors / 1000).toFixed(0)} thousand sensors, under a crown of 100 thousand leaves:`,
    );
    print("Move a light under the crown: direct light", move.light, 150, move.own);
    await context.close();
}
await browser.close();
