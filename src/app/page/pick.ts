// What is picked: one selection for the walk, the photo, the wall and the plan.

import { computed, signal } from "@preact/signals";
import type { FixtureState } from "../engine.ts";
import { changed } from "./light.ts";
import { fixturesOf, nowCalled, option } from "./options.ts";
import { site } from "./property.ts";
import { type Fixture, type Found, findSingle, findThings, type Key, keyFor, keyOf } from "./site.ts";
import { plainly } from "./words.ts";

export const picked = signal<Key[]>([]);
/** The wall, or part of one, that the wall's sheet shows. */
export const wall_shown = signal("");

export const things = computed<Map<Key, Found>>(() => {
    const found = new Map<Key, Found>();
    const with_option = option.value
        ? { ...site.value, fixtures: fixturesOf(site.value, option.value) }
        : site.value;
    for (const one of [...findThings(with_option), ...findSingle(site.value)]) found.set(keyOf(one), one);
    return found;
});

export function photoKey(id = ""): Key {
    return keyFor("photo", id);
}
export function fixtureKey(id: string): Key {
    return keyFor("fixture", id);
}
/** A fixture as it is called now in the option being worked on. */
export function findFixture(id: string): Fixture | undefined {
    return things.value.get(fixtureKey(nowCalled(id)))?.thing as Fixture | undefined;
}

// What the engine tells of by its id alone; no two of these have the same.
const lit = [
    "wall",
    "opening",
    "projection",
    "area",
    "tree",
    "shrub",
    "mesh",
    "roof",
    "chimney",
    "dormer",
    "steps",
    "railing",
    "fountain",
    "lantern",
];
export const isLit = (schema: string) => lit.includes(schema);
/** The thing whose surface has this id. */
export function keyOfSurface(id: string): Key | undefined {
    return lit.map(schema => keyFor(schema, id)).find(key => things.value.has(key));
}

export const states = computed<Map<string, FixtureState>>(
    () => new Map((changed.value?.fixtures ?? []).map(state => [state.id, state])),
);

/** Those of the selection that are still there. */
export const chosen = computed<Found[]>(() =>
    picked.value
        .map(key => {
            const found = things.value.get(key);
            if (found) return found;
            // A fixture may have got another id in an option.
            return things.value.get(
                key.replace(/^fixture (.*)/, (_, id) => fixtureKey(nowCalled(id))) as Key,
            );
        })
        .filter(found => found !== undefined),
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

export function pick(key: Key, is_added = false): void {
    if (!is_added) picked.value = [key];
    else if (picked.value.includes(key)) picked.value = picked.value.filter(other => other !== key);
    else picked.value = [...picked.value, key];
    const found = things.value.get(key);
    if (found?.schema === "wall") wall_shown.value = found.thing.id;
    if (found?.wall) wall_shown.value = found.wall.id;
    if (found?.schema === "fixture" && typeof found.thing.wall === "string")
        wall_shown.value = found.thing.wall;
}

/** The fixture picked last, where that is one. */
export const fixture_picked = computed<FixtureState | undefined>(() => {
    const last = picked.value.at(-1);
    return changed.value?.fixtures.find(state => fixtureKey(state.id) === last);
});

export function pickNothing(): void {
    if (picked.value.length) picked.value = [];
}
