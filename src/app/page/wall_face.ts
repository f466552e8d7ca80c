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

const face_asked = signal<number>();

/** A run of several faces is shown face by face; -1: all of it. */
export const face_shown = computed(() => face_asked.value ?? 0);

/** Shows a face of the run, or without a number the one that most lights stand at. */
export function showFace(face?: number): void {
    face_asked.value = face;
}

/** For another property: its sheet opens on the wall, and the face of it, that most lights stand at. */
export function faceAnew(): void {
    wall_shown.value = "";
    showFace();
}

/** What is named most often; the first of those that are. */
function findMost<T>(named: Iterable<T>): T | undefined {
    const counts = new Map<T, number>();
    for (const one of named) counts.set(one, (counts.get(one) ?? 0) + 1);
    return [...counts].reduce<[T | undefined, number]>(
        (most, now) => (now[1] > most[1] ? now : most),
        [undefined, 0],
    )[0];
}

function faceAt(run: Surface["run"], along: number): number {
    return Math.max(
        0,
        run.findLastIndex(segment => along >= segment.along),
    );
}

// Chosen once: a sheet that turned by itself while lights are moved would be lost sight of.
effect(() => {
    const standing = [...states.value.values()].filter(state => state.along != null);
    if (face_asked.value !== undefined || !surface_shown.value || !standing.length) return;
    if (!wall_shown.value) wall_shown.value = findMost(standing.map(state => state.wall)) ?? "";
    const { id, run } = surface_shown.value;
    const at = standing.flatMap(state => (state.wall === id ? (state.along ?? []) : []));
    face_asked.value = findMost(at.map(along => faceAt(run, along))) ?? 0;
});

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
    showFace(faceAt(run, state.along));
}

effect(() => {
    const key = picked.value.at(-1);
    untracked(() => {
        const found = key && things.value.get(key);
        if (found?.schema === "fixture") faceFixture(found.thing.id);
    });
});
