// What is not the usual day: no WebGL 2, a full store, paper, an archive; and what an option costs, what a spot gets.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import {
    dropFiles,
    folder,
    join,
    openTab,
    openWindow,
    readFileSync,
    root,
    run,
    save,
    startBrowser,
    untilSettled,
} from "./page.mjs";

let browser;
before(async () => {
    browser = await startBrowser();
});
after(() => browser?.close());

const prices = readFileSync(join(root, "scenes/lamps/prices.csv"));

/** A window in which something of the browser is not as usual from the start. */
async function openWith(script) {
    const context = await browser.newContext({
        viewport: { width: 1440, height: 900 },
        acceptDownloads: true,
    });
    await context.addInitScript(script);
    return openWindow(browser, { context });
}

test("without WebGL 2 the wall and the plan do the work", async () => {
    const { page, context } = await openWith(() => {
        const getContext = HTMLCanvasElement.prototype.getContext;
        HTMLCanvasElement.prototype.getContext = function (kind, ...rest) {
            return /webgl/.test(kind) ? null : getContext.call(this, kind, ...rest);
        };
    });
    await untilSettled(page);
    await page.getByText("This browser cannot draw the walk").waitFor();
    await page.locator('.wall [data-fixture="U1"]').focus();
    await page.keyboard.press("ArrowRight");
    const file = await save(page, "flat.site.json");
    const light = JSON.parse(readFileSync(file, "utf8")).fixtures.find(one => one.id === "U1");
    assert.equal(light.along, "2 ft 1 in");
    await untilSettled(page);
    await page.locator(".walk-pane").getByRole("button", { name: "Plan", exact: true }).click();
    await page.locator('.plan [data-fixture="U1"]').waitFor();
    await context.close();
});

test("a full store is said at once, and the work goes on", async () => {
    const { page, context } = await openWith(() => {
        const put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (value, key) {
            if (key === "last") throw new DOMException("no room", "QuotaExceededError");
            return put.call(this, value, key);
        };
    });
    await untilSettled(page);
    await page.locator('.wall [data-fixture="U1"]').focus();
    await page.keyboard.press("ArrowRight");
    await page.getByText("This browser’s store is full: save to a file").waitFor({ timeout: 10000 });
    await save(page, "full.site.json");
    await context.close();
});

test("the browser keeps a file once, whatever is changed after it, and brings it back", async () => {
    const { page, context, faults } = await openWith(() => {
        window.files_kept = 0;
        const put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (value, key) {
            if (value instanceof Uint8Array) window.files_kept++;
            return put.call(this, value, key);
        };
    });
    await untilSettled(page);
    await page.locator('.wall [data-fixture="U1"]').focus();
    const spot = readFileSync(join(root, "scenes/lamps/garden-spot-5w.ies"));
    await dropFiles(page, [{ name: "garden-spot-5w.ies", bytes: spot }]);
    await page.getByRole("button", { name: "Understood" }).click();
    for (const key of ["ArrowRight", "ArrowRight", "ArrowLeft"]) {
        await page.locator('.wall [data-fixture="U1"]').focus();
        await page.keyboard.press(key);
        await page.getByText("Keeping …").waitFor();
        await page.getByText("Kept here, not saved to a file yet").waitFor();
    }
    assert.equal(await page.evaluate(() => window.files_kept), 1);
    await page.reload();
    await untilSettled(page);
    await page.getByText("You are back where you were.").waitFor();
    await openTab(page, "Light");
    assert.equal(await page.locator(".problems li.error").count(), 0); // the lamp's file is there
    // Sentences call things as people do.
    const said = await page.locator(".answers").first().textContent();
    assert.match(said, /left gable/);
    assert.doesNotMatch(said, /left-gable/);
    assert.deepEqual(faults, []);
    await context.close();
});

test("an archive keeps the site with its files, and is opened as it was", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    const spot = readFileSync(join(root, "scenes/lamps/garden-spot-5w.ies"));
    await page.locator('.wall [data-fixture="U1"]').focus(); // a lamp is given to what is picked
    await dropFiles(page, [
        { name: "garden-spot-5w.ies", bytes: spot },
        { name: "prices.csv", bytes: prices },
    ]);
    await page.getByRole("button", { name: "Understood" }).click();
    await page.getByRole("button", { name: "File" }).click();
    const [download] = await Promise.all([
        page.waitForEvent("download"),
        page.getByRole("button", { name: "Save with its files (.zip)" }).click(),
    ]);
    const archive = join(folder, "gables.zip");
    await download.saveAs(archive);
    const before_opening = readFileSync(await save(page, "gables.site.json"), "utf8");
    await page.getByRole("button", { name: "File" }).click();
    await page.getByRole("button", { name: "New property, in feet" }).click();
    await dropFiles(page, [{ name: "gables.zip", bytes: readFileSync(archive) }]);
    await untilSettled(page);
    assert.equal(readFileSync(await save(page, "again.site.json"), "utf8"), before_opening);
    assert.match(before_opening, /"file": "garden-spot-5w.ies"/);
    await openTab(page, "Light");
    assert.equal(await page.locator(".problems li.error").count(), 0);
    assert.deepEqual(faults, []);
    await context.close();
});

test("every option shows its watts and price at once, in the figures of the command line", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await dropFiles(page, [{ name: "prices.csv", bytes: prices }]);
    await page.getByRole("button", { name: "Understood" }).click();
    await openTab(page, "Options");
    await page.getByRole("button", { name: "Begin an option from this" }).click();
    const card = index => page.locator(".options li").nth(index).locator("small");
    const last = (await page.locator(".options li").count()) - 1;
    // Nothing differs yet, and nothing is refused.
    await card(last).filter({ hasText: "W" }).waitFor();
    assert.equal(await card(last).textContent(), await card(0).textContent());
    assert.equal(await page.locator(".count.bad").count(), 0);
    await page.locator('.wall [data-fixture="U1"]').focus();
    await page.keyboard.press("Delete");
    await openTab(page, "Options");
    const watts = async index => Number.parseFloat(await card(index).textContent());
    await page.waitForFunction(index => {
        const cards = document.querySelectorAll(".options small");
        return cards[index]?.textContent !== cards[0]?.textContent;
    }, last);
    const file = await save(page, "bills.site.json");
    const site = JSON.parse(readFileSync(file, "utf8"));
    const lamp = site.lamps.find(one => one.id === site.fixtures.find(fixture => fixture.id === "U1").lamp);
    assert.ok(Math.abs((await watts(0)) - (await watts(last)) - lamp.watts) < 0.06);
    assert.match(await card(0).textContent(), /[\d,]+\.\d\d USD/);

    // Another property has none of these figures.
    await page.getByRole("button", { name: "File" }).click();
    await page.getByRole("button", { name: "New property, in feet" }).click();
    await openTab(page, "Options");
    await page.locator(".options li").first().waitFor();
    await page.waitForFunction(() => !/\d W/.test(document.querySelector(".options").textContent));
    assert.deepEqual(faults, []);
    await context.close();
});

test("a proposed cable is taken over, drawn, and gives the volts that the command line prints", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await openTab(page, "Load");
    await page.getByRole("button", { name: "Propose the cable" }).click();
    await page.getByRole("button", { name: "Take it" }).click({ timeout: 30000 });
    await page.locator("caption", { hasText: "Volts at every lamp" }).waitFor({ timeout: 30000 });
    await page.locator(".plan .cable").nth(1).waitFor({ state: "attached" });
    await page.locator(".plan .volts").first().waitFor();
    const shown = await page.locator(".plan .volts").allTextContents();
    assert.ok(shown.length >= 1);
    const report = JSON.parse(
        run("load", await save(page, "cable.site.json"), "--json", "--out", join(folder, "cable")),
    );
    const volts = JSON.stringify(report)
        .match(/"volts":\s*[\d.]+/g)
        .map(text => Number(text.split(":")[1]));
    for (const text of shown)
        assert.ok(
            volts.some(one => one.toFixed(1) === Number.parseFloat(text).toFixed(1)),
            `the command line has a lamp at ${text}: ${volts}`,
        );
    assert.deepEqual(faults, []);
    await context.close();
});

test("a spot tells its light and each fixture's part of it", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await openTab(page, "Add");
    await page.getByRole("button", { name: "How much light here?" }).click();
    await page.keyboard.type("2 ft, 5 ft");
    await page.keyboard.press("Enter");
    await page.locator(".finding", { hasText: "U1" }).waitFor();
    const [all, ...parts] = await page.locator(".finding div").allInnerTexts();
    const figure = text => Number.parseFloat(text.replace(/^.*: /, "").replace("<", ""));
    const sum = parts.reduce((total, part) => total + figure(part), 0);
    assert.ok(Math.abs(sum - figure(all)) < 0.05 * figure(all) + 0.02, `${all}: ${parts.join("; ")}`);
    assert.match(parts[0], /^U1: /, "the light that stands there gives most");
    assert.deepEqual(faults, []);
    await context.close();
});

test("paper gets the picture, what the light does, and no buttons", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await page.setViewportSize({ width: 794, height: 1123 });
    await page.emulateMedia({ media: "print" });
    await page.evaluate(() => dispatchEvent(new Event("beforeprint")));
    await page.locator(".paper img").waitFor();
    const brightest = await page.locator(".paper img").evaluate(async image => {
        await image.decode();
        const pen = new OffscreenCanvas(image.naturalWidth, image.naturalHeight).getContext("2d");
        pen.drawImage(image, 0, 0);
        const pixels = pen.getImageData(0, 0, image.naturalWidth, image.naturalHeight).data;
        let most = 0;
        for (let i = 0; i < pixels.length; i += 4) most = Math.max(most, pixels[i]);
        return most;
    });
    assert.ok(brightest > 200, `the brightest red is ${brightest}`);
    assert.ok((await page.locator(".paper li").count()) >= 6);
    assert.equal(await page.locator("button:visible").count(), 0);
    await page.evaluate(() => dispatchEvent(new Event("afterprint")));
    assert.equal(await page.locator(".paper img").count(), 0);
    assert.deepEqual(faults, []);
    await context.close();
});
