// What the browser keeps: the document with its past, written without being asked, so that a killed tab comes
// back as it was. Tabs that hold the same document tell each other.

import { effect, signal } from "@preact/signals";
import {
    companions,
    in_hand,
    type Property,
    price_list,
    property,
    property_id,
    resume,
    site,
} from "./property.ts";
import type { Site } from "./site.ts";

interface Kept {
    property: Property;
    site: Site;
    companions: Map<string, Uint8Array>;
    price_list?: string | undefined;
    written: number;
}

export type Keeping = "kept" | "writing" | "full" | "unavailable";
export const keeping = signal<Keeping>("kept");
/** Whether another tab holds this document too. */
export const is_elsewhere = signal(false);

const store_name = "properties";

function openStore(): Promise<IDBDatabase> {
    return new Promise((resolve, reject) => {
        const request = indexedDB.open("duskcast", 1);
        request.onupgradeneeded = () => request.result.createObjectStore(store_name);
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
        request.onblocked = () => reject(new Error("blocked"));
    });
}

async function withStore<Result>(
    mode: IDBTransactionMode,
    ask: (store: IDBObjectStore) => IDBRequest<Result>,
): Promise<Result> {
    const database = await openStore();
    try {
        return await new Promise<Result>((resolve, reject) => {
            const transaction = database.transaction(store_name, mode);
            const request = ask(transaction.objectStore(store_name));
            transaction.oncomplete = () => resolve(request.result);
            transaction.onerror = () => reject(transaction.error);
            transaction.onabort = () => reject(transaction.error);
        });
    } finally {
        database.close();
    }
}

/** As it lies in the store: files stand beside it, so that a photo is not written anew with every change. */
type Laid = Omit<Kept, "companions"> & { companions?: Map<string, Uint8Array>; files?: Map<string, string> };

const file_stem = "file ";
const keys = new WeakMap<Uint8Array, string>();

/** Under which key a file's bytes are kept. Who holds a file never changes its bytes, but takes another array. */
function keyOf(bytes: Uint8Array): string {
    const known = keys.get(bytes);
    if (known) return known;
    const made = `${file_stem}${crypto.randomUUID?.() ?? Math.random()}`;
    keys.set(bytes, made);
    return made;
}

/** Puts the document down with the files that are not there yet, and takes away those that nothing names any more:
 *  another tab may have done the same with its own. */
function lay(
    store: IDBObjectStore,
    { companions, ...kept }: Kept,
    refuse: (reason: unknown) => void,
): IDBRequest {
    const held = new Map([...companions.values()].map(bytes => [keyOf(bytes), bytes]));
    const asked = store.getAllKeys();
    asked.onsuccess = () => {
        const there = asked.result.map(String).filter(key => key.startsWith(file_stem));
        try {
            for (const key of there) if (!held.has(key)) store.delete(key);
            for (const [key, bytes] of held) if (!there.includes(key)) store.put(bytes, key);
            const files = new Map([...companions].map(([name, bytes]) => [name, keyOf(bytes)]));
            store.put({ ...kept, files } satisfies Laid, "last");
        } catch (reason) {
            refuse(reason);
            store.transaction.abort();
        }
    };
    return asked;
}

async function pickUp(): Promise<Kept | undefined> {
    const laid = (await withStore("readonly", store => store.get("last"))) as Laid | undefined;
    if (!laid) return undefined;
    const { files, companions = new Map<string, Uint8Array>(), ...kept } = laid;
    for (const [name, key] of files ?? []) {
        const bytes = (await withStore("readonly", store => store.get(key))) as Uint8Array | undefined;
        if (!bytes) continue;
        keys.set(bytes, key);
        companions.set(name, bytes);
    }
    return { ...kept, companions };
}

async function write(kept: Kept): Promise<void> {
    let refusal: unknown;
    try {
        await withStore("readwrite", store =>
            lay(store, kept, reason => {
                refusal = reason;
            }),
        );
        keeping.value = "kept";
    } catch (fault) {
        keeping.value =
            ((refusal ?? fault) as DOMException)?.name === "QuotaExceededError" ? "full" : "unavailable";
    }
}

/** The document of the last visit, where there is one that was changed. */
export async function findKept(): Promise<Kept | undefined> {
    try {
        const kept = await pickUp();
        return kept?.site && kept.property?.past ? kept : undefined;
    } catch {
        keeping.value = "unavailable";
        return undefined;
    }
}

export function resumeKept(kept: Kept): void {
    resume(kept.property, kept.site, kept.companions ?? new Map(), kept.price_list);
}

/** From now on every change is kept, soon after it was made. Pages that only show keep nothing. */
export function keepFromNow(wait_ms = 250): void {
    let timer: ReturnType<typeof setTimeout> | undefined;
    let is_first = true;
    effect(() => {
        const kept = {
            property: property.value,
            site: site.value,
            companions: companions.value,
            price_list: price_list.value,
            written: Date.now(),
        };
        if (is_first) {
            is_first = false;
            return;
        }
        if (keeping.peek() === "kept") keeping.value = "writing";
        clearTimeout(timer);
        timer = setTimeout(() => void write(kept), in_hand.peek() ? 4 * wait_ms : wait_ms);
    });
    watchOtherTabs();
}

const beat_ms = 2500;
const silence_ms = 10000; // after so long a tab is taken for gone

type Tabs = Record<string, { property: string; at: number }>;

// Tabs sign in the store: pages opened from files share no channel, and hear no events of each other.
function watchOtherTabs(): void {
    const tab = String(Math.random());
    const sign = async (is_here: boolean) => {
        const now = Date.now();
        try {
            const tabs =
                ((await withStore("readonly", store => store.get("tabs"))) as Tabs | undefined) ?? {};
            const alive = Object.entries(tabs).filter(
                ([other, { at }]) => other !== tab && now - at < silence_ms,
            );
            const own: [string, Tabs[string]][] = is_here
                ? [[tab, { property: property_id.peek(), at: now }]]
                : [];
            await withStore("readwrite", store => store.put(Object.fromEntries([...alive, ...own]), "tabs"));
            is_elsewhere.value = alive.some(([, other]) => other.property === property_id.peek());
        } catch {
            // Without a store there is nothing that two tabs could spoil for each other.
        }
    };
    effect(() => {
        property_id.value;
        void sign(true);
    });
    setInterval(() => void sign(true), beat_ms);
    addEventListener("visibilitychange", () => void sign(true));
    addEventListener("pagehide", () => void sign(false));
}
