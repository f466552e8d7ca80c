// The document: a site file with its past. Every change is a step that can be undone; a drag is one step.

import { batch, computed, signal } from "@preact/signals";
import { expressOption, fixturesOf, isIdle, option } from "./options.ts";
import { printSite, readSite, type Site } from "./site.ts";

/** A price list as it stands among the companions. */
export interface PriceFile {
    name: string;
    bytes: Uint8Array;
}

interface Step {
    words: string;
    before: Site;
    after: Site;
    /** Where the prices changed. `is_brought`: the file came with the step, and goes with it. */
    list?: { before: PriceFile | undefined; after: PriceFile | undefined; is_brought: boolean };
}

export interface Property {
    id: string; // of this document among those the browser keeps
    file_name: string;
    text_on_disk: string; // as last opened or saved; "" when never
    list_on_disk?: Uint8Array | undefined; // the price list, in the same way
    past: Step[];
    future: Step[];
}

const most_steps = 300;

export const site = signal<Site>({ duskcast: 1 });
export const property = signal<Property>(makeProperty(""));
/** Files that belong to the site, by the name it calls them. */
export const companions = signal<Map<string, Uint8Array>>(new Map());
/** The price list among the companions that load and options are priced with. */
export const price_list = signal<string | undefined>();

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
/** The price list that is in use, as it stands. */
export const price_file = computed((): PriceFile | undefined => {
    const name = price_list.value;
    const bytes = name === undefined ? undefined : companions.value.get(name);
    return name !== undefined && bytes ? { name, bytes } : undefined;
});
/** A list as the engine is told of it; nothing where there is none. */
export function textOfList(list: PriceFile | undefined): { file?: string; text?: string } {
    return list ? { file: list.name, text: new TextDecoder().decode(list.bytes) } : {};
}
export const is_list = (name: string) => name.toLowerCase().endsWith(".csv");
export const are_prices_unsaved = computed(() => price_file.value?.bytes !== property.value.list_on_disk);
export const is_unsaved = computed(
    () => site_text.value !== property.value.text_on_disk || are_prices_unsaved.value,
);
export const undo_words = computed(() => property.value.past.at(-1)?.words);
export const redo_words = computed(() => property.value.future.at(-1)?.words);

function makeProperty(text_on_disk: string, file_name = "", list_on_disk?: Uint8Array): Property {
    return {
        id: crypto.randomUUID?.() ?? String(Math.random()),
        file_name,
        text_on_disk,
        list_on_disk,
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
        price_list.value = findList(files);
        property.value = makeProperty(printSite(opened), file_name, price_file.peek()?.bytes);
        site.value = opened;
    });
}

/** The price list that comes with a site: the first of them. */
function findList(files: Map<string, Uint8Array>): string | undefined {
    return [...files.keys()].find(is_list);
}

/** Takes up a document as it was left. */
export function resume(
    kept: Property,
    kept_site: Site,
    files: Map<string, Uint8Array>,
    list: string | undefined,
): void {
    batch(() => {
        companions.value = files;
        price_list.value = list;
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

/** Prices anew, as one step: the list in use becomes this one. */
export function changePrices(words: string, after: PriceFile | undefined): void {
    const before = price_file.value;
    if (is_client.value || (before?.name === after?.name && before?.bytes === after?.bytes)) return;
    const is_brought = after !== undefined && !companions.value.has(after.name);
    const step = { words, before: site.value, after: site.value, list: { before, after, is_brought } };
    batch(() => {
        putPrices(after);
        put([...property.value.past, step].slice(-most_steps), [], site.value);
    });
}

function putPrices(file: PriceFile | undefined, gone?: string): void {
    const files = new Map(companions.value);
    if (gone !== undefined && gone !== file?.name) files.delete(gone);
    if (file) files.set(file.name, file.bytes);
    companions.value = files;
    price_list.value = file?.name;
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
    batch(() => {
        if (last.list) putPrices(last.list.before, last.list.is_brought ? last.list.after?.name : undefined);
        put(past.slice(0, -1), [...future, last], last.before);
    });
}

export function redo(): void {
    const next = property.value.future.at(-1);
    if (!next) return;
    const { past, future } = property.value;
    batch(() => {
        if (next.list) putPrices(next.list.after);
        put([...past, next], future.slice(0, -1), next.after);
    });
}

/** Notes that the present text is the file's, and that the prices are saved too where they went with it. */
export function noteSaved(file_name: string, are_prices_saved = false): void {
    property.value = { ...property.value, file_name, text_on_disk: site_text.value };
    if (are_prices_saved) notePricesSaved();
}
export function notePricesSaved(): void {
    property.value = { ...property.value, list_on_disk: price_file.value?.bytes };
}
