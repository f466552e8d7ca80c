// What the page itself reads of what users hand in, with 10,000 inputs for each reader: files that are sound but for
// one to four changes. Refused with a sentence, and then nothing has changed; or held, so that all that is drawn can
// be found in it and what is saved is what was read. No browser is needed.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { deflateRawSync } from "node:zlib";
import { build } from "../../src/app/node_modules/esbuild/lib/main.js";

const root = new URL("../../", import.meta.url).pathname;
const count = 10000;

/** The page's modules, as one; of a browser they have what is touched before anything is shown. */
async function loadPage() {
    globalThis.document = { createElement: () => ({}) };
    globalThis.localStorage = { getItem: () => null, setItem: () => undefined };
    globalThis.matchMedia = () => ({ matches: false, addEventListener: () => undefined });
    const modules = "business draw files length options pick property several site zip".split(" ");
    const { outputFiles } = await build({
        stdin: {
            contents: modules.map(name => `export * as ${name} from "./${name}.ts";`).join("\n"),
            resolveDir: `${root}src/app/page`,
        },
        bundle: true,
        format: "esm",
        jsx: "automatic",
        jsxImportSource: "preact",
        loader: { ".frag": "text", ".glsl": "text", ".vert": "text" },
        write: false,
    });
    return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].contents).toString("base64")}`);
}
const { business, draw, files, length, options, pick, property, several, site, zip } = await loadPage();

/** Numbers from 0 to below 1, the same in every run: a linear congruence modulo 2^32. */
function makeDice(seed) {
    let state = seed;
    const roll = () => {
        state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
        return state / 2 ** 32;
    };
    return {
        roll,
        below: most => Math.floor(roll() * most),
        oneOf: list => list[Math.floor(roll() * list.length)],
    };
}

const odd_values = () => [
    null,
    true,
    0,
    -1,
    1e308,
    "",
    " ",
    "front",
    "12 ft",
    "\u0000",
    [],
    [null],
    [[]],
    [5, "x"],
    {},
    { id: null },
    { id: "front" },
    { toString: 1 },
];

/** Every place of a JSON value: what holds it and its key. */
function listPlaces(value, list = []) {
    if (typeof value !== "object" || value === null) return list;
    for (const key of Object.keys(value)) {
        list.push([value, key]);
        listPlaces(value[key], list);
    }
    return list;
}

/** A JSON text with something in it that is not as it was. */
function mutateJson(text, dice) {
    const value = JSON.parse(text);
    for (let left = 1 + dice.below(4); left > 0; left--) {
        const places = listPlaces(value);
        if (!places.length) break;
        const [holder, key] = dice.oneOf(places);
        const [other, other_key] = dice.oneOf(places);
        const way = dice.below(4);
        if (way === 0 && Array.isArray(holder)) holder.splice(Number(key), 1);
        else if (way === 0) delete holder[key];
        else if (way === 1) holder[key] = structuredClone(other[other_key]);
        else if (way === 2 && Array.isArray(holder)) holder.push(structuredClone(holder[key]));
        else holder[key] = dice.oneOf(odd_values());
    }
    const made = JSON.stringify(value);
    if (dice.below(100)) return made;
    const depth = 9999;
    return dice.below(2)
        ? made.replace(/\d+/, "1e999")
        : made.replace("{", `{"deep":${"[".repeat(depth)}${"]".repeat(depth)},`);
}

/** Bytes with some of them lost, put in, changed or said twice. */
function mutateBytes(bytes, dice) {
    let list = [...bytes];
    for (let left = 1 + dice.below(4); left > 0; left--) {
        const at = dice.below(list.length + 1);
        const way = dice.below(5);
        if (way === 0) list.splice(at, 1 + dice.below(8));
        else if (way === 1) list.splice(at, 0, dice.below(256));
        else if (way === 2) list = list.slice(0, at);
        else if (way === 3) list.splice(at, 0, ...list.slice(at, at + dice.below(40)));
        else if (at < list.length) list[at] = dice.oneOf([0, 0xff, 0x7f, dice.below(256)]);
    }
    return Uint8Array.from(list);
}
const mutateText = (text, dice) =>
    new TextDecoder().decode(mutateBytes(new TextEncoder().encode(text), dice));

/** A sentence for people, not what the language says of a fault of ours. */
function isSentence(words) {
    return (
        typeof words === "string" &&
        /^[\s\S]+[.?!]$/.test(words) &&
        !/undefined|is not a function|not iterable|Cannot |object Object/.test(words)
    );
}

const read = name => readFileSync(root + name, "utf8");
const site_texts = [
    "tests/fuzz/corpus/site/everything.site.json",
    "tests/fuzz/corpus/question/small.site.json",
].map(read);

/** All that the page finds in a site before the engine has said a word about it. */
function lookThrough() {
    const things = pick.things.value;
    for (const found of things.values()) {
        site.callIt(found.thing);
        site.keyOf(found);
    }
    for (const { id } of property.site.value.variants ?? []) options.fixturesOf(property.site.value, id);
    assert.ok(draw.snap([1, 1], 0.5).every(Number.isFinite));
    const text = property.site_text.value;
    // What is in it can be taken away, and is there again.
    pick.picked.value = [...things.keys()].slice(-8);
    several.takeAway();
    property.undo();
    assert.equal(property.site_text.value, text);
}

/** Drops a file on the page; whether it was taken. */
async function drop(name, content) {
    const before = property.site.value;
    await files.takeFiles([new File([content], name)]);
    const words = files.file_words.value;
    if (words) assert.ok(isSentence(words.words), `it says "${words.words}"`);
    lookThrough();
    if (property.site.value === before) assert.ok(words?.is_bad, "it is not taken, and nothing is said");
    else assert.deepEqual(site.readSite(site.printSite(property.site.value)), JSON.parse(content));
    return property.site.value !== before;
}

/** Runs `take` on 10,000 inputs; a failure tells which one. */
async function repeat(seed, make, take) {
    const dice = makeDice(seed);
    let taken = 0;
    for (let i = 0; i < count; i++) {
        const input = make(dice);
        try {
            if (await take(input)) taken++;
        } catch (reason) {
            const shown = typeof input === "string" ? input : Buffer.from(input).toString("base64");
            throw new Error(`input ${i} (${shown.slice(0, 20000)}): ${reason.stack}`);
        }
    }
    // Both ways are gone.
    assert.ok(taken > 0 && taken < count, `${taken} of ${count} are taken`);
}

test("a site file is opened whole, or refused and the one before it stays", () =>
    repeat(
        1,
        dice => (dice.below(4) ? mutateJson : mutateText)(dice.oneOf(site_texts), dice),
        text => drop("mutated.site.json", text),
    ));

test("what the page cannot hold is named", async () => {
    for (const [text, words] of [
        ["{}", /not a site file/],
        ['{"duskcast": 1, "walls": 5}', /“walls” is no list/],
        ['{"duskcast": 1, "trees": [{"id": "a"}, {"id": 2}]}', /number 2 of “trees” has no “id” in quotes/],
        ['{"duskcast": 1, "walls": [{"id": "a"}]}', /“path” of number 1 of “walls” is missing/],
        [
            '{"duskcast": 1, "walls": [{"id": "a", "path": [[0, 0], 5]}]}',
            /“path” of number 1 of “walls” is not/,
        ],
        [
            '{"duskcast": 1, "ground": {"areas": [{"id": "a", "outline": []}, null]}}',
            /number 2 of “ground.areas”/,
        ],
        [
            '{"duskcast": 1, "roofs": [{"id": "a", "dormers": [5]}]}',
            /“dormers” of number 1 of “roofs” is not/,
        ],
        ['{"duskcast": 1, "name": 5}', /“name” is not what it should be/],
        ['{"duskcast": 1, "ambient": 1e999}', /a number without end/],
    ]) {
        assert.equal(await drop("odd.site.json", text), false);
        assert.match(files.file_words.value.words, words);
    }
    const logo = '{"duskcast_business": 1, "logo": {"toString": 1}}';
    assert.equal(await business.takeBusiness([new File([logo], "own.business.json")]), undefined);
});

test("a page opens on what it carries, or says that it is damaged", async () => {
    const carried = JSON.stringify({
        text: site_texts[1],
        files: { "front.png": Buffer.from("picture").toString("base64") },
        is_client: true,
    });
    await repeat(
        2,
        dice => (dice.below(2) ? mutateJson : mutateText)(carried, dice),
        text => {
            globalThis.document.getElementById = () => ({ textContent: text });
            files.file_words.value = undefined;
            const is_client = files.openCarried();
            lookThrough();
            if (!files.file_words.value) return true;
            assert.equal(is_client, false);
            assert.ok(isSentence(files.file_words.value.words));
            return false;
        },
    );
});

/** The archive as another writer might make it: packed. */
function deflateZip(name, bytes) {
    const stored = Buffer.from(zip.writeZip(new Map([[name, bytes]])));
    const packed = deflateRawSync(bytes);
    const head = 30 + name.length;
    const local = stored.subarray(0, head);
    const rest = stored.subarray(head + bytes.length);
    local.writeUInt16LE(8, 8);
    local.writeUInt32LE(packed.length, 18);
    rest.writeUInt16LE(8, 10);
    rest.writeUInt32LE(packed.length, 20);
    rest.writeUInt32LE(head + packed.length, 46 + name.length + 16);
    return Buffer.concat([local, packed, rest]);
}

test("an archive gives back what was put in, or is refused", async () => {
    const within = new Map([
        ["a.site.json", new TextEncoder().encode('{"duskcast": 1}')],
        ["lamps/b.ies", Uint8Array.from({ length: 40 }, (_, i) => (i * 37) % 256)],
        ["empty.csv", new Uint8Array()],
    ]);
    const [name, bytes] = ["c.obj", Uint8Array.from({ length: 400 }, (_, i) => i % 7)];
    const archives = [zip.writeZip(within), deflateZip(name, bytes)];
    const known = new Map([...within, [name, bytes]]);
    assert.deepEqual(await zip.readZip(archives[0]), within);
    assert.deepEqual(await zip.readZip(archives[1]), new Map([[name, bytes]]));
    await repeat(
        3,
        dice => mutateBytes(dice.oneOf(archives), dice),
        async archive => {
            let found;
            try {
                found = await zip.readZip(archive);
            } catch (reason) {
                assert.ok(isSentence(reason.message), reason.stack);
                return false;
            }
            // A name may be another than it was; what lies under it is whole.
            const contents = [...known.values()].map(String);
            for (const file of found.values()) assert.ok(contents.includes(String(file)));
            return true;
        },
    );
});

test("an archive that holds more than it promises is left packed", async () => {
    const promised = deflateZip("bomb.obj", new Uint8Array(30e6));
    assert.ok(promised.length < 100_000);
    const central = promised.length - 22 - 46 - "bomb.obj".length;
    promised.writeUInt32LE(10, central + 24);
    const before = process.memoryUsage().arrayBuffers;
    await assert.rejects(zip.readZip(promised), /broken or cut short/);
    assert.ok(process.memoryUsage().arrayBuffers - before < 5e6);
    // The same bytes under many names, each said to be empty.
    const stored = Buffer.from(zip.writeZip(new Map([["a.obj", new Uint8Array(1000)]])));
    stored.writeUInt32LE(0, stored.length - 22 - 46 - 5 + 24);
    await assert.rejects(zip.readZip(stored), /broken or cut short/);
});

test("a length or an angle is a finite figure or none", () =>
    repeat(
        4,
        dice =>
            mutateText(
                dice.oneOf([
                    "5 ft 6 1/2 in",
                    "0.45 m",
                    "-12'",
                    '3/4"',
                    "1e3",
                    "8 deg",
                    "0.14 rad",
                    "12,5 cm",
                ]),
                dice,
            ),
        text => {
            const degrees = length.readAngle(text);
            assert.ok(degrees === undefined || Number.isFinite(degrees));
            for (const unit of ["ft", "m"]) {
                const metres = length.readLength(text, unit);
                if (metres === undefined) continue;
                assert.ok(Number.isFinite(metres));
                // What is written of it is read as the same, as far as it is rounded.
                if (Math.abs(metres) > 1e5) continue;
                const again = length.readLength(length.printLength(metres, unit), unit);
                assert.ok(Math.abs(again - metres) < 0.0033, `${metres} m is written as ${again} m`);
            }
            return length.readLength(text, "ft") !== undefined;
        },
    ));

test("a business file is taken or refused with a sentence, and what is kept is one", () =>
    repeat(
        5,
        dice =>
            (dice.below(4) ? mutateJson : mutateText)(
                read("tests/fuzz/corpus/business/everything.business.json"),
                dice,
            ),
        async text => {
            const before = business.business.value;
            const words = await business.takeBusiness([new File([text], "own.business.json")]);
            if (words !== undefined) assert.ok(isSentence(words), words);
            for (const value of Object.values(business.business.value))
                assert.ok(typeof value === "string" || typeof value === "number");
            JSON.parse(business.printBusiness().text || "null");
            return business.business.value !== before;
        },
    ));
