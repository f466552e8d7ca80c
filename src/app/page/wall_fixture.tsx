import type { FixtureState, Surface } from "../engine.ts";
import { drag } from "./drag.ts";
import { changed, is_settled, settled } from "./light.ts";
import type { Label } from "./light_picture.tsx";
import { FixtureMark } from "./marks.tsx";
import { lean, placeAtRun, standAlong, turn } from "./move.ts";
import { chosen_fixtures, fixtureKey, pick, picked } from "./pick.ts";
import { in_hand } from "./property.ts";
import type { Sight } from "./sheet.tsx";
import { tool } from "./tool.ts";
import { sight } from "./wall_face.ts";
import { plainReach } from "./words.ts";

interface Aim {
    along: number;
    up: number;
    out: number;
    is_off: boolean; // over the top of what is drawn, or never at the wall
}

function aimOf(state: FixtureState, surface: Surface, top: number): Aim | undefined {
    const place = placeAtRun(surface.run, [state.position[0], state.position[1]]);
    const segment =
        surface.run.findLast(candidate => (place?.along ?? 0) >= candidate.along) ?? surface.run[0];
    if (!place || !segment) return undefined;
    const inwards = -(state.direction[0] * segment.outward[0] + state.direction[1] * segment.outward[1]);
    const sideways = state.direction[0] * segment.direction[0] + state.direction[1] * segment.direction[1];
    const t = inwards > 1e-3 ? place.out / inwards : Number.POSITIVE_INFINITY;
    const up = state.position[2] - surface.foot + t * state.direction[2];
    const is_off = !(up < top + 0.5) || up < -0.5;
    if (is_off && state.direction[2] < 0) return undefined;
    return {
        along: place.along + (Number.isFinite(t) ? t * sideways : 0),
        up: is_off ? top + 0.5 : up,
        out: place.out,
        is_off,
    };
}

export function WallFixture({
    state,
    view,
    surface,
    is_picked,
}: {
    state: FixtureState;
    view: Sight;
    surface: Surface;
    is_picked: boolean;
}) {
    const along = state.along ?? 0;
    const is_mounted = state.mount === "wall" || state.position[2] - surface.foot > 1;
    const up = is_mounted ? state.position[2] - surface.foot : -(state.setback ?? 0);
    const top = Math.max(...surface.outline.flatMap(outline => outline.points.map(point => point[1])));
    const aim = aimOf(state, surface, top);
    const key = fixtureKey(state.id);
    const press = (event: PointerEvent) => {
        if (tool.value || event.button !== 0) return;
        const start = view.spot(event);
        drag(event, {
            clicked: now => pick(key, now.shiftKey || now.ctrlKey || now.metaKey),
            moved: now => {
                const spot = sight.value?.spot(now);
                if (!spot) return;
                if (!picked.value.includes(key)) pick(key);
                const others = chosen_fixtures.value.map(found => found.thing.id);
                const at = along + spot[0] - start[0];
                const out = (state.setback ?? 0) - (spot[1] - start[1]);
                if (others.length > 1) moveTogether(state, others, at);
                else standAlong(state.id, at, is_mounted ? undefined : Math.min(out, 6));
            },
        });
    };
    return (
        <>
            {is_picked && aim && (
                <>
                    <line
                        class="aim-line"
                        x1={view.x(along)}
                        y1={view.y(up)}
                        x2={view.x(aim.along)}
                        y2={view.y(aim.up)}
                    />
                    <AimMark state={state} view={view} aim={aim} surface={surface} top={top} />
                </>
            )}
            <FixtureMark
                state={state}
                x={view.x(along)}
                y={view.y(up)}
                is_picked={is_picked}
                note={is_picked && in_hand.value ? state.words : state.id}
                onPress={press}
            />
        </>
    );
}

function moveTogether(state: FixtureState, ids: string[], at: number): void {
    const now = changed.value?.fixtures.find(candidate => candidate.id === state.id)?.along ?? at;
    const by = at - now;
    for (const id of ids) {
        const along = changed.value?.fixtures.find(candidate => candidate.id === id)?.along;
        if (along !== null && along !== undefined) standAlong(id, along + by);
    }
}

function AimMark({
    state,
    view,
    aim,
    surface,
    top,
}: {
    state: FixtureState;
    view: Sight;
    aim: Aim;
    surface: Surface;
    top: number;
}) {
    const lens_up = state.position[2] - surface.foot;
    const press = (event: PointerEvent) =>
        drag(event, {
            moved: now => {
                const spot = sight.value?.spot(now);
                if (!spot) return;
                // Above the wall's top half a metre of the sheet goes from there to straight up.
                const at_top = (Math.atan2(aim.out, top - lens_up) * 180) / Math.PI;
                const tilt =
                    spot[1] > top
                        ? at_top * Math.max(0, 1 - (spot[1] - top) / 0.6)
                        : (Math.atan2(aim.out, spot[1] - lens_up) * 180) / Math.PI;
                lean(state.id, Math.round(tilt), `Lean ${state.id}`);
                const sideways = spot[0] - (state.along ?? spot[0]);
                if (now.altKey) turn(state.id, Math.round((Math.atan2(sideways, aim.out) * 180) / Math.PI));
            },
        });
    return (
        <g class="aim" transform={`translate(${view.x(aim.along)} ${view.y(aim.up)})`}>
            <title>
                {aim.is_off
                    ? "Aimed over the top of the wall: drag down to lean it more"
                    : "Where the beam is aimed: drag to lean it"}
            </title>
            <circle class="touch" r={22} onPointerDown={press} />
            {aim.is_off ? <path d="M-7 4 L0 -6 L7 4" /> : <path d="M-9 0H9M0 -9V9" />}
            <circle r={6} />
        </g>
    );
}

interface Reached {
    along: number;
    height: number;
    words: string;
}

// How far up a fixture's light carries at the level that marks show, with the others once that is known.
function reachOf(state: FixtureState, surface: Surface): Reached | undefined {
    const whole = is_settled.value
        ? settled.value?.reaches.find(reach => reach.fixture === state.id && reach.surface === surface.id)
        : undefined;
    const level = shownLevel(changed.value?.site.levels_lx ?? []);
    const reach = (whole?.together ?? state.reach).find(one => Math.abs(one.level_lx - level) < 1e-3 * level);
    const along = whole?.along ?? state.line?.along;
    if (!reach || along === undefined || reach.height === null) return undefined;
    return { along, height: reach.is_to_top ? reach.top : reach.height, words: plainReach(reach.words) };
}

const words_up = 13; // pixels from a reach mark up to the middle of its words

/** Where reach marks and their words stand on a wall's sheet. */
export function placesOfReach(states: FixtureState[], surface: Surface, view: Sight): Label[] {
    return states.flatMap(state => {
        const reached = reachOf(state, surface);
        if (!reached) return [];
        const [x, y] = [Math.round(view.x(reached.along)), Math.round(view.y(reached.height))];
        return [
            { x, y },
            { x, y: y - words_up },
        ];
    });
}

export function ReachMark({ state, view, surface }: { state: FixtureState; view: Sight; surface: Surface }) {
    const reached = reachOf(state, surface);
    if (!reached) return null;
    const { along, height, words } = reached;
    const letter = 6.8; // pixels
    const is_roomy = (changed.value?.fixtures ?? []).every(
        other =>
            other.id === state.id ||
            other.along === null ||
            Math.abs(other.along - along) * view.scale > words.length * letter,
    );
    return (
        <g
            class={`reach ${is_settled.value ? "" : "coming"}`}
            transform={`translate(${view.x(along)} ${view.y(height)})`}
        >
            <rect class="tick" x={-9} y={-2} width={18} height={4} rx={2} />
            {(is_roomy || picked.value.includes(fixtureKey(state.id))) && (
                <text class="tag" y={-9}>
                    {words}
                </text>
            )}
        </g>
    );
}

/** The level that reach marks show: 1 fc or 10 lx where the site has it, else the middle one. */
export function shownLevel(levels: number[]): number {
    return levels.find(level => Math.abs(level - 10.7639) < 1) ?? levels[Math.floor(levels.length / 2)] ?? 0;
}
