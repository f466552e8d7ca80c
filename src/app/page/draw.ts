// What a tool puts down: points that meet corners and right angles, and the things that are made of them.

import type { ProbeQuestion, Surface } from "../engine.ts";
import { printLength, readLength } from "./length.ts";
import { engine, tellFault } from "./light.ts";
import { add, lengthOf, pointOf, runLength, type Spot, spotAtRun, spotOf, unit } from "./move.ts";
import { picked } from "./pick.ts";
import { change, site } from "./property.ts";
import { freeId, keyFor, type Point, type Wall } from "./site.ts";
import { standNew } from "./stand_new.ts";
import { again, cursor, finding, nameOf, points, type Tool, take, tool } from "./tool.ts";

/** Corners that a new point may meet. */
function corners(): Spot[] {
    const found: Spot[] = [...points.value];
    for (const wall of site.value.walls ?? []) found.push(...wall.path.map(spotOf));
    for (const area of site.value.ground?.areas ?? []) found.push(...area.outline.map(spotOf));
    for (const transformer of site.value.network?.transformers ?? []) found.push(spotOf(transformer.at));
    return found;
}

/** Draws a spot to a corner that is near, else to a right angle with what was drawn last, else to whole inches. */
export function snap(spot: Spot, near: number, is_free = false): Spot {
    if (is_free) return spot;
    let best: Spot | undefined;
    for (const corner of corners())
        if (
            Math.hypot(corner[0] - spot[0], corner[1] - spot[1]) < near &&
            (!best ||
                Math.hypot(corner[0] - spot[0], corner[1] - spot[1]) <
                    Math.hypot(best[0] - spot[0], best[1] - spot[1]))
        )
            best = corner;
    if (best) return best;
    const last = points.value.at(-1);
    if (!last) return spot;
    const before = points.value.at(-2);
    const base = before ? Math.atan2(last[1] - before[1], last[0] - before[0]) : 0;
    const length = Math.hypot(spot[0] - last[0], spot[1] - last[1]);
    const angle = Math.atan2(spot[1] - last[1], spot[0] - last[0]);
    const quarter = Math.PI / 2;
    const square = base + Math.round((angle - base) / quarter) * quarter;
    if (Math.abs(Math.sin(angle - square)) < 0.1) {
        const whole = Math.round(length / 0.1524) * 0.1524;
        const kept = unit() === "ft" ? whole : Math.round(length / 0.1) * 0.1;
        return [last[0] + Math.cos(square) * kept, last[1] + Math.sin(square) * kept];
    }
    return spot;
}

/** Sets a point of what is being drawn. */
export function set(spot: Spot): void {
    const now = tool.value;
    if (!now) return;
    const first = points.value[0];
    switch (now.does) {
        case "stand":
            standWith(now.what, spot);
            return;
        case "tree":
            putDown(() => plantTree(now, spot));
            return;
        case "transformer":
            putDown(() => hangTransformer(spot));
            return;
        case "probe":
            void probe({ ground: spot }, spot, "plan");
            return;
        case "measure":
            points.value = points.value.length >= 2 ? [spot] : [...points.value, spot];
            return;
        default:
            if (
                first &&
                points.value.length >= 3 &&
                Math.hypot(first[0] - spot[0], first[1] - spot[1]) < 0.02
            )
                finish(true);
            else points.value = [...points.value, spot];
    }
}

// Lays the tool down; what `make` makes and picks can be had again.
function putDown(make: () => void): void {
    const used = tool.value;
    tool.value = undefined;
    points.value = [];
    make();
    const key = picked.value.at(-1);
    if (used && key !== undefined) {
        const is_ground = ["area", "shrub", "tree"].includes(used.does);
        again.value = {
            key,
            words: nameOf(used),
            ...(is_ground ? { on: "plan" } : {}),
            does: () => take(used),
        };
    }
}

/** A fixture of a kind, at the wall or tree that is near. */
export function standWith(kind: string, spot: Spot): void {
    putDown(() => standNew(kind, spot));
}

/** Uses the tool at a spot of a wall's sheet, metres along and up; in front of the wall it lies below 0. */
export function putOnWall(surface: Surface, spot: Spot): void {
    const now = tool.value;
    const along = Math.min(runLength(surface.run), Math.max(0, spot[0]));
    const [from] = points.value;
    if (now?.does === "stand")
        standWith(now.what, spotAtRun(surface.run, along, spot[1] < 0 ? -spot[1] : 0.381));
    else if (now?.does === "probe") {
        const segment = surface.run.findLast(candidate => along >= candidate.along) ?? surface.run[0];
        if (!segment || spot[1] < 0) return;
        const [x, y] = spotAtRun(surface.run, along, 0.001);
        void probe(
            { position: [x, y, surface.foot + spot[1]], normal: [...segment.outward, 0] },
            spot,
            "wall",
        );
    } else if (now?.does === "opening" || now?.does === "gable") {
        if (from) setOnWall(surface.part_of || surface.id, from, spot);
        points.value = from ? [] : [spot];
    }
}

/** Sets the next point that far from the last, the way the pointer is: "52 ft". False where it is no length. */
export function setByLength(text: string): boolean {
    const length = readLength(text, unit());
    const last = points.value.at(-1);
    if (length === undefined || length <= 0 || !last) return false;
    const towards = cursor.value ?? [last[0] + 1, last[1]];
    const snapped = snap(towards, 0);
    const angle = Math.atan2(snapped[1] - last[1], snapped[0] - last[0]);
    set([last[0] + Math.cos(angle) * length, last[1] + Math.sin(angle) * length]);
    return true;
}

/** Whether a tool draws an outline, which ends where it began. */
export function isOutline(candidate: Tool): boolean {
    return candidate.does === "area" || candidate.does === "shrub";
}

/** Ends what is being drawn. */
export function finish(is_closed = false): void {
    const now = tool.value;
    const drawn = points.value;
    const path = drawn.map(spot => pointOf(spot, unit() === "m" ? 0.01 : 0.0254));
    if (now?.does === "wall" && path.length >= 2) {
        const id = freeId(site.value, "wall");
        const wall: Wall = {
            id,
            path: leftToRight(drawn, is_closed) ? path : [...path].reverse(),
            height: unit() === "m" ? "3 m" : "10 ft",
            finish: "brick red common",
            eave: unit() === "m" ? { depth: "45 cm" } : { depth: "18 in" },
        };
        if (is_closed) wall.closed = true;
        putDown(() => add("Draw a wall", ["walls"], wall));
    } else if (now?.does === "area" && path.length >= 3) {
        const stem = nameOf(now);
        const area = {
            id: freeId(site.value, stem),
            kind: now.what,
            outline: path,
            ...(now.is_raised ? { height: unit() === "m" ? "45 cm" : "18 in" } : {}),
        };
        putDown(() => add(`Draw a ${stem}`, ["ground", "areas"], area));
    } else if (now?.does === "shrub" && path.length >= 3) {
        const shrub = now.plant
            ? { id: freeId(site.value, idOf(now.plant)), plant: now.plant, outline: path }
            : {
                  id: freeId(site.value, "shrubs"),
                  outline: path,
                  height: unit() === "m" ? "0.8 m" : "30 in",
              };
        putDown(() => add("Plant shrubs", ["shrubs"], shrub));
    } else if (now?.does === "cable" && path.length >= 2) {
        putDown(() => layCable(path));
        again.value = undefined;
    } else take(undefined);
}

// A closed outline is walked counter-clockwise; an open one is taken as it was drawn, left to right.
function leftToRight(drawn: Spot[], is_closed: boolean): boolean {
    if (!is_closed) return true;
    let twice = 0;
    drawn.forEach(([x, y], i) => {
        const [next_x, next_y] = drawn[(i + 1) % drawn.length] as Spot;
        twice += x * next_y - next_x * y;
    });
    return twice > 0;
}

const tree_sizes: Record<string, [height: number, base: number, width: number]> = {
    round: [30, 8, 24],
    oval: [36, 9, 22],
    column: [32, 4, 9],
    cone: [34, 3, 18],
    vase: [34, 9, 28],
    spreading: [26, 7, 32],
    weeping: [28, 4, 24],
};

// "japanese maple" as the stem of an id.
function idOf(plant: string): string {
    return plant.replaceAll(" ", "-");
}

/** A plant by its name, as the engine knows it, or a tree of a form with usual sizes. */
export function plantTree({ what: form, plant }: { what: string; plant?: string }, spot: Spot): void {
    if (plant) {
        const tree = { id: freeId(site.value, idOf(plant)), plant, at: pointOf(spot, 0.1524) };
        add(`Plant a ${plant}`, ["trees"], tree);
        return;
    }
    const [height, base, width] = tree_sizes[form] ?? [30, 8, 24];
    const size = (feet: number) => (unit() === "m" ? `${Math.round(feet * 3.048) / 10} m` : `${feet} ft`);
    add("Plant a tree", ["trees"], {
        id: freeId(site.value, "tree"),
        at: pointOf(spot, 0.1524),
        form,
        height: size(height),
        base: size(base),
        width: size(width),
        leaf_area_density: 0.4,
        leaf_size: unit() === "m" ? "15 cm" : "6 in",
        clumping: 0.4,
    });
}

function hangTransformer(spot: Spot): void {
    const id = freeId(site.value, "transformer");
    change("Hang a transformer", draft => {
        draft.network ??= { transformers: [], runs: [] };
        draft.network.transformers ??= [];
        draft.network.transformers.push({ id, at: pointOf(spot), va: 150, taps: [12, 13, 14, 15] });
        draft.network.runs ??= [];
        if (!draft.network.runs.length && draft.fixtures?.length)
            draft.network.runs.push({
                id: "run-1",
                gauge: 12,
                fixtures: draft.fixtures.map(fixture => fixture.id),
            });
        if (!draft.network.runs.length) delete draft.network;
    });
    picked.value = [keyFor("transformer", id)];
}

function layCable(path: Point[]): void {
    const fed = new Set((site.value.network?.runs ?? []).flatMap(run => run.fixtures as string[]));
    const free = (site.value.fixtures ?? []).map(fixture => fixture.id).filter(id => !fed.has(id));
    const one = site.value.network?.runs?.length === 1 ? site.value.network.runs[0] : undefined;
    if (!free.length && !one) return;
    change("Lay a cable", draft => {
        const runs = draft.network?.runs;
        if (!runs) return;
        if (free.length) runs.push({ id: freeId(site.value, "run"), gauge: 12, path, fixtures: free });
        else if (runs[0]) runs[0].path = path;
    });
}

/** A rectangle drawn on a wall's sheet, metres along and up: an opening or a gable there. */
export function setOnWall(wall: string, from: Spot, to: Spot): void {
    const now = tool.value;
    const index = site.value.walls?.findIndex(candidate => candidate.id === wall) ?? -1;
    const owner = site.value.walls?.[index];
    if (!owner || !now) return;
    const step = unit() === "m" ? 0.05 : 0.0254 * 3;
    const words = (metres: number) => printLength(Math.round(metres / step) * step, unit());
    const left = Math.max(0, Math.min(from[0], to[0]));
    const width = Math.abs(to[0] - from[0]);
    const low = Math.max(0, Math.min(from[1], to[1]));
    const high = Math.max(from[1], to[1]);
    const small = 0.2;
    if (now.does === "gable" && width > small && high > lengthOf(owner.height) + small) {
        const id = freeId(site.value, "gable");
        const gable = { id, from: words(left), width: words(width), peak: words(high) };
        putDown(() => add("Draw a gable", ["walls", index, "gables"], gable));
    } else if (now.does === "opening" && width > small && high - low > small) {
        const sill = now.what === "door" ? 0 : words(low);
        const id = freeId(site.value, now.what);
        const what = now.what;
        const opening = {
            id,
            kind: what,
            from: words(left),
            width: words(width),
            sill,
            height: words(what === "door" ? high : high - low),
            ...(what === "door" ? { finish: "timber dark stain" } : {}),
        };
        putDown(() => add(`Draw a ${what}`, ["walls", index, "openings"], opening));
    }
}

export async function probe(place: ProbeQuestion, spot: Spot, on: "plan" | "wall"): Promise<void> {
    const ready = engine.value;
    if (!ready) return;
    finding.value = { spot, on, words: ["…"] };
    try {
        const found = await ready.probe(place);
        const bounced =
            found.bounced_lx === null ? undefined : await ready.print("illuminance", found.bounced_lx);
        finding.value = {
            spot,
            on,
            words: [
                found.words,
                ...found.by_fixture.slice(0, 4).map(one => `${one.fixture}: ${one.words}`),
                ...(bounced ? [`from other surfaces and the sky: ${bounced}`] : []),
            ],
        };
    } catch (reason) {
        finding.value = undefined;
        tellFault(reason);
    }
}
