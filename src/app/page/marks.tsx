// The marks of our plans for what stands on a property: one set for the wall, the plan and the walk.

import type { FixtureState } from "../engine.ts";
import { nudge, nudgeTilt } from "./move.ts";
import { chosen_fixtures, pick } from "./pick.ts";

interface FixtureMarkProps {
    state: FixtureState;
    x: number;
    y: number;
    is_picked: boolean;
    /** Degrees clockwise from up that the beam goes on this sheet; absent: it is not drawn. */
    points_to?: number;
    note?: string;
    onPress(event: PointerEvent): void;
}

export function FixtureMark({ state, x, y, is_picked, points_to, note, onPress }: FixtureMarkProps) {
    const words = `${state.id}: ${state.words}${state.advice.length ? `. Mind: ${state.advice.join(". ")}` : ""}`;
    return (
        <g
            class={`fixture ${is_picked ? "picked" : ""} ${state.dimming === 0 ? "dark" : ""}`}
            transform={`translate(${x} ${y})`}
            tabIndex={0}
            role="button"
            aria-pressed={is_picked}
            aria-label={words}
            data-fixture={state.id}
            onPointerDown={onPress}
            onFocus={() => {
                if (!chosen_fixtures.value.some(found => found.thing.id === state.id)) pick(state.id);
            }}
        >
            <title>{words}</title>
            <circle class="touch" r={22} />
            {state.advice.length > 0 && <circle class="halo" r={15} />}
            {points_to !== undefined && (
                <path class="beam" d="M-4 -9 L0 -20 L4 -9 Z" transform={`rotate(${points_to})`} />
            )}
            {is_picked && <circle class="ring" r={11} />}
            <circle class="lens" r={6} />
            {note !== undefined && (
                <text class="name" y={23}>
                    {note}
                </text>
            )}
        </g>
    );
}

/** Keys that work on what is picked, wherever the focus is in a picture. True where one was taken. */
export function keyOnPicked(event: KeyboardEvent): boolean {
    const step = event.shiftKey ? 12 * 0.0254 : 0.0254;
    switch (event.key) {
        case "ArrowLeft":
            nudge(-step, 0);
            return true;
        case "ArrowRight":
            nudge(step, 0);
            return true;
        case "ArrowUp":
            nudge(0, step);
            return true;
        case "ArrowDown":
            nudge(0, -step);
            return true;
        case "[":
        case ",":
            nudgeTilt(-1);
            return true;
        case "]":
        case ".":
            nudgeTilt(1);
            return true;
        default:
            return false;
    }
}
