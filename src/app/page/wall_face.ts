// Which wall its sheet shows, and which face of it.

import { computed, effect, signal, untracked } from "@preact/signals";
import type { Surface } from "../engine.ts";
import { scene } from "./light.ts";
import { runLength } from "./move.ts";
import { picked, states, things, wall_shown } from "./pick.ts";
import { makeSight } from "./sheet.tsx";

export const strip = 1.9; // metres of ground drawn before the wall
export const sight = makeSight();

export const upright = computed<Surface[]>(() =>
    (scene.value?.surfaces ?? []).filter(
        surface =>
            surface.run.length > 0 &&
            surface.outline.length > 0 &&
            surface.grid &&
            surface.kind !== "opening",
    ),
);

export const surface_shown = computed<Surface | undefined>(
    () =>
        upright.value.find(surface => surface.id === wall_shown.value) ??
        upright.value.find(surface => surface.kind === "wall") ??
        upright.value[0],
);

/** A run of several faces is shown face by face; -1: all of it. */
export const face_shown = signal(0);

/** The stretch of the run that the sheet shows. */
export function stretchShown(surface: Surface): [number, number] {
    const face = surface.run.length > 1 ? surface.run[face_shown.value] : undefined;
    return face ? [face.along, face.along + face.length] : [0, runLength(surface.run)];
}

/** Turns to the face that a fixture stands at. */
function faceFixture(id: string): void {
    const state = states.value.get(id);
    const run = surface_shown.value?.run ?? [];
    if (
        state?.along == null ||
        state.wall !== surface_shown.value?.id ||
        run.length < 2 ||
        face_shown.value < 0
    )
        return;
    const along = state.along;
    const face = run.findLastIndex(segment => along >= segment.along);
    if (face >= 0) face_shown.value = face;
}

effect(() => {
    const key = picked.value.at(-1);
    untracked(() => {
        const found = key && things.value.get(key);
        if (found?.schema === "fixture") faceFixture(found.thing.id);
    });
});
