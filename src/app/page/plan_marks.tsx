// What stands and lies on the property as it is drawn on the plan, and moved there.

import { drag } from "./drag.ts";
import { printLength } from "./length.ts";
import { Pull } from "./marks.tsx";
import { pointOf, type Spot, setValue, spotOf, unit } from "./move.ts";
import { pick, picked, things } from "./pick.ts";
import { makeSight, type Sight } from "./sheet.tsx";
import { callIt, keyFor, type Point, type Thing } from "./site.ts";
import { tool } from "./tool.ts";

export const sight = makeSight();

export function pathOf(view: Sight, outline: readonly (readonly number[])[], is_closed = true): string {
    return outline.length
        ? `M${outline.map(([x, y]) => `${view.x(x as number).toFixed(1)} ${view.y(y as number).toFixed(1)}`).join("L")}${is_closed ? "Z" : ""}`
        : "";
}

interface ShapeProps {
    of: string; // its kind in the schema
    class: string;
    view: Sight;
    thing: Thing;
    points_key: "outline" | "path";
    is_open?: boolean;
}

// An outline or a line: the whole is moved, or a corner of it when it is picked.
export function Shape({ of: schema, class: look, view, thing, points_key, is_open }: ShapeProps) {
    const outline = ((thing[points_key] as Point[] | undefined) ?? []).map(spotOf);
    const key = keyFor(schema, thing.id);
    const found = things.value.get(key);
    const is_picked = picked.value.includes(key);
    if (!found) return null;
    const move = (words: string, recipe: (spots: Spot[], by: Spot) => Spot[]) => (event: PointerEvent) => {
        if (tool.value || event.button !== 0) return;
        const start = view.spot(event);
        drag(event, {
            clicked: end => pick(key, end.shiftKey),
            moved: end => {
                const spot = sight.value?.spot(end);
                if (!spot) return;
                if (!picked.value.includes(key)) pick(key);
                const step = unit() === "m" ? 0.05 : 0.1524;
                const by: Spot = [spot[0] - start[0], spot[1] - start[1]];
                setValue(
                    words,
                    [...found.place, points_key],
                    recipe(outline, by).map(corner => pointOf(corner, step)),
                );
            },
        });
    };
    const d = pathOf(view, outline, !is_open && points_key === "outline") + (thing.closed ? "Z" : "");
    return (
        <>
            <path
                class={`${look} ${is_picked ? "picked" : ""}`}
                d={d}
                tabindex={0}
                role="button"
                aria-pressed={is_picked}
                aria-label={`${found.one} ${callIt(thing)}`}
                onPointerDown={move(`Move ${callIt(thing)}`, (spots, by) =>
                    spots.map(([x, y]) => [x + by[0], y + by[1]]),
                )}
                onFocus={() => {
                    if (!picked.value.includes(key)) pick(key);
                }}
            />
            {is_picked &&
                outline.map(([x, y], index) => (
                    <Pull
                        key={`${index}`}
                        x={view.x(x)}
                        y={view.y(y)}
                        words={`corner ${index + 1} of ${callIt(thing)}`}
                        onPress={move(`Reshape ${callIt(thing)}`, (spots, by) =>
                            moveCorner(spots, index, by),
                        )}
                        onNudge={(dx, dy) =>
                            setValue(
                                `Reshape ${callIt(thing)}`,
                                [...found.place, points_key],
                                moveCorner(outline, index, [dx, dy]).map(corner => pointOf(corner)),
                            )
                        }
                    />
                ))}
            {is_picked &&
                outline.slice(is_open === false || points_key === "outline" ? 0 : 1).map((corner, index) => {
                    const next =
                        points_key === "outline" ? outline[(index + 1) % outline.length] : outline[index];
                    if (!next) return null;
                    const length = Math.hypot(next[0] - corner[0], next[1] - corner[1]);
                    return (
                        <text
                            key={`length ${index}`}
                            class="measure"
                            x={view.x((corner[0] + next[0]) / 2)}
                            y={view.y((corner[1] + next[1]) / 2) - 6}
                        >
                            {printLength(length, unit(), 0.0254)}
                        </text>
                    );
                })}
        </>
    );
}

function moveCorner(spots: Spot[], index: number, by: Spot): Spot[] {
    return spots.map((corner, at) => (at === index ? [corner[0] + by[0], corner[1] + by[1]] : corner));
}

export function TreeMark({
    view,
    tree,
    is_picked,
}: {
    view: Sight;
    tree: { id: string; at: [number, number]; crown_radius: number; trunk_radius: number };
    is_picked: boolean;
}) {
    const key = keyFor("tree", tree.id);
    const found = things.value.get(key);
    const [x, y] = [view.x(tree.at[0]), view.y(tree.at[1])];
    const radius = tree.crown_radius * view.scale;
    const lobes = 14;
    const crown = Array.from({ length: lobes }, (_, i) => {
        const at = (a: number) =>
            [(x + radius * Math.cos(a)).toFixed(1), (y + radius * Math.sin(a)).toFixed(1)].join(" ");
        const r = (radius * Math.sin(Math.PI / lobes) * 1.15).toFixed(1);
        const turn = (2 * Math.PI) / lobes;
        return `${i ? "" : `M${at(0)}`}A${r} ${r} 0 0 1 ${at((i + 1) * turn)}`;
    }).join("");
    return (
        <g
            class={`tree ${is_picked ? "picked" : ""}`}
            tabindex={0}
            role="button"
            aria-pressed={is_picked}
            aria-label={`tree ${found ? callIt(found.thing) : tree.id}`}
            onFocus={() => {
                if (!picked.value.includes(key)) pick(key);
            }}
            onPointerDown={event => {
                if (tool.value || event.button !== 0 || !found) return;
                const start = view.spot(event);
                drag(event, {
                    clicked: end => pick(key, end.shiftKey),
                    moved: end => {
                        const spot = sight.value?.spot(end);
                        if (!spot) return;
                        if (!picked.value.includes(key)) pick(key);
                        const at: Spot = [tree.at[0] + spot[0] - start[0], tree.at[1] + spot[1] - start[1]];
                        setValue(`Move ${callIt(found.thing)}`, [...found.place, "at"], pointOf(at, 0.1524));
                    },
                });
            }}
        >
            <path class="crown" d={`${crown}Z`} />
            <circle class="trunk" cx={x} cy={y} r={Math.max(3, tree.trunk_radius * view.scale)} />
            <text class="name" x={x} y={y - 8}>
                {found ? callIt(found.thing) : tree.id}
            </text>
        </g>
    );
}

export function EyeMark({ view, thing, is_picked }: { view: Sight; thing: Thing; is_picked: boolean }) {
    const eye = spotOf((thing.eye as Point).slice(0, 2));
    const at = spotOf((thing.look_at as Point).slice(0, 2));
    const way = (Math.atan2(at[0] - eye[0], at[1] - eye[1]) * 180) / Math.PI;
    const x = Math.min(view.width - 18, Math.max(18, view.x(eye[0])));
    const y = Math.min(view.height - 34, Math.max(18, view.y(eye[1])));
    return (
        <g
            class={`eye ${is_picked ? "picked" : ""}`}
            transform={`translate(${x} ${y})`}
            tabindex={0}
            role="button"
            aria-label={`view ${callIt(thing)}`}
            onPointerDown={event => {
                if (tool.value || event.button !== 0) return;
                const key = keyFor("view", thing.id);
                const found = things.value.get(key);
                drag(event, {
                    clicked: () => pick(key),
                    moved: end => {
                        const spot = sight.value?.spot(end);
                        const up = (thing.eye as unknown[])[2];
                        if (spot && found)
                            setValue(
                                `Move ${callIt(thing)}`,
                                [...found.place, "eye"],
                                [...pointOf(spot, 0.1524), up],
                            );
                    },
                });
            }}
        >
            <circle class="touch" r={20} />
            <path d="M-7 6L0 -9L7 6Z" transform={`rotate(${way})`} />
            <text class="name" y={22}>
                {callIt(thing)}
            </text>
        </g>
    );
}
