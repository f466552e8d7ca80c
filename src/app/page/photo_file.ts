// A picture that is dropped in or chosen becomes a photo of the site.

import { printLength, readLength } from "./length.ts";
import { unit } from "./move.ts";
import { photo_shown, showPhoto, state_shown } from "./photo_state.ts";
import { photoKey, picked } from "./pick.ts";
import { change, companions, site } from "./property.ts";
import { freeId, type Wall } from "./site.ts";
import { bringPhoto } from "./surfaces.tsx";

let input: HTMLInputElement | undefined;

/** Lets a picture be chosen: a new photo, or the one that is missing. */
export function choosePhoto(): void {
    if (!input) {
        const made = document.createElement("input");
        made.type = "file";
        made.accept = "image/jpeg,image/png";
        made.hidden = true;
        made.onchange = () => {
            const file = made.files?.[0];
            if (file) void file.arrayBuffer().then(bytes => takePhoto(file.name, new Uint8Array(bytes)));
        };
        document.body.append(made);
        input = made;
    }
    input.value = "";
    input.click();
}

export function isPicture(name: string): boolean {
    return /\.(png|jpe?g)$/i.test(name);
}

/** The picture's file joins the site; where the photo shown has lost its own, it takes that place. */
export function takePhoto(name: string, bytes: Uint8Array): void {
    const missing = state_shown.value && !state_shown.value.size ? photo_shown.value : undefined;
    const file = missing ? missing.file : freeName(name);
    companions.value = new Map(companions.value).set(file, bytes);
    if (missing) return;
    const stem = name
        .replace(/\.[^.]+$/, "")
        .replace(/[^A-Za-z0-9_-]+/g, "-")
        .replace(/^-+|-+$/g, "");
    const taken = new Set((site.value.photos ?? []).map(photo => photo.id));
    const id = stem && !taken.has(stem) ? stem : freeId(site.value, stem || "photo");
    change(`Take the photo ${name}`, draft => {
        draft.photos = [...(draft.photos ?? []), { id, file, marks: [] }];
    });
    showPhoto(id);
    bringPhoto();
    picked.value = [photoKey(id)];
}

/** A name that no other file of the site has. */
function freeName(name: string): string {
    if (!companions.value.has(name)) return name;
    const dot = name.lastIndexOf(".");
    for (let number = 2; ; number++) {
        const other = `${name.slice(0, dot)}-${number}${name.slice(dot)}`;
        if (!companions.value.has(other)) return other;
    }
}

/** A front of which only its width and the height of its eave are known, to be marked on the photo. */
export function addFrontBySize(width: string, eave: string): string | undefined {
    const [wide, high] = [readLength(width, unit()), readLength(eave, unit())];
    if (wide === undefined || wide < 0.5) return "Write the width like “52 ft”.";
    if (high === undefined || high < 0.5) return "Write the height like “10 ft”.";
    const number = unit() === "m" ? wide : wide / 0.3048;
    const wall: Wall = {
        id: freeId(site.value, "front").replace(/-1$/, ""),
        path: [
            [0, 0],
            [Number(number.toFixed(3)), 0],
        ],
        height: printLength(high, unit()),
        finish: "brick red common",
        eave: unit() === "m" ? { depth: "45 cm" } : { depth: "18 in" },
    };
    change("Begin with the front", draft => {
        draft.walls = [...(draft.walls ?? []), wall];
    });
    return undefined;
}
