// What can be taken hold of in the walk, and the slider between two options.

import { signal } from "@preact/signals";
import type { FixtureState } from "../engine.ts";
import { beside } from "./beside.ts";
import { billOf } from "./bills.ts";
import { drag } from "./drag.ts";
import { probe, standWith } from "./draw.ts";
import { Hand } from "./hand.tsx";
import { changed, scene } from "./light.ts";
import { Finding, FixtureMark } from "./marks.tsx";
import { standAt } from "./move.ts";
import { option } from "./options.ts";
import { fixture_picked, fixtureKey, keyOfSurface, pick, picked, pickNothing } from "./pick.ts";
import { in_hand, is_client, site } from "./property.ts";
import { callIt } from "./site.ts";
import { are_marks_shown } from "./stand.ts";
import { finding, tool } from "./tool.ts";
import type { WalkScene } from "./walk_scene.ts";

export const split = signal(0.5);

export function lampColour(fixtures: FixtureState[]): [number, number, number] {
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

export function clickAt(made: WalkScene, [x, y]: [number, number], event: PointerEvent): void {
    if (is_client.value) return;
    const now = tool.value;
    const hit = made.find(x, y);
    if (now?.does === "stand") {
        const is_ground = hit && scene.value?.surfaces[hit.surface]?.kind === "ground";
        const spot = is_ground ? hit.position : made.spotAtLevel(x, y, 0);
        if (spot) standWith(now.what, [spot[0], spot[1]]);
        return;
    }
    if (now?.does === "probe") {
        if (!hit) return;
        const [px, py, pz] = hit.position;
        const [nx, ny, nz] = hit.normal;
        const off = 0.001;
        const position: [number, number, number] = [px + off * nx, py + off * ny, pz + off * nz];
        void probe({ position, normal: hit.normal }, [px, py], "plan").then(() => {
            if (finding.value) walk_finding.value = { words: finding.value.words, place: hit.position };
        });
        return;
    }
    const surface = hit && scene.value?.surfaces[hit.surface];
    if (!surface) {
        pickNothing();
        return;
    }
    const own = keyOfSurface(surface.id) ?? keyOfSurface(surface.part_of);
    if (own) pick(own, event.shiftKey);
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

export function WalkMarks({ view, width, height, is_main, shares }: MarksProps) {
    view.camera.updateMatrixWorld();
    const states = changed.value?.fixtures ?? [];
    const found = finding.value ? walk_finding.value : undefined;
    const at = found && view.project(found.place, width, height);
    const chosen_state = fixture_picked.value;
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
                        const key = fixtureKey(state.id);
                        const is_picked = picked.value.includes(key);
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
                                        clicked: end => pick(key, end.shiftKey || end.ctrlKey || end.metaKey),
                                        moved: end => {
                                            const spot = view.spotAtLevel(...shares(end), state.position[2]);
                                            if (!spot || !start) return;
                                            if (!picked.value.includes(key)) pick(key);
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

export function nameOf(id: string): string {
    const variant = site.value.variants?.find(candidate => candidate.id === id);
    return variant ? callIt(variant) : "As drawn";
}

export function Slider({ width }: { width: number }) {
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
            <span class="left">
                {nameOf(option.value)}
                <small>{billOf(option.value)}</small>
            </span>
            <span class="right">
                {nameOf(beside.value?.id ?? "")}
                <small>{billOf(beside.value?.id ?? "")}</small>
            </span>
        </div>
    );
}
