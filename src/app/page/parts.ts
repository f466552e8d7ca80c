// Ready-made parts of a property, to be started from and changed. All sizes are ordinary ones.

import { feet, wallAtHand } from "./begin.ts";
import { lengthOf, pickLast, pointOf, type Spot, spotOf, unit } from "./move.ts";
import { picked, wall_shown } from "./pick.ts";
import { change, openText, site } from "./property.ts";
import { freeId, type Gable, keyFor, type Opening, printSite, type Site, type Wall } from "./site.ts";
import { again } from "./tool.ts";

/** A property with nothing on it but lawn. */
export function emptySite(units: "ft" | "m"): Site {
    return {
        duskcast: 1,
        name: "New property",
        units,
        light: units === "ft" ? "fc" : "lx",
        levels: units === "ft" ? [0.5, 1, 2, 5] : [5, 10, 20, 50],
        ambient: "0.1 lx",
        ground: { base: "lawn", margin: units === "ft" ? "15 ft" : "5 m", areas: [] },
        walls: [],
        trees: [],
        lamps: [
            { id: "led-2w-36", name: "2 W, 36°", watts: 2, lumens: 140, beam: 36, cct: 2700 },
            { id: "led-4w-36", name: "4 W, 36°", watts: 4, lumens: 280, beam: 36, cct: 2700 },
            { id: "led-5w-24", name: "5 W, 24°", watts: 5, lumens: 400, beam: 24, cct: 2700 },
            { id: "led-5w-15", name: "5 W, 15°", watts: 5, lumens: 400, beam: 15, cct: 2700 },
            { id: "led-8w-60", name: "8 W, 60°", watts: 8, lumens: 700, beam: 60, cct: 2700 },
            { id: "led-4w-60", name: "4 W, 60°", watts: 4, lumens: 280, beam: 60, cct: 2700 },
        ],
        fixtures: [],
        views: [],
        variants: [],
    };
}

export function newProperty(units: "ft" | "m"): void {
    openText(printSite(emptySite(units)), "");
    picked.value = [];
}

function runOf(wall: Wall): number {
    const spots = wall.path.map(spotOf);
    return spots
        .slice(1)
        .reduce(
            (sum, spot, i) =>
                sum + Math.hypot(spot[0] - (spots[i] as Spot)[0], spot[1] - (spots[i] as Spot)[1]),
            0,
        );
}

function window_(id: string, from: number, sill: number, width = 3.5, height = 5): Opening {
    return {
        id,
        kind: "window",
        from: feet(from),
        width: feet(width),
        sill: feet(sill),
        height: feet(height),
    };
}

/** A brick front with so many gables, windows and a door, a bed on each side of its walk. */
export function addFront(gables: 0 | 1 | 2): void {
    const taken: string[] = [];
    const id = (stem: string) => {
        const free = freeId(site.value, stem, taken);
        taken.push(free);
        return free;
    };
    const east =
        Math.max(0, ...(site.value.walls ?? []).flatMap(wall => wall.path.map(point => lengthOf(point[0])))) /
        0.3048;
    const left = (site.value.walls ?? []).length ? Math.ceil(east) + 10 : 0;
    const width = gables === 0 ? 40 : gables === 1 ? 42 : 52;
    const wall: Wall = {
        id: id("front"),
        path: [pointOf([left * 0.3048, 0]), pointOf([(left + width) * 0.3048, 0])],
        height: feet(10),
        finish: "brick red common",
        eave: { depth: feet(1.5), rake_depth: feet(0.75) },
        openings: [],
    };
    const peaks: Gable[] = [];
    if (gables === 1) peaks.push({ id: id("gable"), from: feet(20), width: feet(20), peak: feet(22) });
    if (gables === 2) {
        peaks.push({ id: id("gable"), from: feet(2), width: feet(18), peak: feet(20) });
        peaks.push({ id: id("gable"), from: feet(28), width: feet(22), peak: feet(24) });
    }
    if (peaks.length) wall.gables = peaks;
    const door = gables === 2 ? 22.5 : gables === 1 ? 14 : 18.5;
    const windows = gables === 2 ? [5, 13, 31.5, 43] : gables === 1 ? [3, 8.5, 23, 33] : [3, 10.5, 26, 33.5];
    wall.openings = [
        ...windows.map(from => window_(id("window"), from, 3)),
        {
            id: id("door"),
            kind: "door",
            from: feet(door),
            width: feet(3),
            sill: 0,
            height: feet(7),
            finish: "timber dark stain",
        },
    ];
    if (gables > 0) wall.openings.push(window_(id("window"), gables === 2 ? 37.25 : 28.25, 12, 3.5, 4));
    const at = (x: number, y: number) => pointOf([(left + x) * 0.3048, y * 0.3048]);
    const areas = [
        { id: id("bed"), kind: "mulch", outline: [at(-1, -4), at(door - 1, -4), at(door - 1, 0), at(-1, 0)] },
        {
            id: id("bed"),
            kind: "mulch",
            outline: [at(door + 4, -4), at(width + 1, -4), at(width + 1, 0), at(door + 4, 0)],
        },
        {
            id: id("walk"),
            kind: "paving",
            outline: [at(door - 0.5, -30), at(door + 3.5, -30), at(door + 3.5, 0), at(door - 0.5, 0)],
        },
    ];
    change("Put up a house front", draft => {
        draft.walls = [...(draft.walls ?? []), wall];
        draft.ground = { ...draft.ground, areas: [...(draft.ground?.areas ?? []), ...areas] };
        if (!draft.views?.length)
            draft.views = [
                {
                    id: "street",
                    eye: [...at(width / 2 + 3, -58), 5.5 * (unit() === "m" ? 0.3048 : 1)],
                    look_at: [...at(width / 2, 0), 9 * (unit() === "m" ? 0.3048 : 1)],
                    field_of_view: 52,
                },
            ] as Site["views"];
    });
    picked.value = [keyFor("wall", wall.id)];
    wall_shown.value = wall.id;
}

/** A part on the wall that is picked or shown, in its middle. */
export function addToWall(what: "gable" | "window" | "door" | "porch" | "chimney"): void {
    const found = wallAtHand();
    if (!found) return;
    const { wall, index } = found;
    const run = runOf(wall) / 0.3048;
    const eave = lengthOf(wall.height) / 0.3048;
    const middle = run / 2;
    const id = freeId(site.value, what);
    change(`Add a ${what}`, draft => {
        const owner = draft.walls?.[index] as Wall;
        if (what === "gable") {
            const width = Math.min(18, Math.round(run * 0.6));
            owner.gables = [
                ...(owner.gables ?? []),
                {
                    id,
                    from: feet(placeAmong(wall.gables ?? [], width, run)),
                    width: feet(width),
                    peak: feet(Math.round(eave + width * 0.6)),
                },
            ];
        } else if (what === "window" || what === "door") {
            const width = what === "window" ? 3.5 : 3;
            const low = (wall.openings ?? []).filter(opening => lengthOf(opening.sill) < 2);
            const from = placeAmong(low, width, run);
            const opening: Opening =
                what === "window"
                    ? window_(id, from, 3)
                    : {
                          id,
                          kind: "door",
                          from: feet(from),
                          width: feet(3),
                          sill: 0,
                          height: feet(7),
                          finish: "timber dark stain",
                      };
            owner.openings = [...(owner.openings ?? []), opening];
        } else {
            const size =
                what === "porch"
                    ? { width: 8, depth: 5, bottom: 8, height: 9 }
                    : { width: 4, depth: 2, bottom: 0, height: eave + 8 };
            // A porch shelters a door.
            const door =
                what === "porch" ? wall.openings?.find(opening => opening.kind === "door") : undefined;
            const centre = door ? (lengthOf(door.from) + lengthOf(door.width) / 2) / 0.3048 : middle;
            owner.projections = [
                ...(owner.projections ?? []),
                {
                    id,
                    kind: what === "porch" ? "bay" : "chimney",
                    from: feet(Math.max(0, centre - size.width / 2)),
                    width: feet(size.width),
                    depth: feet(size.depth),
                    ...(size.bottom ? { bottom: feet(size.bottom) } : {}),
                    height: feet(size.height),
                },
            ];
        }
    });
    const key = pickLast([
        "walls",
        index,
        what === "gable" ? "gables" : what === "window" || what === "door" ? "openings" : "projections",
    ]);
    wall_shown.value = wall.id;
    if (key) again.value = { key, words: what, does: () => addToWall(what) };
}

interface Span {
    from: unknown;
    width: unknown;
}

// Where something so wide stands best among others of its kind, in feet: in the middle of the widest gap. Where two
// would fit into that gap it leaves room for the second.
function placeAmong(others: Span[], width: number, run: number): number {
    const spans = others
        .map(({ from, width: wide }) => [lengthOf(from) / 0.3048, (lengthOf(from) + lengthOf(wide)) / 0.3048])
        .sort((a, b) => (a[0] as number) - (b[0] as number));
    let best = { from: 0, to: 0 };
    let from = 0;
    for (const [start, end] of [...spans, [run, run]] as [number, number][]) {
        if (start - from > best.to - best.from) best = { from, to: start };
        from = Math.max(from, end);
    }
    const room = best.to - best.from;
    const middle = best.from + (room > 2 * width + 6 ? room / 4 : room / 2);
    return Math.max(0, Math.round(2 * (middle - width / 2)) / 2);
}
