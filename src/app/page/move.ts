// What a hand does to things: standing, moving, leaning, copying, spacing, taking away. Places are metres in the
// plan; what is written into the site file is in its own units.

import type { FixtureState, RunSegment, Surface } from "../engine.ts";
import { handStep, type LengthUnit, printCoordinate, printLength, readAngle, readLength } from "./length.ts";
import { scene } from "./light.ts";
import { nowCalled } from "./options.ts";
import { chosen, chosen_fixtures, picked, states, things, wall_shown } from "./pick.ts";
import { asOneStep, change, site } from "./property.ts";
import {
    callIt,
    type Fixture,
    freeId,
    lists,
    type Place,
    type Point,
    type Site,
    type Thing,
    valueAt,
} from "./site.ts";

export type Spot = [number, number];

export function unit(): LengthUnit {
    return site.value.units ?? "ft";
}

function rounded(metres: number, step = handStep(unit())): number {
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

function fixtureIn(draft: Site, id: string): Fixture | undefined {
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
    const found = things.value.get(nowCalled(id));
    const fixture = found?.thing as Fixture | undefined;
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
    const fixture = things.value.get(nowCalled(id))?.thing as Fixture | undefined;
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
    const fixture = things.value.get(nowCalled(id))?.thing;
    mutate(words ?? `Lean ${fixture ? callIt(fixture) : id}`, id, draft => {
        draft.tilt = Number(Math.min(180, Math.max(0, tilt)).toFixed(1));
    });
}

/** Degrees clockwise from the way it faces by itself. */
export function turn(id: string, degrees: number): void {
    const fixture = things.value.get(nowCalled(id))?.thing;
    mutate(`Turn ${fixture ? callIt(fixture) : id}`, id, draft => {
        delete draft.azimuth;
        draft.turn = Number((((degrees + 540) % 360) - 180).toFixed(1));
    });
}

/** Moves what is picked. */
export function nudge(dx: number, dy: number): void {
    asOneStep(() => {
        for (const found of chosen.value)
            if (found.schema === "fixture") nudgeFixture(found.thing.id, dx, dy);
            else if (found.schema === "tree") {
                const [x, y] = spotOf((found.thing as { at?: Point }).at);
                setValue(`Move ${callIt(found.thing)}`, [...found.place, "at"], pointOf([x + dx, y + dy]));
            }
    });
}

function nudgeFixture(id: string, dx: number, dy: number): void {
    const state = states.value.get(id);
    if (!state) return;
    if (state.along !== null && state.setback !== null)
        standAlong(id, dx ? state.along + dx : undefined, dy ? state.setback - dy : undefined);
    else standAt(id, [state.position[0] + dx, state.position[1] + dy]);
}

export function nudgeTilt(degrees: number): void {
    asOneStep(() => {
        for (const { thing } of chosen_fixtures.value) {
            const now = readAngle(thing.tilt) ?? ((states.value.get(thing.id)?.tilt ?? 0) * 180) / Math.PI;
            lean(thing.id, now + degrees);
        }
    });
}

function put(draft: Site, path: Place, thing: Thing): void {
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
export function add(words: string, path: Place, thing: Thing, picked_id = thing.id): void {
    change(words, draft => put(draft, path, thing));
    picked.value = [picked_id];
}

export function addSeveral(words: string, parts: { path: Place; thing: Thing }[]): void {
    change(words, draft => {
        for (const { path, thing } of parts) put(draft, path, thing);
    });
}

const stems: Record<string, string> = {
    uplight: "U",
    bullet: "B",
    "in-ground": "G",
    wash: "W",
    path: "P",
    downlight: "D",
};

export const lamp_to_start: Record<string, Thing> = {
    uplight: { id: "led-4w-36", name: "4 W, 36°", watts: 4, lumens: 280, beam: 36, cct: 2700 },
    bullet: { id: "led-4w-36", name: "4 W, 36°", watts: 4, lumens: 280, beam: 36, cct: 2700 },
    "in-ground": { id: "led-4w-60", name: "4 W, 60°", watts: 4, lumens: 280, beam: 60, cct: 2700 },
    wash: { id: "led-3w-100", name: "3 W, 100°", watts: 3, lumens: 220, beam: 100, cct: 2700 },
    path: { id: "ring-2w", name: "2 W under a hat", watts: 2, lumens: 120, ring: 62, beam: 30, cct: 2700 },
    downlight: { id: "led-4w-60", name: "4 W, 60°", watts: 4, lumens: 280, beam: 60, cct: 2700 },
};

/** A new fixture of a kind at a spot: at the wall or tree that is near, else where it was put. */
export function standNew(kind: string, spot: Spot): void {
    const id = freeId(site.value, stems[kind] ?? "F");
    const lamp = lamp_to_start[kind] as Thing;
    const fixture: Fixture = { id, kind, lamp: "" };
    const near = 2.5; // metres from a face: further off it is no longer meant for it
    const found = kind === "path" ? undefined : nearest(spot, near);
    if (found && "wall" in found) {
        fixture.wall = found.wall;
        fixture.along = printLength(rounded(found.along), unit());
        if (kind !== "downlight") {
            const usual = unit() === "m" ? 0.38 : 0.381;
            fixture.setback = printLength(
                Math.abs(found.out - usual) < 0.3 ? usual : rounded(found.out),
                unit(),
            );
        }
        if (kind === "wash") fixture.tilt = 30;
        else if (kind !== "downlight") fixture.tilt = 8;
    } else if (found) {
        fixture.tree = found.tree;
        fixture.bearing = Math.round(found.bearing);
        fixture.setback = printLength(rounded(found.out), unit());
        if (kind !== "downlight") fixture.tilt = 10;
    } else fixture.at = pointOf(spot);
    if (kind === "downlight") {
        fixture.lens_height = unit() === "m" ? "4 m" : "14 ft";
        if (fixture.tree) fixture.tilt = 170;
        delete fixture.setback;
    }
    change(`Stand ${id}`, draft => {
        const like = draft.fixtures?.findLast(other => other.kind === kind && !other.model);
        fixture.lamp = like?.lamp ?? lamp.id;
        if (!like && !draft.lamps?.some(other => other.id === lamp.id)) put(draft, ["lamps"], lamp);
        put(draft, ["fixtures"], fixture);
    });
    picked.value = [id];
    if (fixture.wall) wall_shown.value = fixture.wall;
}

type Near = { wall: string; along: number; out: number } | { tree: string; bearing: number; out: number };

function nearest(spot: Spot, within: number): Near | undefined {
    let best: { near: Near; off: number } | undefined;
    for (const surface of scene.value?.surfaces ?? []) {
        if (surface.kind !== "wall" || !site.value.walls?.some(wall => wall.id === surface.id)) continue;
        const place = placeAtRun(surface.run, spot);
        if (!place || place.out <= 0 || place.out > within) continue;
        if (!best || place.out < best.off) best = { near: { wall: surface.id, ...place }, off: place.out };
    }
    for (const tree of scene.value?.plan.trees ?? []) {
        const [dx, dy] = [spot[0] - tree.at[0], spot[1] - tree.at[1]];
        const out = Math.hypot(dx, dy) - tree.trunk_radius;
        const reach = Math.max(within, tree.crown_radius);
        const bearing = ((Math.atan2(dx, dy) * 180) / Math.PI + 360) % 360;
        if (out < reach && (!best || out < best.off))
            best = { near: { tree: tree.id, bearing, out: Math.max(0.05, out) }, off: out };
    }
    return best?.near;
}

/** Takes the selection away, and what hangs on it: fixtures at a wall or a tree, targets on it. */
export function takeAway(): void {
    const gone = chosen.value;
    if (!gone.length) return;
    const names = gone.length === 1 ? callIt((gone[0] as { thing: Thing }).thing) : `${gone.length} things`;
    change(`Take away ${names}`, draft => {
        const ids = new Set(gone.map(found => found.thing.id));
        const hangs = (thing: Thing) =>
            ids.has(thing.wall as string) ||
            ids.has(thing.tree as string) ||
            ids.has(String(thing.on).split(".")[0] as string);
        // From the end, so that places before it stay right.
        for (const found of [...gone].reverse()) {
            const list = valueAt(draft, found.place.slice(0, -1)) as Thing[] | undefined;
            const at = list?.findIndex(thing => thing.id === found.thing.id) ?? -1;
            if (list && at >= 0) list.splice(at, 1);
        }
        const outer = new Set(
            gone
                .filter(found => ["wall", "tree", "area", "shrub"].includes(found.schema))
                .map(found => found.thing.id),
        );
        if (outer.size) {
            for (const list of [draft.fixtures, draft.targets])
                if (list) list.splice(0, list.length, ...(list.filter(thing => !hangs(thing)) as never[]));
        }
        const fixtures = new Set((draft.fixtures ?? []).map(fixture => fixture.id));
        if (!gone.some(found => found.schema === "fixture") && !outer.size) return;
        for (const run of draft.network?.runs ?? [])
            run.fixtures = (run.fixtures as string[]).filter(id => fixtures.has(id));
        if (draft.network?.runs) {
            draft.network.runs = draft.network.runs.filter(run => (run.fixtures as string[]).length > 0);
            if (!draft.network.runs.length) delete draft.network;
        }
        for (const variant of draft.variants ?? []) {
            const added = new Set(((variant.added as Thing[] | undefined) ?? []).map(thing => thing.id));
            const has = (id: string) => fixtures.has(id) || added.has(id);
            const changes = (variant.changes as { fixtures?: string[] }[] | undefined)
                ?.map(one => ({ ...one, fixtures: one.fixtures?.filter(has) }))
                .filter(one => one.fixtures?.length);
            if (changes?.length) variant.changes = changes;
            else delete variant.changes;
            if (variant.without) variant.without = (variant.without as string[]).filter(has);
        }
    });
    picked.value = [];
}

/** A copy of each fixture, a stride along its wall or to its right. */
export function copyFixtures(): void {
    const taken: string[] = [];
    const stride = unit() === "m" ? 1.5 : 5 * 0.3048;
    const copies = chosen_fixtures.value.map(({ thing }) => {
        const fixture = structuredClone(thing) as Fixture;
        fixture.id = freeId(site.value, thing.id.replace(/[-\d]+$/, "") || "F", taken);
        taken.push(fixture.id);
        const state = states.value.get(thing.id);
        if (fixture.wall && state?.along != null) {
            const end = runLength(wallSurface(fixture.wall)?.run ?? []);
            const along =
                state.along + stride <= end ? state.along + stride : Math.max(0, state.along - stride);
            fixture.along = printLength(rounded(along), unit());
        } else if (fixture.tree) fixture.bearing = ((readAngle(fixture.bearing) ?? 0) + 60) % 360;
        else if (state) fixture.at = pointOf([state.position[0] + stride, state.position[1]]);
        return fixture;
    });
    if (!copies.length) return;
    change(copies.length === 1 ? `Copy ${(copies[0] as Fixture).id}` : "Copy fixtures", draft => {
        for (const copy of copies) put(draft, ["fixtures"], copy);
        joinRuns(
            draft,
            copies.map(copy => copy.id),
            chosen_fixtures.peek().map(found => found.thing.id),
        );
    });
    picked.value = copies.map(copy => copy.id);
}

// A copy is fed by the run of what it was copied from.
function joinRuns(draft: Site, ids: string[], models: string[]): void {
    ids.forEach((id, i) => {
        const run = draft.network?.runs?.find(one =>
            (one.fixtures as string[]).includes(models[i] as string),
        );
        if (run) (run.fixtures as string[]).push(id);
    });
}

/** Copies of the picked fixtures on the other side of the middle of their wall, or of the gable over them. */
export function mirrorFixtures(): void {
    const taken: string[] = [];
    const copies: Fixture[] = [];
    const models: string[] = [];
    for (const { thing } of chosen_fixtures.value) {
        const fixture = structuredClone(thing) as Fixture;
        const state = states.value.get(thing.id);
        if (!fixture.wall || state?.along == null) continue;
        const wall = site.value.walls?.find(candidate => candidate.id === fixture.wall);
        const gable = wall?.gables?.find(candidate => {
            const from = lengthOf(candidate.from);
            return (
                state.along !== null && state.along >= from && state.along <= from + lengthOf(candidate.width)
            );
        });
        const middle = gable
            ? lengthOf(gable.from) + lengthOf(gable.width) / 2
            : runLength(wallSurface(fixture.wall)?.run ?? []) / 2;
        const along = 2 * middle - state.along;
        if (Math.abs(along - state.along) < 0.1) continue;
        fixture.id = freeId(site.value, thing.id.replace(/[-\d]+$/, "") || "F", taken);
        taken.push(fixture.id);
        fixture.along = printLength(rounded(along), unit());
        if (typeof fixture.turn === "number") fixture.turn = -fixture.turn;
        copies.push(fixture);
        models.push(thing.id);
    }
    if (!copies.length) return;
    change("Mirror", draft => {
        for (const copy of copies) put(draft, ["fixtures"], copy);
        joinRuns(
            draft,
            copies.map(copy => copy.id),
            models,
        );
    });
    picked.value = copies.map(copy => copy.id);
}

/** Fixtures at one wall at equal distances between the first and the last of them. */
export function spaceEvenly(): void {
    const at_wall = chosen_fixtures.value
        .map(({ thing }) => states.value.get(thing.id))
        .filter(
            (state): state is FixtureState =>
                state !== undefined && state.along !== null && state.wall !== "",
        )
        .sort((a, b) => (a.along as number) - (b.along as number));
    const first = at_wall[0];
    const last = at_wall.at(-1);
    if (!first || !last || at_wall.length < 3) return;
    const step = ((last.along as number) - (first.along as number)) / (at_wall.length - 1);
    change("Space evenly", draft => {
        at_wall.forEach((state, i) => {
            const fixture = fixtureIn(draft, state.id);
            if (fixture) fixture.along = printLength(rounded((first.along as number) + i * step), unit());
        });
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

/** Gives a thing another id, and every reference to it. */
export function rename(from: string, to: string): void {
    change(`Rename ${from}`, draft => {
        const text = JSON.stringify(draft);
        const references = new Set([
            "id",
            "wall",
            "tree",
            "on",
            "lamp",
            "gable",
            "transformer",
            "hub",
            "follow",
        ]);
        const walk = (value: unknown, key: string): unknown => {
            if (Array.isArray(value)) return value.map(part => walk(part, key));
            if (value && typeof value === "object") {
                for (const [name, part] of Object.entries(value))
                    (value as Record<string, unknown>)[name] = walk(part, name);
                return value;
            }
            if (typeof value !== "string") return value;
            if (references.has(key) || key === "fixtures" || key === "without") {
                if (value === from) return to;
                if (key === "on" && value.startsWith(`${from}.`)) return to + value.slice(from.length);
            }
            return value;
        };
        if (text.includes(JSON.stringify(from))) walk(draft, "");
    });
    picked.value = picked.value.map(id => (id === from ? to : id));
}

export function listOf(schema: string): Place | undefined {
    const list = lists.find(candidate => candidate.schema === schema);
    return list && [...list.path];
}
