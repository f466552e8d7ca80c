// What a thing or a part of one begins as when it is added: ordinary sizes, all that its kind asks for.

import { printLength } from "./length.ts";
import { lengthOf, pickLast, pointOf, runLength, type Spot, spotAtRun, unit, wallSurface } from "./move.ts";
import { chosen_last, wall_shown } from "./pick.ts";
import { change, site } from "./property.ts";
import { freeId, type Place, type Site, type Thing, type Wall } from "./site.ts";
import { again } from "./tool.ts";

/** A length given in feet, as the property writes lengths. */
export function feet(value: number): string {
    return printLength(value * 0.3048, unit(), unit() === "m" ? 0.01 : 0.0254);
}

/** The wall that is picked or shown, else the first. */
export function wallAtHand(): { wall: Wall; index: number } | undefined {
    const last = chosen_last.value;
    const id = last?.wall?.id ?? (last?.schema === "wall" ? last.thing.id : wall_shown.value);
    const walls = site.value.walls ?? [];
    const index = Math.max(
        0,
        walls.findIndex(wall => wall.id === id),
    );
    const wall = walls[index];
    return wall && { wall, index };
}

/** What an object within a thing begins as, by its kind. */
export function begin(object: string): Record<string, unknown> {
    switch (object) {
        case "eave":
            return { depth: feet(1.5) };
        case "glow":
            return { lumens: 300, cct: 2700 };
        case "house_number":
            return { text: "12", along: feet(3), up: feet(5) };
        case "growth":
            return { height: feet(1), width: feet(0.75) };
        case "opening":
            return { id: "pane", from: feet(1), width: feet(3), sill: feet(1), height: feet(3) };
        case "columns":
            return { count: 2 };
        case "rim":
            return { diameter: feet(0.5), distance: feet(0.05) };
        case "louvre":
            return { cell: feet(0.05), depth: feet(0.025) };
        case "photo_sun":
            return { azimuth: 180, elevation: 45 };
        default:
            return {};
    }
}

/** A spot so many feet before the wall at hand, beside its door where it has one; without walls the plan's origin. */
function spotBefore(out: number, aside = 0): Spot {
    const wall = wallAtHand()?.wall;
    const run = wall && wallSurface(wall.id)?.run;
    if (!wall || !run) return [aside * 0.3048, -out * 0.3048];
    return spotAtRun(run, middleOf(wall) + aside * 0.3048, out * 0.3048);
}

// Along a wall: the middle of its door, else its own.
function middleOf(wall: Wall): number {
    const door = wall.openings?.find(opening => opening.kind === "door");
    if (door) return lengthOf(door.from) + lengthOf(door.width) / 2;
    return runLength(wallSurface(wall.id)?.run ?? []) / 2;
}

export interface Kind {
    words: string;
    /** What ids of such things begin with. */
    stem: string;
    path: Place;
    needs?: "wall" | "roof" | "network";
    make(wall: Wall | undefined): Record<string, unknown>;
}

const at = (spot: Spot, up?: number) => [...pointOf(spot), ...(up === undefined ? [] : [feet(up)])];

/** What one press adds where it is likely to be wanted; it is moved and changed from there. */
export const kinds: Record<string, Kind> = {
    roof: {
        words: "Roof",
        stem: "roof",
        path: ["roofs"],
        needs: "wall",
        make: wall => ({
            wall: wall?.id,
            ...(wall && !wall.closed && wall.path.length === 2 ? { depth: feet(28) } : {}),
        }),
    },
    porch_roof: {
        words: "Porch on columns",
        stem: "porch",
        path: ["roofs"],
        needs: "wall",
        make: () => ({
            form: "shed",
            outline: [
                at(spotBefore(6, -5)),
                at(spotBefore(6, 5)),
                at(spotBefore(0, 5)),
                at(spotBefore(0, -5)),
            ],
            height: feet(8.5),
            slope: 2,
            columns: begin("columns"),
        }),
    },
    chimney: {
        words: "Chimney on the roof",
        stem: "chimney",
        path: ["chimneys"],
        needs: "roof",
        make: () => ({ at: at(spotBefore(-12, 8)), width: feet(3), depth: feet(2) }),
    },
    dormer: {
        words: "Dormer",
        stem: "dormer",
        path: ["dormers"],
        needs: "roof",
        make: () => ({ from: feet(6), width: feet(5) }),
    },
    steps: {
        words: "Steps",
        stem: "steps",
        path: ["steps"],
        make: wall => ({
            ...(wall
                ? { wall: wall.id, along: printLength(middleOf(wall), unit()) }
                : { at: at(spotBefore(10)), facing: 180 }),
            width: feet(5),
            height: feet(14 / 12),
        }),
    },
    railing: {
        words: "Railing",
        stem: "railing",
        path: ["railings"],
        make: () => ({ path: [at(spotBefore(8, 4)), at(spotBefore(8, 12))] }),
    },
    fountain: {
        words: "Fountain",
        stem: "fountain",
        path: ["fountains"],
        make: () => ({
            at: at(spotBefore(25, -12)),
            bowls: 2,
            jet: feet(0.75),
            glow: { lumens: 90, cct: 3000 },
        }),
    },
    lantern: {
        words: "Wall lantern",
        stem: "lantern",
        path: ["lanterns"],
        needs: "wall",
        make: wall => ({
            form: "cylinder",
            wall: wall?.id,
            along: printLength(wall ? middleOf(wall) + 2.5 * 0.3048 : 0, unit()),
            up: feet(6),
            width: feet(0.5),
            height: feet(1),
            glow: { lumens: 450, cct: 2700 },
        }),
    },
    lamp_post: {
        words: "Lamp post",
        stem: "lamp-post",
        path: ["lanterns"],
        make: () => ({
            at: at(spotBefore(20, 6), 7),
            width: feet(0.75),
            glow: { lumens: 600, cct: 2700 },
            pole: {},
        }),
    },
    target: {
        words: "Target to light",
        stem: "target",
        path: ["targets"],
        needs: "wall",
        make: wall => ({ on: wall?.id }),
    },
    view: {
        words: "View to look from",
        stem: "view",
        path: ["views"],
        make: () => ({ eye: at(spotBefore(50), 5.5), look_at: at(spotBefore(0), 8), field_of_view: 50 }),
    },
    watch_point: {
        words: "Neighbour’s window",
        stem: "neighbour",
        path: ["watch_points"],
        make: () => ({ at: at(spotBefore(60), 5), facing: 0 }),
    },
    eye: {
        words: "Somebody’s eyes",
        stem: "eye",
        path: ["eyes"],
        make: () => ({ at: at(spotBefore(30), 5.5) }),
    },
    hub: {
        words: "Hub of cables",
        stem: "hub",
        path: ["network", "hubs"],
        needs: "network",
        make: () => ({ at: at(spotBefore(6, -6)) }),
    },
};

/** The roof that is picked, else the last. */
function roofAtHand(): number {
    const last = chosen_last.value;
    const id = last?.schema === "roof" ? last.thing.id : last?.owner?.thing.id;
    const roofs = site.value.roofs ?? [];
    const index = roofs.findIndex(roof => roof.id === id);
    return index >= 0 ? index : roofs.length - 1;
}

/** Whether what a kind stands on is there. */
export function canAdd(kind: Kind): boolean {
    if (kind.needs === "wall") return (site.value.walls ?? []).length > 0;
    if (kind.needs === "roof") return (site.value.roofs ?? []).length > 0;
    if (kind.needs === "network") return site.value.network !== undefined;
    return true;
}

/** Adds a thing of a kind and picks it. */
export function addKind(name: string): void {
    const kind = kinds[name];
    if (!kind || !canAdd(kind)) return;
    const id = freeId(site.value, kind.stem);
    const thing: Thing = { id, ...kind.make(wallAtHand()?.wall) };
    const roof = kind.needs === "roof" ? roofAtHand() : -1;
    const path = roof >= 0 ? ["roofs", roof, ...kind.path] : kind.path;
    const words = kind.words.charAt(0).toLowerCase() + kind.words.slice(1);
    change(`Add a ${words}`, draft => putAt(draft, path, thing));
    const key = pickLast(path);
    if (key) again.value = { key, words, does: () => addKind(name) };
}

// Into a list that may not be there yet, of a thing that is.
function putAt(draft: Site, path: Place, thing: Thing): void {
    let holder: Record<string | number, unknown> = draft;
    for (const key of path.slice(0, -1)) {
        holder[key] ??= {};
        holder = holder[key] as Record<string | number, unknown>;
    }
    const key = path.at(-1) as string;
    holder[key] = [...((holder[key] as Thing[] | undefined) ?? []), thing];
}
