// Everything a pointer can do, by keys alone: no test here moves a mouse.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import {
    dropFiles,
    join,
    openWindow,
    readFileSync,
    root,
    save,
    startBrowser,
    untilSettled,
    untilShown,
} from "./page.mjs";

let browser;
before(async () => {
    browser = await startBrowser();
});
after(() => browser?.close());

async function press(page, name) {
    await page.getByRole("button", { name, exact: true }).focus();
    await page.keyboard.press("Enter");
}

async function tab(page, name) {
    for (let i = 0; i < 5; i++) {
        const shown = page.getByRole("tab", { selected: true });
        await shown.focus();
        if ((await shown.textContent()).startsWith(name)) return;
        await page.keyboard.press("ArrowRight");
    }
}

async function type(page, ...lines) {
    for (const line of lines) {
        await page.keyboard.type(line);
        await page.keyboard.press("Enter");
    }
}

const site = async page => JSON.parse(readFileSync(await save(page, "keys.site.json"), "utf8"));
const inches = text => {
    const [, feet, rest] = /^(?:(\d+) ft)?\s*(?:([\d.]+) in)?$/.exec(text);
    return 12 * Number(feet ?? 0) + Number(rest ?? 0);
};

test("a property is drawn and lit by keys: wall, gable, window, bed, walk and light", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    await press(page, "Begin with your own house");
    await tab(page, "Add");
    await press(page, "Draw a wall");
    await type(page, "0, 0");
    await page.keyboard.type("52 ft");
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("Enter");
    let drawn = await site(page);
    assert.deepEqual(drawn.walls[0].path, [
        [0, 0],
        [52, 0],
    ]);

    await tab(page, "Add");
    await press(page, "Draw a gable");
    await type(page, "4 ft", "20 ft x 12 ft");
    await tab(page, "Add");
    await press(page, "Draw a window");
    await type(page, "10 ft, 3 ft", "42 in x 5 ft");
    await tab(page, "Add");
    await press(page, "Bed");
    await type(page, "2 ft, 0");
    for (const [length, arrow] of [
        ["4 ft", "ArrowDown"],
        ["20 ft", "ArrowRight"],
        ["4 ft", "ArrowUp"],
    ]) {
        await page.keyboard.type(length);
        await page.keyboard.press(arrow);
    }
    await page.keyboard.press("Enter");
    // By the cross: four corners of a walk, 4 ft by 10 ft.
    await tab(page, "Add");
    await press(page, "Walk or drive");
    await type(page, "30 ft, 0");
    const step = async (key, count = 1) => {
        for (let i = 0; i < count; i++) await page.keyboard.press(key);
        await page.keyboard.press("Enter");
    };
    await step("Shift+ArrowDown");
    await step("ArrowRight", 4);
    await step("Shift+ArrowUp");
    await page.keyboard.press("Enter");
    await tab(page, "Add");
    await press(page, "Uplight");
    await type(page, "14 ft, 15 in");

    drawn = await site(page);
    const [wall] = drawn.walls;
    assert.deepEqual(
        wall.gables.map(({ from, width, peak }) => [from, width, peak].map(inches)),
        [[48, 240, 264]],
    );
    assert.deepEqual(
        wall.openings.map(({ from, width, sill, height }) => [from, width, sill, height].map(inches)),
        [[120, 42, 36, 60]],
    );
    const [bed, walk] = drawn.ground.areas;
    assert.deepEqual(bed.outline, [
        [2, 0],
        [2, -4],
        [22, -4],
        [22, 0],
    ]);
    assert.deepEqual(walk.outline, [
        [30, 0],
        [30, -10],
        [34, -10],
        [34, 0],
    ]);
    const [light] = drawn.fixtures;
    assert.equal(light.wall, wall.id);
    assert.equal(inches(light.along), 168);
    assert.equal(inches(light.setback), 15);

    // What stands is moved: the light, a window, a corner of the bed.
    await untilSettled(page);
    await page.locator('.wall [data-fixture="U1"]').focus();
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("ArrowDown");
    await page.keyboard.press("}");
    await page.locator(".wall .outline.opening").focus();
    await page.keyboard.press("Shift+ArrowRight");
    await page.getByRole("button", { name: "right edge of window 1" }).focus();
    await page.keyboard.press("ArrowLeft");
    drawn = await site(page);
    assert.equal(inches(drawn.fixtures[0].along), 169);
    assert.equal(inches(drawn.fixtures[0].setback), 16);
    assert.equal(drawn.fixtures[0].turn, 5);
    const [window_] = drawn.walls[0].openings;
    assert.deepEqual([inches(window_.from), inches(window_.width)], [132, 41]);
    await page.locator(".wall-pane").getByRole("button", { name: "Plan", exact: true }).focus();
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: "bed bed 1" }).focus();
    await page.getByRole("button", { name: "corner 2 of bed 1" }).focus();
    await page.keyboard.press("Shift+ArrowDown");
    assert.deepEqual((await site(page)).ground.areas[0].outline[1], [2, -5]);

    // The Tab key comes to everything on the sheets, and what has the focus is seen to have it.
    await page.locator(".walk-pane").getByRole("button", { name: "Fill" }).focus();
    const passed = [];
    for (let i = 0; i < 24; i++) {
        await page.keyboard.press("Tab");
        const one = await page.evaluate(() => {
            const node = document.activeElement;
            if (!node.closest("svg")) return;
            const look = () =>
                [node, ...node.querySelectorAll("*")]
                    .map(part => {
                        const { stroke, strokeWidth, outline } = getComputedStyle(part);
                        return [stroke, strokeWidth, outline].join();
                    })
                    .join();
            const focused = look();
            node.blur();
            const is_seen = look() !== focused;
            node.focus();
            return { name: node.getAttribute("aria-label").replace(/:.*/, ""), is_seen };
        });
        if (one) passed.push(one);
    }
    const names = passed.map(one => one.name);
    for (const name of ["U1", "bed bed 1", "corner 4 of bed 1", "walk or drive walk 1", "wall wall 1"])
        assert.ok(names.includes(name), `the Tab key comes to ${name}: ${names.join(", ")}`);
    assert.deepEqual(
        passed.filter(one => !one.is_seen).map(one => one.name),
        [],
    );
    assert.deepEqual(faults, []);
    await context.close();
});

test("nothing serious while a tool is in hand", async () => {
    const { page, context } = await openWindow(browser);
    await untilSettled(page);
    const axe = readFileSync(join(root, "src/app/node_modules/axe-core/axe.min.js"), "utf8");
    await tab(page, "Add");
    await press(page, "Draw a window");
    await page.keyboard.press("ArrowRight");
    await page.evaluate(axe);
    const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
    const serious = found.violations.filter(one => ["serious", "critical"].includes(one.impact));
    assert.deepEqual(
        serious.map(one => `${one.id}: ${one.nodes[0].html.slice(0, 200)}`),
        [],
    );
    await context.close();
});

test("who walks up onto a terrace stands as high above it as before", async () => {
    // A light straight before an eye that looks level at it: a lens h lower is f h / distance lower in the picture.
    const rise = 8;
    const places = [];
    for (const height of [0, rise]) {
        const { page, context, faults } = await openWindow(browser);
        await untilSettled(page);
        const made = {
            duskcast: 1,
            name: "Up",
            ground: { margin: "10 ft" },
            walls: [
                {
                    id: "front",
                    path: [
                        [0, 0],
                        [44, 0],
                    ],
                    height: "10 ft",
                },
            ],
            lamps: [{ id: "spot", lumens: 300, beam: 40 }],
            fixtures: [
                { id: "U1", kind: "uplight", lamp: "spot", wall: "front", along: "22 ft", setback: "15 in" },
            ],
            views: [{ id: "street", eye: [22, -80, 5.5], look_at: [22, 0, 5.5], field_of_view: 50 }],
        };
        if (height)
            made.ground.areas = [
                {
                    id: "bank",
                    kind: "lawn",
                    outline: [
                        [0, -60],
                        [44, -60],
                        [44, -40],
                        [0, -40],
                    ],
                    height,
                },
            ];
        await dropFiles(page, [{ name: "up.site.json", bytes: Buffer.from(JSON.stringify(made)) }]);
        const mark = page.locator('.walk [data-fixture="U1"]');
        await untilSettled(page);
        await page.locator('.wall [data-fixture="U1"]').focus(); // from the street the terrace hides it
        for (let step = 0; step < 5; step++) await page.keyboard.press("w");
        await untilShown(page);
        const [, y] = /translate\(\S+ (\S+)\)/.exec(await mark.getAttribute("transform"));
        const { width, height: tall } = await page.locator(".walk canvas").boundingBox();
        places.push({ y: Number(y), width, tall });
        assert.deepEqual(faults, []);
        await context.close();
    }
    const [level, raised] = places;
    const aspect = Math.min(1.6, level.width / level.tall);
    const focal = level.tall / 2 / (Math.tan((25 * Math.PI) / 180) / aspect);
    const away = 80 * 0.92 ** 5 - 1.25;
    assert.ok(Math.abs(raised.y - level.y - (focal * rise) / away) < 1, `${level.y} became ${raised.y}`);
});
