// What the pointer is about to put down, and the points it has set so far.

import { computed, signal } from "@preact/signals";
import { printLength, readLength } from "./length.ts";
import { engine, tellFault } from "./light.ts";
import { add, lengthOf, pointOf, type Spot, spotOf, standNew, unit } from "./move.ts";
import { picked } from "./pick.ts";
import { change, site } from "./property.ts";
import { freeId, type Point, type Wall } from "./site.ts";

export type Tool =
    | { does: "stand"; what: string }
    | { does: "wall" }
    | { does: "area"; what: string }
    | { does: "shrub" }
    | { does: "tree"; what: string }
    | { does: "opening"; what: "window" | "door" }
    | { does: "gable" }
    | { does: "measure" }
    | { does: "probe" }
    | { does: "transformer" }
    | { does: "cable" };

export const tool = signal<Tool | undefined>();
export const points = signal<Spot[]>([]);
export const cursor = signal<Spot | undefined>();
/** What was found at the last spot that was probed, and where it is shown. */
export const finding = signal<{ spot: Spot; on: "plan" | "wall"; words: string[] } | undefined>();

export function take(next: Tool | undefined): void {
    tool.value = next;
    points.value = [];
    cursor.value = undefined;
    finding.value = undefined;
    if (next) picked.value = [];
}

/** The sheet that a tool works on; fixtures can be stood on every surface. */
export function worksOn(candidate: Tool): "plan" | "wall" | "any" {
    if (candidate.does === "opening" || candidate.does === "gable") return "wall";
    if (candidate.does === "stand" || candidate.does === "probe") return "any";
    return "plan";
}

export const instruction = computed<string>(() => {
    const now = tool.value;
    const count = points.value.length;
    switch (now?.does) {
        case "stand":
            return `Click where the ${kindWords[now.what] ?? now.what} stands: near a wall or a tree it is meant for that.`;
        case "wall":
            return count === 0
                ? "Click the left corner of the wall, as seen from outside."
                : "Click the next corner, or type its length. Enter ends the wall.";
        case "area":
        case "shrub":
            return count < 3
                ? "Click the corners one after the other, or type a length."
                : "Click the first corner or press Enter to close it.";
        case "tree":
            return "Click where the trunk stands.";
        case "opening":
            return `Drag from corner to corner of the ${now.what}.`;
        case "gable":
            return "Drag from one end of the gable at the eave to the other end, as high as its peak.";
        case "measure":
            return count === 0 ? "Click where to measure from." : "Click where to measure to.";
        case "probe":
            return "Click any spot to see how much light falls there, and from which fixtures.";
        case "transformer":
            return "Click where the transformer hangs.";
        case "cable":
            return count === 0
                ? "Click where the run starts, at the transformer."
                : "Click along the way of the cable. Enter ends the run.";
        default:
            return "";
    }
});

export const kindWords: Record<string, string> = {
    uplight: "uplight",
    bullet: "bullet",
    "in-ground": "in-ground light",
    wash: "wash light",
    path: "path light",
    downlight: "downlight",
};

/** The length from the last point set to the pointer, in words. */
export const stretch = computed(() => {
    const last = points.value.at(-1);
    const now = cursor.value;
    return last && now
        ? printLength(Math.hypot(now[0] - last[0], now[1] - last[1]), unit(), unit() === "m" ? 0.01 : 0.0254)
        : "";
});

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
            standNew(now.what, spot);
            layDown();
            return;
        case "tree":
            plantTree(now.what, spot);
            return;
        case "transformer":
            hangTransformer(spot);
            return;
        case "probe":
            void probe([spot[0], spot[1], 0.001], [0, 0, 1], spot, "plan");
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

// Puts the tool down and leaves the selection.
function layDown(): void {
    tool.value = undefined;
    points.value = [];
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
        layDown();
        add("Draw a wall", ["walls"], wall);
    } else if (now?.does === "area" && path.length >= 3) {
        const stem = now.what === "paving" ? "walk" : now.what === "water" ? "pond" : "bed";
        layDown();
        add(`Draw a ${stem}`, ["ground", "areas"], {
            id: freeId(site.value, stem),
            kind: now.what,
            outline: path,
        });
    } else if (now?.does === "shrub" && path.length >= 3) {
        layDown();
        add("Plant shrubs", ["shrubs"], {
            id: freeId(site.value, "shrubs"),
            outline: path,
            height: unit() === "m" ? "0.8 m" : "30 in",
        });
    } else if (now?.does === "cable" && path.length >= 2) {
        layCable(path);
        layDown();
    } else layDown();
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

function plantTree(form: string, spot: Spot): void {
    const [height, base, width] = tree_sizes[form] ?? [30, 8, 24];
    const size = (feet: number) => (unit() === "m" ? `${Math.round(feet * 3.048) / 10} m` : `${feet} ft`);
    layDown();
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
    layDown();
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
    picked.value = [id];
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
        layDown();
        const id = freeId(site.value, "gable");
        add(
            "Draw a gable",
            ["walls", index, "gables"],
            { id, from: words(left), width: words(width), peak: words(high) },
            `${wall}.${id}`,
        );
    } else if (now.does === "opening" && width > small && high - low > small) {
        const sill = now.what === "door" ? 0 : words(low);
        const id = freeId(site.value, now.what);
        const what = now.what;
        layDown();
        add(
            `Draw a ${what}`,
            ["walls", index, "openings"],
            {
                id,
                kind: what,
                from: words(left),
                width: words(width),
                sill,
                height: words(what === "door" ? high : high - low),
                ...(what === "door" ? { finish: "timber dark stain" } : {}),
            },
            `${wall}.${id}`,
        );
    }
}

export async function probe(
    position: [number, number, number],
    normal: [number, number, number],
    spot: Spot,
    on: "plan" | "wall",
): Promise<void> {
    const ready = engine.value;
    if (!ready) return;
    finding.value = { spot, on, words: ["…"] };
    try {
        const found = await ready.probe({ position, normal });
        finding.value = {
            spot,
            on,
            words: [found.words, ...found.by_fixture.slice(0, 4).map(one => one.words)].filter(Boolean),
        };
    } catch (reason) {
        finding.value = undefined;
        tellFault(reason);
    }
}
