// How the page looks and what it refuses: shaders against C++, broken files, a client's copy, access by all.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { after, before, test } from "node:test";
import {
    dropFiles,
    folder,
    join,
    openTab,
    openWindow,
    page_file,
    ramps_program,
    readFileSync,
    root,
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

test("shaders colour light and night as C++ does, within 2 of 255, and bark keeps its reflectance", async () => {
    const ramps = JSON.parse(execFileSync(ramps_program, { encoding: "utf8" }));
    const shader = name => readFileSync(join(root, "shaders", name), "utf8");
    const page = await browser.newPage();
    const given = ramps.dusk
        .filter((_, i) => i % 4 === 0)
        .flatMap(colour => [...colour.map(part => Math.round(255 * Math.min(1, Math.max(0, part)))), 255]);
    const draw = (body, inputs) =>
        page.evaluate(
            ({ body, inputs, given }) => {
                const canvas = document.createElement("canvas");
                canvas.width = inputs.length;
                canvas.height = 1;
                const gl = canvas.getContext("webgl2");
                const compile = (kind, text) => {
                    const made = gl.createShader(kind);
                    gl.shaderSource(
                        made,
                        `#version 300 es\nprecision highp float;\nprecision highp int;\n${text}`,
                    );
                    gl.compileShader(made);
                    if (!gl.getShaderParameter(made, gl.COMPILE_STATUS))
                        throw new Error(gl.getShaderInfoLog(made));
                    return made;
                };
                const program = gl.createProgram();
                gl.attachShader(
                    program,
                    compile(
                        gl.VERTEX_SHADER,
                        "void main() { gl_Position = vec4(vec2[3](vec2(-1), vec2(3, -1), vec2(-1, 3))[gl_VertexID], 0, 1); }",
                    ),
                );
                gl.attachShader(
                    program,
                    compile(gl.FRAGMENT_SHADER, `uniform sampler2D inputs; out vec4 shown;\n${body}`),
                );
                gl.linkProgram(program);
                gl.useProgram(program);
                gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
                gl.texImage2D(
                    gl.TEXTURE_2D,
                    0,
                    gl.RGBA32F,
                    inputs.length,
                    1,
                    0,
                    gl.RGBA,
                    gl.FLOAT,
                    new Float32Array(inputs.flatMap(([r, g, b]) => [r, g, b, 1])),
                );
                gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.NEAREST);
                gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, gl.NEAREST);
                gl.activeTexture(gl.TEXTURE1);
                gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
                gl.texImage2D(
                    gl.TEXTURE_2D,
                    0,
                    gl.RGBA,
                    given.length / 4,
                    1,
                    0,
                    gl.RGBA,
                    gl.UNSIGNED_BYTE,
                    new Uint8Array(given),
                );
                gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR);
                gl.uniform1i(gl.getUniformLocation(program, "ramp"), 1);
                gl.drawArrays(gl.TRIANGLES, 0, 3);
                const pixels = new Uint8Array(4 * inputs.length);
                gl.readPixels(0, 0, inputs.length, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixels);
                return [...pixels];
            },
            { body, inputs, given },
        );
    const compare = (pixels, colours, what) =>
        colours.forEach((colour, i) => {
            colour.forEach((part, channel) => {
                const off = Math.abs(pixels[4 * i + channel] - 255 * Math.min(1, Math.max(0, part)));
                assert.ok(
                    off <= 2,
                    `${what} ${i}, channel ${channel}: ${pixels[4 * i + channel]} for ${(255 * part).toFixed(1)}`,
                );
            });
        });
    const read = "texelFetch(inputs, ivec2(gl_FragCoord.x, 0), 0).rgb";
    const steps = ramps.dusk.map((_, i) => [i / (ramps.dusk.length - 1), 0, 0]);
    compare(
        await draw(
            `${shader("night.glsl")}\n${shader("dusk.glsl")}\nvoid main() { shown = vec4(dusk_colour(${read}.r), 1.0); }`,
            steps,
        ),
        ramps.dusk,
        "the scale of light at",
    );
    compare(
        await draw(
            `${shader("night.glsl")}\nvoid main() { shown = vec4(night_colour(${read}, 0.0), 1.0); }`,
            ramps.night.map(one => one.luminance),
        ),
        ramps.night.map(one => one.colour),
        "the night at",
    );
    // Spots all over a crown's wood, by steps that fill space evenly: what is sent back is 1 in the mean.
    const spots = Array.from({ length: 8192 }, (_, i) =>
        [0.8191725134, 0.6710436067, 0.5497004779].map(step => 20 * ((i * step) % 1)),
    );
    const levels = await draw(
        `${shader("bark.glsl")}\nvoid main() { shown = vec4(0.5 * bark_level(${read})); }`,
        spots,
    );
    const mean = spots.reduce((sum, _, i) => sum + levels[4 * i] / 127.5, 0) / spots.length;
    assert.ok(Math.abs(mean - 1) < 0.01, `bark sends back ${mean} in the mean`);
    await page.close();
});

test("the walk's picture is lit: bright over a lamp, dark at the sky", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    const picture = (await page.locator(".walk").screenshot()).toString("base64");
    const [most, sky] = await page.evaluate(async base64 => {
        const bytes = Uint8Array.from(atob(base64), letter => letter.charCodeAt(0));
        const image = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
        const pen = new OffscreenCanvas(image.width, image.height).getContext("2d");
        pen.drawImage(image, 0, 0);
        const wall = pen.getImageData(0, image.height / 3, image.width, image.height / 2).data;
        let brightest = 0;
        for (let i = 0; i < wall.length; i += 4) brightest = Math.max(brightest, wall[i]);
        return [brightest, pen.getImageData(image.width - 40, 70, 1, 1).data[0]];
    }, picture);
    assert.ok(most > 200, `the brightest red is ${most}`);
    assert.ok(sky < 80, `the sky is ${sky}`);
    assert.deepEqual(faults, []);
    await context.close();
});

test("each lamp lights in its own colour, a lit pool shines, and a mesh shows its picture", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    const site = JSON.parse(readFileSync(join(root, "scenes/two-gables/two-gables.site.json"), "utf8"));
    const lamp_of = id => site.fixtures.find(fixture => fixture.id === id).lamp;
    for (const lamp of site.lamps) lamp.cct = lamp.id === lamp_of("U5") ? 6500 : 2700;
    // A white board before the wall, 40 ft wide, with a picture: its left half red, its right half blue.
    site.meshes = [{ id: "board", file: "board.obj", scale: "1 ft", up: "z", at: [0, 0, 0] }];
    // A pool in the lawn, lit from below by day-white lamps.
    site.ground.areas.push({
        id: "pool",
        kind: "water",
        outline: [
            [16, -36],
            [36, -36],
            [36, -20],
            [16, -20],
        ],
        glow: { luminance: 20, cct: 6500 },
    });
    const png = Buffer.from(
        "iVBORw0KGgoAAAANSUhEUgAAAAIAAAABCAIAAAB7QOjdAAAADUlEQVR4nGP4zwAE/wEHAAH/4iOeWQAAAABJRU5ErkJggg==", // 2 x 1: red, blue
        "base64",
    );
    await dropFiles(page, [
        { name: "colours.site.json", bytes: Buffer.from(JSON.stringify(site)) },
        {
            name: "board.obj",
            bytes: Buffer.from(
                "mtllib board.mtl\nv 6 -12 0\nv 46 -12 0\nv 46 -12 1\nv 6 -12 1\nvt 0 0\nvt 1 0\nvt 1 1\nvt 0 1\n" +
                    "usemtl board\nf 1/1 2/2 3/3 4/4\n",
            ),
        },
        { name: "board.mtl", bytes: Buffer.from("newmtl board\nKd 1 1 1\nmap_Kd board.png\n") },
        { name: "board.png", bytes: png },
    ]);
    await untilSettled(page);
    const shown = async points => {
        const picture = (await page.locator(".walk").screenshot()).toString("base64");
        const box = await page.locator(".walk").boundingBox();
        return page.evaluate(
            async ([base64, places]) => {
                const bytes = Uint8Array.from(atob(base64), letter => letter.charCodeAt(0));
                const image = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
                const pen = new OffscreenCanvas(image.width, image.height).getContext("2d");
                pen.drawImage(image, 0, 0);
                return places.map(([x, y]) => [...pen.getImageData(x, y, 1, 1).data]);
            },
            [picture, points.map(([x, y]) => [Math.round(x - box.x), Math.round(y - box.y)])],
        );
    };
    const place = async id => {
        const box = await page.locator(`.walk [data-fixture="${id}"] .lens`).boundingBox();
        return [box.x + box.width / 2, box.y + box.height / 2];
    };
    const ratio = async id => {
        const [x, y] = await place(id);
        const [[red, , blue]] = await shown([[x, y - 60]]);
        return blue / red;
    };
    const [cool, warm] = [await ratio("U5"), await ratio("U2")];
    assert.ok(cool > 1.3 * warm, `blue to red is ${cool.toFixed(2)} at 6500 K, ${warm.toFixed(2)} at 2700 K`);
    const box = await page.locator(".walk").boundingBox();
    const [, foot] = await place("U2");
    const points = [];
    for (let y = foot; y < foot + 80; y += 4)
        for (let x = box.x + 0.2 * box.width; x < box.x + 0.8 * box.width; x += 12) points.push([x, y]);
    const shining = (await shown(points)).filter(([red, , blue]) => blue > 120 && blue > 0.8 * red);
    assert.ok(shining.length > 20, `the pool shines at ${shining.length} of ${points.length} points`);
    await page.getByRole("button", { name: "Day", exact: true }).click();
    const row = (await shown(points)).map(([red, green, blue]) =>
        red > 2 * green && red > 2 * blue ? "red" : blue > 2 * green && blue > 2 * red ? "blue" : "",
    );
    const count = colour => row.filter(one => one === colour).length;
    assert.ok(count("red") > 9 && count("blue") > 9, `${count("red")} are red, ${count("blue")} blue`);
    assert.deepEqual(faults, []);
    await context.close();
});

test("broken files are refused with their reason, and nothing is lost", async () => {
    const { page, context } = await openWindow(browser);
    await untilSettled(page);
    const before_drop = readFileSync(await save(page, "whole.site.json"), "utf8");
    const broken = [
        ["cut.site.json", '{"duskcast": 1, "walls": [', /cut\.site\.json could not be opened/],
        ["other.json", '{"name": "no site"}', /not a site file/],
        ["newer.site.json", '{"duskcast": 7}', /newer duskcast/],
        ["cut.zip", "PK\u0003\u0004 and no more", /cut\.zip: This archive is broken/],
        ["notes.docx", "text", /not a kind of file that duskcast knows/],
    ];
    for (const [name, text, words] of broken) {
        await dropFiles(page, [{ name, bytes: Buffer.from(text) }]);
        await page.locator(".notice.bad").filter({ hasText: words }).waitFor({ timeout: 5000 });
        await page.locator(".notice.bad").getByRole("button", { name: "Understood" }).click();
    }
    assert.equal(readFileSync(await save(page, "still.site.json"), "utf8"), before_drop);
    // What the engine has to read is refused at the thing it is about; what was lit stays lit.
    for (const [name, text] of [
        ["broken.ies", "IESNA:LM-63-2002\nTILT=NONE\n1 2 x"],
        ["broken.obj", "v 0 0\nf 1 2 9\n"],
    ]) {
        await page.locator('.wall [data-fixture="U1"]').click(); // a lamp is given to what is picked
        await dropFiles(page, [{ name, bytes: Buffer.from(text) }]);
        await openTab(page, "Light");
        await page.locator(".problems li.error").first().waitFor({ timeout: 20000 });
        await page.getByRole("button", { name: "Undo" }).click();
        await page.locator(".problems li.error").first().waitFor({ state: "detached", timeout: 20000 });
    }
    await context.close();
});

test("text from a file never becomes markup", async () => {
    const { page, context, faults } = await openWindow(browser);
    await untilSettled(page);
    const site = JSON.parse(readFileSync(join(root, "scenes/two-gables/two-gables.site.json"), "utf8"));
    const bait = '<img src=x onerror="window.caught=1">';
    site.name = bait;
    site.variants[0].name = bait;
    site.lamps[0].name = bait;
    await dropFiles(page, [
        { name: `${bait.replaceAll(/[/]/g, "")}.site.json`, bytes: Buffer.from(JSON.stringify(site)) },
    ]);
    await untilSettled(page);
    for (const tab of ["Options", "Light", "Load", "Add"]) await openTab(page, tab);
    await page.locator('.wall [data-fixture="U1"]').click();
    assert.equal(await page.evaluate(() => window.caught), undefined);
    assert.equal(await page.locator("img").count(), 0);
    assert.deepEqual(faults, []);
    await context.close();
});

test("a client's copy shows and compares, and cannot edit", async () => {
    const text = readFileSync(page_file, "utf8");
    const site = /(<script[^>]*id="duskcast-site"[^>]*>)([\s\S]*?)(<\/script>)/;
    const carried = JSON.parse(site.exec(text)[2]);
    const file = join(folder, "client.html");
    writeFileSync(
        file,
        text.replace(
            site,
            (_, open, _text, close) =>
                open + JSON.stringify({ ...carried, is_client: true }).replaceAll("<", "\\u003c") + close,
        ),
    );
    const { page, context, faults } = await openWindow(browser, { file });
    await untilSettled(page);
    for (const words of ["Undo", "Save the site file", "Take away", "Copy"])
        assert.equal(await page.getByRole("button", { name: words }).count(), 0, words);
    for (const tab of ["Add", "Picked", "Load"])
        assert.equal(await page.getByRole("tab", { name: tab }).count(), 0, tab);
    const state = () =>
        page.evaluate(() => document.querySelector('[data-fixture="U1"]')?.getAttribute("aria-label"));
    const before_try = await state();
    const lens = page.locator('.wall [data-fixture="U1"]');
    if (await lens.count()) {
        const box = await lens.boundingBox();
        await page.mouse.move(box.x + 20, box.y + 20);
        await page.mouse.down();
        await page.mouse.move(box.x + 90, box.y + 20, { steps: 4 });
        await page.mouse.up();
        await page.keyboard.press("ArrowRight");
        await page.keyboard.press("Delete");
    }
    await page.waitForTimeout(300);
    assert.equal(await state(), before_try);
    await openTab(page, "Options");
    await page.getByRole("button", { name: "Beside" }).first().click();
    await page.getByRole("slider", { name: "Between the two options" }).waitFor({ timeout: 60000 });
    assert.deepEqual(faults, []);
    await context.close();
});

for (const size of ["desktop", "phone"])
    test(`everybody can use it: nothing serious on a ${size}`, async () => {
        const { page, context } = await openWindow(browser, { size });
        await untilSettled(page);
        const axe = readFileSync(join(root, "src/app/node_modules/axe-core/axe.min.js"), "utf8");
        for (const tab of ["Light", "Add", "Options", "Load", "Picked"]) {
            await openTab(page, tab);
            await page.evaluate(axe);
            const found = await page.evaluate(() =>
                window.axe.run(document, { resultTypes: ["violations"] }),
            );
            const serious = found.violations.filter(one => ["serious", "critical"].includes(one.impact));
            assert.deepEqual(
                serious.map(
                    one =>
                        `${one.id}: ${one.nodes
                            .slice(0, 3)
                            .map(node => node.html.slice(0, 160))
                            .join(" | ")}`,
                ),
                [],
                `on ${tab}`,
            );
        }
        await context.close();
    });
