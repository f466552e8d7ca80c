// The head of the page: whose property it is, whether it is safe, and what can be undone.

import { signal } from "@preact/signals";
import { is_bench_open, panel } from "./bench.tsx";
import { openFiles, saveArchive, saveFile, savePrices } from "./files.ts";
import { is_elsewhere, keeping } from "./keep.ts";
import { engine, tellFault } from "./light.ts";
import { newProperty } from "./parts.ts";
import {
    are_prices_unsaved,
    change,
    companions,
    is_client,
    is_unsaved,
    price_list,
    property,
    redo,
    redo_words,
    replace,
    site,
    site_text,
    undo,
    undo_words,
} from "./property.ts";
import { readSite } from "./site.ts";
import { walkAnew } from "./stand.ts";
import { Typed } from "./typed.tsx";
import { faceAnew } from "./wall_face.ts";

export type Surroundings = "auto" | "light" | "dark";
export const surroundings = signal<Surroundings>("auto");
export const is_help_open = signal(false);
const is_menu_open = signal(false);

const is_dark_outside = matchMedia("(prefers-color-scheme: dark)");

function applySurroundings(): void {
    const is_dark = surroundings.value === "auto" ? is_dark_outside.matches : surroundings.value === "dark";
    document.documentElement.dataset.surroundings = is_dark ? "dark" : "light";
}
is_dark_outside.addEventListener("change", applySurroundings);

export function setSurroundings(next: Surroundings): void {
    surroundings.value = next;
    applySurroundings();
    try {
        localStorage.setItem("duskcast-surroundings", next);
    } catch {
        // A browser that keeps nothing shows what it is set to.
    }
}

function stateOfKeeping(): { words: string; is_bad: boolean } {
    if (is_elsewhere.value) return { words: "Open in another tab too: the last change wins", is_bad: true };
    switch (keeping.value) {
        case "full":
            return { words: "This browser’s store is full: save to a file", is_bad: true };
        case "unavailable":
            return { words: "This browser keeps nothing: save to a file", is_bad: true };
        case "writing":
            return { words: "Keeping …", is_bad: false };
        default:
            if (!is_unsaved.value)
                return { words: property.value.file_name ? "Saved" : "As it came", is_bad: false };
            if (property.value.file_name && site_text.value === property.value.text_on_disk)
                return {
                    words:
                        are_prices_unsaved.value && price_list.value
                            ? "The prices are not saved to a file yet"
                            : "Saved",
                    is_bad: false,
                };
            return { words: "Kept here, not saved to a file yet", is_bad: false };
    }
}

export function Mast() {
    const state = stateOfKeeping();
    return (
        <header class="mast">
            <span class="mark" aria-hidden="true">
                <svg viewBox="0 0 24 24" width="24" height="24">
                    <path class="pool" d="M12 3C15 8 17 13 17.6 19H6.4C7 13 9 8 12 3Z" />
                    <path class="earth" d="M2 19.5H22" />
                </svg>
            </span>
            {is_client.value ? (
                <h1>{site.value.name ?? "Property"}</h1>
            ) : (
                <>
                    <h1 class="unseen">duskcast: {site.value.name ?? "a property"}</h1>
                    <Typed
                        label="Name of the property"
                        is_label_hidden
                        class="name"
                        value={site.value.name ?? "Property"}
                        onTyped={text => {
                            if (!text) return "A property needs a name.";
                            change("Name the property", draft => {
                                draft.name = text;
                            });
                            return undefined;
                        }}
                    />
                    <span class={`state ${state.is_bad ? "bad" : ""}`} role="status">
                        {state.words}
                    </span>
                    <div class="history">
                        <button
                            type="button"
                            disabled={!undo_words.value}
                            title={undo_words.value ? `Undo: ${undo_words.value}` : "Nothing to undo"}
                            onClick={undo}
                        >
                            Undo
                        </button>
                        <button
                            type="button"
                            disabled={!redo_words.value}
                            title={redo_words.value ? `Redo: ${redo_words.value}` : "Nothing to redo"}
                            onClick={redo}
                        >
                            Redo
                        </button>
                    </div>
                </>
            )}
            <div class="menu-holder">
                <button
                    type="button"
                    aria-expanded={is_menu_open.value}
                    aria-controls="menu"
                    onClick={() => {
                        is_menu_open.value = !is_menu_open.value;
                    }}
                >
                    {is_client.value ? "More" : "File"}
                </button>
                {is_menu_open.value && <Menu />}
            </div>
            <button
                type="button"
                onClick={() => {
                    is_help_open.value = true;
                }}
            >
                Help
            </button>
        </header>
    );
}

function Menu() {
    const then = (work: () => void) => () => {
        is_menu_open.value = false;
        work();
    };
    return (
        <div
            class="menu"
            id="menu"
            onKeyDown={event => {
                if (event.key === "Escape") is_menu_open.value = false;
            }}
        >
            {!is_client.value && (
                <>
                    <button type="button" onClick={then(() => startNew("ft"))}>
                        New property, in feet
                    </button>
                    <button type="button" onClick={then(() => startNew("m"))}>
                        New property, in metres
                    </button>
                    <button type="button" onClick={then(openFiles)}>
                        Open …
                    </button>
                    <button type="button" onClick={then(saveFile)}>
                        Save the site file
                    </button>
                    {companions.value.size > 0 && (
                        <button type="button" onClick={then(saveArchive)}>
                            Save with its files (.zip)
                        </button>
                    )}
                    {price_list.value && (
                        <button type="button" onClick={then(savePrices)}>
                            Save the price list
                        </button>
                    )}
                    <hr />
                </>
            )}
            <button type="button" onClick={then(() => print())}>
                Print …
            </button>
            {(["auto", "light", "dark"] as const).map(one => (
                <button
                    key={one}
                    type="button"
                    aria-pressed={surroundings.value === one}
                    onClick={then(() => setSurroundings(one))}
                >
                    {one === "auto"
                        ? "As the device is set"
                        : one === "light"
                          ? "Light surroundings"
                          : "Dark surroundings"}
                </button>
            ))}
            {!is_client.value && (
                <>
                    <hr />
                    <button type="button" onClick={then(() => switchUnits())}>
                        {site.value.units === "m" ? "Show feet and foot-candles" : "Show metres and lux"}
                    </button>
                </>
            )}
        </div>
    );
}

export function startNew(units: "ft" | "m"): void {
    newProperty(units);
    walkAnew();
    faceAnew();
    panel.value = "add";
    is_bench_open.value = true;
}

// Bare numbers in the file are in its units: the engine writes each anew, so that the property stays as large as
// it was.
async function switchUnits(): Promise<void> {
    const to = site.value.units === "m" ? "ft" : "m";
    const asked = site_text.value;
    try {
        const text = await engine.value?.tidy(to);
        if (text && asked === site_text.value)
            replace(to === "m" ? "Show metres" : "Show feet", readSite(text));
    } catch (error) {
        tellFault(error);
    }
}
