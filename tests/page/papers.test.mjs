// Papers from the page: the sheet to aim by, what a night's readings tell, and the proposal.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import {
    folder,
    join,
    openTab,
    openWindow,
    readFileSync,
    run,
    save,
    startBrowser,
    untilSettled,
    writeFileSync,
} from "./page.mjs";

let browser, page, faults;
before(async () => {
    browser = await startBrowser();
    ({ page, faults } = await openWindow(browser));
    await untilSettled(page);
    await openTab(page, "Papers");
});
after(() => browser?.close());

const deed = words => page.getByRole("button", { name: words });

async function saved(button, name) {
    const [download] = await Promise.all([
        page.waitForEvent("download", { timeout: 120000 }),
        button.click(),
    ]);
    const at = join(folder, name);
    await download.saveAs(at);
    return { text: readFileSync(at, "utf8"), called: download.suggestedFilename() };
}

test("the aiming sheet is the command line's, and says the light that a reading is then held against", async () => {
    const { text, called } = await saved(deed("Write the aiming sheet"), "tonight.html");
    assert.match(called, /-tonight\.html$/);
    const file = await save(page, called.replace("-tonight.html", ".site.json"));
    await openTab(page, "Papers");
    run("aim-sheet", file, "--out", join(folder, "own.html"));
    assert.equal(text, readFileSync(join(folder, "own.html"), "utf8"));

    // The first fixture's points as expected, but for a lamp that gives half.
    const card = /<article[^>]*data-fixture="([^"]+)"[\s\S]*?<\/article>/.exec(text);
    const expected = [...card[0].matchAll(/class="value">([\d.]+) fc/g)].map(found => Number(found[1]));
    assert.ok(expected.length >= 2);
    const rows = expected.map(
        (value, index) => `${card[1]};${index + 1};${String(value / 2).replace(".", ",")}`,
    );
    const readings = join(folder, "readings.csv");
    writeFileSync(readings, ["fixture;point;footcandles", ...rows].join("\r\n"));
    await page.locator("input[accept^='.csv']").setInputFiles(readings);
    const first = page.locator("#panel .answers li").first();
    await first.waitFor({ timeout: 120000 });
    const share = /gives about (\d+) % of its light/.exec(await first.textContent());
    assert.ok(share && Math.abs(Number(share[1]) - 50) < 8, await first.textContent());
    const told = run("night-check", file, readings);
    assert.equal(told.split("\n")[0], await first.textContent());

    await deed("Take the lights as built").click();
    await page.getByRole("button", { name: "Undo" }).click();
    assert.equal(readFileSync(await save(page, "again.site.json"), "utf8"), readFileSync(file, "utf8"));
});

test("readings of a fixture that does not exist are told with their line", async () => {
    await openTab(page, "Papers");
    const readings = join(folder, "wrong.csv");
    writeFileSync(readings, "fixture,point,lux\nnowhere,1,3\n");
    await page.locator("input[accept^='.csv']").setInputFiles(readings);
    const said = page.locator("#panel .complaint");
    await said.waitFor({ timeout: 120000 });
    assert.match(await said.textContent(), /^wrong\.csv, line 2: there is no fixture "nowhere"\./);
});

test("the proposal carries the business that this browser keeps, and asks for nothing", async () => {
    await page.getByText("Your business").click();
    const name = page.getByLabel("Name", { exact: true });
    await name.fill("Fern & Sons");
    await name.press("Tab");
    await page.locator("details input[type=file]").setInputFiles({
        name: "logo.png",
        mimeType: "image/png",
        buffer: Buffer.from(
            "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==",
            "base64",
        ),
    });
    await page.getByAltText("Your logo").waitFor();
    await page.getByLabel("For", { exact: true }).fill("A <b>");
    await page.getByLabel("Small pictures").check();
    const { text, called } = await saved(deed("Write the proposal"), "proposal.html");
    assert.match(called, /-proposal\.html$/);
    assert.ok(text.includes("Fern &amp; Sons") && text.includes("A &lt;b&gt;"));
    assert.ok(text.includes("data:image/png;base64,iVBORw0KGgo"));
    const technical = await saved(deed("Save the technical sheets"), "technical.html");
    assert.match(technical.called, /-technical\.html$/);
    for (const one of [text, technical.text]) assert.doesNotMatch(one, /(src|href)="(?!data:|#|mailto:)/);

    await page.reload();
    await untilSettled(page);
    await openTab(page, "Papers");
    await page.getByText("Your business: Fern & Sons").waitFor();
    assert.deepEqual(faults, []);
});
