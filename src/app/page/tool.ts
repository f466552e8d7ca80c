// What the pointer is about to put down, and the points it has set so far.

import { computed, signal } from "@preact/signals";
import { printLength } from "./length.ts";
import { type Spot, unit } from "./move.ts";
import { picked } from "./pick.ts";
import type { Key, Mask } from "./site.ts";

export type Tool =
    | { does: "stand"; what: string }
    | { does: "wall" }
    | { does: "area"; what: string; is_raised?: boolean }
    | { does: "shrub"; plant?: string }
    | { does: "tree"; what: string; plant?: string }
    | { does: "opening"; what: "window" | "door" }
    | { does: "gable" }
    | { does: "measure" }
    | { does: "probe" }
    | { does: "mark"; place: PlaceToMark }
    | { does: "eave" }
    | { does: "mask"; mask: Omit<Mask, "outline"> }
    | { does: "white" }
    | { does: "transformer" }
    | { does: "cable" };

/** A place of the property that is about to be clicked on a photo. */
export interface PlaceToMark {
    id: string;
    words: string;
    wall: string;
    along: number;
    up: number;
    at: [number, number, number] | null;
}

export const tool = signal<Tool | undefined>();
export const points = signal<Spot[]>([]);
export const cursor = signal<Spot | undefined>();
/** Whether keys have moved the cursor since the pointer did. */
export const is_keyed = signal(false);
/** What was put down last, and how to put down another. */
export const again = signal<{ key: Key; words: string; on?: "plan"; does(): void } | undefined>();
/** What was found at the last spot that was probed, and where it is shown. */
export const finding = signal<{ spot: Spot; on: "plan" | "wall"; words: string[] } | undefined>();

export function take(next: Tool | undefined): void {
    tool.value = next;
    points.value = [];
    cursor.value = undefined;
    is_keyed.value = false;
    finding.value = undefined;
    if (next) picked.value = [];
}

/** The sheet that a tool works on; fixtures can be stood on every surface. */
export function worksOn(candidate: Tool): "plan" | "wall" | "photo" | "any" {
    if (["mark", "eave", "mask", "white"].includes(candidate.does)) return "photo";
    if (candidate.does === "opening" || candidate.does === "gable") return "wall";
    if (candidate.does === "stand" || candidate.does === "probe") return "any";
    return "plan";
}

/** Whether a photo whose camera is known will do in the place of the sheet that a tool works on. */
export function worksOnPhoto(candidate: Tool): boolean {
    return [
        "stand",
        "opening",
        "gable",
        "tree",
        "measure",
        "probe",
        "mark",
        "eave",
        "mask",
        "white",
    ].includes(candidate.does);
}

export const instruction = computed<string>(() => {
    const now = tool.value;
    const count = points.value.length;
    switch (now?.does) {
        case "stand":
            return `Click where the ${kindWords[now.what] ?? now.what} stands: near a wall or a tree it is meant for that.`;
        case "wall":
            return count === 0
                ? "Click the left corner of the wall, as seen from outside."
                : "Click the next corner, or type its length. Enter ends the wall.";
        case "area":
        case "shrub":
            return count < 3
                ? "Click the corners one after the other, or type a length."
                : "Click the first corner or press Enter to close it.";
        case "tree":
            return "Click where the trunk stands.";
        case "opening":
            return count === 0
                ? `Drag from corner to corner of the ${now.what}.`
                : "Its other corner, or its width and height.";
        case "gable":
            return count === 0
                ? "Drag from one end of the gable at the eave to the other end, as high as its peak."
                : "Its other end, as high as its peak.";
        case "measure":
            return count === 0 ? "Click where to measure from." : "Click where to measure to.";
        case "probe":
            return "Click any spot to see how much light falls there, and from which fixtures.";
        case "transformer":
            return "Click where the transformer hangs.";
        case "cable":
            return count === 0
                ? "Click where the run starts, at the transformer."
                : "Click along the way of the cable. Enter ends the run.";
        default:
            return "";
    }
});

export const kindWords: Record<string, string> = {
    uplight: "uplight",
    bullet: "bullet",
    "in-ground": "in-ground light",
    wash: "wash light",
    path: "path light",
    downlight: "downlight",
};

/** The length from the last point set to the pointer, in words. */
export const stretch = computed(() => {
    const last = points.value.at(-1);
    const now = cursor.value;
    return last && now ? lengthBetween(last, now) : "";
});

export function lengthBetween(from: Spot, to: Spot): string {
    return printLength(Math.hypot(to[0] - from[0], to[1] - from[1]), unit(), unit() === "m" ? 0.01 : 0.0254);
}

/** What a tool puts down, as a word: "window", "bed". */
export function nameOf(candidate: Tool): string {
    switch (candidate.does) {
        case "mark":
            return candidate.place.words;
        case "stand":
            return kindWords[candidate.what] ?? candidate.what;
        case "area":
            if (candidate.is_raised) return "terrace";
            return areaWords[candidate.what] ?? candidate.what;
        case "opening":
            return candidate.what;
        case "tree":
            return candidate.plant ?? "tree";
        case "shrub":
            return candidate.plant ?? "shrub";
        case "cable":
            return "run";
        default:
            return candidate.does;
    }
}

/** Areas of the ground by kind; they are named after it too. */
export const areaWords: Record<string, string> = {
    paving: "walk",
    water: "pond",
    lawn: "lawn",
    mulch: "bed",
};
