// Whose papers they are: the business file, which this browser keeps for every property.

import { signal } from "@preact/signals";

export type Business = Record<string, string | number>;

const kept_name = "duskcast-business";
const kept_logo = "duskcast-logo";

function recall<Value>(name: string, usual: Value): Value {
    try {
        return (JSON.parse(localStorage.getItem(name) ?? "null") as Value | null) ?? usual;
    } catch {
        return usual;
    }
}

function keep(name: string, value: unknown): void {
    try {
        localStorage.setItem(name, JSON.stringify(value));
    } catch {
        // A browser that keeps nothing is told all of it again next time.
    }
}

/** The keys of a business file, but for its version and the logo. */
export const business = signal<Business>(recall<Business>(kept_name, {}));
/** A picture as a data URL; empty: none. */
export const logo = signal<string>(recall(kept_logo, ""));

const most_logo = 1_000_000; // bytes; the browser's store is small

export function setBusiness(key: string, value: string | number | undefined): void {
    const next = { ...business.value };
    if (value === undefined || value === "") delete next[key];
    else next[key] = value;
    business.value = next;
    keep(kept_name, next);
}

/** Takes a business file and, or, a logo; a sentence comes back where one will not do. */
export async function takeBusiness(files: File[]): Promise<string | undefined> {
    for (const file of files) {
        if (/^image\//.test(file.type)) {
            if (file.size > most_logo) return `${file.name} is too large for a logo: take one under 1 MB.`;
            logo.value = await readAsUrl(file);
            keep(kept_logo, logo.value);
            continue;
        }
        let read: unknown;
        try {
            read = JSON.parse(await file.text());
        } catch {
            return `${file.name} is no business file.`;
        }
        if (typeof read !== "object" || read === null || !("duskcast_business" in read))
            return `${file.name} is no business file: it lacks "duskcast_business".`;
        const taken: Business = {};
        for (const [key, value] of Object.entries(read))
            if (!/^(\$schema|duskcast_business|logo)$/.test(key) && /string|number/.test(typeof value))
                taken[key] = value as string | number;
        business.value = taken;
        keep(kept_name, taken);
        if ("logo" in read && typeof read.logo === "string" && !logo.value)
            return `Take its logo, ${read.logo}, too.`;
    }
    return undefined;
}

function readAsUrl(file: File): Promise<string> {
    return new Promise((resolve, reject) => {
        const reader = new FileReader();
        reader.onload = () => resolve(reader.result as string);
        reader.onerror = () => reject(reader.error);
        reader.readAsDataURL(file);
    });
}

export function dropLogo(): void {
    logo.value = "";
    keep(kept_logo, "");
}

/** The business file as the engine reads it, with the picture that it names; no text: nothing was said yet. */
export function printBusiness(): { text: string; files: Map<string, Uint8Array> } {
    const files = new Map<string, Uint8Array>();
    const whole: Record<string, unknown> = { duskcast_business: 1, ...business.value };
    const [head, letters] = logo.value.split(",");
    if (head && letters) {
        const name = `own-logo.${/image\/(\w+)/.exec(head)?.[1] ?? "png"}`;
        files.set(
            name,
            Uint8Array.from(atob(letters), letter => letter.charCodeAt(0)),
        );
        whole.logo = name;
    }
    const is_empty = Object.keys(business.value).length === 0 && files.size === 0;
    return { text: is_empty ? "" : JSON.stringify(whole, undefined, 2), files };
}
