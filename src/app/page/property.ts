// The document: a site file with its past. Every change is a step that can be undone; a drag is one step.

import { computed, signal } from "@preact/signals";
import { expressOption, fixturesOf, option } from "./options.ts";
import { printSite, readSite, type Site } from "./site.ts";

interface Step {
    words: string;
    before: Site;
    after: Site;
}

export interface Property {
    id: string; // of this document among those the browser keeps
    file_name: string;
    text_on_disk: string; // as last opened or saved; "" when never
    past: Step[];
    future: Step[];
}

const most_steps = 300;

export const site = signal<Site>({ duskcast: 1 });
export const property = signal<Property>(makeProperty(""));
/** Files that belong to the site, by the name it calls them. */
export const companions = signal<Map<string, Uint8Array>>(new Map());
/** True while a hand holds something: its steps are joined, and slow answers wait. */
export const in_hand = signal(false);

export const site_text = computed(() => printSite(site.value));
export const is_unsaved = computed(() => site_text.value !== property.value.text_on_disk);
export const undo_words = computed(() => property.value.past.at(-1)?.words);
export const redo_words = computed(() => property.value.future.at(-1)?.words);

function makeProperty(text_on_disk: string, file_name = ""): Property {
    return {
        id: crypto.randomUUID?.() ?? String(Math.random()),
        file_name,
        text_on_disk,
        past: [],
        future: [],
    };
}

/** Opens a file's text. Throws what is wrong with it, and then nothing has changed. */
export function openText(text: string, file_name: string, files = new Map<string, Uint8Array>()): void {
    const opened = readSite(text);
    option.value = "";
    companions.value = files;
    property.value = makeProperty(printSite(opened), file_name);
    site.value = opened;
}

/** Takes up a document as it was left. */
export function resume(kept: Property, kept_site: Site, files: Map<string, Uint8Array>): void {
    companions.value = files;
    property.value = kept;
    site.value = kept_site;
}

let joined: string | undefined; // the words of the step that the hand is still making

/** Makes a step: `recipe` changes a copy of the site. Steps of the same words join while something is in hand. */
export function change(words: string, recipe: (draft: Site) => void): void {
    const before = site.value;
    const after = structuredClone(before);
    const id = option.peek();
    const variant = before.variants?.findIndex(candidate => candidate.id === id) ?? -1;
    if (variant >= 0) after.fixtures = structuredClone(fixturesOf(before, id));
    recipe(after);
    const kept = after.variants?.[variant];
    if (variant >= 0 && kept && after.variants) {
        after.variants[variant] = expressOption(before.fixtures ?? [], kept, after.fixtures ?? []);
        after.fixtures = before.fixtures;
    }
    if (printSite(after) === printSite(before)) return;
    const { past } = property.value;
    const last = past.at(-1);
    if (in_hand.value && last && joined === words) {
        const merged = { ...last, after };
        property.value = { ...property.value, past: [...past.slice(0, -1), merged], future: [] };
    } else {
        joined = words;
        const steps = [...past, { words, before, after }].slice(-most_steps);
        property.value = { ...property.value, past: steps, future: [] };
    }
    site.value = after;
}

export function takeInHand(): void {
    joined = undefined;
    in_hand.value = true;
}

export function letGo(): void {
    joined = undefined;
    in_hand.value = false;
}

/** Ends a drag as if it had not been. */
export function abandon(): void {
    if (in_hand.value && joined !== undefined) {
        const last = property.value.past.at(-1);
        if (last) {
            site.value = last.before;
            property.value = { ...property.value, past: property.value.past.slice(0, -1) };
        }
    }
    letGo();
}

export function undo(): void {
    const last = property.value.past.at(-1);
    if (!last) return;
    const { past, future } = property.value;
    property.value = { ...property.value, past: past.slice(0, -1), future: [...future, last] };
    site.value = last.before;
}

export function redo(): void {
    const next = property.value.future.at(-1);
    if (!next) return;
    const { past, future } = property.value;
    property.value = { ...property.value, past: [...past, next], future: future.slice(0, -1) };
    site.value = next.after;
}

/** Notes that the present text is the file's. */
export function noteSaved(file_name: string): void {
    property.value = { ...property.value, file_name, text_on_disk: site_text.value };
}
