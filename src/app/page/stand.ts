// Where one stands in the walk, what one looks at, and how it is shown.

import { signal } from "@preact/signals";
import { readAngle } from "./length.ts";
import { scene } from "./light.ts";
import { lengthOf } from "./move.ts";
import { site } from "./property.ts";
import type { View } from "./site.ts";
import type { Look, WalkScene } from "./walk_scene.ts";

export const look = signal<Look>("night");
export const are_marks_shown = signal(true);
/** Id of the view that the walk stands at; "" where one has walked on. */
export const view_shown = signal<string | undefined>(undefined);

export interface Stand {
    target: [number, number, number];
    azimuth: number; // where the eye looks to, clockwise from north
    pitch: number; // upwards
    distance: number;
    field_of_view: number;
    ground: number; // height of the ground under the eye
}

// Until somebody walks on, the walk stands where the view, or the whole front, is well seen.
export let has_walked = false;
export const stand = signal<Stand>({
    target: [6, 0, 3],
    azimuth: 0,
    pitch: -0.05,
    distance: 20,
    field_of_view: 50,
    ground: 0,
});
const eye_height = 1.6;

let groundBelow = (_x: number, _y: number): number => 0;
/** Who knows how high the ground is that one walks on. */
export function walkOver(ground: (x: number, y: number) => number): void {
    groundBelow = ground;
}

function eyeOf({ target, azimuth, pitch, distance, ground }: Stand): [number, number, number] {
    const level = distance * Math.cos(pitch);
    return [
        target[0] - Math.sin(azimuth) * level,
        target[1] - Math.cos(azimuth) * level,
        Math.max(ground + 0.4, target[2] - Math.sin(pitch) * distance),
    ];
}

function standFrom(
    eye: [number, number, number],
    target: [number, number, number],
    field_of_view: number,
): Stand {
    const [dx, dy, dz] = [target[0] - eye[0], target[1] - eye[1], target[2] - eye[2]];
    const level = Math.hypot(dx, dy);
    return {
        target,
        azimuth: Math.atan2(dx, dy),
        pitch: Math.atan2(dz, level),
        distance: Math.hypot(level, dz),
        field_of_view,
        ground: groundBelow(eye[0], eye[1]),
    };
}

/** Goes to a view of the site, or to where the whole front is seen. */
export function goTo(id: string): void {
    const view = site.value.views?.find(candidate => candidate.id === id);
    stand.value = view ? standOfView(view) : standBefore();
    view_shown.value = view ? id : "";
    has_walked = false;
}

/** For another property: stand where it is well seen as soon as it is there. */
export function walkAnew(): void {
    view_shown.value = undefined;
    has_walked = false;
}

function standOfView(view: View): Stand {
    const place = (value: unknown[]) => value.map(part => lengthOf(part)) as [number, number, number];
    return standFrom(place(view.eye), place(view.look_at), readAngle(view.field_of_view) ?? 50);
}

// In front of the first wall, far enough off to see all of it; else south of everything.
function standBefore(): Stand {
    const now = scene.value;
    if (!now) return stand.value;
    const { least, most } = now.bounds;
    const middle: [number, number, number] = [
        (least[0] + most[0]) / 2,
        (least[1] + most[1]) / 2,
        Math.max(1.5, most[2] * 0.36),
    ];
    const wide = Math.max(4, most[0] - least[0], most[1] - least[1], (most[2] - least[2]) * 1.4);
    const run = now.surfaces.find(surface => surface.kind === "wall")?.run[0];
    const [ox, oy] = run?.outward ?? [0, -1];
    const far = wide * 1.15 + 4;
    const [x, y] = [middle[0] + ox * far, middle[1] + oy * far];
    return standFrom([x, y, groundBelow(x, y) + eye_height], middle, 50);
}

export function applyStand(made: WalkScene, now: Stand): void {
    const eye = eyeOf(now);
    made.camera.position.set(...eye);
    made.camera.lookAt(...now.target);
    made.setFieldOfView(now.field_of_view);
}

export function walkOn(recipe: (now: Stand) => Stand): void {
    const next = recipe(stand.value);
    // Who walks up a slope rises with it, and looks as before.
    const [x, y] = eyeOf(next);
    const ground = groundBelow(x, y);
    const [east, north, up] = next.target;
    stand.value = { ...next, ground, target: [east, north, up + ground - next.ground] };
    view_shown.value = "";
    has_walked = true;
}

/** Walks by keys: forward and back, to the sides, and turns. */
export function walkByKey(key: string): boolean {
    const turned = (by: number) => walkOn(now => ({ ...now, azimuth: now.azimuth + by }));
    const near = (by: number) =>
        walkOn(now => ({ ...now, distance: Math.min(150, Math.max(1.5, now.distance * by)) }));
    const raise = (by: number) =>
        walkOn(now => ({ ...now, pitch: Math.min(0.5, Math.max(-1.45, now.pitch + by)) }));
    if (key === "a") turned(0.08);
    else if (key === "d") turned(-0.08);
    else if (key === "w") near(0.92);
    else if (key === "s") near(1.087);
    else if (key === "q" || key === "e") walkOn(now => panned(now, key === "q" ? 40 : -40, 0, 600));
    else if (key === "r" || key === "f") raise(key === "r" ? 0.04 : -0.04);
    else return false;
    return true;
}

export function panned(now: Stand, dx: number, dy: number, height: number): Stand {
    const metres =
        (2 * now.distance * Math.tan((now.field_of_view * Math.PI) / 360)) / Math.max(1, height) / 1.4;
    const [east, north] = [Math.cos(now.azimuth), -Math.sin(now.azimuth)];
    return {
        ...now,
        target: [
            now.target[0] - east * dx * metres,
            now.target[1] - north * dx * metres,
            Math.max(0, now.target[2] + dy * metres),
        ],
    };
}

// Lamps of several colours are shown in one, weighted by their light.
