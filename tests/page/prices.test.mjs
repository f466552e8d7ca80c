// Prices typed in the page, by pointer and by keys: added up as by the command line, undone, kept and saved.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import {
    dropFiles,
    folder,
    join,
    openTab,
    openWindow,
    readFileSync,
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

const total = page => page.locator(".sums .total").textContent();
const untilTotal = (page, words) =>
    page.locator(".sums .total", { hasText: words }).waitFor({ timeout: 20000 });

const field = (page, name) => page.getByRole("textbox", { name });

async function saveAs(page, button, name) {
    await page.getByRole("button", { name: "File" }).click();
    const [download] = await Promise.all([
        page.waitForEvent("download"),
        page.getByRole("button", { name: button }).click(),
    ]);
    const file = join(folder, name);
    await download.saveAs(file);
    return file;
}

test("every price is typed, and the total is the command line's", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await openTab(page, "Load, price");
    await page.getByRole("button", { name: "Propose the cable" }).click();
    await page.getByRole("button", { name: "Take it" }).click();
    await untilSettled(page);
    await untilTotal(page, "Known so far");

    // By pointer one, and what will not do is said at its field.
    const uplight = field(page, "Price of Uplight");
    await uplight.click();
    await page.keyboard.type("eighty");
    await field(page, "Price of Stake").click();
    await page.getByText('"eighty" is not a number').waitFor();
    await uplight.click();
    await page.keyboard.type("$80");
    await page.keyboard.press("Enter");
    await untilTotal(page, "480.00"); // six of them
    assert.equal(await uplight.inputValue(), "80.00");

    // The rest by keys, without waiting for one before the next.
    await uplight.focus();
    const fields = await page.locator(".prices:not(.general) input").count();
    for (let i = 1; i < fields; i++) {
        await page.keyboard.press("Tab");
        await page.keyboard.type(i % 2 === 0 ? String(i) : "0.25");
    }
    await page.keyboard.press("Tab");
    for (const [label, value] of [
        ["An hour of work", "65"],
        ["Sales tax, % of what is taxed", "8.25 %"],
        ["Markup on the cost of the materials, %", "40"],
        ["Cable bought beyond what is laid, %", "5"],
        ["Currency, such as USD", "USD"],
    ]) {
        await field(page, label).fill(value);
        await page.keyboard.press("Enter");
    }
    await untilTotal(page, /Total.*USD/);
    await untilSettled(page);
    assert.equal(await page.locator(".gaps").count(), 0);

    const said = await total(page);
    const site = await save(page, "priced.site.json");
    await page.getByText("The prices are not saved to a file yet").waitFor();
    const list = await saveAs(page, "Save the price list", "prices.csv");
    await page.getByText("Saved", { exact: true }).waitFor();
    const printed = run("load", site, "--prices", list, "--out", join(folder, "priced"));
    assert.equal(/Total: (.*)/.exec(printed)?.[1], /([\d,.]+ USD)/.exec(said)?.[1]);
    // The options are priced by the same list.
    await openTab(page, "Options");
    await page
        .locator(".option", { hasText: "As drawn" })
        .getByText(/([\d,.]+ USD)/.exec(said)?.[1])
        .waitFor();

    // One figure is one step.
    await openTab(page, "Load, price");
    await field(page, "An hour of work").fill("70");
    await page.keyboard.press("Enter");
    await page.waitForFunction(before => document.querySelector(".sums .total").textContent !== before, said);
    await page.getByRole("button", { name: "Undo" }).click();
    await untilTotal(page, /([\d,.]+ USD)/.exec(said)?.[1]);
    assert.equal(await field(page, "An hour of work").inputValue(), "65.00");
    const undo = page.getByRole("button", { name: "Undo" });
    let steps = 0;
    for (; (await undo.getAttribute("title")).startsWith("Undo: Set"); steps++) await undo.click();
    assert.equal(steps, fields + 5, "each figure is one step");
    await untilTotal(page, "Known so far");
    await page.getByText("Type your prices here").waitFor();
    for (let i = 0; i < steps; i++) await page.getByRole("button", { name: "Redo" }).click();
    await untilTotal(page, /([\d,.]+ USD)/.exec(said)?.[1]);

    // With its files it is opened as it was, prices and all.
    const archive = await saveAs(page, "Save with its files", "priced.zip");
    await dropFiles(page, [{ name: "priced.zip", bytes: readFileSync(archive) }]);
    await page.locator("button:disabled", { hasText: "Undo" }).waitFor();
    await untilTotal(page, /([\d,.]+ USD)/.exec(said)?.[1]);
    await field(page, "Price of Uplight").fill("81");
    await page.keyboard.press("Enter");
    await page.getByText("The prices are not saved to a file yet").waitFor();
    await page.waitForTimeout(600);

    // A page that is closed and opened again has them too.
    await page.close();
    const again = await openWindow(browser, { context });
    await untilSettled(again.page);
    await openTab(again.page, "Load, price");
    await again.page.locator(".sums .total").waitFor();
    assert.equal(await field(again.page, "Price of Uplight").inputValue(), "81.00");
    assert.deepEqual([...faults, ...again.faults], []);
    await context.close();
});
