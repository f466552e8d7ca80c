// A photo in the bench: what its marks settle, each with how well it fits, and what can be marked next.

import { useSignal } from "@preact/signals";
import type { PhotoPlace } from "../engine.ts";
import { ThingForm } from "./form.tsx";
import { readLength } from "./length.ts";
import { unit } from "./move.ts";
import {
    beginMarks,
    callPlace,
    mark_held,
    removeMark,
    takeGroundMark,
    takeMark,
    takeOnPhoto,
} from "./photo_draw.ts";
import { addFrontBySize, choosePhoto } from "./photo_file.ts";
import { Masks } from "./photo_masks.tsx";
import { lines, night_picture, photo_states } from "./photo_state.ts";
import { change, site } from "./property.ts";
import { takeAway } from "./several.ts";
import type { Found, Photo } from "./site.ts";
import { tool } from "./tool.ts";
import { Typed } from "./typed.tsx";
import { callId } from "./words.ts";

export function PhotoPanel({ found }: { found: Found }) {
    const photo = found.thing as Photo;
    const state = photo_states.value.find(one => one.id === photo.id);
    const has_wall = (site.value.walls ?? []).length > 0;
    const night = night_picture.value?.photo === photo.id ? night_picture.value : undefined;
    return (
        <>
            {state && !state.is_found && state.marks.length >= 4 && (
                <p class="complaint" role="alert">
                    {state.problems
                        .map(one => [one.message, one.remedy].filter(Boolean).join("; "))
                        .join(" ")}
                </p>
            )}
            {state?.is_found && (
                <p class="how" role="status">
                    {state.worth || "Its camera is known"}.
                </p>
            )}
            {state?.doubts.map(words => (
                <p class="advice" key={words}>
                    {sentence(words)}
                </p>
            ))}
            {!has_wall && <FirstFront />}
            {has_wall && <Marks photo={photo} />}
            {has_wall && <Trace />}
            {has_wall && <Masks photo={photo} />}
            {night && night.doubts.length > 0 && (
                <details>
                    <summary>What the night picture cannot tell</summary>
                    <ul class="answers">
                        {night.doubts.map(words => (
                            <li key={words}>{sentence(words)}</li>
                        ))}
                    </ul>
                </details>
            )}
            <div class="deeds">
                <button type="button" onClick={choosePhoto}>
                    Another photo …
                </button>
                <button type="button" onClick={takeAway}>
                    Take away
                </button>
            </div>
            <details>
                <summary>All details</summary>
                <ThingForm found={found} object="photo" skip={["marks", "masks", "white"]} />
            </details>
        </>
    );
}

/** Keys set what a pointer began; on this button they would press it again. */
function leave(event: MouseEvent): void {
    if (event.detail > 0) (event.currentTarget as HTMLElement).blur();
}

function sentence(words: string): string {
    const text = words.charAt(0).toUpperCase() + words.slice(1);
    return /[.!?]$/.test(text) ? text : `${text}.`;
}

/** A property of which there is nothing but the photo: two lengths taken with a tape begin it. */
function FirstFront() {
    const complaint = useSignal("");
    const submit = (event: Event) => {
        event.preventDefault();
        const data = new FormData(event.target as HTMLFormElement);
        complaint.value = addFrontBySize(String(data.get("width")), String(data.get("eave"))) ?? "";
    };
    const is_metric = site.value.units === "m";
    return (
        <form class="first-front" onSubmit={submit}>
            <h2>The front, by two lengths</h2>
            <p class="how">Taken with a tape, or from the plans. Windows and gables are traced afterwards.</p>
            <div class="figures two">
                <label class="typed">
                    <span class="label">How wide</span>
                    <input
                        type="text"
                        name="width"
                        autocomplete="off"
                        placeholder={is_metric ? "16 m" : "52 ft"}
                    />
                </label>
                <label class="typed">
                    <span class="label">Ground to eave</span>
                    <input
                        type="text"
                        name="eave"
                        autocomplete="off"
                        placeholder={is_metric ? "3 m" : "10 ft"}
                    />
                </label>
            </div>
            {complaint.value && (
                <p class="complaint" role="alert">
                    {complaint.value}
                </p>
            )}
            <button type="submit" class="deed">
                Begin
            </button>
        </form>
    );
}

function Marks({ photo }: { photo: Photo }) {
    const state = photo_states.value.find(one => one.id === photo.id);
    const marks = state?.marks ?? [];
    const is_marking = tool.value?.does === "mark";
    return (
        <>
            <div class="heading">
                <h2>Marks</h2>
                <span class="kind">{marks.length ? `${marks.length}` : "none yet"}</span>
                <button
                    type="button"
                    class={marks.length < 8 ? "deed" : ""}
                    aria-pressed={is_marking}
                    disabled={!is_marking && !lines.value?.places.some(place => !place.is_marked)}
                    onClick={event => {
                        if (is_marking) takeOnPhoto(undefined);
                        else beginMarks();
                        leave(event);
                    }}
                >
                    {is_marking ? "Stop" : marks.length ? "Mark the next" : "Begin marking"}
                </button>
            </div>
            {marks.length === 0 && (
                <p class="how">
                    Six places spread wide and high on the front, and two on the ground well before it. The
                    page asks for them one after the other.
                </p>
            )}
            {marks.length > 0 && (
                <ul class="mark-list">
                    {marks.map(mark => (
                        <li key={mark.id} class={mark.state}>
                            <button
                                type="button"
                                class="sentence"
                                aria-pressed={mark_held.value === mark.id}
                                onClick={() => {
                                    mark_held.value = mark.id;
                                }}
                            >
                                {capital(callPlace(mark.of, mark.place))}
                            </button>
                            <span class="fit">{mark.fit_words}</span>
                            <button
                                type="button"
                                class="quiet"
                                aria-label={`Take away the mark on ${callPlace(mark.of, mark.place)}`}
                                onClick={() => removeMark(mark.id)}
                            >
                                ✕
                            </button>
                        </li>
                    ))}
                </ul>
            )}
            {marks.length >= 2 && !photo.marks?.some(mark => mark.at) && <GroundSpot />}
            {state && !state.is_found && state.focal_35mm === null && marks.length >= 4 && (
                <Lens photo={photo} />
            )}
            <Places />
        </>
    );
}

function capital(words: string): string {
    return words.replace(/^the /, "").replace(/^./, letter => letter.toUpperCase());
}

/** Nothing on the ground need be drawn for a mark there: a tape from the wall does. */
function GroundSpot() {
    const complaint = useSignal("");
    const submit = (event: Event) => {
        event.preventDefault();
        const data = new FormData(event.target as HTMLFormElement);
        const [along, out] = ["along", "out"].map(name => readLength(String(data.get(name)), unit()));
        complaint.value = "";
        if (along === undefined || out === undefined || out <= 0)
            complaint.value = unit() === "m" ? "Write lengths like “5 m”." : "Write lengths like “16 ft”.";
        else {
            takeGroundMark(along, out);
            (document.activeElement as HTMLElement | null)?.blur();
        }
    };
    const is_metric = unit() === "m";
    return (
        <form class="first-front" onSubmit={submit}>
            <h3>A spot on the ground, by tape</h3>
            <div class="figures two">
                <label class="typed">
                    <span class="label">Along the front</span>
                    <input
                        type="text"
                        name="along"
                        autocomplete="off"
                        placeholder={is_metric ? "5 m" : "16 ft"}
                    />
                </label>
                <label class="typed">
                    <span class="label">Out from the wall</span>
                    <input
                        type="text"
                        name="out"
                        autocomplete="off"
                        placeholder={is_metric ? "4 m" : "14 ft"}
                    />
                </label>
            </div>
            {complaint.value && (
                <p class="complaint" role="alert">
                    {complaint.value}
                </p>
            )}
            <button type="submit">Mark it</button>
        </form>
    );
}

function Lens({ photo }: { photo: Photo }) {
    return (
        <Typed
            label="Lens, in mm of 35-mm film, if it is known"
            value=""
            hint="26"
            onTyped={text => {
                const focal = Number(text.replace(/ *mm$/, ""));
                if (!(focal >= 5 && focal <= 1000)) return "Millimetres, 5 to 1000: a phone’s has 24 to 28.";
                change("Give the lens", draft => {
                    const one = draft.photos?.find(candidate => candidate.id === photo.id);
                    if (one) one.focal_35mm = focal;
                });
                return undefined;
            }}
        />
    );
}

/** All that can be marked, by what it belongs to. */
function Places() {
    const groups = new Map<string, PhotoPlace[]>();
    for (const place of lines.value?.places ?? []) {
        if (place.is_marked) continue;
        groups.set(place.of, [...(groups.get(place.of) ?? []), place]);
    }
    if (!groups.size) return null;
    const now = tool.value?.does === "mark" ? tool.value.place.id : "";
    return (
        <details>
            <summary>Other places to mark</summary>
            <div class="places">
                {[...groups].map(([of, places]) => (
                    <div key={of}>
                        <h3>{callId(of)}</h3>
                        <div class="parts">
                            {places.map(place => (
                                <button
                                    key={place.id}
                                    type="button"
                                    class="part"
                                    aria-pressed={now === place.id}
                                    onClick={event => {
                                        takeMark(place.id);
                                        leave(event);
                                    }}
                                >
                                    {capital(place.words)}
                                </button>
                            ))}
                        </div>
                    </div>
                ))}
            </div>
        </details>
    );
}

const traces = [
    { words: "Measure", makes: { does: "measure" } },
    { words: "Window", makes: { does: "opening", what: "window" } },
    { words: "Door", makes: { does: "opening", what: "door" } },
    { words: "Gable", makes: { does: "gable" } },
    { words: "Eave", makes: { does: "eave" } },
    { words: "Tree", makes: { does: "tree", what: "round" } },
] as const;

/** What is taken off the photo once its camera is known. */
function Trace() {
    const is_found = photo_states.value.some(state => state.is_found);
    return (
        <>
            <h2>Take off the photo</h2>
            {!is_found && <p class="how">As soon as the marks settle where it was taken from.</p>}
            <div class="parts">
                {traces.map(({ words, makes }) => {
                    const is_taken = JSON.stringify(tool.value) === JSON.stringify(makes);
                    return (
                        <button
                            key={words}
                            type="button"
                            class="part"
                            disabled={!is_found}
                            aria-pressed={is_taken}
                            onClick={event => {
                                takeOnPhoto(is_taken ? undefined : makes);
                                leave(event);
                            }}
                        >
                            {words}
                        </button>
                    );
                })}
            </div>
        </>
    );
}
