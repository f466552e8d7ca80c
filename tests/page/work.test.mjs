// Working in the page: a property from nothing, lights moved by hand, undone, kept, saved, and answered as by the
// command line.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import {
    dragBy,
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
    writeFileSync,
} from "./page.mjs";

let browser;
before(async () => {
    browser = await startBrowser();
});
after(() => browser?.close());

const mark = (page, id) => page.locator(`.wall [data-fixture="${id}"]`);
const fixtureIn = (file, id) =>
    JSON.parse(readFileSync(file, "utf8")).fixtures.find(fixture => fixture.id === id);

test("a two-gable property is built from nothing, lit, undone and redone", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await page.getByRole("button", { name: "File" }).click();
    await page.getByRole("button", { name: "New property, in feet" }).click();
    const empty = readFileSync(await save(page, "empty.site.json"), "utf8");

    await openTab(page, "Add");
    await page.getByRole("button", { name: "Draw a wall", exact: true }).click();
    const plan = await page.locator(".sheet.plan").boundingBox();
    await page.mouse.click(plan.x + 200, plan.y + 120);
    await page.mouse.move(plan.x + 420, plan.y + 122);
    await page.keyboard.type("52 ft");
    await page.keyboard.press("Enter");
    await page.locator(".draw-bar").getByRole("button", { name: "Done" }).click();
    for (const part of ["Gable", "Gable", "Window", "Window", "Door"]) {
        await openTab(page, "Add");
        await page.getByRole("button", { name: part, exact: true }).click();
    }
    for (const share of [0.25, 0.5, 0.75]) {
        await openTab(page, "Add");
        await page.getByRole("button", { name: "Uplight", exact: true }).click();
        const wall = await page.locator(".sheet.wall .foot").boundingBox();
        await page.mouse.click(wall.x + wall.width * share, wall.y + 12);
    }
    await untilSettled(page);

    // A wall as long as was typed, whole and level.
    const drawn = JSON.parse(readFileSync(await save(page, "drawn.site.json"), "utf8"));
    const [[x0, y0], [x1, y1]] = drawn.walls[0].path;
    assert.ok(Math.abs(Math.hypot(x1 - x0, y1 - y0) - 52) < 0.02, "the wall is 52 ft long");
    assert.equal(y0, y1);
    assert.equal(drawn.walls[0].gables.length, 2);
    assert.equal(drawn.walls[0].openings.length, 3);
    assert.equal(drawn.fixtures.length, 3);

    // Along, away, lean: by pointer, by key, by typing.
    await mark(page, "U2").click();
    await dragBy(page, mark(page, "U2"), 40, 0);
    const along = fixtureIn(await save(page, "along.site.json"), "U2").along;
    assert.notEqual(along, drawn.fixtures[1].along);
    await page.locator(".hand").getByLabel("Back").fill("18");
    await page.keyboard.press("Enter");
    await page.locator(".hand").getByLabel("Tilt").fill("12");
    await page.keyboard.press("Enter");
    await mark(page, "U2").focus();
    await page.keyboard.press("]");
    await page.keyboard.press("ArrowRight");
    const moved = fixtureIn(await save(page, "moved.site.json"), "U2");
    assert.equal(moved.setback, "18 in");
    assert.equal(moved.tilt, 13);
    assert.notEqual(moved.along, along);

    // Back to the start, and forward again.
    const undo = page.getByRole("button", { name: "Undo" });
    let steps = 0;
    for (; await undo.isEnabled(); steps++) await undo.click();
    assert.ok(steps >= 11 && steps <= 20, `a drag is one step; ${steps} were undone`);
    assert.equal(readFileSync(await save(page, "undone.site.json"), "utf8"), empty);
    const redo = page.getByRole("button", { name: "Redo" });
    while (await redo.isEnabled()) await redo.click();
    assert.deepEqual(fixtureIn(await save(page, "redone.site.json"), "U2"), moved);
    assert.deepEqual(faults, []);
    await context.close();
});

test("what the page says of the light is what the command line prints for the saved file", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await mark(page, "U5").click();
    await page.locator(".hand").getByLabel("Tilt").fill("9");
    await page.keyboard.press("Enter");
    await untilSettled(page);
    const file = await save(page, "said.site.json");
    await openTab(page, "Light");
    const said = await page.locator(".answers li").allInnerTexts();
    // The page says "left gable" where the file has "left-gable".
    const printed = run("light", file, "--out", join(folder, "said"))
        .split("\n")
        .map(line => line.trim().replace(/(?<=[a-z])-(?=[a-z])/g, " "));
    const lit = said.filter(sentence => /reaches/.test(sentence));
    assert.ok(lit.length >= 6);
    for (const sentence of lit) assert.ok(printed.includes(sentence), `the command line prints: ${sentence}`);
    assert.deepEqual(faults, []);
    await context.close();
});

test("a killed tab comes back as it was, and a second tab is told of the first", async () => {
    const { page, context } = await openWindow(browser);
    await untilSettled(page);
    await mark(page, "U1").click();
    await page.locator(".hand").getByLabel("Along").fill("5 ft 6 in");
    await page.keyboard.press("Enter");
    await page.getByText("Kept here, not saved to a file yet").waitFor();
    const client = await context.newCDPSession(page);
    await Promise.race([client.send("Page.crash").catch(() => undefined), page.waitForEvent("crash")]);
    await page.close().catch(() => undefined);

    const second = await openWindow(browser, { context });
    await untilSettled(second.page);
    await second.page.getByText("You are back where you were.").waitFor();
    assert.equal(fixtureIn(await save(second.page, "back.site.json"), "U1").along, "5 ft 6 in");
    await second.page.getByRole("button", { name: "Undo" }).click();
    assert.equal(fixtureIn(await save(second.page, "back2.site.json"), "U1").along, "2 ft");

    const third = await openWindow(browser, { context });
    await third.page.getByText("Open in another tab too").waitFor();
    await second.page.getByText("Open in another tab too").waitFor();
    await context.close();
});

test("saved, opened and saved again a file keeps its bytes, alone and with its files", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    const lamps = join(root, "scenes/lamps");
    const site = JSON.parse(readFileSync(join(root, "scenes/front-walk/front-walk.site.json"), "utf8"));
    const [first] = await Promise.all([page.waitForEvent("filechooser"), page.keyboard.press("Control+o")]);
    const own = join(folder, "walk.site.json");
    writeFileSync(own, JSON.stringify(site));
    await first.setFiles([
        own,
        join(lamps, "garden.catalogue.json"),
        join(lamps, "garden-spot-5w.ies"),
        join(lamps, "garden-wash-3w.ies"),
        join(lamps, "oval-wash-3w.ies"),
    ]);
    await untilSettled(page);
    const once = await save(page, "once.site.json");
    const [again] = await Promise.all([page.waitForEvent("filechooser"), page.keyboard.press("Control+o")]);
    await again.setFiles([once]);
    assert.equal(readFileSync(await save(page, "twice.site.json"), "utf8"), readFileSync(once, "utf8"));
    assert.deepEqual(JSON.parse(readFileSync(once, "utf8")), site);
    assert.deepEqual(faults, []);
    await context.close();
});

test("two options are kept apart and compared", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await openTab(page, "Options");
    await page.getByRole("button", { name: "Begin an option from this" }).click();
    await mark(page, "U1").click();
    await page.locator(".hand").getByLabel("Tilt").fill("20");
    await page.keyboard.press("Enter");
    const file = await save(page, "options.site.json");
    const site = JSON.parse(readFileSync(file, "utf8"));
    assert.equal(fixtureIn(file, "U1").tilt, 8, "the design as drawn stays");
    assert.deepEqual(site.variants.at(-1).changes, [{ fixtures: ["U1"], tilt: 20 }]);
    await openTab(page, "Options");
    await page.getByRole("button", { name: "As drawn" }).click();
    await untilSettled(page);
    await page.getByRole("button", { name: "Compare all" }).click();
    await page.locator(".answers li").first().waitFor({ timeout: 120000 });
    const said = await page.locator(".answers li").allInnerTexts();
    const printed = run("compare", file, "--out", join(folder, "compared"));
    for (const sentence of said)
        assert.ok(printed.includes(sentence), `the command line prints: ${sentence}`);
    assert.deepEqual(faults, []);
    await context.close();
});

test("of a tree, a light and a view of one name the plan takes the one that is pointed at", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    const site = JSON.parse(readFileSync(join(root, "scenes/two-gables/two-gables.site.json"), "utf8"));
    const tree = { id: "U5", at: [60, -20], form: "round", height: "20 ft", base: "5 ft", width: "12 ft" };
    site.trees = [...(site.trees ?? []), tree];
    site.views.push({ id: "U5", eye: ["70 ft", "-45 ft", "5 ft"], look_at: ["30 ft", 0, "8 ft"] });
    site.targets = [...(site.targets ?? []), { id: "U5", on: site.walls[0].id, level: "1 fc" }];
    const companions = [...new Set((site.lamps ?? []).map(lamp => lamp.file).filter(Boolean))];
    await dropFiles(page, [
        { name: "names.site.json", bytes: Buffer.from(JSON.stringify(site)) },
        ...companions.map(name => ({
            name: name.split("/").at(-1),
            bytes: readFileSync(join(root, "scenes/two-gables", name)),
        })),
    ]);
    const marks = {
        tree: page.locator(".plan .tree", { hasText: "U5" }),
        fixture: page.locator('.plan [data-fixture="U5"]'),
        view: page.locator(".plan .eye", { hasText: "U5" }),
    };
    await page.locator(".wall-pane").getByRole("button", { name: "Plan", exact: true }).click();
    const picked = async () => {
        await openTab(page, "Picked");
        const lit = [];
        for (const [kind, mark] of Object.entries(marks))
            if (/(^| )picked( |$)/.test(await mark.getAttribute("class"))) lit.push(kind);
        return [await page.locator("#panel .heading .kind").textContent(), ...lit];
    };
    for (const [kind, mark, at] of [
        ["tree", marks.tree.locator(".trunk")],
        ["fixture", marks.fixture.locator(".lens")],
        ["view", marks.view.locator("path")],
    ]) {
        await mark.click(at);
        assert.deepEqual(await picked(), [kind, kind]);
    }
    await marks.tree.focus();
    assert.deepEqual(await picked(), ["tree", "tree"]);
    await marks.tree.focus();
    await page.keyboard.press("Shift+ArrowRight");
    await page.locator("#panel").getByLabel("Id", { exact: true }).fill("elm");
    await page.keyboard.press("Enter");
    const saved = JSON.parse(readFileSync(await save(page, "names.site.json"), "utf8"));
    const [x] = saved.trees.at(-1).at;
    assert.equal(saved.trees.at(-1).id, "elm");
    assert.ok(Math.abs(x - 61) < 0.02, `the tree went a foot east, to ${x}`);
    const now = saved.fixtures.find(fixture => fixture.id === "U5");
    assert.deepEqual(
        now,
        site.fixtures.find(fixture => fixture.id === "U5"),
    );
    assert.equal(saved.views.at(-1).id, "U5");
    assert.equal(saved.targets.at(-1).id, "U5");
    assert.deepEqual(faults, []);
    await context.close();
});
