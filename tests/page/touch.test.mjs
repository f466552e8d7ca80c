// The photo under fingers, on a tablet held upright and on a phone: the line between day and night, a light, a mark
// with its magnifier, what is painted round, and two fingers that enlarge the picture.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import {
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
import { openTouch } from "./touch.mjs";

const file = join(root, "scenes/street-photo/street-photo.site.json");
const drawn = JSON.parse(readFileSync(file, "utf8"));
const size = [960, 640];

let browser;
before(async () => {
    browser = await startBrowser();
    run("page", file, "--out", join(folder, "touched.html"));
});
after(() => browser?.close());

for (const [name, width, height] of [
    ["tablet", 820, 1180],
    ["phone", 390, 844],
])
    test(`the photo is worked on with fingers on a ${name}`, async () => {
        const context = await browser.newContext({
            viewport: { width, height },
            hasTouch: true,
            isMobile: true,
            acceptDownloads: true,
        });
        const { page, faults } = await openWindow(browser, { file: join(folder, "touched.html"), context });
        await untilSettled(page);
        await page.waitForFunction(
            () => performance.getEntriesByName("duskcast night drawn").length > 0,
            undefined,
            { timeout: 120000 },
        );
        const touch = await openTouch(page);
        const middleOf = async locator => {
            const box = await locator.boundingBox();
            return [box.x + box.width / 2, box.y + box.height / 2];
        };
        const sheet = await page.locator(".sheet.photo").boundingBox();
        const scale = Math.min(sheet.width / size[0], sheet.height / size[1]);
        const placeOf = ([x, y]) => [
            sheet.x + sheet.width / 2 + (x - size[0] / 2) * scale,
            sheet.y + sheet.height / 2 + (y - size[1] / 2) * scale,
        ];
        const saved = async () => JSON.parse(readFileSync(await save(page, `${name}.site.json`), "utf8"));

        // The line follows the finger.
        const line = page.getByRole("slider", { name: "Between day and night" });
        const [line_x, line_y] = await middleOf(line);
        await touch.drag([line_x, line_y], [line_x - 60, line_y + 4]);
        assert.ok(Math.abs((await middleOf(line))[0] - line_x + 60) < 3, "the line went with the finger");

        // A light goes along its wall, at its setback.
        const lens = await middleOf(page.locator('.photo [data-fixture="U4"] .lens'));
        await touch.drag(lens, [lens[0] + 40 * scale, lens[1]]);
        await page.waitForFunction(() =>
            document.querySelector('[aria-label^="Undo"], .mast button:enabled'),
        );
        const light = (await saved()).fixtures.find(fixture => fixture.id === "U4");
        const before_drag = drawn.fixtures.find(fixture => fixture.id === "U4");
        assert.notEqual(light.along, before_drag.along);
        assert.equal(light.setback, before_drag.setback);

        // A mark: the magnifier stands clear of the finger, the line is out of the way, and the mark goes as far as
        // the finger does.
        await page.locator(".photo-pane").getByRole("button", { name: "Marks" }).tap();
        const mark = page.locator('[data-mark="door-upper-right"]');
        await mark.waitFor();
        let at = await middleOf(mark.locator(".ring"));
        for (let last = [0, 0]; Math.hypot(at[0] - last[0], at[1] - last[1]) > 0.1; ) {
            await page.waitForTimeout(300);
            last = at;
            at = await middleOf(mark.locator(".ring"));
        }
        await touch.press(at);
        for (let step = 1; step <= 6; step++) await touch.move([at[0], at[1] + 4 * step]);
        const glass = await page.locator(".magnifier").boundingBox();
        assert.ok(
            glass.y + glass.height < at[1] + 24 - 8 || glass.y > at[1] + 24 + 8,
            "the magnifier is not under the finger",
        );
        assert.ok(glass.x >= 0 && glass.x + glass.width <= width, "the magnifier is in the window");
        assert.equal(await line.count(), 0, "no line lies over what is looked at closely");
        const words = await mark.locator("text").boundingBox();
        assert.ok(words.x >= 0 && words.x + words.width <= width, "what the mark is off is read whole");
        await touch.lift();
        await page.locator(".magnifier").waitFor({ state: "detached" });
        const was = drawn.photos[0].marks.find(one => one.id === "door-upper-right").pixel;
        const now = (await saved()).photos[0].marks.find(one => one.id === "door-upper-right").pixel;
        assert.ok(Math.abs(now[0] - was[0]) < 1 / scale, `${now}`);
        assert.ok(Math.abs(now[1] - was[1] - 24 / scale) < 1.5 / scale, `${now}`);
        await page.getByRole("button", { name: "Undo" }).tap();

        // Painted round by taps; two fingers on the way enlarge the picture and set nothing.
        const details = page.locator("details", { hasText: "What the night picture cannot tell" }).last();
        if ((await details.getAttribute("open")) === null) await details.locator("summary").tap();
        await page.getByRole("button", { name: "Stays dark", exact: true }).tap();
        const round = [
            [640, 400],
            [760, 400],
            [760, 470],
            [640, 470],
        ];
        await touch.tap(placeOf(round[0]));
        await touch.tap(placeOf(round[1]));
        const bar = page.locator(".draw-bar");
        await bar.getByText("(2 so far)").waitFor();
        await touch.spread(placeOf([480, 320]), 30, 60);
        const whole = page.locator(".photo-pane").getByRole("button", { name: "Show all" });
        await whole.tap();
        await bar.getByText("(2 so far)").waitFor();
        for (const corner of round.slice(2)) await touch.tap(placeOf(corner));
        await bar.getByText("Click the first corner to close it").waitFor();
        await bar.getByRole("button", { name: "Close it" }).tap();
        const mask = (await saved()).photos[0].masks.at(-1);
        assert.equal(mask.kind, "unlit");
        for (const [i, value] of round.flat().entries())
            assert.ok(Math.abs(mask.outline[i] - value) < 1.5 / scale, `${mask.outline}`);
        assert.deepEqual(faults, []);
        await context.close();
    });
