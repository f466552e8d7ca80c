// What is picked: one selection for the walk, the wall and the plan. A thing is its id; a part of a wall is
// "WALL.PART", one of a roof "ROOF.PART", and a photo "photo PHOTO".

import { computed, signal } from "@preact/signals";
import type { FixtureState } from "../engine.ts";
import { changed } from "./light.ts";
import { fixturesOf, nowCalled, option } from "./options.ts";
import { site } from "./property.ts";
import { type Found, findSingle, findThings } from "./site.ts";
import { plainly } from "./words.ts";

export const picked = signal<string[]>([]);
/** The wall, or part of one, that the wall's sheet shows. */
export const wall_shown = signal("");

export const things = computed<Map<string, Found>>(() => {
    const found = new Map<string, Found>();
    const with_option = option.value
        ? { ...site.value, fixtures: fixturesOf(site.value, option.value) }
        : site.value;
    for (const one of findThings(with_option)) {
        const key = keyOf(one);
        // A view may be called as a lantern is: both are in the list.
        const namesake = found.get(key);
        if (namesake) found.set(`${namesake.schema} ${key}`, namesake);
        found.set(key, one);
    }
    for (const one of findSingle(site.value)) found.set(one.thing.id, one);
    return found;
});

// A photo may have the name of a wall or a view.
export function keyOf(one: Found): string {
    if (one.schema === "photo") return photoKey(one.thing.id);
    return one.owner ? `${keyOf(one.owner)}.${one.thing.id}` : one.thing.id;
}
export function photoKey(id: string): string {
    return `photo ${id}`;
}

export const states = computed<Map<string, FixtureState>>(
    () => new Map((changed.value?.fixtures ?? []).map(state => [state.id, state])),
);

/** Those of the selection that are still there. */
export const chosen = computed<Found[]>(() =>
    picked.value.map(id => things.value.get(nowCalled(id))).filter(found => found !== undefined),
);
export const chosen_fixtures = computed(() => chosen.value.filter(found => found.schema === "fixture"));
/** The one thing picked last, when there is any. */
export const chosen_last = computed(() => chosen.value.at(-1));

/** A sentence of the engine with the things of the property called as people do. */
export function inWords(sentence: string): string {
    return plainly(
        sentence,
        [...things.value.values()].map(found => found.thing.id),
    );
}

export function pick(id: string, is_added = false): void {
    if (!is_added) picked.value = [id];
    else if (picked.value.includes(id)) picked.value = picked.value.filter(other => other !== id);
    else picked.value = [...picked.value, id];
    const found = things.value.get(id);
    if (found?.schema === "wall") wall_shown.value = id;
    if (found?.wall) wall_shown.value = found.wall.id;
    if (found?.schema === "fixture" && typeof found.thing.wall === "string")
        wall_shown.value = found.thing.wall;
}

export function pickNothing(): void {
    if (picked.value.length) picked.value = [];
}
