// The sheet to aim by on a phone with the network cut: ticks, notes, photo, the next lamp, and the phone as a level.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { folder, join, openWindow, readFileSync, root, run, startBrowser } from "./page.mjs";

const file = join(folder, "tonight.html");
let browser, page, faults;
before(async () => {
    run("aim-sheet", join(root, "tests/words/porch.site.json"), "--out", file);
    browser = await startBrowser();
    ({ page, faults } = await openWindow(browser, { file, size: "phone" }));
});
after(() => browser?.close());

const card = () => page.locator("article.here");

async function savedRows() {
    const [download] = await Promise.all([page.waitForEvent("download"), page.click("#save")]);
    const at = join(folder, "readings.csv");
    await download.saveAs(at);
    return readFileSync(at, "utf8").replace("\ufeff", "").trim().split("\r\n");
}

/** As a phone tells how it lies: beta and gamma in degrees (W3C Device Orientation Events, 4.1). */
const lay = (beta, gamma) =>
    page.evaluate(
        ([b, c]) =>
            window.dispatchEvent(
                new DeviceOrientationEvent("deviceorientation", { alpha: 0, beta: b, gamma: c }),
            ),
        [beta, gamma],
    );

test("too dim and too bright say what to try, one at a time", async () => {
    assert.equal(await card().getAttribute("data-fixture"), "F1");
    await page.click("article.here button[data-step='too dim']");
    assert.match(
        await card().locator(".next").textContent(),
        /^(Try .+\.|Nothing further at hand fits this fixture\.)$/,
    );
    await page.click("article.here button[data-step='too bright']");
    assert.equal(await card().locator("button[aria-pressed='true']").count(), 1);
    assert.equal(await card().locator("button[data-step='too bright']").getAttribute("aria-pressed"), "true");
});

test("a note and a reading are kept, and a tick goes on to the next fixture", async () => {
    await card().locator("textarea").fill("root in the way; moved 3 in");
    await card().locator("[data-field='point1']").fill("4,2");
    await page.click("#done");
    assert.equal(await card().getAttribute("data-fixture"), "F2");
    assert.equal(await page.textContent("#left"), "1 of 2 to aim");
    await page.reload();
    assert.equal(await card().getAttribute("data-fixture"), "F2");
    await page.click("#back");
    assert.equal(await card().locator("textarea").inputValue(), "root in the way; moved 3 in");
    assert.equal(await page.getAttribute("#done", "aria-pressed"), "true");
});

test("a photo is kept with its fixture, smaller than it came, and what is no picture is refused", async () => {
    const picture = join(root, "scenes/two-gables/night.png");
    await card().locator(".photo input").setInputFiles(picture);
    await page.locator("article.here .shot img").waitFor();
    const width = await card()
        .locator(".shot img")
        .evaluate(one => one.decode().then(() => one.naturalWidth));
    assert.ok(width > 100 && width <= 1024, String(width));
    assert.equal(await card().locator(".shot a").getAttribute("download"), "F1.jpg");
    await page.reload();
    assert.equal(await card().locator(".shot img").count(), 1);
    await page.click("#on");
    assert.equal(await card().locator(".shot img").count(), 0);
    await card().locator(".photo input").setInputFiles(join(root, "tests/words/porch.site.json"));
    await page.locator("#said", { hasText: "no picture" }).waitFor();
});

test("all that was noted is in the file that the night check reads", async () => {
    const rows = await savedRows();
    assert.equal(rows[0], "fixture;point;footcandles;volts;note");
    assert.ok(rows.includes('F1;1;"4,2";;'), rows.join("|"));
    assert.ok(
        rows.includes('F1;;;;"aimed; too bright; root in the way; moved 3 in; photo F1.jpg"'),
        rows.join("|"),
    );
    assert.match(
        run("night-check", join(root, "tests/words/porch.site.json"), join(folder, "readings.csv")),
        /F1/,
    );
});

test("the phone tells the tilt with its error, better once it has been set to zero on something level", async () => {
    const said = () => page.textContent("#tilt");
    await page.click("#level");
    // Browsers may ask first whether the page may know.
    await page.locator("#tilt", { hasText: "Lay the phone on something level" }).waitFor();
    await lay(2, 0);
    assert.match(await said(), /^2\.0°, give or take 2° . wanted 5\.0°$/);
    await page.click("#level"); // it shows 2 on what is level
    await lay(7, 0);
    assert.match(await said(), /^5\.0°, give or take 1° . wanted 5\.0°$/);
    // Leaning to the side turns the normal: cos = sin 2 sin 2 + cos 2 cos 2 cos 4.
    await page.waitForTimeout(1600); // what is older than a breath no longer counts
    await lay(2, 4);
    assert.match(await said(), /^4\.0°, give or take 1°/);
    // A hand that shakes is said to.
    await page.waitForTimeout(1600);
    for (const beta of [2, 12, 2, 12]) await lay(beta, 0);
    assert.match(await said(), /^5\.0°, give or take 5°/);
    assert.deepEqual(faults, []);
});
