// The photos as the engine knows them: their cameras, what is drawn on them, and how they look by night. Nothing
// here is computed; an answer that has been overtaken is dropped.

import { batch, computed, effect, signal, untracked } from "@preact/signals";
import { Cancelled, type Look, type PhotoLines, type PhotoState, type Relit } from "../engine.ts";
import { beside } from "./beside.ts";
import { changed, engine, is_settled, season, still_ms, tellFault, years_on } from "./light.ts";
import { noteTime } from "./note_time.ts";
import { chosen_last } from "./pick.ts";
import { companions, in_hand, is_client, optionLit, property_id, site, site_text } from "./property.ts";
import type { Photo } from "./site.ts";

export const photo_states = signal<PhotoState[]>([]);
export const lines = signal<PhotoLines | undefined>();

const wanted = signal("");
/** The photo that its sheet shows. */
export const photo_shown = computed<Photo | undefined>(() => {
    const all = site.value.photos ?? [];
    return all.find(photo => photo.id === wanted.value) ?? all[0];
});
export function showPhoto(id: string): void {
    wanted.value = id;
}
export const state_shown = computed<PhotoState | undefined>(() =>
    photo_states.value.find(state => state.id === photo_shown.value?.id),
);
/** Whether clicks on the photo measure. */
export const is_measuring = computed(() => state_shown.value?.is_found ?? false);

/** Whether there is a night to show: a camera, and something that is lit. */
export const has_night = computed(() => is_measuring.value && (changed.value?.fixtures.length ?? 0) > 0);

/** How the photo is shown: by day, by night, or both with a line between. */
export type PhotoLook = "day" | "both" | "night";
export const photo_look = signal<PhotoLook>("both");
export const photo_split = signal(0.42);
export const is_grid_shown = signal(true);

/** Its pixels by day, as the browser reads the file. */
export const day_picture = signal<ImageBitmap | undefined>();
/** A night that was asked for, as a picture. */
export interface NightPicture {
    photo: string;
    version: number;
    /** The document that it shows. */
    text: string;
    canvas: HTMLCanvasElement;
    is_quick: boolean;
    doubts: string[];
}
export const night_picture = signal<NightPicture | undefined>();
/** The night of the option beside. */
export const beside_picture = signal<NightPicture | undefined>();
export const night_fault = signal("");

/** How many panes show the photo now: without one nothing is asked for. */
export const panes_showing = signal(0);
/** Pixels across that a whole night is wanted in. */
export const wanted_width = signal(960);
const quick_width = 400;

let picture_of: Uint8Array | undefined;

function readDay(): void {
    const file = photo_shown.value?.file;
    const bytes = file === undefined ? undefined : companions.value.get(file);
    if (bytes === picture_of) return;
    picture_of = bytes;
    day_picture.value = undefined;
    if (!bytes) return;
    createImageBitmap(new Blob([bytes as BlobPart]), { imageOrientation: "from-image" }).then(
        made => {
            if (picture_of === bytes) day_picture.value = made;
        },
        () => undefined, // the engine says what is wrong with it
    );
}

// One question after the other; what has changed meanwhile is asked for when the answer is there.
let is_asking = false;
let is_stale = false;
async function askStates(): Promise<void> {
    if (is_asking) {
        is_stale = true;
        return;
    }
    is_asking = true;
    try {
        do {
            is_stale = false;
            const ready = engine.peek();
            const id = photo_shown.peek()?.id;
            if (!ready || !changed.peek()) break;
            const states = site.peek().photos?.length ? await ready.photos() : [];
            const state = states.find(one => one.id === id);
            const drawn = id !== undefined && state ? await ready.photoLines(id) : undefined;
            batch(() => {
                photo_states.value = states;
                lines.value = drawn;
            });
        } while (is_stale);
    } catch (reason) {
        tellFault(reason);
    }
    is_asking = false;
}

function paint(relit: Relit): HTMLCanvasElement {
    const canvas = document.createElement("canvas");
    canvas.width = relit.width;
    canvas.height = relit.height;
    const image = new ImageData(relit.rgba as Uint8ClampedArray<ArrayBuffer>, relit.width, relit.height);
    canvas.getContext("2d")?.putImageData(image, 0, 0);
    return canvas;
}

let is_lighting = false;
let is_dark = false; // something has changed since the last night was asked for

// Under the hand: the last whole night with what has moved since, asked for as soon as the document has changed.
let glanced_text = ""; // what the glance that is shown belongs to
let is_glancing = false;
let is_glance_stale = false;
const glance_canvas = document.createElement("canvas");

async function askGlance(): Promise<void> {
    if (is_glancing) {
        is_glance_stale = true;
        return;
    }
    is_glancing = true;
    try {
        do {
            is_glance_stale = false;
            await askOneGlance();
        } while (is_glance_stale);
    } catch (reason) {
        if (!(reason instanceof Cancelled)) tellFault(reason);
    }
    is_glancing = false;
}

async function askOneGlance(): Promise<void> {
    const ready = engine.peek();
    const known = night_picture.peek();
    const photo = photo_shown.peek()?.id;
    const text = site_text.peek();
    if (!ready || !known || known.photo !== photo || known.text === text) return;
    noteTime("glance");
    const { width, height, rgba } = await ready.glance(photo, text);
    const now = night_picture.peek();
    if (!rgba) setTimeout(() => void askNight()); // what a small one still shows
    // A whole night of this text or of a later one may have come meanwhile.
    if (!rgba || !now || photo_shown.peek()?.id !== photo || now.text === text) return;
    if (glance_canvas.width !== width || glance_canvas.height !== height) {
        glance_canvas.width = width;
        glance_canvas.height = height;
    }
    const image = new ImageData(rgba as Uint8ClampedArray<ArrayBuffer>, width, height);
    glance_canvas.getContext("2d")?.putImageData(image, 0, 0);
    glanced_text = text;
    night_picture.value = { ...now, text, canvas: glance_canvas, is_quick: true, version: 0 };
}

/** While the hand moves a small night follows it where a glance cannot; when it rests, a whole one. */
async function askNight(): Promise<void> {
    if (is_lighting) {
        is_dark = true;
        return;
    }
    is_lighting = true;
    try {
        do {
            is_dark = false;
            await askOneNight();
        } while (is_dark);
    } catch (reason) {
        if (!(reason instanceof Cancelled))
            night_fault.value = reason instanceof Error ? reason.message : String(reason);
    }
    is_lighting = false;
}

async function askOneNight(): Promise<void> {
    const ready = engine.peek();
    const photo = photo_shown.peek()?.id;
    const version = changed.peek()?.version ?? 0;
    if (!ready || photo === undefined || !has_night.peek()) return;
    const is_quick = !is_settled.peek();
    const known = night_picture.peek();
    if (known?.photo === photo && known.version === version && (is_quick || !known.is_quick)) {
        if (!is_quick) await askBeside(photo, version);
        return;
    }
    const text = site_text.peek();
    if (is_quick && (is_glancing || glanced_text === text)) return;
    noteTime(is_quick ? "quick night" : "night");
    const relit = await ready.relight({
        photo,
        width: is_quick ? quick_width : wanted_width.peek(),
        is_quick,
    });
    if (!relit || photo_shown.peek()?.id !== photo) return;
    if (glanced_text === site_text.peek() && glanced_text !== text) return; // the hand has gone on
    noteTime(is_quick ? "quick night drawn" : "night drawn");
    batch(() => {
        night_fault.value = "";
        night_picture.value = {
            photo,
            version: relit.version,
            text,
            canvas: paint(relit),
            is_quick,
            doubts: relit.doubts,
        };
    });
    if (is_quick) return;
    await askBeside(photo, version);
    // Made ready for the hand before it moves.
    if (!is_client.peek() && site_text.peek() === text) await ready.glance(photo, text);
}

async function askBeside(photo: string, version: number): Promise<void> {
    const other = beside.peek();
    const known = beside_picture.peek();
    if (!other || (known?.photo === `${photo} ${other.id}` && known.version === version)) return;
    const look: Look = {
        variant: optionLit(other.id),
        season: season.peek(),
        years_on: years_on.peek(),
    };
    const relit = await engine.peek()?.relight({ photo, width: wanted_width.peek() }, look);
    if (relit && beside.peek()?.id === other.id)
        beside_picture.value = {
            photo: `${photo} ${other.id}`,
            version,
            text: "",
            canvas: paint(relit),
            is_quick: false,
            doubts: relit.doubts,
        };
}

/** Keeps up with the document from now on. */
export function followPhotos(): void {
    effect(readDay);
    let property = property_id.peek();
    effect(() => {
        if (property_id.value === property) return;
        property = property_id.value;
        untracked(() =>
            batch(() => {
                photo_states.value = [];
                lines.value = undefined;
                night_picture.value = undefined;
                beside_picture.value = undefined;
            }),
        );
    });
    effect(() => {
        const count = site.value.photos?.length ?? 0;
        if (!engine.value || !changed.value || (!count && !photo_states.peek().length)) return;
        companions.value;
        photo_shown.value;
        untracked(() => void askStates());
    });
    effect(() => {
        still_ms.value = panes_showing.value > 0 && photo_look.value !== "day" && has_night.value ? 600 : 150;
    });
    effect(() => {
        site_text.value;
        untracked(() => {
            if (panes_showing.peek() > 0 && photo_look.peek() !== "day") void askGlance();
        });
    });
    effect(() => {
        const is_wanted = panes_showing.value > 0 && photo_look.value !== "day";
        const is_there = has_night.value;
        is_settled.value;
        in_hand.value;
        wanted_width.value;
        beside.value;
        if (!is_wanted || !is_there || !changed.value || !photo_shown.value) return;
        untracked(() => void askNight());
    });
    effect(() => {
        if (!beside.value) beside_picture.value = undefined;
    });
    // What is picked in the bench is what the sheet shows.
    effect(() => {
        const last = chosen_last.value;
        if (last?.schema === "photo") wanted.value = last.thing.id;
    });
}
