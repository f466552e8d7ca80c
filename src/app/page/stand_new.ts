// A new fixture: at the wall or the tree that is near, else where it was put.

import { printLength } from "./length.ts";
import { scene } from "./light.ts";
import { placeAtRun, pointOf, put, rounded, type Spot, unit } from "./move.ts";
import { fixtureKey, picked, wall_shown } from "./pick.ts";
import { change, site } from "./property.ts";
import { type Fixture, freeId, type Thing } from "./site.ts";

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
    picked.value = [fixtureKey(id)];
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
