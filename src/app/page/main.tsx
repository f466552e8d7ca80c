// duskcast.html: opens on its lit demo, or on what was being worked on here.

import { effect } from "@preact/signals";
import { render } from "preact";
import { startEngine } from "../engine.ts";
import { Bench, panel } from "./bench.tsx";
import { followBeside } from "./beside.ts";
import { followBills } from "./bills.ts";
import { finish, isOutline } from "./draw.ts";
import { moveCross, setCross } from "./draw_keys.ts";
import { openCarried, openFiles, saveFile, takeFiles } from "./files.ts";
import { are_tries_shown, Help, Notices, notice } from "./help.tsx";
import { findKept, keepFromNow, resumeKept } from "./keep.ts";
import { fault, follow, has_answered, scene } from "./light.ts";
import { keyOnPicked } from "./marks.tsx";
import { is_help_open, Mast, type Surroundings, setSurroundings } from "./mast.tsx";
import { PaperFoot, PaperHead } from "./paper.tsx";
import { keyOnPhoto, takeBackCorner } from "./photo_draw.ts";
import { followPhotos } from "./photo_state.ts";
import { chosen, pickNothing } from "./pick.ts";
import { followPrices } from "./prices.ts";
import { abandon, is_client, redo, site, undo } from "./property.ts";
import { takeAway } from "./several.ts";
import { look, walkByKey } from "./stand.ts";
import { drawn_on, is_narrow, panes, Surfaces } from "./surfaces.tsx";
import { is_keyed, points, take, tool } from "./tool.ts";

function Page() {
    return (
        <>
            <Mast />
            <PaperHead />
            <Surfaces />
            <PaperFoot />
            <Bench />
            <Notices />
            <Help />
            {!has_answered.value && !fault.value && (
                <div class="waking" role="status">
                    {scene.value ? "Lighting the lamps …" : "Building the property …"}
                </div>
            )}
        </>
    );
}

function onKey(event: KeyboardEvent): void {
    const at = event.target as HTMLElement;
    if (at.closest("input, select, textarea, dialog")) return;
    const is_command = event.ctrlKey || event.metaKey;
    const key = event.key.toLowerCase();
    const done = () => event.preventDefault();
    if (is_client.value) {
        if (!is_command && walkByKey(key)) done();
        return;
    }
    if (is_command && key === "z") {
        done();
        if (event.shiftKey) redo();
        else if (!takeBackCorner()) undo();
    } else if (is_command && key === "y") {
        done();
        redo();
    } else if (is_command && key === "s") {
        done();
        saveFile();
    } else if (is_command && key === "o") {
        done();
        openFiles();
    } else if (is_command) return;
    else if (key === "escape") {
        if (tool.value) take(undefined);
        else pickNothing();
        abandon();
    } else if (tool.value && drawn_on.value === "photo") {
        if (!at.closest("button") && keyOnPhoto(event)) done();
    } else if (key === "enter" && tool.value && !at.closest("button")) {
        done();
        if (is_keyed.value && drawn_on.value !== "photo") setCross(drawn_on.value);
        else if (points.value.length > 1) finish(isOutline(tool.value));
    } else if (tool.value && /^[\d.-]$/.test(key)) document.getElementById("drawn-place")?.focus();
    else if (tool.value && drawn_on.value !== "photo" && moveCross(drawn_on.value, event)) done();
    else if ((key === "delete" || key === "backspace") && chosen.value.length) {
        done();
        takeAway();
    } else if (key === "?") is_help_open.value = true;
    else if (at.closest(".tabs, .slider, .curve")) return;
    else if (chosen.value.length && keyOnPicked(event)) done();
    else if (walkByKey(key)) done();
}

// A bare property is drawn by day; its first light brings the night.
function bringNight(): void {
    let before = site.peek().fixtures?.length ?? 0;
    effect(() => {
        const count = site.value.fixtures?.length ?? 0;
        if (count === 0 && !site.value.walls?.length) look.value = "day";
        else if (before === 0 && count > 0) look.value = "night";
        before = count;
    });
}

function watchWindow(): void {
    const narrow = matchMedia("(max-width: 759px)");
    const set = () => {
        is_narrow.value = narrow.matches;
    };
    narrow.addEventListener("change", set);
    set();
    addEventListener("keydown", onKey);
    addEventListener("dragover", event => event.preventDefault());
    addEventListener("drop", event => {
        event.preventDefault();
        if (!is_client.value && event.dataTransfer?.files.length)
            void takeFiles([...event.dataTransfer.files]);
    });
}

async function start(): Promise<void> {
    const starting = startEngine(undefined, globalThis.duskcast_module);
    starting.catch(() => undefined); // told below
    try {
        setSurroundings((localStorage.getItem("duskcast-surroundings") as Surroundings | null) ?? "auto");
    } catch {
        setSurroundings("auto");
    }
    is_client.value = openCarried();
    const kept = is_client.value ? undefined : await findKept();
    if (kept && kept.property.past.length + kept.property.future.length > 0) {
        resumeKept(kept);
        notice.value = {
            words: "You are back where you were.",
            deeds: [
                { words: "Go on", does: () => undefined },
                {
                    words: "Open the demo instead",
                    does: () => {
                        openCarried();
                        are_tries_shown.value = true;
                    },
                },
            ],
        };
    } else are_tries_shown.value = true;
    if (!is_client.value) keepFromNow();
    panel.value = is_client.value ? "options" : "light";
    if (site.value.photos?.length) panes.value = ["photo", "wall"];
    watchWindow();
    bringNight();
    followBeside();
    followBills();
    followPrices();
    followPhotos();
    render(<Page />, document.getElementById("page") as HTMLElement);
    try {
        await follow(await starting);
    } catch (reason) {
        fault.value = `The engine did not start: ${reason instanceof Error ? reason.message : String(reason)}`;
    }
}

void start();
