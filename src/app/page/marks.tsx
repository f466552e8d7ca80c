// The marks of our plans for what stands on a property: one set for the wall, the plan and the walk.

import type { FixtureState } from "../engine.ts";
import { nudge, nudgeTilt, nudgeTurn } from "./move.ts";
import { chosen_fixtures, fixtureKey, pick } from "./pick.ts";

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
            tabindex={0}
            role="button"
            aria-pressed={is_picked}
            aria-label={words}
            data-fixture={state.id}
            onPointerDown={onPress}
            onFocus={() => {
                if (!chosen_fixtures.value.some(found => found.thing.id === state.id))
                    pick(fixtureKey(state.id));
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

interface PullProps {
    x: number;
    y: number;
    words: string;
    onPress(event: PointerEvent): void;
    /** Metres right and up, by keys. */
    onNudge(dx: number, dy: number): void;
}

/** A corner or edge of what is picked, to be pulled. */
export function Pull({ x, y, words, onPress, onNudge }: PullProps) {
    return (
        <g
            class="pull"
            transform={`translate(${x} ${y})`}
            tabindex={0}
            role="button"
            aria-label={words}
            onKeyDown={event => {
                const way = arrowOf(event);
                if (!way) return;
                event.stopPropagation();
                event.preventDefault();
                onNudge(...way);
            }}
        >
            <title>{words}</title>
            <circle class="touch" r={18} onPointerDown={onPress} />
            <rect x={-5} y={-5} width={10} height={10} />
        </g>
    );
}

/** What an arrow key moves by: an inch, with Shift a foot. */
function arrowOf(event: KeyboardEvent): [number, number] | undefined {
    const step = event.shiftKey ? 12 * 0.0254 : 0.0254;
    switch (event.key) {
        case "ArrowLeft":
            return [-step, 0];
        case "ArrowRight":
            return [step, 0];
        case "ArrowUp":
            return [0, step];
        case "ArrowDown":
            return [0, -step];
        default:
            return undefined;
    }
}

/** Keys that work on what is picked, wherever the focus is in a picture. True where one was taken. */
export function keyOnPicked(event: KeyboardEvent): boolean {
    const way = arrowOf(event);
    if (way) {
        nudge(...way);
        return true;
    }
    switch (event.key) {
        case "[":
        case ",":
            nudgeTilt(-1);
            return true;
        case "]":
        case ".":
            nudgeTilt(1);
            return true;
        case "{":
            nudgeTurn(-5);
            return true;
        case "}":
            nudgeTurn(5);
            return true;
        default:
            return false;
    }
}

export function Finding({ x, y, words }: { x: number; y: number; words: string[] }) {
    return (
        <div class="finding" role="status" style={{ left: `${x}px`, top: `${y}px` }}>
            {words.map(word => (
                <div key={word}>{word}</div>
            ))}
        </div>
    );
}
