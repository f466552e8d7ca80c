// The document: a site file with its past. Every change is a step that can be undone; a drag is one step.

import { batch, computed, signal } from "@preact/signals";
import { expressOption, fixturesOf, isIdle, option } from "./options.ts";
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

/** A page for a client: to be looked at, walked round and compared, never changed. */
export const is_client = signal(false);

// An option in which nothing differs yet is the design as drawn; a site file has no place for one.
export const site_text = computed(() => printSite(withoutIdle(site.value)));
/** The option as the engine knows it: "" where nothing differs in it. */
export function optionLit(id: string): string {
    const variant = site.value.variants?.find(candidate => candidate.id === id);
    return variant && !isIdle(variant) ? id : "";
}
function withoutIdle(whole: Site): Site {
    const kept = whole.variants?.filter(variant => !isIdle(variant));
    return kept && kept.length < (whole.variants?.length ?? 0) ? { ...whole, variants: kept } : whole;
}
export const property_id = computed(() => property.value.id);
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
    batch(() => {
        option.value = "";
        companions.value = files;
        property.value = makeProperty(printSite(opened), file_name);
        site.value = opened;
    });
}

/** Takes up a document as it was left. */
export function resume(kept: Property, kept_site: Site, files: Map<string, Uint8Array>): void {
    batch(() => {
        companions.value = files;
        property.value = kept;
        site.value = kept_site;
    });
}

function put(past: Step[], future: Step[], now: Site): void {
    batch(() => {
        property.value = { ...property.value, past, future };
        site.value = now;
    });
}

let is_joining = false; // the hand has begun a step that it is still making

/** Makes a step: `recipe` changes a copy of the site. While something is in hand all it does is one step. */
export function change(words: string, recipe: (draft: Site) => void): void {
    if (is_client.value) return;
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
    if (in_hand.value && last && is_joining) put([...past.slice(0, -1), { ...last, after }], [], after);
    else {
        is_joining = true;
        put([...past, { words, before, after }].slice(-most_steps), [], after);
    }
}

/** Puts a whole other site in the place of this one, as one step. */
export function replace(words: string, after: Site): void {
    const before = site.value;
    if (is_client.value || printSite(after) === printSite(before)) return;
    put([...property.value.past, { words, before, after }].slice(-most_steps), [], after);
}

export function takeInHand(): void {
    is_joining = false;
    in_hand.value = true;
}

export function letGo(): void {
    is_joining = false;
    in_hand.value = false;
}

/** All that `work` changes is one step. */
export function asOneStep(work: () => void): void {
    batch(() => {
        takeInHand();
        work();
        letGo();
    });
}

/** Ends a drag as if it had not been. */
export function abandon(): void {
    if (in_hand.value && is_joining) {
        const last = property.value.past.at(-1);
        if (last) {
            put(property.value.past.slice(0, -1), property.value.future, last.before);
        }
    }
    letGo();
}

export function undo(): void {
    const last = property.value.past.at(-1);
    if (!last) return;
    const { past, future } = property.value;
    put(past.slice(0, -1), [...future, last], last.before);
}

export function redo(): void {
    const next = property.value.future.at(-1);
    if (!next) return;
    const { past, future } = property.value;
    put([...past, next], future.slice(0, -1), next.after);
}

/** Notes that the present text is the file's. */
export function noteSaved(file_name: string): void {
    property.value = { ...property.value, file_name, text_on_disk: site_text.value };
}
