// Everything that a site file can hold is reached from the page: picked from the list and edited in its form, or in
// a form within that of what it belongs to.

import assert from "node:assert/strict";
import { readdirSync } from "node:fs";
import { after, before, test } from "node:test";
import {
    dropFiles,
    join,
    openTab,
    openWindow,
    readFileSync,
    root,
    run,
    startBrowser,
    untilSettled,
} from "./page.mjs";

let browser;
before(async () => {
    browser = await startBrowser();
});
after(() => browser?.close());

test("every kind of object of the schema has its form in the page", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    // A site file with every key there is.
    const folder = join(root, "tests/site/files");
    await dropFiles(page, [
        { name: "full.site.json", bytes: readFileSync(join(root, "tests/site/full.site.json")) },
        ...readdirSync(folder).map(name => ({ name, bytes: readFileSync(join(folder, name)) })),
    ]);
    await page.getByText("every key").first().waitFor();
    const schema = JSON.parse(run("schema", "site"));
    const wanted = Object.entries(schema.$defs)
        .filter(([, one]) => one.properties)
        .map(([name]) => name);
    // The photo's panel and the options' have these on the picture and in their lists.
    const elsewhere = [
        "photo",
        "photo_mark",
        "photo_length",
        "photo_white",
        "photo_sun",
        "photo_mask",
        "change",
    ];
    assert.ok(wanted.includes("roof") && elsewhere.every(name => wanted.includes(name)), `${wanted}`);

    await openTab(page, "Picked");
    const found = await page.evaluate(async () => {
        const panel = document.getElementById("panel");
        const drawn = () => new Promise(done => requestAnimationFrame(() => setTimeout(done, 0)));
        const seen = new Set();
        const list = () => [...panel.querySelectorAll(".thing-list button")];
        const count = list().length;
        for (let i = 0; i < count; i++) {
            list()[i].click();
            await drawn();
            for (let more = true; more; ) {
                const all = [...panel.querySelectorAll(".form > button")].find(button =>
                    /^All \d+ details$/.test(button.textContent),
                );
                all?.click();
                await drawn();
                more = all !== undefined;
            }
            for (const form of panel.querySelectorAll("[data-object]")) seen.add(form.dataset.object);
            [...panel.querySelectorAll(".heading button")].find(one => one.textContent === "Done").click();
            await drawn();
        }
        return [...seen];
    });
    assert.deepEqual(
        wanted.filter(name => !found.includes(name) && !elsewhere.includes(name)),
        [],
    );
    assert.deepEqual(faults, []);
    await context.close();
});
