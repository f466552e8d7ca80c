// What tools do on a photo: the engine says where a click lies on the walls and on the ground, and the sheet of the
// wall or the plan would have put the same thing there.

import { batch, effect, signal } from "@preact/signals";
import type { PhotoClick } from "../engine.ts";
import { drag } from "./drag.ts";
import { probe, setOnWall, standWith } from "./draw.ts";
import { printCoordinate, printLength } from "./length.ts";
import { engine, tellFault } from "./light.ts";
import { pointOf, put, rounded, type Spot, spotAtRun, unit, wallSurface } from "./move.ts";
import { lines, photo_shown, state_shown } from "./photo_state.ts";
import { photoKey, picked, wall_shown } from "./pick.ts";
import { change, site } from "./property.ts";
import { freeId, keyFor, type Mark, type Photo } from "./site.ts";
import { finding, type PlaceToMark, type Tool, take, tool } from "./tool.ts";

/** Pixels that the tool in hand has set, and the one under the pointer or the keys' cross. */
export const pixels = signal<Spot[]>([]);
export const pixel_cursor = signal<Spot | undefined>();
/** Whether a finger or the mouse is down on the photo, so that the magnifier is shown. */
export const is_pressing = signal(false);
/** What was measured between the last two clicks. */
export const measured = signal("");
/** What came of the last click, where it came to nothing. */
export const photo_complaint = signal("");
/** The mark that is worked on. */
export const mark_held = signal("");
/** Where the last finding is shown. */
export const found_at = signal<Spot | undefined>();

effect(() => {
    tool.value;
    batch(() => {
        pixels.value = [];
        pixel_cursor.value = undefined;
        measured.value = "";
        photo_complaint.value = "";
    });
});

/** Takes a tool that works on the photo, which stays picked. */
export function takeOnPhoto(next: Tool | undefined): void {
    const kept = picked.value;
    take(next);
    if (kept.includes(photoKey(photo_shown.value?.id))) picked.value = kept;
}

// A mark is worked on until something else is picked.
effect(() => {
    const last = picked.value.at(-1);
    if (last !== undefined && !last.startsWith("photo ")) mark_held.value = "";
});

/** What is said of the next click. */
export function instructionOnPhoto(): string {
    const now = tool.value;
    const count = pixels.value.length;
    switch (now?.does) {
        case "mark":
            return `Click ${now.place.words}.`;
        case "eave":
            return "Click the wall’s upper edge, under the roof.";
        case "mask":
            return count < 3
                ? `Click the corners of what is painted round, one after the other${count ? ` (${count} so far)` : ""}.`
                : "Click the first corner to close it.";
        case "white":
            return "Click white trim or a grey card beside a wall, where nothing shades it.";
        case "opening":
            return count === 0 ? `Click one corner of the ${now.what}.` : `Click the corner across from it.`;
        case "gable":
            return [
                "Click the gable’s left end, where the slope meets the eave.",
                "Click its right end.",
                "Click its peak.",
            ][count] as string;
        case "tree":
            return [
                "Click where the trunk meets the ground.",
                "Click the top of the crown.",
                "Click the crown’s side, where it is widest.",
            ][count] as string;
        case "measure":
            return count === 1
                ? "Click where to measure to."
                : measured.value
                  ? `${measured.value}. Click to measure anew.`
                  : "Click where to measure from, on a wall or the ground.";
        case "probe":
            return "Click a wall or the ground to see how much light falls there.";
        case "stand":
            return "Click where it stands on the ground.";
        default:
            return "";
    }
}

const clicks_wanted: Record<string, number> = { opening: 2, gable: 3, tree: 3, measure: 2 };

/** Uses the tool at a pixel. */
export async function clickPhoto(pixel: Spot): Promise<void> {
    const now = tool.value;
    const photo = photo_shown.value;
    if (!now || !photo) return;
    photo_complaint.value = "";
    if (now.does === "mark") {
        setMark(photo, now.place, pixel);
        return;
    }
    if (now.does === "mask") {
        addCorner(pixel);
        return;
    }
    if (now.does === "white") {
        setWhite(photo, pixel);
        return;
    }
    if (pixels.value.length >= (clicks_wanted[now.does] ?? 1)) pixels.value = [];
    const all = [...pixels.value, pixel];
    pixels.value = all;
    if (now.does === "measure") measured.value = "";
    if (all.length < (clicks_wanted[now.does] ?? 1)) return;
    try {
        const complaint = await use(photo, all);
        if (complaint && tool.value === now) {
            photo_complaint.value = complaint;
            pixels.value = [];
        }
    } catch (reason) {
        pixels.value = [];
        tellFault(reason);
    }
}

const off_wall = "That is on no wall: click the wall itself.";

async function use(photo: Photo, all: Spot[]): Promise<string | undefined> {
    const now = tool.value;
    const ready = engine.value;
    const last = all.at(-1);
    if (!now || !ready || !last) return undefined;
    const ask = (pixel: Spot, wall?: string): Promise<PhotoClick> =>
        ready.photoClick({ photo: photo.id, pixel, ...(wall ? { wall } : {}) });
    const wall_asked = wall_shown.value || (site.value.walls?.[0]?.id ?? "");
    switch (now.does) {
        case "measure": {
            const [from, to] = all as [Spot, Spot];
            const found = await ready.photoLength(photo.id, from, to);
            if (found.length === null) return "One of these is on no wall and not on the ground.";
            measured.value = found.words;
            return undefined;
        }
        case "opening": {
            const [first, second] = await Promise.all(all.map(pixel => ask(pixel)));
            const wall = first?.wall ?? second?.wall;
            if (!first?.wall || !second?.wall || first.wall.wall !== second.wall.wall || !wall)
                return off_wall;
            setOnWall(wall.wall, [first.wall.along, first.wall.up], [second.wall.along, second.wall.up]);
            return undefined;
        }
        case "gable": {
            const on = (await ask(all[0] as Spot)).wall?.wall ?? wall_asked;
            const [left, right, peak] = (await Promise.all(all.map(pixel => ask(pixel, on)))).map(
                one => one.wall,
            );
            if (!left || !right || !peak) return off_wall;
            setOnWall(on, [left.along, Math.min(left.up, right.up)], [right.along, peak.up]);
            return tool.value
                ? "A gable is higher than the eave and has some width: click it again."
                : undefined;
        }
        case "eave": {
            const found = (await ask(last, wall_asked)).wall;
            if (!found || found.up < 1) return off_wall;
            take(undefined);
            change("Set the eave’s height", draft => {
                const wall = draft.walls?.find(one => one.id === found.wall);
                if (wall) wall.height = printLength(rounded(found.up), unit());
            });
            picked.value = [keyFor("wall", found.wall)];
            return undefined;
        }
        case "tree":
            return plantOnPhoto(photo, all as [Spot, Spot, Spot], now);
        case "stand": {
            const found = await ask(last);
            const run = found.wall ? wallSurface(found.wall.wall)?.run : undefined;
            if (found.wall && run) standWith(now.what, spotAtRun(run, found.wall.along, 0.381));
            else if (found.ground) standWith(now.what, found.ground.at);
            else return "That is not on the ground.";
            return undefined;
        }
        case "probe": {
            const found = await ask(last);
            const run = found.wall ? wallSurface(found.wall.wall) : undefined;
            if (found.wall && run) {
                const { along, up } = found.wall;
                const segment = run.run.findLast(one => along >= one.along) ?? run.run[0];
                const [x, y] = spotAtRun(run.run, along, 0.001);
                if (segment)
                    await probe(
                        { position: [x, y, run.foot + up], normal: [...segment.outward, 0] },
                        [along, up],
                        "wall",
                    );
            } else if (found.ground) await probe({ ground: found.ground.at }, found.ground.at, "plan");
            else return "Nothing of the property is there.";
            found_at.value = finding.value ? last : undefined;
            return undefined;
        }
        default:
            return undefined;
    }
}

async function plantOnPhoto(
    photo: Photo,
    clicks: [Spot, Spot, Spot],
    { what: form, plant }: { what: string; plant?: string },
): Promise<string | undefined> {
    const [foot, top, side] = clicks;
    const found = await engine.value?.photoUpright(photo.id, foot, top, side);
    if (!found) return undefined;
    if (found.height < 0.5 || found.width < 0.2) return "That is too small for a tree: click it again.";
    const id = freeId(site.value, "tree");
    const size = (metres: number) => printLength(rounded(metres), unit(), unit() === "m" ? 0.05 : 0.0762);
    take(undefined);
    change("Plant a tree", draft => {
        put(draft, ["trees"], {
            id,
            at: pointOf(found.at),
            ...(plant
                ? { plant }
                : {
                      form,
                      base: size(0.28 * found.height),
                      leaf_area_density: 0.4,
                      leaf_size: unit() === "m" ? "15 cm" : "6 in",
                      clumping: 0.4,
                  }),
            height: size(found.height),
            width: size(found.width),
        });
        const one = draft.photos?.find(candidate => candidate.id === photo.id);
        if (one) one.masks = [...(one.masks ?? []), ...masksOf(id, foot, top, side)];
    });
    picked.value = [keyFor("tree", id)];
    return undefined;
}

/** Round the crown and the trunk of a tree as it was clicked. */
function masksOf(plant: string, foot: Spot, top: Spot, side: Spot): Photo["masks"] & object {
    const base = foot[1] + 0.28 * (top[1] - foot[1]);
    const middle: Spot = [(foot[0] + top[0]) / 2, (top[1] + base) / 2];
    const [wide, high] = [Math.abs(side[0] - middle[0]), Math.abs(base - top[1]) / 2];
    const crown: number[] = [];
    for (let i = 0; i < 24; i++) {
        const angle = (i * Math.PI) / 12;
        crown.push(
            Math.round(middle[0] + wide * Math.cos(angle)),
            Math.round(middle[1] + high * Math.sin(angle)),
        );
    }
    const half = Math.max(2, 0.04 * wide);
    const trunk = [
        foot[0] - half,
        foot[1],
        foot[0] - half,
        base,
        foot[0] + half,
        base,
        foot[0] + half,
        foot[1],
    ];
    return [
        { kind: "plant", plant, outline: trunk.map(Math.round) },
        { kind: "plant", plant, outline: crown },
    ];
}

function near(pixel: Spot, size: [number, number] | null | undefined): [number, number] {
    const [wide, high] = size ?? [1e5, 1e5];
    return [
        Number(Math.min(wide, Math.max(0, pixel[0])).toFixed(1)),
        Number(Math.min(high, Math.max(0, pixel[1])).toFixed(1)),
    ];
}

/** A corner of what is painted round; at the first one it is closed. */
function addCorner(pixel: Spot): void {
    const size = state_shown.value?.size;
    const corner = near(pixel, size);
    const [first] = pixels.value;
    const last = pixels.value.at(-1);
    const is_at = (one: Spot | undefined, reach: number) =>
        one !== undefined && Math.hypot(one[0] - corner[0], one[1] - corner[1]) <= reach;
    const finger = 0.012 * (size?.[0] ?? 960);
    if (pixels.value.length >= 3 && (is_at(first, finger) || is_at(last, 0.2))) closeMask();
    else if (!is_at(last, 0.2)) pixels.value = [...pixels.value, corner];
}

/** The last corner goes; false where there is none. */
export function takeBackCorner(): boolean {
    if (tool.value?.does !== "mask" || !pixels.value.length) return false;
    pixels.value = pixels.value.slice(0, -1);
    return true;
}

export function closeMask(): void {
    const now = tool.value;
    const photo = photo_shown.value;
    if (now?.does !== "mask" || !photo) return;
    if (pixels.value.length < 3) {
        photo_complaint.value = "It has three corners at least.";
        return;
    }
    const outline = pixels.value.flat();
    takeOnPhoto(undefined);
    change("Paint round a part of the photo", draft => {
        const one = draft.photos?.find(candidate => candidate.id === photo.id);
        if (one) one.masks = [...(one.masks ?? []), { ...now.mask, outline }];
    });
}

function setWhite(photo: Photo, pixel: Spot): void {
    takeOnPhoto(undefined);
    change("Point at the white place", draft => {
        const one = draft.photos?.find(candidate => candidate.id === photo.id);
        if (one) one.white = { ...one.white, pixel: near(pixel, state_shown.value?.size) };
    });
}

/** Puts a mark down and takes the next place that helps. */
function setMark(photo: Photo, place: PlaceToMark, pixel: Spot): void {
    const number = (metres: number) => printCoordinate(metres, unit());
    const mark: Mark = { id: place.id, pixel: near(pixel, state_shown.value?.size) };
    if (place.at) mark.at = place.at.map(number) as [number, number, number];
    else Object.assign(mark, { wall: place.wall, along: number(place.along), up: number(place.up) });
    change("Mark the photo", draft => {
        const one = draft.photos?.find(candidate => candidate.id === photo.id);
        if (!one) return;
        one.marks = [...(one.marks ?? []).filter(other => other.id !== mark.id), mark];
    });
    mark_held.value = mark.id;
    const next = nextPlace([...(photo.marks ?? []).map(one => one.id), mark.id]);
    if (next && !mark.id.startsWith("ground-")) takeMark(next);
    else takeOnPhoto(undefined);
}

const marks_enough = 8;

/** Places that could not be seen on the picture. */
const skipped = signal<string[]>([]);

/** The next place worth clicking, in the order that the engine gives; none when there are enough. */
function nextPlace(marked: string[]): string | undefined {
    if (marked.length >= marks_enough) return undefined;
    const [wide, high] = state_shown.value?.size ?? [0, 0];
    return lines.value?.places.find(({ id, is_marked, falls_at }) => {
        if (is_marked || marked.includes(id) || skipped.value.includes(id)) return false;
        return !falls_at || (falls_at[0] > 0 && falls_at[0] < wide && falls_at[1] > 0 && falls_at[1] < high);
    })?.id;
}

/** Goes on with the place after the one that was asked for. */
export function skipPlace(): void {
    const now = tool.value;
    if (now?.does !== "mark") return;
    skipped.value = [...skipped.value, now.place.id];
    const next = nextPlace((photo_shown.value?.marks ?? []).map(mark => mark.id));
    if (next) takeMark(next);
    else takeOnPhoto(undefined);
}

/** What a place is called in a sentence: "the lower left corner of the door". */
export function callPlace(of: string, words: string): string {
    if (!of) return words;
    const [part, where] = words.split(", ") as [string, string | undefined];
    const article = /\d$/.test(part) ? "" : "the ";
    return `${article}${part} of the ${of.replaceAll("-", " ")}${where ? `, ${where}` : ""}`;
}

export function takeMark(id: string): void {
    const place = lines.value?.places.find(one => one.id === id);
    if (!place) return;
    const { wall, along, up, at } = place;
    takeOnPhoto({
        does: "mark",
        place: { id, words: callPlace(place.of, place.words), wall, along, up, at },
    });
}

/** A spot on the ground by tape: metres along the first wall and out from it. */
export function takeGroundMark(along: number, out: number): void {
    const wall = site.value.walls?.[0];
    const run = wall && wallSurface(wall.id)?.run;
    if (!run) return;
    const [x, y] = spotAtRun(run, along, out);
    const words = `the spot ${printLength(along, unit())} along and ${printLength(out, unit())} out`;
    const taken = new Set((photo_shown.value?.marks ?? []).map(mark => mark.id));
    let number = 1;
    while (taken.has(`ground-${number}`)) number++;
    takeOnPhoto({
        does: "mark",
        place: { id: `ground-${number}`, words, wall: "", along: 0, up: 0, at: [x, y, 0] },
    });
}

/** Begins with the first place that is not yet marked. */
export function beginMarks(): void {
    skipped.value = [];
    const next = nextPlace((photo_shown.value?.marks ?? []).map(mark => mark.id));
    if (next) takeMark(next);
}

export function moveMark(id: string, pixel: Spot): void {
    const photo = photo_shown.value;
    if (!photo) return;
    change(`Move the mark ${id.replaceAll("-", " ")}`, draft => {
        const mark = draft.photos?.find(one => one.id === photo.id)?.marks?.find(one => one.id === id);
        if (mark) mark.pixel = near(pixel, state_shown.value?.size);
    });
}

export function removeMark(id: string): void {
    const photo = photo_shown.value;
    if (!photo) return;
    change(`Take away the mark ${id.replaceAll("-", " ")}`, draft => {
        const one = draft.photos?.find(candidate => candidate.id === photo.id);
        if (one?.marks) one.marks = one.marks.filter(mark => mark.id !== id);
    });
    mark_held.value = "";
}

/** A press with a tool: the magnifier follows until it is let go, and there the click falls. */
export function pressPhoto(event: PointerEvent, spotOf: (event: PointerEvent) => Spot): void {
    pixel_cursor.value = spotOf(event);
    is_pressing.value = true;
    const end = (now: PointerEvent) => {
        is_pressing.value = false;
        removeEventListener("pointerdown", second, true);
        if (!is_given_up) void clickPhoto(spotOf(now));
    };
    let last = event;
    // A second finger enlarges the picture, and nothing is set.
    let is_given_up = false;
    const second = (other: PointerEvent) => {
        if (other.pointerId === event.pointerId) return;
        is_given_up = true;
        is_pressing.value = false;
    };
    addEventListener("pointerdown", second, true);
    drag(event, {
        is_looking: true,
        moved: now => {
            last = now;
            pixel_cursor.value = spotOf(now);
        },
        clicked: end,
        ended: () => end(last),
    });
    const stop = () => {
        is_pressing.value = false;
        removeEventListener("pointerdown", second, true);
    };
    addEventListener("pointercancel", stop, { once: true });
}

const steps: Record<string, Spot> = {
    ArrowLeft: [-1, 0],
    ArrowRight: [1, 0],
    ArrowUp: [0, -1],
    ArrowDown: [0, 1],
};

/** A pixel by an arrow key, ten with Shift. */
export function stepOf(event: KeyboardEvent): Spot | undefined {
    const way = steps[event.key];
    const size = event.shiftKey ? 10 : 1;
    return way && [way[0] * size, way[1] * size];
}

/** Keys while a tool works on the photo: arrows move the cross, Enter sets it. True where one was taken. */
export function keyOnPhoto(event: KeyboardEvent): boolean {
    const way = stepOf(event);
    if (way) {
        const size = state_shown.value?.size ?? [0, 0];
        const [x, y] = pixel_cursor.value ?? [size[0] / 2, size[1] / 2];
        const [dx, dy] = way;
        pixel_cursor.value = near([x + dx, y + dy], size);
        return true;
    }
    if (event.key === "Backspace" || event.key === "Delete") return takeBackCorner();
    if (event.key === "Enter" && pixel_cursor.value) {
        void clickPhoto(pixel_cursor.value);
        return true;
    }
    return false;
}
