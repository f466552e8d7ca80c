// The client's photo in the page: its camera, measuring in it, its night, its marks, and a house begun from a picture
// alone. The street's photo is a rendering of the site as it is written, so that its windows are known.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import {
    dragBy,
    dropFiles,
    folder,
    join,
    openWindow,
    readFileSync,
    root,
    run,
    save,
    startBrowser,
    untilSettled,
} from "./page.mjs";

const scene = join(root, "scenes/street-photo");
const marks = Object.fromEntries(
    JSON.parse(readFileSync(join(scene, "street-photo.site.json"), "utf8")).photos[0].marks.map(mark => [
        mark.id,
        mark.pixel,
    ]),
);
const size = [960, 640];

let browser;
before(async () => {
    browser = await startBrowser();
});
after(() => browser?.close());

/** Where a pixel of the photo lies in the window, while all of it is shown. */
async function placeOf(page, [x, y]) {
    const box = await page.locator(".sheet.photo").boundingBox();
    const scale = Math.min(box.width / size[0], box.height / size[1]);
    return [
        box.x + box.width / 2 + (x - size[0] / 2) * scale,
        box.y + box.height / 2 + (y - size[1] / 2) * scale,
    ];
}

async function clickAt(page, pixel) {
    await page.mouse.click(...(await placeOf(page, pixel)));
}

/** Mean of the red, green and blue of what the photo's canvas shows about a pixel. */
async function colourAt(page, pixel, reach = 4) {
    const at = await placeOf(page, pixel);
    return page.evaluate(
        ([x, y, r]) => {
            const canvas = document.querySelector(".photo-picture");
            const box = canvas.getBoundingClientRect();
            const ratio = canvas.width / box.width;
            const { data } = canvas
                .getContext("2d")
                .getImageData((x - box.left) * ratio - r, (y - box.top) * ratio - r, 2 * r, 2 * r);
            let sum = 0;
            for (let i = 0; i < data.length; i += 4) sum += data[i] + data[i + 1] + data[i + 2];
            return sum / (0.75 * data.length);
        },
        [...at, reach],
    );
}

const inFeet = value => {
    const [, ft, inch] = /^(?:(\d+) ft)? ?(?:([\d.]+) in)?$/.exec(value);
    return Number(ft ?? 0) + Number(inch ?? 0) / 12;
};

const nightIsDrawn = (page, after_ms = 0) =>
    page.waitForFunction(
        since => (performance.getEntriesByName("duskcast night drawn").at(-1)?.startTime ?? -1) > since,
        after_ms,
        { timeout: 120000 },
    );
const showMarks = page => page.locator(".photo-pane").getByRole("button", { name: "Marks" }).click();
const markIn = (file, id) =>
    JSON.parse(readFileSync(file, "utf8")).photos[0].marks.find(mark => mark.id === id);

test("a page around a photo shows its feet, measures a window, lights it, and says what a mark is off", async () => {
    const file = join(folder, "street.html");
    run("page", join(scene, "street-photo.site.json"), "--out", file);
    const { page, context, faults } = await openWindow(browser, { file });
    await untilSettled(page);
    await nightIsDrawn(page);
    await page.locator(".photo .feet .strong").waitFor({ state: "attached" });
    await page.getByText("20 ft", { exact: true }).first().waitFor();

    // By night the wall over U4 is lit, and where no light goes it is far darker than by day.
    const lit = [735, 395];
    const dark = [300, 250];
    await page.locator(".photo-pane").getByRole("button", { name: "Day", exact: true }).click();
    const day = [await colourAt(page, lit), await colourAt(page, dark)];
    await page.locator(".photo-pane").getByRole("button", { name: "Night", exact: true }).click();
    const night = [await colourAt(page, lit), await colourAt(page, dark)];
    assert.ok(night[1] < 0.5 * day[1], `roof by day ${day[1]}, by night ${night[1]}`);
    assert.ok(night[0] > 3 * night[1], `lit ${night[0]}, unlit ${night[1]}`);

    // The gable's window is 4 ft wide.
    await showMarks(page);
    await page.getByRole("button", { name: "Measure", exact: true }).click();
    await clickAt(page, marks["gable-window-upper-left"]);
    await clickAt(page, marks["gable-window-upper-right"]);
    const said = await page.locator(".photo .drawing .measure").textContent();
    const found = /^(\d+) ft(?: (\d+)(?: (\d)\/(\d))? in)? \(within (?:(\d+)|(\d)\/(\d))/.exec(said);
    assert.ok(found, said);
    const inches = 12 * found[1] + Number(found[2] ?? 0) + (found[3] ? found[3] / found[4] : 0);
    assert.ok(Math.abs(inches - 48) <= 3, said);
    await page.keyboard.press("Escape");

    // A mark is moved by keys and by hand: a step each, with what it is off; far off it is named.
    await showMarks(page);
    const axe = readFileSync(join(root, "src/app/node_modules/axe-core/axe.min.js"), "utf8");
    await page.evaluate(axe);
    const { violations } = await page.evaluate(() =>
        window.axe.run(document, { resultTypes: ["violations"] }),
    );
    const serious = violations.filter(one => ["serious", "critical"].includes(one.impact));
    assert.deepEqual(
        serious.map(one => `${one.id}: ${one.nodes[0]?.html}`),
        [],
    );
    const mark = page.locator('[data-mark="door-upper-right"]');
    await mark.focus();
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("Shift+ArrowDown");
    const by_keys = markIn(await save(page, "keys.site.json"), "door-upper-right").pixel;
    const from = marks["door-upper-right"];
    assert.deepEqual(
        by_keys.map((value, i) => Math.round(10 * (value - from[i]))),
        [10, 100],
    );
    const row = page.locator(".mark-list li", { hasText: "door" });
    await dragBy(page, mark, 0, 24);
    await row.getByText(/looks wrong: the others would have it \d+ px away/).waitFor();
    await page.getByText(/^The upper right corner of the door looks wrong/).waitFor();
    const undo = page.getByRole("button", { name: "Undo" });
    for (let step = 0; step < 3; step++) await undo.click();
    await row.getByText(/^1\.0 px/).waitFor();
    assert.deepEqual(markIn(await save(page, "undone.site.json"), "door-upper-right").pixel, from);

    // A light is dragged along its wall on the photo, at the setback it has; the night follows.
    await page.locator('.photo [data-fixture="U4"]').click();
    const since = await page.evaluate(() => performance.now());
    await dragBy(page, page.locator('.photo [data-fixture="U4"] .lens'), 60, 1);
    const moved = JSON.parse(readFileSync(await save(page, "moved.site.json"), "utf8")).fixtures.find(
        fixture => fixture.id === "U4",
    );
    assert.match(moved.along, /^3[7-9] ft|^40 ft/);
    assert.equal(moved.setback, "15 in");
    await nightIsDrawn(page, since);
    let left = await colourAt(page, lit);
    for (let wait = 0; wait < 40 && left > 0.8 * night[0]; wait++) {
        await page.waitForTimeout(500);
        left = await colourAt(page, lit);
    }
    assert.ok(left < 0.8 * night[0], `where U4 was: ${left}, with it ${night[0]}`);

    // Off its line it comes away from the wall: to the walk's corner, 16 ft before it at 21.5 ft. The lens is higher
    // than the ground by a share of the eye's height, and nearer to the eye by the same share of the way.
    await page.locator('.photo [data-fixture="U3"]').click();
    const box = await page.locator('.photo [data-fixture="U3"] .lens').boundingBox();
    const [goal_x, goal_y] = await placeOf(page, marks["walk-right"]);
    await dragBy(
        page,
        page.locator('.photo [data-fixture="U3"] .lens'),
        goal_x - box.x - box.width / 2,
        goal_y - box.y - box.height / 2,
    );
    const fixtureIn = async (name, id) =>
        JSON.parse(readFileSync(await save(page, name), "utf8")).fixtures.find(one => one.id === id);
    const away = await fixtureIn("away.site.json", "U3");
    const eye = { along: 8.15, out: 45.4, height: 5.34 };
    const raised = 0.5 / eye.height; // a bullet's lens is some six inches up
    assert.ok(Math.abs(inFeet(away.setback) - (16 + raised * (eye.out - 16))) < 1.5, away.setback);
    assert.ok(Math.abs(inFeet(away.along) - (21.5 + raised * (eye.along - 21.5))) < 1, away.along);
    await undo.click(); // one step
    const back = await fixtureIn("back.site.json", "U3");
    assert.deepEqual([back.setback, back.along], ["18 in", 22.75]);

    // Something that stays dark is painted round, by pointer and by keys, and corners are taken back.
    const photoIn = async name => JSON.parse(readFileSync(await save(page, name), "utf8")).photos[0];
    const { masks, white } = await photoIn("before-masks.site.json");
    await showMarks(page);
    const bar = page.locator(".draw-bar");
    await page.getByRole("button", { name: "Stays dark", exact: true }).click();
    const round = [
        [700, 560],
        [800, 560],
        [800, 610],
        [700, 610],
    ];
    await clickAt(page, round[0]);
    await clickAt(page, [500, 600]);
    await bar.getByText("(2 so far)").waitFor();
    await page.keyboard.press("Backspace");
    await bar.getByText("(1 so far)").waitFor();
    await clickAt(page, [520, 600]);
    await bar.getByText("(2 so far)").waitFor();
    await page.keyboard.press("Control+z");
    await bar.getByText("(1 so far)").waitFor();
    for (const corner of round.slice(1)) await clickAt(page, corner);
    await clickAt(page, round[0]);
    await bar.waitFor({ state: "detached" });
    const painted = (await photoIn("painted.site.json")).masks;
    assert.deepEqual(painted.slice(0, -1), masks);
    assert.equal(painted.at(-1).kind, "unlit");
    const outline = painted.at(-1).outline;
    assert.equal(outline.length, 8);
    for (const [i, value] of round.flat().entries())
        assert.ok(Math.abs(outline[i] - value) < 2, `${outline}`);
    await page.getByRole("button", { name: "Maple", exact: true }).click();
    await page.mouse.move(...(await placeOf(page, [100, 100])));
    for (const key of ["Enter", "Shift+ArrowRight", "Enter", "Shift+ArrowDown", "Enter", "Enter"])
        await page.keyboard.press(key);
    await bar.waitFor({ state: "detached" });
    const leaves = (await photoIn("leaves.site.json")).masks.at(-1);
    assert.equal(leaves.plant, "maple");
    assert.deepEqual(
        [2, 3, 4, 5].map(i => Math.round(leaves.outline[i] - leaves.outline[i % 2])),
        [10, 0, 10, 10],
    );
    await undo.click();
    await undo.click();
    assert.deepEqual((await photoIn("unpainted.site.json")).masks, masks);
    await page.getByRole("button", { name: "Sky", exact: true }).click();
    await clickAt(page, [500, 20]);
    await page.keyboard.press("Escape");
    assert.deepEqual((await photoIn("given-up.site.json")).masks, masks);

    // The white place is pointed at, and what it reflects is typed.
    await showMarks(page);
    await page.getByRole("button", { name: "Another place" }).click();
    await clickAt(page, [478, 300]);
    const pointed = (await photoIn("white.site.json")).white;
    assert.ok(Math.hypot(pointed.pixel[0] - 478, pointed.pixel[1] - 300) < 2, `${pointed.pixel}`);
    assert.equal(pointed.reflectance, white.reflectance);
    const share = page.getByLabel("Share it reflects");
    await share.fill("110 %");
    await page.keyboard.press("Enter");
    await page.getByText("A share from 0.05 to 1").waitFor();
    await share.fill("18 %");
    await page.keyboard.press("Enter");
    assert.equal((await photoIn("grey.site.json")).white.reflectance, 0.18);
    await undo.click();
    await undo.click();
    assert.deepEqual((await photoIn("as-before.site.json")).white, white);
    assert.deepEqual(faults, []);
    await context.close();
});

test("a house is begun from a picture and two lengths, traced, and comes back with its picture", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await page.getByRole("button", { name: "File" }).click();
    await page.getByRole("button", { name: "New property, in feet" }).click();
    const picture = readFileSync(join(scene, "street.jpg"));
    await dropFiles(page, [{ name: "front.jpg", bytes: picture }]);
    await page.getByLabel("How wide").fill("a lot");
    await page.getByLabel("Ground to eave").fill("10 ft");
    await page.getByRole("button", { name: "Begin", exact: true }).click();
    await page.getByText("Write the width like “52 ft”.").waitFor();
    await page.getByLabel("How wide").fill("40 ft");
    await page.getByRole("button", { name: "Begin", exact: true }).click();

    // The page asks for one place after the other; a pixel is set by keys as well.
    const asks = words => page.locator(".draw-bar").getByText(words).waitFor();
    await page.getByRole("button", { name: "Begin marking" }).click();
    await asks("Click the left end of the front, at the ground.");
    await clickAt(page, marks["wall-foot-left"]);
    await asks("Click the right end of the front, at the ground.");
    await clickAt(page, [812.2, 447.3]);
    await asks("Click the left end of the front, at the eave.");
    await page.mouse.move(...(await placeOf(page, [211, 294])));
    await page.locator(".magnifier").waitFor();
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("Enter");
    await asks("Click the right end of the front, at the eave.");
    await page.getByRole("button", { name: "Not seen" }).click();
    await page.locator(".draw-bar").waitFor({ state: "detached" });
    await page
        .getByText(/3 marks do not settle a camera|3 marks so far/)
        .first()
        .waitFor();
    for (const [along, id] of [
        ["16 ft 9 in", "walk-left"],
        ["21 ft 6 in", "walk-right"],
    ]) {
        if (!(await page.getByLabel("Along the front").isVisible())) break;
        await page.getByLabel("Along the front").fill(along);
        await page.getByLabel("Out from the wall").fill("16 ft");
        await page.getByRole("button", { name: "Mark it" }).click();
        await clickAt(page, marks[id]);
    }
    await page
        .locator(".panel")
        .getByText(/^Good to .* on the walls and .* on the ground\.$/)
        .waitFor();
    await page.locator(".photo .feet .strong").waitFor({ state: "attached" });

    // The door's window is two clicks: 5.5 ft wide, 5 ft high, from 24.5 ft, its sill at 2.75 ft.
    await page.getByRole("button", { name: "Window", exact: true }).click();
    await clickAt(page, [597.5, 334.1]);
    await clickAt(page, [676.3, 408.7]);
    await page.locator(".panel .kind", { hasText: "window" }).waitFor();
    const site = JSON.parse(readFileSync(await save(page, "traced.site.json"), "utf8"));
    assert.equal(site.photos[0].file, "front.jpg");
    assert.ok(site.photos[0].marks.length >= 4);
    const [window] = site.walls[0].openings;
    for (const [key, value] of [
        ["from", 24.5],
        ["width", 5.5],
        ["sill", 2.75],
        ["height", 5],
    ])
        assert.ok(Math.abs(inFeet(window[key]) - value) < 0.4, `${key}: ${window[key]}`);

    // With its files it comes back whole.
    await page.getByRole("button", { name: "File" }).click();
    const [download] = await Promise.all([
        page.waitForEvent("download"),
        page.getByRole("button", { name: "Save with its files" }).click(),
    ]);
    const archive = join(folder, "house.zip");
    await download.saveAs(archive);
    const other = await openWindow(browser);
    await untilSettled(other.page);
    await dropFiles(other.page, [{ name: "house.zip", bytes: readFileSync(archive) }]);
    await other.page.locator(".photo .feet .strong").waitFor({ state: "attached" });
    assert.deepEqual([...faults, ...other.faults], []);
    await other.context.close();
    await context.close();
});

test("a picture that is missing or none is told of, and can be brought", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    const text = readFileSync(join(scene, "street-photo.site.json"));
    await dropFiles(page, [{ name: "street-photo.site.json", bytes: text }]);
    await page.locator(".photo-said").getByText("cannot be read").waitFor();
    await dropFiles(page, [{ name: "street.jpg", bytes: Buffer.from("no picture") }]);
    await page.locator(".photo-said").getByText("neither a JPEG nor a PNG").waitFor();
    await dropFiles(page, [{ name: "street.jpg", bytes: readFileSync(join(scene, "street.jpg")) }]);
    await page.locator(".photo .feet .strong").waitFor({ state: "attached" });
    assert.deepEqual(faults, []);
    await context.close();
});
