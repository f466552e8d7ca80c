// The first minutes, help, and what went wrong.

import { signal, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { readNotices } from "../engine.ts";
import { panel } from "./bench.tsx";
import { beside, lookBeside } from "./beside.ts";
import { file_words } from "./files.ts";
import { fault, tellFault } from "./light.ts";
import { is_help_open, startNew } from "./mast.tsx";
import { photo_shown } from "./photo_state.ts";
import { chosen_fixtures, fixtureKey, pick, states } from "./pick.ts";
import { is_client, site } from "./property.ts";
import { panes, worked_in } from "./surfaces.tsx";
import { tool } from "./tool.ts";

/** Something to be said once, with what can be done about it. */
export const notice = signal<{ words: string; deeds: { words: string; does(): void }[] } | undefined>();
export const are_tries_shown = signal(false);

export function Tries() {
    if (!are_tries_shown.value || is_client.value || tool.value || beside.value) return null;
    const fixtures = [...states.value.values()].filter(state => state.wall !== "");
    const tallest = fixtures.find(state => state.id === "U5") ?? fixtures[0];
    const variant = site.value.variants?.at(-1);
    if (!tallest || chosen_fixtures.value.length) return null;
    return (
        <section class="tries" aria-label="Three things to try">
            <h2>{variant ? "Three things to try:" : "To try:"}</h2>
            <ol>
                {tallest && (
                    <li>
                        <button
                            type="button"
                            onClick={() => {
                                panes.value = [photo_shown.value ? "photo" : "walk", "wall"];
                                worked_in.value = "wall";
                                pick(fixtureKey(tallest.id));
                            }}
                        >
                            Drag a light along the wall
                        </button>
                    </li>
                )}
                {variant && (
                    <li>
                        <button
                            type="button"
                            onClick={() => {
                                panel.value = "options";
                                if (!beside.value) void lookBeside(variant.id).catch(tellFault);
                            }}
                        >
                            Put two options side by side
                        </button>
                    </li>
                )}
                <li>
                    <button
                        type="button"
                        onClick={() => {
                            startNew("ft");
                            are_tries_shown.value = false;
                        }}
                    >
                        Begin with your own house
                    </button>
                </li>
            </ol>
            <button
                type="button"
                class="quiet"
                aria-label="Close"
                onClick={() => {
                    are_tries_shown.value = false;
                }}
            >
                ✕
            </button>
        </section>
    );
}

export function Notices() {
    const said = notice.value;
    return (
        <div class="notices">
            {fault.value && (
                <div class="notice bad" role="alert">
                    <p>{fault.value}</p>
                    <button
                        type="button"
                        onClick={() => {
                            fault.value = undefined;
                        }}
                    >
                        Understood
                    </button>
                </div>
            )}
            {file_words.value && (
                <div class={`notice ${file_words.value.is_bad ? "bad" : ""}`} role="alert">
                    <p>{file_words.value.words}</p>
                    <button
                        type="button"
                        onClick={() => {
                            file_words.value = undefined;
                        }}
                    >
                        Understood
                    </button>
                </div>
            )}
            {said && (
                <div class="notice" role="status">
                    <p>{said.words}</p>
                    {said.deeds.map(deed => (
                        <button
                            key={deed.words}
                            type="button"
                            onClick={() => {
                                notice.value = undefined;
                                deed.does();
                            }}
                        >
                            {deed.words}
                        </button>
                    ))}
                </div>
            )}
        </div>
    );
}

const keys: [string, string][] = [
    ["Arrow keys", "move what is picked by an inch (a foot with Shift): along, and away from the wall"],
    ["[ and ]", "lean the picked light by a degree; { and } turn it"],
    ["A, D, W, S", "turn and walk in the walk; Q and E step aside, R and F look up and down"],
    ["+, −, 0", "bring the wall or the plan nearer, further off, or show all; Ctrl and arrows move it"],
    ["Drawing", "arrow keys move a cross by a foot (Shift: ten feet, Alt: an inch), Enter sets it"],
    ["52 ft, then ↓", "draws that far that way; “6 ft, 0” is a place, “42 in x 5 ft” a window’s size"],
    ["On a photo", "arrow keys move the cross or a mark by a pixel, with Shift by ten"],
    ["Tab", "goes from light to light, window to window"],
    ["Ctrl + Z, Ctrl + Y", "undo, redo"],
    ["Ctrl + S, Ctrl + O", "save, open"],
    ["Delete", "takes what is picked away"],
    ["Escape", "puts the tool down, gives up a drag"],
];

function Licences() {
    const text = useSignal("");
    return (
        <details
            onToggle={() => {
                if (!text.value)
                    readNotices().then(
                        notices => {
                            text.value = notices;
                        },
                        () => undefined,
                    );
            }}
        >
            <summary>Whose work is in this page</summary>
            <pre class="dim">{text.value}</pre>
        </details>
    );
}

export function Help() {
    const dialog = useRef<HTMLDialogElement>(null);
    useEffect(() => {
        if (is_help_open.value) dialog.current?.showModal();
        else dialog.current?.close();
    }, [is_help_open.value]);
    const close = () => {
        is_help_open.value = false;
    };
    return (
        <dialog ref={dialog} class="help" aria-labelledby="help-title" onClose={close}>
            <div class="heading">
                <h2 id="help-title">How it works</h2>
                <button type="button" onClick={close}>
                    Close
                </button>
            </div>
            {is_client.value ? (
                <p>
                    Drag to look round, pinch or turn the wheel to come nearer. Options beside the picture
                    show other designs.
                </p>
            ) : (
                <>
                    <p>
                        The walk, the photo, the wall and the plan show one property. What you pick in one is
                        picked in all of them, and each of them can change it. Direct light follows your hand;
                        light that bounces, and the report, come when it rests.
                    </p>
                    <p>
                        <strong>On the wall</strong> a light stands on the strip of ground before it, to
                        scale: drag it along, or away. The cross on the wall is where its beam is aimed: drag
                        it up to stand the light more upright. Tilt counts from straight up.
                    </p>
                    <p>
                        <strong>On a photo</strong> a few marks tell where it was taken from; then two clicks
                        measure, trace a window or a door, and lights are dragged along the wall where the
                        client will see them. A picture dropped onto the page becomes a photo.
                    </p>
                    <p>
                        <strong>Shift and click</strong> picks several. Figures beside a light can be typed:
                        “15 in”, “8”.
                    </p>
                    <p>
                        Everything stays on this machine. The browser keeps your work; the file is yours when
                        you save it. All figures are estimates: check after dark.
                    </p>
                    <dl>
                        {keys.map(([key, does]) => (
                            <div key={key}>
                                <dt>{key}</dt>
                                <dd>{does}</dd>
                            </div>
                        ))}
                    </dl>
                    <Licences />
                </>
            )}
        </dialog>
    );
}
