// The walk: the property in three dimensions, from the site's own views or from wherever one walks to.

import { effect, untracked, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { beside } from "./beside.ts";
import { drag } from "./drag.ts";
import { changed, lux_drawn, scale, scene, tint_drawn } from "./light.ts";
import { noteTime } from "./note_time.ts";
import { printFrom } from "./paper.tsx";
import { addFront } from "./parts.ts";
import { choosePhoto } from "./photo_file.ts";
import { in_hand, site } from "./property.ts";
import { applyStand, goTo, has_walked, look, panned, stand, view_shown, walkOn, walkOver } from "./stand.ts";
import { take, tool } from "./tool.ts";
import { clickAt, lampColour, Slider, split, WalkMarks } from "./walk_marks.tsx";
import { WalkScene } from "./walk_scene.ts";

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
        walkOver((x, y) => made.groundBelow(x, y));
        let frame = 0;
        const draw = () => {
            frame = 0;
            made.draw();
            noteTime("drawn");
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
                if (!now) {
                    made.clear();
                    redraw();
                    return;
                }
                made.setStage(now);
                untracked(() => {
                    if (!has_walked && !in_hand.value)
                        goTo(view_shown.value ?? site.value.views?.[0]?.id ?? "");
                    if (changed.value) made.setLight(lux_drawn.value, "a", tint_drawn.value);
                });
                redraw();
            }),
            effect(() => {
                if (!changed.value || !scene.value) return;
                made.setLight(lux_drawn.value, "a", tint_drawn.value);
                const other = beside.value?.light;
                if (other) made.setLight(other.total.length ? other.total : other.direct, "b", other.tint);
                untracked(() => {
                    drawn.value++;
                });
                redraw();
            }),
            effect(() => {
                const now = changed.value;
                made.setLook(
                    // By day while there is no light to be seen.
                    now ? look.value : "day",
                    scale.value,
                    now?.site.levels_lx ?? [],
                    lampColour(now?.fixtures ?? []),
                    now?.site.ambient_lx ?? 0,
                );
                redraw();
            }),
        ];
        const stopPrinting = printFrom(() => {
            made.draw();
            return canvas.current ?? undefined;
        });
        const lost = (event: Event) => {
            event.preventDefault();
            is_broken.value = true;
        };
        canvas.current?.addEventListener("webglcontextlost", lost);
        return () => {
            for (const stop of stops) stop();
            stopPrinting();
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
            {isBare() && !tool.value && <Bare />}
            {beside.value?.light && <Slider width={size.value.width} />}
        </div>
    );
}

/** A property on which nothing stands: what to begin with. */
function Bare() {
    return (
        <section class="bare" aria-label="Begin here" onPointerDown={event => event.stopPropagation()}>
            <p>Nothing stands here yet. Begin with the house:</p>
            <div class="deeds">
                <button type="button" onClick={() => addFront(2)}>
                    Front, two gables
                </button>
                <button type="button" onClick={() => addFront(1)}>
                    Front, one gable
                </button>
                <button type="button" onClick={() => addFront(0)}>
                    Front, level eave
                </button>
                <button type="button" onClick={() => take({ does: "wall" })}>
                    Draw a wall, “52 ft”
                </button>
                <button type="button" onClick={choosePhoto}>
                    From a photo …
                </button>
            </div>
        </section>
    );
}

function isBare(): boolean {
    const { walls, trees, meshes } = site.value;
    return !walls?.length && !trees?.length && !meshes?.length;
}
