// The site file as the page holds it: the JSON itself, with names for the parts that are worked on by hand.

import type { LengthUnit } from "./length.ts";
import { findMisfit } from "./shape.ts";

export type Json = null | boolean | number | string | Json[] | { [key: string]: Json | undefined };
export type Length = number | string;
export type Point = [Length, Length];

export interface Thing {
    id: string;
    [key: string]: unknown;
}
export interface Opening extends Thing {
    kind?: "window" | "door";
    from: Length;
    width: Length;
    sill: Length;
    height: Length;
}
export interface Gable extends Thing {
    from: Length;
    width: Length;
    peak: Length;
}
export interface Wall extends Thing {
    path: Point[];
    closed?: boolean;
    height: Length;
    gables?: Gable[];
    openings?: Opening[];
    projections?: Thing[];
}
export interface Area extends Thing {
    kind: string;
    outline: Point[];
}
export interface Tree extends Thing {
    at: Point;
    form?: string;
    height: Length;
    base: Length;
    width: Length;
}
export interface Shrub extends Thing {
    outline?: Point[];
    path?: Point[];
    height: Length;
}
export interface Lamp extends Thing {
    name?: string;
}
export interface Fixture extends Thing {
    kind?: string;
    lamp: string;
    wall?: string;
    along?: Length;
    tree?: string;
    bearing?: number | string;
    at?: Point;
    setback?: Length;
    tilt?: number | string;
    azimuth?: number | string;
    turn?: number | string;
    dimming?: number;
}
export interface View extends Thing {
    eye: [Length, Length, Length];
    look_at: [Length, Length, Length];
    field_of_view?: number | string;
}
export interface Mark extends Thing {
    pixel: [number, number];
    wall?: string;
    along?: Length;
    up?: Length;
    at?: [Length, Length, Length];
}
export interface Mask {
    kind?: string;
    plant?: string;
    /** Right, down, right, down ... */
    outline: number[];
}
export interface Photo extends Thing {
    file: string;
    focal_35mm?: number;
    marks?: Mark[];
    lengths?: (Thing & { wall?: string })[];
    masks?: Mask[];
    white?: { pixel: [number, number]; reflectance?: number };
}
export interface Variant extends Thing {
    name?: string;
}
export interface Site {
    duskcast: 1;
    name?: string;
    units?: LengthUnit;
    light?: "fc" | "lx";
    ground?: { areas?: Area[]; [key: string]: unknown };
    walls?: Wall[];
    roofs?: Thing[];
    steps?: Thing[];
    railings?: Thing[];
    fountains?: Thing[];
    lanterns?: Thing[];
    trees?: Tree[];
    shrubs?: Shrub[];
    meshes?: Thing[];
    lamps?: Lamp[];
    fixtures?: Fixture[];
    targets?: Thing[];
    views?: View[];
    photos?: Photo[];
    watch_points?: Thing[];
    eyes?: Thing[];
    variants?: Variant[];
    network?: { transformers?: Thing[]; hubs?: Thing[]; runs?: Thing[]; [key: string]: unknown };
    [key: string]: unknown;
}

/** The lists of a site file whose members have ids, with where they stand and what one is called. */
export const lists = [
    { path: ["walls"], one: "wall", schema: "wall" },
    { path: ["ground", "areas"], one: "area", schema: "area" },
    { path: ["roofs"], one: "roof", schema: "roof" },
    { path: ["steps"], one: "flight of steps", schema: "steps" },
    { path: ["railings"], one: "railing", schema: "railing" },
    { path: ["fountains"], one: "fountain", schema: "fountain" },
    { path: ["lanterns"], one: "lantern", schema: "lantern" },
    { path: ["trees"], one: "tree", schema: "tree" },
    { path: ["shrubs"], one: "shrub", schema: "shrub" },
    { path: ["meshes"], one: "shape", schema: "mesh" },
    { path: ["lamps"], one: "lamp", schema: "lamp" },
    { path: ["fixtures"], one: "fixture", schema: "fixture" },
    { path: ["targets"], one: "target", schema: "target" },
    { path: ["views"], one: "view", schema: "view" },
    { path: ["photos"], one: "photo", schema: "photo" },
    { path: ["watch_points"], one: "watch point", schema: "watch_point" },
    { path: ["eyes"], one: "eye", schema: "eye" },
    { path: ["variants"], one: "option", schema: "variant" },
    { path: ["network", "transformers"], one: "transformer", schema: "transformer" },
    { path: ["network", "hubs"], one: "hub", schema: "hub" },
    { path: ["network", "runs"], one: "run of cable", schema: "cable_run" },
] as const;
/** What a thing has that has ids of its own, by the thing's kind. */
export const parts: Record<string, { key: string; one: string; schema: string }[]> = {
    wall: [
        { key: "gables", one: "gable", schema: "gable" },
        { key: "openings", one: "opening", schema: "opening" },
        { key: "projections", one: "projection", schema: "projection" },
    ],
    projection: [{ key: "openings", one: "opening", schema: "opening" }],
    roof: [
        { key: "chimneys", one: "chimney", schema: "chimney" },
        { key: "dormers", one: "dormer", schema: "dormer" },
    ],
};

export type Place = (string | number)[];

export function valueAt(value: unknown, place: Place): unknown {
    let found = value;
    for (const key of place) found = (found as Record<string | number, unknown> | undefined)?.[key];
    return found;
}

export interface Found {
    place: Place;
    one: string;
    schema: string;
    thing: Thing;
    /** Of a part straight on a wall. */
    wall?: Wall;
    /** Of a part: what it belongs to. */
    owner?: Found;
}

/** What a thing is picked by. Things of two kinds may have one id, so it holds the kind as well. */
export type Key = string & { readonly of: "thing" };

/** The key of a thing of a kind of the schema; the id of a part follows its owner's: "opening", "front.door". */
export function keyFor(schema: string, id: string): Key {
    return `${schema} ${id}` as Key;
}

export function keyOf(one: Found): Key {
    return keyFor(one.schema, wholeId(one));
}

/** The id of a part after its owner's, as the engine names what is lit: "front.door". */
export function wholeId({ owner, thing }: Found): string {
    return owner ? `${wholeId(owner)}.${thing.id}` : thing.id;
}

/** The key of what was put last into a list of the file. */
export function keyOfLast(site: Site, list: Place): Key | undefined {
    const things = valueAt(site, list);
    const place = Array.isArray(things) ? [...list, things.length - 1].join("/") : "";
    const found = findThings(site).find(one => one.place.join("/") === place);
    return found && keyOf(found);
}

/** What there is one of, and what it is called; its key has a space in it, as no id has. */
const single = [
    { key: " property", place: [], one: "property", schema: "site" },
    { key: " ground", place: ["ground"], one: "ground", schema: "ground" },
    { key: " network", place: ["network"], one: "circuit", schema: "network" },
] as const;

/** Everything in the file that has an id, in the file's order; parts of walls after their wall. */
export function findThings(site: Site): Found[] {
    const found: Found[] = [];
    for (const list of lists) {
        const things = valueAt(site, [...list.path]);
        if (!Array.isArray(things)) continue;
        things.forEach((thing: Thing, index) => {
            addWithParts(
                { place: [...list.path, index], one: callKind(list.one, thing), schema: list.schema, thing },
                found,
            );
        });
    }
    return found;
}

const area_words: Record<string, string> = {
    mulch: "bed",
    bed: "bed",
    paving: "walk or drive",
    lawn: "lawn",
    water: "water",
};

// What a person calls it, where the file's word for it is a wider one.
function callKind(one: string, thing: Thing): string {
    const kind = thing.kind as string | undefined;
    if (one === "opening") return kind ?? "window";
    if (one === "area") return thing.height !== undefined ? "terrace" : (area_words[kind ?? ""] ?? "area");
    if (one === "projection")
        return kind === "bay" && thing.bottom !== undefined ? "porch roof" : (kind ?? one);
    return one;
}

function addWithParts(one: Found, found: Found[]): void {
    found.push(one);
    for (const part of parts[one.schema] ?? [])
        ((one.thing[part.key] as Thing[] | undefined) ?? []).forEach((inner, at) => {
            const inside: Found = {
                place: [...one.place, part.key, at],
                one: callKind(part.one, inner),
                schema: part.schema,
                thing: inner,
                owner: one,
            };
            if (one.schema === "wall") inside.wall = one.thing as Wall;
            addWithParts(inside, found);
        });
}

/** The property itself and what it has one of, as things that can be picked. */
export function findSingle(site: Site): Found[] {
    return single
        .filter(one => valueAt(site, [...one.place]) !== undefined)
        .map(({ key, place, one, schema }) => ({
            place: [...place],
            one,
            schema,
            thing: { ...(valueAt(site, [...place]) as object), id: key } as Thing,
        }));
}

export function isSingle(found: Found): boolean {
    return single.some(one => one.schema === found.schema);
}

/** What a person calls a thing: its name where it has one, else its id without dashes. */
export function callIt(thing: Thing): string {
    const name = thing.name;
    if (thing.id.startsWith(" ")) return `The ${single.find(one => one.key === thing.id)?.one}`;
    return typeof name === "string" && name !== "" ? name : thing.id.replaceAll("-", " ");
}

/** An id that no thing of the file has yet: the stem and the next number, "U7" or "window-3". */
export function freeId(site: Site, stem: string, taken: Iterable<string> = []): string {
    const used = new Set([...findThings(site).map(found => found.thing.id), ...taken]);
    for (const variant of site.variants ?? [])
        for (const added of (variant.added as Thing[] | undefined) ?? []) used.add(added.id);
    const join = /^[A-Z]+$/.test(stem) ? "" : "-";
    for (let number = 1; ; number++) {
        const id = `${stem}${join}${number}`;
        if (!used.has(id)) return id;
    }
}

export function readSite(text: string): Site {
    const value = JSON.parse(text);
    if (typeof value !== "object" || value === null || Array.isArray(value) || !("duskcast" in value))
        throw new Error('it is not a site file, for it has no line “"duskcast": 1”');
    const misfit = findMisfit(value);
    if (misfit) throw new Error(misfit);
    return value as Site;
}

/** The file's text: an object or a list stands in one line where it fits, as in files written by hand. */
export function printSite(site: Site): string {
    return `${printJson(site as unknown as Json, "")}\n`;
}

const widest = 110;

function printJson(value: Json, indent: string, key = ""): string {
    const flat = printFlat(value);
    const inner = `${indent}  `;
    const has_things =
        typeof value === "object" &&
        value !== null &&
        Object.values(value).some(part => part && typeof part === "object");
    if (typeof value !== "object" || value === null) return flat;
    if (
        indent !== "" &&
        indent.length + key.length + flat.length <= widest &&
        !(has_things && flat.length > 90)
    )
        return flat;
    if (Array.isArray(value)) {
        if (value.length === 0) return "[]";
        return `[\n${value.map(part => inner + printJson(part, inner)).join(",\n")}\n${indent}]`;
    }
    const rows = Object.entries(value)
        .filter(([, part]) => part !== undefined)
        .map(([name, part]) => `${inner}${JSON.stringify(name)}: ${printJson(part as Json, inner, name)}`);
    return rows.length ? `{\n${rows.join(",\n")}\n${indent}}` : "{}";
}

function printFlat(value: Json): string {
    if (Array.isArray(value)) return `[${value.map(printFlat).join(", ")}]`;
    if (typeof value === "object" && value !== null)
        return `{${Object.entries(value)
            .filter(([, part]) => part !== undefined)
            .map(([name, part]) => `${JSON.stringify(name)}: ${printFlat(part as Json)}`)
            .join(", ")}}`;
    return JSON.stringify(value);
}
