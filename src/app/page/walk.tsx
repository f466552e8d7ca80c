// The walk: the property in three dimensions, from the site's own views or from wherever one walks to.

import { effect, signal, untracked, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { FixtureState } from "../engine.ts";
import { beside } from "./beside.ts";
import { drag } from "./drag.ts";
import { Hand } from "./hand.tsx";
import { readAngle } from "./length.ts";
import { changed, luxToDraw, scale, scene, whole } from "./light.ts";
import { FixtureMark } from "./marks.tsx";
import { lengthOf, standAt, standNew } from "./move.ts";
import { option } from "./options.ts";
import { pick, picked, pickNothing, things } from "./pick.ts";
import { in_hand, is_client, site } from "./property.ts";
import { callIt, type View } from "./site.ts";
import { finding, probe, tool } from "./tool.ts";
import { type Look, WalkScene } from "./walk_scene.ts";
import { Finding } from "./wall.tsx";

export const look = signal<Look>("night");
export const are_marks_shown = signal(true);
/** Id of the view that the walk stands at; "" where one has walked on. */
export const view_shown = signal<string | undefined>(undefined);
export const split = signal(0.5);

interface Stand {
    target: [number, number, number];
    azimuth: number; // where the eye looks to, clockwise from north
    pitch: number; // upwards
    distance: number;
    field_of_view: number;
}

// Until somebody walks on, the walk stands where the view, or the whole front, is well seen.
let has_walked = false;
const stand = signal<Stand>({ target: [6, 0, 3], azimuth: 0, pitch: -0.05, distance: 20, field_of_view: 50 });
const eye_height = 1.6;

function eyeOf({ target, azimuth, pitch, distance }: Stand): [number, number, number] {
    const level = distance * Math.cos(pitch);
    return [
        target[0] - Math.sin(azimuth) * level,
        target[1] - Math.cos(azimuth) * level,
        Math.max(0.4, target[2] - Math.sin(pitch) * distance),
    ];
}

function standFrom(
    eye: [number, number, number],
    target: [number, number, number],
    field_of_view: number,
): Stand {
    const [dx, dy, dz] = [target[0] - eye[0], target[1] - eye[1], target[2] - eye[2]];
    const level = Math.hypot(dx, dy);
    return {
        target,
        azimuth: Math.atan2(dx, dy),
        pitch: Math.atan2(dz, level),
        distance: Math.hypot(level, dz),
        field_of_view,
    };
}

/** Goes to a view of the site, or to where the whole front is seen. */
export function goTo(id: string): void {
    const view = site.value.views?.find(candidate => candidate.id === id);
    stand.value = view ? standOfView(view) : standBefore();
    view_shown.value = view ? id : "";
    has_walked = false;
}

/** For another property: stand where it is well seen as soon as it is there. */
export function walkAnew(): void {
    view_shown.value = undefined;
    has_walked = false;
}

function standOfView(view: View): Stand {
    const place = (value: unknown[]) => value.map(part => lengthOf(part)) as [number, number, number];
    return standFrom(place(view.eye), place(view.look_at), readAngle(view.field_of_view) ?? 50);
}

// In front of the first wall, far enough off to see all of it; else south of everything.
function standBefore(): Stand {
    const now = scene.value;
    if (!now) return stand.value;
    const { least, most } = now.bounds;
    const middle: [number, number, number] = [
        (least[0] + most[0]) / 2,
        (least[1] + most[1]) / 2,
        Math.max(1.5, most[2] * 0.36),
    ];
    const wide = Math.max(4, most[0] - least[0], most[1] - least[1], (most[2] - least[2]) * 1.4);
    const run = now.surfaces.find(surface => surface.kind === "wall")?.run[0];
    const [ox, oy] = run?.outward ?? [0, -1];
    const far = wide * 1.15 + 4;
    return standFrom([middle[0] + ox * far, middle[1] + oy * far, eye_height], middle, 50);
}

export function Walk({ is_main }: { is_main: boolean }) {
    const host = useRef<HTMLDivElement>(null);
    const canvas = useRef<HTMLCanvasElement>(null);
    const view = useRef<WalkScene | undefined>(undefined);
    const size = useSignal({ width: 0, height: 0 });
    const drawn = useSignal(0); // counts what has moved, for the marks
    const is_broken = useSignal(false);

    useEffect(() => {
        let made: WalkScene;
        try {
            made = new WalkScene(canvas.current as HTMLCanvasElement);
        } catch {
            is_broken.value = true;
            return;
        }
        view.current = made;
        let frame = 0;
        const draw = () => {
            frame = 0;
            made.draw();
        };
        const redraw = () => {
            if (!frame) frame = requestAnimationFrame(draw);
        };
        const watcher = new ResizeObserver(() => {
            const box = host.current?.getBoundingClientRect();
            if (box) size.value = { width: box.width, height: box.height };
        });
        watcher.observe(host.current as HTMLDivElement);
        const stops = [
            effect(() => {
                const { width, height } = size.value;
                if (!width || !height) return;
                made.setSize(width, height);
                applyStand(made, stand.value);
                made.setSplit(beside.value?.light ? split.value : 1);
                untracked(() => {
                    drawn.value++;
                });
                redraw();
            }),
            effect(() => {
                const now = scene.value;
                if (!now) return;
                made.setStage(now);
                untracked(() => {
                    if (!has_walked && !in_hand.value)
                        goTo(view_shown.value ?? site.value.views?.[0]?.id ?? "");
                    if (changed.value) made.setLight(luxToDraw(changed.value.light, whole.value), "a");
                });
                redraw();
            }),
            effect(() => {
                const now = changed.value;
                if (!now || !scene.value) return;
                made.setLight(luxToDraw(now.light, whole.value), "a");
                const other = beside.value?.light;
                if (other) made.setLight(other.total.length ? other.total : other.direct, "b");
                untracked(() => {
                    drawn.value++;
                });
                redraw();
            }),
            effect(() => {
                const now = changed.value;
                made.setLook(
                    look.value,
                    scale.value,
                    now?.site.levels_lx ?? [],
                    lampColour(now?.fixtures ?? []),
                    now?.site.ambient_lx ?? 0,
                );
                redraw();
            }),
        ];
        const lost = (event: Event) => {
            event.preventDefault();
            is_broken.value = true;
        };
        canvas.current?.addEventListener("webglcontextlost", lost);
        return () => {
            for (const stop of stops) stop();
            cancelAnimationFrame(frame);
            watcher.disconnect();
            made.dispose();
        };
    }, []);

    useEffect(() => {
        const node = host.current as HTMLDivElement;
        const wheel = (event: WheelEvent) => {
            event.preventDefault();
            walkOn(now => ({
                ...now,
                distance: Math.min(150, Math.max(1.5, now.distance * Math.exp(event.deltaY * 0.0012))),
            }));
        };
        node.addEventListener("wheel", wheel, { passive: false });
        return () => node.removeEventListener("wheel", wheel);
    }, []);

    const shares = (event: { clientX: number; clientY: number }): [number, number] => {
        const box = (host.current as HTMLDivElement).getBoundingClientRect();
        return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
    };
    const fingers = useRef(new Map<number, [number, number]>());
    const press = (event: PointerEvent) => {
        fingers.current.set(event.pointerId, [event.clientX, event.clientY]);
        if (fingers.current.size > 1) return;
        const made = view.current;
        const start = stand.value;
        const is_pan = event.button !== 0 || event.shiftKey;
        drag(event, {
            is_looking: true,
            moved: now => {
                if (fingers.current.size > 1) return;
                const [dx, dy] = [now.clientX - event.clientX, now.clientY - event.clientY];
                if (is_pan) walkOn(() => panned(start, dx, dy, size.value.height));
                else
                    walkOn(() => ({
                        ...start,
                        azimuth: start.azimuth + dx * 0.006,
                        pitch: Math.min(0.5, Math.max(-1.45, start.pitch - dy * 0.005)),
                    }));
            },
            clicked: now => made && clickAt(made, shares(now), now),
        });
    };
    const move = (event: PointerEvent) => {
        const held = fingers.current;
        if (!held.has(event.pointerId) || held.size !== 2) return;
        const before = [...held.values()] as [[number, number], [number, number]];
        held.set(event.pointerId, [event.clientX, event.clientY]);
        const after = [...held.values()] as [[number, number], [number, number]];
        const spread = (pair: [[number, number], [number, number]]) =>
            Math.hypot(pair[0][0] - pair[1][0], pair[0][1] - pair[1][1]);
        const ratio = spread(before) / Math.max(1, spread(after));
        const [dx, dy] = [0, 1].map(
            axis =>
                (after[0][axis as 0] + after[1][axis as 0] - (before[0][axis as 0] + before[1][axis as 0])) /
                2,
        ) as [number, number];
        walkOn(now =>
            panned(
                { ...now, distance: Math.min(150, Math.max(1.5, now.distance * ratio)) },
                dx,
                dy,
                size.value.height,
            ),
        );
    };
    const lift = (event: PointerEvent) => fingers.current.delete(event.pointerId);

    return (
        <div
            class={`walk ${look.value} ${tool.value ? "aiming" : ""}`}
            ref={host}
            onPointerDown={press}
            onPointerMove={move}
            onPointerUp={lift}
            onPointerCancel={lift}
            onContextMenu={event => event.preventDefault()}
        >
            <canvas ref={canvas} aria-label="The property, to walk round" role="img" />
            {is_broken.value && (
                <div class="sheet nothing">
                    <p>
                        This browser cannot draw the walk (it has no WebGL 2). The wall and the plan do all
                        the same work.
                    </p>
                </div>
            )}
            {drawn.value > 0 && view.current && !is_broken.value && (
                <WalkMarks
                    view={view.current}
                    width={size.value.width}
                    height={size.value.height}
                    is_main={is_main}
                    shares={shares}
                />
            )}
            {isBare() && (
                <p class="bare">Nothing stands here yet. Choose a house front or draw a wall under “Add”.</p>
            )}
            {beside.value?.light && <Slider width={size.value.width} />}
        </div>
    );
}

function isBare(): boolean {
    const { walls, trees, meshes } = site.value;
    return !walls?.length && !trees?.length && !meshes?.length;
}

function applyStand(made: WalkScene, now: Stand): void {
    const eye = eyeOf(now);
    made.camera.position.set(...eye);
    made.camera.lookAt(...now.target);
    made.setFieldOfView(now.field_of_view);
}

export function walkOn(recipe: (now: Stand) => Stand): void {
    stand.value = recipe(stand.value);
    view_shown.value = "";
    has_walked = true;
}

/** Walks by keys: forward and back, to the sides, and turns. */
export function walkByKey(key: string): boolean {
    const turned = (by: number) => walkOn(now => ({ ...now, azimuth: now.azimuth + by }));
    const near = (by: number) =>
        walkOn(now => ({ ...now, distance: Math.min(150, Math.max(1.5, now.distance * by)) }));
    if (key === "a") turned(0.08);
    else if (key === "d") turned(-0.08);
    else if (key === "w") near(0.92);
    else if (key === "s") near(1.087);
    else return false;
    return true;
}

function panned(now: Stand, dx: number, dy: number, height: number): Stand {
    const metres =
        (2 * now.distance * Math.tan((now.field_of_view * Math.PI) / 360)) / Math.max(1, height) / 1.4;
    const [east, north] = [Math.cos(now.azimuth), -Math.sin(now.azimuth)];
    return {
        ...now,
        target: [
            now.target[0] - east * dx * metres,
            now.target[1] - north * dx * metres,
            Math.max(0, now.target[2] + dy * metres),
        ],
    };
}

// Lamps of several colours are shown in one, weighted by their light.
function lampColour(fixtures: FixtureState[]): [number, number, number] {
    const sum: [number, number, number] = [0, 0, 0];
    let weight = 0;
    for (const { colour, lumens, dimming } of fixtures) {
        const share = lumens * dimming;
        weight += share;
        colour.forEach((part, i) => {
            sum[i as 0] += part * share;
        });
    }
    return weight > 0 ? (sum.map(part => part / weight) as [number, number, number]) : [1, 1, 1];
}

function clickAt(made: WalkScene, [x, y]: [number, number], event: PointerEvent): void {
    if (is_client.value) return;
    const now = tool.value;
    const hit = made.find(x, y);
    if (now?.does === "stand") {
        const spot = hit && hit.position[2] < 0.3 ? hit.position : made.spotAtLevel(x, y, 0);
        if (spot) {
            standNew(now.what, [spot[0], spot[1]]);
            tool.value = undefined;
        }
        return;
    }
    if (now?.does === "probe") {
        if (!hit) return;
        const [px, py, pz] = hit.position;
        const [nx, ny, nz] = hit.normal;
        const off = 0.001;
        void probe([px + off * nx, py + off * ny, pz + off * nz], hit.normal, [px, py], "plan").then(() => {
            if (finding.value) walk_finding.value = { words: finding.value.words, place: hit.position };
        });
        return;
    }
    const surface = hit && scene.value?.surfaces[hit.surface];
    if (!surface) {
        pickNothing();
        return;
    }
    const own = things.value.has(surface.id) ? surface.id : surface.part_of;
    if (things.value.has(own)) pick(own, event.shiftKey);
    else pickNothing();
}

const walk_finding = signal<{ words: string[]; place: [number, number, number] } | undefined>();

interface MarksProps {
    view: WalkScene;
    width: number;
    height: number;
    is_main: boolean;
    shares(event: { clientX: number; clientY: number }): [number, number];
}

function WalkMarks({ view, width, height, is_main, shares }: MarksProps) {
    view.camera.updateMatrixWorld();
    const states = changed.value?.fixtures ?? [];
    const found = finding.value ? walk_finding.value : undefined;
    const at = found && view.project(found.place, width, height);
    const chosen_state = states.find(state => state.id === picked.value.at(-1));
    const chosen_at = chosen_state && view.project(chosen_state.position, width, height);
    return (
        <>
            {are_marks_shown.value && !is_client.value && (
                <svg
                    class="ink over"
                    width={width}
                    height={height}
                    role="group"
                    aria-label="Fixtures in the walk"
                >
                    {states.map(state => {
                        const [x, y, is_before] = view.project(state.position, width, height);
                        if (!is_before || x < -20 || y < -20 || x > width + 20 || y > height + 20)
                            return null;
                        const is_picked = picked.value.includes(state.id);
                        if (!is_picked && view.isHidden(state.position)) return null;
                        return (
                            <FixtureMark
                                key={state.id}
                                state={state}
                                x={x}
                                y={y}
                                is_picked={is_picked}
                                note={is_picked ? state.id : undefined}
                                onPress={event => {
                                    if (tool.value || event.button !== 0) return;
                                    const start = view.spotAtLevel(...shares(event), state.position[2]);
                                    drag(event, {
                                        clicked: end =>
                                            pick(state.id, end.shiftKey || end.ctrlKey || end.metaKey),
                                        moved: end => {
                                            const spot = view.spotAtLevel(...shares(end), state.position[2]);
                                            if (!spot || !start) return;
                                            if (!picked.value.includes(state.id)) pick(state.id);
                                            standAt(state.id, [
                                                state.position[0] + spot[0] - start[0],
                                                state.position[1] + spot[1] - start[1],
                                            ]);
                                        },
                                    });
                                }}
                            />
                        );
                    })}
                </svg>
            )}
            {found && at?.[2] && <Finding x={at[0]} y={at[1]} words={found.words} />}
            {chosen_state && chosen_at?.[2] && is_main && !tool.value && (
                <Hand
                    state={chosen_state}
                    x={chosen_at[0]}
                    y={chosen_at[1]}
                    width={width}
                    height={height}
                    is_moving={in_hand.value}
                    free={
                        chosen_at[0] < width * 0.68
                            ? { left: 0, right: width - 296 }
                            : { left: 296, right: width }
                    }
                />
            )}
        </>
    );
}

function nameOf(id: string): string {
    const variant = site.value.variants?.find(candidate => candidate.id === id);
    return variant ? callIt(variant) : "As drawn";
}

function Slider({ width }: { width: number }) {
    return (
        <div
            class="slider"
            style={{ left: `${split.value * width}px` }}
            role="slider"
            tabIndex={0}
            aria-label="Between the two options"
            aria-valuemin={0}
            aria-valuemax={100}
            aria-valuenow={Math.round(split.value * 100)}
            onPointerDown={event => {
                const start = split.value;
                drag(event, {
                    is_looking: true,
                    moved: now => {
                        split.value = Math.min(1, Math.max(0, start + (now.clientX - event.clientX) / width));
                    },
                });
            }}
            onKeyDown={event => {
                if (event.key !== "ArrowLeft" && event.key !== "ArrowRight") return;
                event.stopPropagation();
                split.value = Math.min(
                    1,
                    Math.max(0, split.value + (event.key === "ArrowLeft" ? -0.05 : 0.05)),
                );
            }}
        >
            <span class="left">{nameOf(option.value)}</span>
            <span class="right">{nameOf(beside.value?.id ?? "")}</span>
        </div>
    );
}
