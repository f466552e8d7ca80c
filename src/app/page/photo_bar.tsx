// What the pane of the photo is set by, and what the tool in hand asks for on it.

import { useEffect, useRef } from "preact/hooks";
import { beside } from "./beside.ts";
import {
    closeMask,
    instructionOnPhoto,
    photo_complaint,
    pixels,
    skipPlace,
    takeBackCorner,
} from "./photo_draw.ts";
import {
    has_night,
    is_grid_shown,
    is_measuring,
    type PhotoLook,
    photo_look,
    photo_shown,
    photo_split,
    showPhoto,
} from "./photo_state.ts";
import { photoKey, pick, picked } from "./pick.ts";
import { is_client, site } from "./property.ts";
import { take, tool } from "./tool.ts";
import { callId } from "./words.ts";

const looks: { look: PhotoLook; words: string }[] = [
    { look: "day", words: "Day" },
    { look: "both", words: "Both" },
    { look: "night", words: "Night" },
];

export function PhotoChoices() {
    const all = site.value.photos ?? [];
    const now = photo_shown.value;
    if (!now) return null;
    return (
        <>
            {has_night.value && (
                <fieldset class="switch">
                    <legend class="unseen">The photo is shown</legend>
                    {looks
                        .filter(one => one.look !== "both" || !beside.value)
                        .map(one => (
                            <button
                                key={one.look}
                                type="button"
                                aria-pressed={photo_look.value === one.look}
                                onClick={() => {
                                    if (
                                        one.look === "both" &&
                                        (photo_split.value < 0.1 || photo_split.value > 0.9)
                                    )
                                        photo_split.value = 0.42;
                                    photo_look.value = one.look;
                                }}
                            >
                                {one.words}
                            </button>
                        ))}
                </fieldset>
            )}
            {all.length > 1 && (
                <label class="chooser">
                    <span class="unseen">Photo</span>
                    <select
                        value={now.id}
                        onChange={event => showPhoto((event.target as HTMLSelectElement).value)}
                    >
                        {all.map(photo => (
                            <option key={photo.id} value={photo.id}>
                                {callId(photo.id)}
                            </option>
                        ))}
                    </select>
                </label>
            )}
            {!is_client.value && (
                <>
                    <button
                        type="button"
                        aria-pressed={picked.value.includes(photoKey(now.id))}
                        onClick={() => pick(photoKey(now.id))}
                    >
                        Marks
                    </button>
                    {is_measuring.value && (
                        <label class="tick">
                            <input
                                type="checkbox"
                                checked={is_grid_shown.value}
                                onChange={event => {
                                    is_grid_shown.value = (event.target as HTMLInputElement).checked;
                                }}
                            />
                            <span>{site.value.units === "m" ? "Metres" : "Feet"}</span>
                        </label>
                    )}
                </>
            )}
        </>
    );
}

/** In the place of the bar for plan and wall while a tool works on the photo. */
export function PhotoBar() {
    const bar = useRef<HTMLDivElement>(null);
    // Who took the tool by keys goes on by keys: on a button they would press it.
    useEffect(() => {
        if (document.activeElement?.matches(":focus-visible")) bar.current?.focus();
    }, []);
    return (
        <div class="draw-bar low" ref={bar} tabIndex={-1}>
            <span role="status">{instructionOnPhoto()}</span>
            <span
                class={photo_complaint.value ? "keys complaint" : "keys"}
                role={photo_complaint.value ? "alert" : undefined}
            >
                {photo_complaint.value ||
                    (tool.value?.does === "mask"
                        ? "Arrow keys and Enter do too, Enter twice closes it, Backspace takes one back"
                        : "Arrow keys move the cross, Enter sets it")}
            </span>
            {tool.value?.does === "mask" && (
                <>
                    <button type="button" disabled={!pixels.value.length} onClick={takeBackCorner}>
                        Take back
                    </button>
                    <button type="button" disabled={pixels.value.length < 3} onClick={closeMask}>
                        Close it
                    </button>
                </>
            )}
            {tool.value?.does === "mark" && (
                <button type="button" onClick={skipPlace}>
                    Not seen
                </button>
            )}
            <button type="button" onClick={() => take(undefined)}>
                {tool.value?.does === "mark" ? "Done" : "Stop"}
            </button>
        </div>
    );
}
