// What a hand does to things: standing, moving, leaning, copying, spacing, taking away. Places are metres in the
// plan; what is written into the site file is in its own units.

import type { RunSegment, Surface } from "../engine.ts";
import { handStep, type LengthUnit, printCoordinate, printLength, readAngle, readLength } from "./length.ts";
import { scene } from "./light.ts";
import { nowCalled } from "./options.ts";
import { chosen, chosen_fixtures, findFixture, isLit, picked, states, wall_shown } from "./pick.ts";
import { asOneStep, change, site } from "./property.ts";
import {
    callIt,
    type Fixture,
    type Found,
    type Key,
    keyFor,
    keyOf,
    keyOfLast,
    lists,
    type Place,
    type Point,
    type Site,
    type Thing,
    valueAt,
    wholeId,
} from "./site.ts";

export type Spot = [number, number];

export function unit(): LengthUnit {
    return site.value.units ?? "ft";
}

export function rounded(metres: number, step = handStep(unit())): number {
    return Math.round(metres / step) * step;
}

/** A point as the file keeps it, rounded as a hand works. */
export function pointOf([x, y]: Spot, step?: number): Point {
    return [printCoordinate(rounded(x, step), unit()), printCoordinate(rounded(y, step), unit())];
}

export function spotOf(point: unknown): Spot {
    const [x, y] = (point as Point | undefined) ?? [0, 0];
    return [readLength(x, unit()) ?? 0, readLength(y, unit()) ?? 0];
}

export function lengthOf(value: unknown, usual = 0): number {
    return readLength(value, unit()) ?? usual;
}

/** Upright surfaces of a wall, the face itself first. */
export function wallSurface(id: string): Surface | undefined {
    return scene.value?.surfaces.find(surface => surface.id === id && surface.run.length > 0);
}

/** Where a spot of the plan lies at a run: how far along and how far out. */
export function placeAtRun(run: RunSegment[], [x, y]: Spot): { along: number; out: number } | undefined {
    let best: { along: number; out: number; off: number } | undefined;
    for (const segment of run) {
        const [dx, dy] = [x - segment.start[0], y - segment.start[1]];
        const t = dx * segment.direction[0] + dy * segment.direction[1];
        const out = dx * segment.outward[0] + dy * segment.outward[1];
        const inside = Math.min(segment.length, Math.max(0, t));
        const off = Math.hypot(t - inside, out < 0 ? 4 * out : out);
        if (!best || off < best.off) best = { along: segment.along + inside, out, off };
    }
    return best && { along: best.along, out: best.out };
}

/** The spot of the plan that far along and out of a run. */
export function spotAtRun(run: RunSegment[], along: number, out: number): Spot {
    const at = run.findLast(segment => along >= segment.along) ?? run[0];
    if (!at) return [0, 0];
    const t = along - at.along;
    return [
        at.start[0] + at.direction[0] * t + at.outward[0] * out,
        at.start[1] + at.direction[1] * t + at.outward[1] * out,
    ];
}

export function runLength(run: RunSegment[]): number {
    const last = run.at(-1);
    return last ? last.along + last.length : 0;
}

export function fixtureIn(draft: Site, id: string): Fixture | undefined {
    return draft.fixtures?.find(fixture => fixture.id === nowCalled(id));
}

function mutate(words: string, id: string, recipe: (fixture: Fixture) => void): void {
    change(words, draft => {
        const fixture = fixtureIn(draft, id);
        if (fixture) recipe(fixture);
    });
}

/** Stands a fixture at a spot of the plan: at its own wall or tree as far along and back, else by coordinates. */
export function standAt(id: string, spot: Spot): void {
    const fixture = findFixture(id);
    if (!fixture) return;
    if (fixture.wall) {
        const run = wallSurface(fixture.wall)?.run;
        const place = run && placeAtRun(run, spot);
        if (place) standAlong(id, place.along, Math.max(0.02, place.out));
    } else if (fixture.tree) {
        const tree = scene.value?.plan.trees.find(candidate => candidate.id === fixture.tree);
        if (!tree) return;
        const [dx, dy] = [spot[0] - tree.at[0], spot[1] - tree.at[1]];
        const bearing = ((Math.atan2(dx, dy) * 180) / Math.PI + 360) % 360;
        const setback = Math.max(0.02, Math.hypot(dx, dy) - tree.trunk_radius);
        mutate(`Move ${callIt(fixture)}`, id, draft => {
            draft.bearing = Math.round(bearing);
            draft.setback = printLength(rounded(setback), unit());
        });
    } else
        mutate(`Move ${callIt(fixture)}`, id, draft => {
            draft.at = pointOf(spot);
        });
}

/** Metres along its wall and out from it; what is left out stays. */
export function standAlong(id: string, along?: number, setback?: number): void {
    const fixture = findFixture(id);
    const run = fixture?.wall ? wallSurface(fixture.wall)?.run : undefined;
    if (!fixture || !run) return;
    const end = runLength(run);
    mutate(`Move ${callIt(fixture)}`, id, draft => {
        if (along !== undefined)
            draft.along = printLength(rounded(Math.min(end, Math.max(0, along))), unit());
        if (setback !== undefined) draft.setback = printLength(rounded(Math.max(0.02, setback)), unit());
    });
}

/** Degrees from straight up. */
export function lean(id: string, tilt: number, words?: string): void {
    const fixture = findFixture(id);
    mutate(words ?? `Lean ${fixture ? callIt(fixture) : id}`, id, draft => {
        draft.tilt = Number(Math.min(180, Math.max(0, tilt)).toFixed(1));
    });
}

/** Degrees clockwise from the way it faces by itself. */
export function turn(id: string, degrees: number): void {
    const fixture = findFixture(id);
    mutate(`Turn ${fixture ? callIt(fixture) : id}`, id, draft => {
        delete draft.azimuth;
        draft.turn = Number((((degrees + 540) % 360) - 180).toFixed(1));
    });
}

/** Moves what is picked: along and up what lies on a wall, east and north what lies on the ground. */
export function nudge(dx: number, dy: number): void {
    asOneStep(() => {
        for (const found of chosen.value) nudgeThing(found, dx, dy);
    });
}

function nudgeThing(found: Found, dx: number, dy: number): void {
    const { thing, place, schema } = found;
    const words = `Move ${callIt(thing)}`;
    const moved = (point: unknown, step?: number): Point => {
        const [x, y] = spotOf(point);
        return pointOf([x + dx, y + dy], step);
    };
    if (schema === "fixture") nudgeFixture(thing.id, dx, dy);
    else if (found.wall) nudgePart(found, dx, dy);
    else if (schema === "view" && Array.isArray(thing.eye))
        setValue(words, [...place, "eye"], [...moved(thing.eye), thing.eye[2]]);
    else if (Array.isArray(thing.at))
        setValue(words, [...place, "at"], [...moved(thing.at), ...thing.at.slice(2)]);
    else if (typeof thing.wall === "string" && thing.along !== undefined) moveOnWall(found, dx, dy);
    else
        for (const key of ["outline", "path"])
            if (Array.isArray(thing[key]))
                setValue(
                    words,
                    [...place, key],
                    thing[key].map(point => moved(point)),
                );
}

/** Moves what is at a wall by metres along it, and up where it hangs. */
export function moveOnWall(found: Found, dx: number, dy: number): void {
    const { thing, place } = found;
    const next: Thing = { ...thing, along: printLength(Math.max(0, lengthOf(thing.along) + dx), unit()) };
    if (dy && thing.up !== undefined) next.up = printLength(lengthOf(thing.up) + dy, unit());
    setValue(`Move ${callIt(thing)}`, place, next);
}

function nudgePart(found: Found, dx: number, dy: number): void {
    const upright = { gable: "peak", projection: "bottom" }[found.schema as string] ?? "sill";
    const keys: Record<string, number> = {};
    if (dx) keys.from = lengthOf(found.thing.from) + dx;
    if (dy && found.one !== "door") keys[upright] = lengthOf(found.thing[upright]) + dy;
    movePart(found, keys, handStep(unit()));
}

/** Sets lengths of a part of a wall, rounded as a hand works. */
export function movePart(found: Found, keys: Record<string, number>, step?: number): void {
    const size = step ?? (unit() === "m" ? 0.05 : 0.0762);
    const next = { ...found.thing };
    for (const [key, metres] of Object.entries(keys))
        next[key] = printLength(Math.max(0, Math.round(metres / size) * size), unit());
    setValue(`Move ${callIt(found.thing)}`, found.place, next);
}

function nudgeFixture(id: string, dx: number, dy: number): void {
    const state = states.value.get(id);
    if (!state) return;
    if (state.along !== null && state.setback !== null)
        standAlong(id, dx ? state.along + dx : undefined, dy ? state.setback - dy : undefined);
    else standAt(id, [state.position[0] + dx, state.position[1] + dy]);
}

export function nudgeTurn(degrees: number): void {
    asOneStep(() => {
        for (const { thing } of chosen_fixtures.value) turn(thing.id, (readAngle(thing.turn) ?? 0) + degrees);
    });
}

export function nudgeTilt(degrees: number): void {
    asOneStep(() => {
        for (const { thing } of chosen_fixtures.value) {
            const now = readAngle(thing.tilt) ?? ((states.value.get(thing.id)?.tilt ?? 0) * 180) / Math.PI;
            lean(thing.id, now + degrees);
        }
    });
}

export function put(draft: Site, path: Place, thing: Thing): void {
    let holder = draft as Record<string, unknown>;
    for (const key of path.slice(0, -1)) {
        holder[key] ??= {};
        holder = holder[key] as Record<string, unknown>;
    }
    const last = path.at(-1) as string;
    holder[last] ??= [];
    (holder[last] as Thing[]).push(thing);
}

/** Puts a thing into the file, and picks it. */
export function add(words: string, path: Place, thing: Thing): void {
    change(words, draft => put(draft, path, thing));
    pickLast(path);
}

/** Picks what was put last into a list of the file. */
export function pickLast(path: Place): Key | undefined {
    const key = keyOfLast(site.value, path);
    if (key) picked.value = [key];
    return key;
}

export function addSeveral(words: string, parts: { path: Place; thing: Thing }[]): void {
    change(words, draft => {
        for (const { path, thing } of parts) put(draft, path, thing);
    });
}

/** Sets a value by its place in the file; undefined takes the key away. */
export function setValue(words: string, place: Place, value: unknown): void {
    change(words, draft => {
        const holder = valueAt(draft, place.slice(0, -1)) as Record<string | number, unknown> | undefined;
        const key = place.at(-1) as string | number;
        if (!holder) return;
        if (value === undefined) delete holder[key];
        else holder[key] = value;
    });
}

// What the keys of the file name that hold ids of other things, by the kinds of the schema.
const named_by: Record<string, readonly string[]> = {
    wall: ["wall"],
    tree: ["tree"],
    lamp: ["lamp"],
    gable: ["gable"],
    transformer: ["transformer"],
    hub: ["hub"],
    follow: ["wall", "area", "shrub"],
    fixtures: ["fixture"],
    without: ["fixture"],
    plant: ["tree", "shrub"],
};

/** Gives a thing another id, and every reference to it; what has the same id and is of another kind keeps its own. */
export function rename(found: Found, to: string): void {
    const from = found.thing.id;
    const [whole, owner] = [wholeId(found), found.owner && wholeId(found.owner)];
    const renamed = owner ? `${owner}.${to}` : to;
    const refers = (key: string, holder: Record<string, unknown>) =>
        named_by[key]?.includes(found.schema) &&
        (key !== "gable" || holder.on === owner) &&
        // A tree's own "plant" says in words what it is.
        (key !== "plant" || !("id" in holder));
    const walk = (holder: Record<string, unknown>) => {
        for (const [key, value] of Object.entries(holder)) {
            if (key === "on" && typeof value === "string" && isLit(found.schema)) {
                if (value === whole || value.startsWith(`${whole}.`))
                    holder[key] = renamed + value.slice(whole.length);
            } else if (refers(key, holder)) {
                if (Array.isArray(value)) holder[key] = value.map(one => (one === from ? to : one));
                else if (value === from) holder[key] = to;
            } else if (typeof value === "object" && value !== null) walk(value as Record<string, unknown>);
        }
    };
    const key = keyOf(found);
    change(`Rename ${from}`, draft => {
        walk(draft as Record<string, unknown>);
        (valueAt(draft, found.place) as Thing).id = to;
    });
    const now = keyFor(found.schema, renamed);
    picked.value = picked.value.map(one => (one === key ? now : one));
    if (found.schema === "wall" && wall_shown.value === from) wall_shown.value = to;
}

export function listOf(schema: string): Place | undefined {
    const list = lists.find(candidate => candidate.schema === schema);
    return list && [...list.path];
}
