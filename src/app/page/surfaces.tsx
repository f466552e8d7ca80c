// The three surfaces, one or two at a time, and how they are looked at.

import { computed, signal } from "@preact/signals";
import { DrawBar } from "./draw_bar.tsx";
import { Tries } from "./help.tsx";
import { is_settled, scale, scene } from "./light.ts";
import { isAiming, PhotoSheet } from "./photo.tsx";
import { PhotoBar, PhotoChoices } from "./photo_bar.tsx";
import { photo_shown } from "./photo_state.ts";
import { picked, wall_shown } from "./pick.ts";
import { PlanSheet } from "./plan.tsx";
import { is_client, site } from "./property.ts";
import type { Key } from "./site.ts";
import { are_marks_shown, goTo, look, view_shown } from "./stand.ts";
import { again, tool, worksOn } from "./tool.ts";
import { Walk } from "./walk.tsx";
import type { Look } from "./walk_scene.ts";
import { WallSheet } from "./wall.tsx";
import { face_shown, showFace, surface_shown, upright } from "./wall_face.ts";
import { callId } from "./words.ts";

export type SurfaceName = "walk" | "photo" | "wall" | "plan";
const names: Record<SurfaceName, string> = { walk: "Walk", photo: "Photo", wall: "Wall", plan: "Plan" };

/** What the panes show, the first of them large. */
export const panes = signal<SurfaceName[]>(["walk", "wall"]);
/** The pane that was worked in last: figures at the hand stand there. */
export const worked_in = signal<SurfaceName>("wall");
export const is_narrow = signal(false);

/** Puts the photo into the large pane. */
export function bringPhoto(): void {
    const list = panes.value.filter(name => name !== "photo");
    panes.value = ["photo", list.find(name => name !== "walk") ?? "wall"];
    worked_in.value = "photo";
}

/** Puts the plan beside the large pane, where it is in none. */
export function bringPlan(): void {
    if (!shown.value.includes("plan")) panes.value = [panes.value[0] as SurfaceName, "plan"];
}

const shown = computed<SurfaceName[]>(() => {
    const list = is_client.value
        ? panes.value.filter(name => name === "walk" || name === "photo").slice(0, 1)
        : is_narrow.value
          ? panes.value.slice(0, 1)
          : panes.value;
    const now = tool.value;
    // Trees alone are worked on in the plan.
    if (!now && scene.value && !upright.value.length && list.includes("wall") && !list.includes("plan"))
        return list.map(name => (name === "wall" ? "plan" : name));
    if (now && list.includes("photo") && isAiming()) return list;
    // What has just been drawn on the plan is seen there until something else is taken up.
    if (!now && again.value?.on === "plan" && is_last_drawn.value && !list.includes("plan"))
        return is_narrow.value ? ["plan"] : [list[0] as SurfaceName, "plan"];
    // A tool brings its sheet with it.
    if (now && worksOn(now) !== "any" && !list.includes(worksOn(now) as SurfaceName))
        return is_narrow.value
            ? [worksOn(now) as SurfaceName]
            : [list[0] as SurfaceName, worksOn(now) as SurfaceName];
    return list;
});

/** The sheet that keys draw on. */
export const drawn_on = computed<"plan" | "wall" | "photo">(() => {
    const now = tool.value;
    const on = now ? worksOn(now) : "any";
    if (isAiming() && shown.value.includes("photo") && (on === "photo" || isPhotoFirst(on))) return "photo";
    if (on === "plan" || on === "wall") return on;
    const is_wall = shown.value.includes("wall") && worked_in.value !== "plan";
    return is_wall || !shown.value.includes("plan") ? "wall" : "plan";
});

// The photo takes a tool where its own sheet is not there, or the photo was worked in last.
function isPhotoFirst(on: string): boolean {
    return (
        worked_in.value === "photo" ||
        !shown.value.some(name => name === on || (on === "any" && name !== "photo"))
    );
}

/** What a pane may show; a client's copy has no drawings. */
function choicesOf(): SurfaceName[] {
    const all = Object.keys(names) as SurfaceName[];
    return is_client.value
        ? all.filter(name => name === "walk" || (name === "photo" && photo_shown.value))
        : all;
}

export function Surfaces() {
    const list = shown.value;
    const main = list.includes(worked_in.value) ? worked_in.value : list[list.length - 1];
    return (
        <main class={`surfaces count-${list.length}`} aria-busy={!is_settled.value}>
            {list.map((name, index) => (
                <section
                    key={name}
                    class={`pane ${name}-pane ${main === name ? "worked" : ""}`}
                    aria-label={names[name]}
                    onPointerDownCapture={() => {
                        if (worked_in.value !== name) worked_in.value = name;
                    }}
                    onFocusCapture={() => {
                        if (worked_in.value !== name) worked_in.value = name;
                    }}
                >
                    {name === "walk" && <Walk is_main={main === name} />}
                    {name === "photo" && <PhotoSheet is_main={main === name} />}
                    {name === "wall" && <WallSheet is_main={main === name} />}
                    {name === "plan" && <PlanSheet is_main={main === name} />}
                    <div class="pane-bar">
                        {choicesOf().length > 1 && (
                            <fieldset class="switch">
                                <legend class="unseen">This pane shows</legend>
                                {choicesOf().map(one => (
                                    <button
                                        key={one}
                                        type="button"
                                        aria-pressed={one === name}
                                        onClick={() => showIn(index, one)}
                                    >
                                        {names[one]}
                                    </button>
                                ))}
                            </fieldset>
                        )}
                        {name === "walk" && <WalkChoices />}
                        {name === "photo" && <PhotoChoices />}
                        {name === "wall" && <WallChoice />}
                        {(name === "wall" || (name === "walk" && look.value === "light")) && <ScaleBar />}
                        {!is_narrow.value && !is_client.value && (
                            <button
                                type="button"
                                class="chip"
                                title={
                                    list.length > 1 ? "Let this picture fill the window" : "Show two pictures"
                                }
                                onClick={() => {
                                    left_for.value = again.value?.key;
                                    panes.value =
                                        list.length > 1
                                            ? [name]
                                            : name === "walk"
                                              ? ["walk", "wall"]
                                              : [photo_shown.value ? "photo" : "walk", name];
                                }}
                            >
                                {list.length > 1 ? "Fill" : "Two"}
                            </button>
                        )}
                    </div>
                    {index === 0 && <Tries />}
                </section>
            ))}
            {tool.value && (drawn_on.value === "photo" ? <PhotoBar /> : <DrawBar on={drawn_on.value} />)}
        </main>
    );
}

// Until a pane is chosen for something else.
const is_last_drawn = computed(
    () => again.value?.key === picked.value.at(-1) && again.value?.key !== left_for.value,
);
const left_for = signal<Key | undefined>();

function showIn(index: number, name: SurfaceName): void {
    left_for.value = again.value?.key;
    const list = [...shown.value];
    const other = list.indexOf(name);
    const before = list[index];
    if (other >= 0 && before) list[other] = before;
    list[index] = name;
    panes.value = list;
    worked_in.value = name;
}

const looks: { look: Look; words: string }[] = [
    { look: "night", words: "Night" },
    { look: "light", words: "Foot-candles" },
    { look: "day", words: "Day" },
];

function WalkChoices() {
    const views = site.value.views ?? [];
    return (
        <>
            <fieldset class="switch">
                <legend class="unseen">The walk is shown</legend>
                {looks.map(one => (
                    <button
                        key={one.look}
                        type="button"
                        aria-pressed={look.value === one.look}
                        onClick={() => {
                            look.value = one.look;
                        }}
                    >
                        {one.look === "light" && site.value.light === "lx" ? "Lux" : one.words}
                    </button>
                ))}
            </fieldset>
            <label class="chooser">
                <span class="unseen">Stand at</span>
                <select
                    value={view_shown.value ?? ""}
                    onChange={event => goTo((event.target as HTMLSelectElement).value)}
                >
                    <option value="">{view_shown.value ? "The whole front" : "Walking"}</option>
                    {views.map(view => (
                        <option key={view.id} value={view.id}>
                            {callId(view.id)}
                        </option>
                    ))}
                </select>
            </label>
            {!is_client.value && (
                <label class="tick">
                    <input
                        type="checkbox"
                        checked={are_marks_shown.value}
                        onChange={event => {
                            are_marks_shown.value = (event.target as HTMLInputElement).checked;
                        }}
                    />
                    <span>Marks</span>
                </label>
            )}
        </>
    );
}

function WallChoice() {
    const faces = surface_shown.value?.run.length ?? 0;
    return (
        <>
            {upright.value.length > 1 && (
                <label class="chooser">
                    <span class="unseen">Wall</span>
                    <select
                        value={surface_shown.value?.id ?? ""}
                        onChange={event => {
                            wall_shown.value = (event.target as HTMLSelectElement).value;
                            showFace();
                        }}
                    >
                        {upright.value.map(surface => (
                            <option key={surface.id} value={surface.id}>
                                {callId(surface.id)}
                            </option>
                        ))}
                    </select>
                </label>
            )}
            {faces > 1 && (
                <label class="chooser">
                    <span class="unseen">Face</span>
                    <select
                        value={String(face_shown.value)}
                        onChange={event => {
                            showFace(Number((event.target as HTMLSelectElement).value));
                        }}
                    >
                        {Array.from({ length: faces }, (_, index) => (
                            <option
                                key={`face ${index + 1}`}
                                value={String(index)}
                            >{`Face ${index + 1} of ${faces}`}</option>
                        ))}
                        <option value="-1">All faces</option>
                    </select>
                </label>
            )}
        </>
    );
}

function ScaleBar() {
    const now = scale.value;
    if (!now || !scene.value) return null;
    const ticks = site.value.light === "lx" ? now.ticks_metric : now.ticks;
    const count = now.colours.length / 3;
    const stops = Array.from({ length: 17 }, (_, i) => {
        const at = 3 * Math.round((i / 16) * (count - 1));
        return `rgb(${now.colours[at]} ${now.colours[at + 1]} ${now.colours[at + 2]}) ${(i / 16) * 100}%`;
    });
    const place = (lux: number) =>
        (100 * Math.log(lux / now.least_lx)) / Math.log(now.most_lx / now.least_lx);
    return (
        <div
            class="scale"
            role="img"
            aria-label={`Scale of light from ${ticks[0]?.words} to ${ticks.at(-1)?.words}`}
        >
            <div class="colours" style={{ background: `linear-gradient(90deg, ${stops.join(", ")})` }} />
            <div class="ticks">
                {ticks.map((tick, index) => (
                    <span
                        key={tick.lx}
                        class={index % 3 === 1 ? "" : "minor"}
                        style={{ left: `${place(tick.lx)}%` }}
                    >
                        {tick.words}
                    </span>
                ))}
            </div>
        </div>
    );
}
