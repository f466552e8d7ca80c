// Parts of a house on the plan: roofs with what stands on them, steps, lanterns. They are picked there, and moved
// where the file says where they are.

import type { Scene } from "../engine.ts";
import { drag } from "./drag.ts";
import { moveOnWall, pointOf, type Spot, setValue, spotOf, wallSurface } from "./move.ts";
import { pick, picked, things } from "./pick.ts";
import { pathOf, sight } from "./plan_marks.tsx";
import type { Sight } from "./sheet.tsx";
import { callIt, type Found, type Key, keyFor } from "./site.ts";
import { tool } from "./tool.ts";

type Plan = Scene["plan"];

// What makes a mark on the plan one that is picked by pointer and by keys, and dragged.
function handles(key: Key, view: Sight) {
    const found = things.value.get(key);
    const is_picked = picked.value.includes(key);
    return {
        tabindex: 0,
        role: "button" as const,
        "aria-pressed": is_picked,
        "aria-label": found ? `${found.one} ${callIt(found.thing)}` : key,
        onFocus: () => {
            if (!picked.value.includes(key)) pick(key);
        },
        onPointerDown: (event: PointerEvent) => {
            if (tool.value || event.button !== 0 || !found) return;
            const start = view.spot(event);
            drag(event, {
                clicked: end => pick(key, end.shiftKey),
                moved: end => {
                    const spot = sight.value?.spot(end);
                    if (!spot) return;
                    if (!picked.value.includes(key)) pick(key);
                    moveBy(found, spot[0] - start[0], spot[1] - start[1]);
                },
            });
        },
    };
}

// By metres east and north from where it was when the drag began.
function moveBy(found: Found, dx: number, dy: number): void {
    const { thing, place } = found;
    const words = `Move ${callIt(thing)}`;
    const moved = (point: unknown) => {
        const [x, y] = spotOf(point);
        return pointOf([x + dx, y + dy], 0.0762);
    };
    if (Array.isArray(thing.at))
        setValue(words, [...place, "at"], [...moved(thing.at), ...thing.at.slice(2)]);
    else if (Array.isArray(thing.outline)) setValue(words, [...place, "outline"], thing.outline.map(moved));
    else if (typeof thing.wall === "string" && thing.along !== undefined) {
        const way = wallSurface(thing.wall)?.run[0]?.direction;
        if (way) moveOnWall(found, dx * way[0] + dy * way[1], 0);
    }
}

interface PlacedProps {
    view: Sight;
    of: Key;
    class: string;
    outlines: readonly (readonly (readonly number[])[])[];
}

export function PlacedMark({ view, of: key, class: look, outlines }: PlacedProps) {
    return (
        <path
            class={`house-part ${look} ${picked.value.includes(key) ? "picked" : ""}`}
            d={outlines.map(outline => pathOf(view, outline)).join("")}
            {...handles(key, view)}
        />
    );
}

// Only a roof's edge is held on to, or nothing under it could be.
export function RoofMark({ view, roof }: { view: Sight; roof: Plan["roofs"][number] }) {
    return (
        <>
            <PlacedMark view={view} of={keyFor("roof", roof.id)} class="roof" outlines={[roof.outline]} />
            {(["chimney", "dormer"] as const).map(kind =>
                roof[`${kind}s`].map(part => (
                    <PlacedMark
                        key={part.id}
                        view={view}
                        of={keyFor(kind, `${roof.id}.${part.id}`)}
                        class={`${kind}s`}
                        outlines={[part.outline]}
                    />
                )),
            )}
        </>
    );
}

/** Which way ground falls, as an arrow down it, and how much. */
export function FallMark({ view, fall }: { view: Sight; fall: Plan["falls"][number] }) {
    const from: Spot = [view.x(fall.high[0]), view.y(fall.high[1])];
    const to: Spot = [view.x(fall.low[0]), view.y(fall.low[1])];
    const turn = (Math.atan2(to[1] - from[1], to[0] - from[0]) * 180) / Math.PI;
    const is_leftwards = to[0] < from[0];
    const middle: Spot = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
    const place = (at: Spot, angle: number) => `translate(${at[0]} ${at[1]}) rotate(${angle})`;
    return (
        <g class="fall">
            <path d={`M${from[0]} ${from[1]}L${to[0]} ${to[1]}`} />
            <path class="head" d="M0 0L-12 -4.5V4.5Z" transform={place(to, turn)} />
            <text y="-6" transform={place(middle, is_leftwards ? turn + 180 : turn)}>
                {fall.words}
            </text>
        </g>
    );
}

export function LanternMark({ view, lantern }: { view: Sight; lantern: Plan["lanterns"][number] }) {
    const radius = Math.max(5, (lantern.width / 2) * view.scale);
    const key = keyFor("lantern", lantern.id);
    return (
        <g
            class={`lantern ${picked.value.includes(key) ? "picked" : ""}`}
            transform={`translate(${view.x(lantern.at[0])} ${view.y(lantern.at[1])})`}
            {...handles(key, view)}
        >
            <circle class="touch" r={16} />
            <circle r={radius} />
            <path d={`M${-radius - 4} 0H${radius + 4}M0 ${-radius - 4}V${radius + 4}`} />
        </g>
    );
}
