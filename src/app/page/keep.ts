// What the browser keeps: the document with its past, written without being asked, so that a killed tab comes
// back as it was. Tabs that hold the same document tell each other.

import { effect, signal } from "@preact/signals";
import { companions, in_hand, type Property, property, resume, site } from "./property.ts";
import type { Site } from "./site.ts";

interface Kept {
    property: Property;
    site: Site;
    companions: Map<string, Uint8Array>;
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

async function write(kept: Kept): Promise<void> {
    try {
        await withStore("readwrite", store => store.put(kept, "last"));
        keeping.value = "kept";
    } catch (fault) {
        keeping.value = (fault as DOMException)?.name === "QuotaExceededError" ? "full" : "unavailable";
    }
}

/** The document of the last visit, where there is one that was changed. */
export async function findKept(): Promise<Kept | undefined> {
    try {
        const kept = (await withStore("readonly", store => store.get("last"))) as Kept | undefined;
        return kept?.site && kept.property?.past ? kept : undefined;
    } catch {
        keeping.value = "unavailable";
        return undefined;
    }
}

export function resumeKept(kept: Kept): void {
    resume(kept.property, kept.site, kept.companions ?? new Map());
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

function watchOtherTabs(): void {
    if (typeof BroadcastChannel === "undefined") return;
    const channel = new BroadcastChannel("duskcast");
    const tab = String(Math.random());
    const others = new Set<string>();
    const say = (kind: "here" | "too" | "gone") =>
        channel.postMessage({ kind, tab, property: property.peek().id });
    channel.onmessage = event => {
        const {
            kind,
            tab: other,
            property: held,
        } = event.data as { kind: string; tab: string; property: string };
        if (kind === "gone" || held !== property.peek().id) others.delete(other);
        else {
            others.add(other);
            if (kind === "here") say("too");
        }
        is_elsewhere.value = others.size > 0;
    };
    let last = "";
    effect(() => {
        const { id } = property.value;
        if (id === last) return;
        last = id;
        others.clear();
        is_elsewhere.value = false;
        say("here");
    });
    addEventListener("pagehide", () => say("gone"));
}
