// What a site file must have for the page to hold it: things with ids in their lists, and of what is moved by hand its
// corners. All else the engine says, which knows the line.

import { lists, parts, valueAt } from "./site.ts";

type Check = (value: unknown) => boolean;

const isText: Check = value => typeof value === "string";
const isObject: Check = value => typeof value === "object" && value !== null && !Array.isArray(value);
const isThing: Check = value => isObject(value) && isText((value as { id: unknown }).id);
const listOf =
    (is: Check): Check =>
    value =>
        Array.isArray(value) && value.every(is);
const isLength: Check = value => typeof value === "number" || isText(value);
const isPoint: Check = value => listOf(isLength)(value) && (value as unknown[]).length >= 2;
const isPixel: Check = value => isPoint(value) && listOf(Number.isFinite)(value);
const isMask: Check = value =>
    isObject(value) && listOf(Number.isFinite)((value as { outline: unknown }).outline);
const hasPixel: Check = value => isObject(value) && isPixel((value as { pixel: unknown }).pixel);
const isChange: Check = value => {
    const ids = isObject(value) ? (value as { fixtures?: unknown }).fixtures : null;
    return ids === undefined || listOf(isText)(ids);
};

/** By kind of thing; a key that ends in ! must be there. */
const shapes: Record<string, Record<string, Check>> = {
    site: {
        name: isText,
        units: value => value === "ft" || value === "m",
        ground: isObject,
        network: isObject,
    },
    wall: { "path!": listOf(isPoint) },
    area: { "outline!": listOf(isPoint) },
    shrub: { outline: listOf(isPoint), path: listOf(isPoint) },
    roof: { outline: listOf(isPoint) },
    railing: { path: listOf(isPoint) },
    cable_run: { path: listOf(isPoint), "fixtures!": listOf(isText) },
    transformer: { at: isPoint },
    hub: { at: isPoint },
    view: { eye: isPoint, look_at: isPoint },
    variant: { added: listOf(isThing), changes: listOf(isChange), without: listOf(isText) },
    photo: {
        "file!": isText,
        marks: listOf(value => isThing(value) && hasPixel(value)),
        lengths: listOf(isThing),
        masks: listOf(isMask),
        white: hasPixel,
    },
};

/** Whether a thing of this kind may have that under the key. */
export function fits(schema: string, key: string, value: unknown): boolean {
    if (key === "kind" || key === "id") return isText(value);
    if (parts[schema]?.some(part => part.key === key)) return listOf(isThing)(value);
    const is = shapes[schema]?.[key] ?? shapes[schema]?.[`${key}!`];
    return !is || is(value);
}

const deepest = 60;

/** Lists within lists without end, and numbers that no file can hold. */
function isEndless(value: unknown, left = deepest): boolean {
    if (typeof value !== "object" || value === null) return value === Infinity || value === -Infinity;
    return left === 0 || Object.values(value).some(part => isEndless(part, left - 1));
}

/** What of the file cannot be held, as it is said to people; undefined: nothing. */
export function findMisfit(site: object): string | undefined {
    if (isEndless(site)) return "it has a number without end, or lists in lists without end";
    const misfit = findIn("site", site, "");
    if (misfit) return misfit;
    for (const { path, schema } of lists) {
        const things = valueAt(site, [...path]);
        if (things === undefined) continue;
        const words = path.join(".");
        if (!Array.isArray(things)) return `“${words}” is no list`;
        const found = findInList(schema, things, words);
        if (found) return found;
    }
    return undefined;
}

function findInList(schema: string, things: unknown[], words: string): string | undefined {
    for (const [index, thing] of things.entries()) {
        const place = `number ${index + 1} of “${words}”`;
        if (!isThing(thing)) return `${place} has no “id” in quotes`;
        const found = findIn(schema, thing as object, ` of ${place}`);
        if (found) return found;
        for (const part of parts[schema] ?? []) {
            const inner = (thing as Record<string, unknown>)[part.key];
            const found = Array.isArray(inner)
                ? findInList(part.schema, inner, `${words}.${part.key}`)
                : undefined;
            if (found) return found;
        }
    }
    return undefined;
}

function findIn(schema: string, thing: object, place: string): string | undefined {
    const needed = Object.keys(shapes[schema] ?? {}).filter(key => key.endsWith("!"));
    for (const key of needed.map(key => key.slice(0, -1)))
        if (!(key in thing)) return `“${key}”${place} is missing`;
    const odd = Object.entries(thing).find(([key, value]) => !fits(schema, key, value));
    return odd && `“${odd[0]}”${place} is not what it should be`;
}
