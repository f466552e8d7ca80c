// The wall, unfolded to scale: the light on it with its levels, how high each fixture's light carries, and the
// fixtures on the strip of ground before it, where they are moved along and away; the mark on the wall is where a
// beam is aimed.

import { computed, effect, signal, untracked } from "@preact/signals";
import { useMemo } from "preact/hooks";
import type { FixtureState, Outline, Surface } from "../engine.ts";
import { drag } from "./drag.ts";
import { Hand } from "./hand.tsx";
import { printLength } from "./length.ts";
import { changed, has_answered, is_settled, luxToDraw, scale, scene, settled, whole } from "./light.ts";
import { LightPicture } from "./light_picture.tsx";
import { FixtureMark } from "./marks.tsx";
import {
    lean,
    lengthOf,
    placeAtRun,
    runLength,
    type Spot,
    setValue,
    spotAtRun,
    standAlong,
    standNew,
    turn,
    unit,
} from "./move.ts";
import { chosen_fixtures, pick, picked, states, things, wall_shown } from "./pick.ts";
import { in_hand, site } from "./property.ts";
import { type Extent, makeSight, Sheet, type Sight } from "./sheet.tsx";
import { callIt, type Thing } from "./site.ts";
import { cursor, finding, points, probe, setOnWall, tool } from "./tool.ts";
import { plainReach } from "./words.ts";

const strip = 1.9; // metres of ground drawn before the wall
const sight = makeSight();

export const upright = computed<Surface[]>(() =>
    (scene.value?.surfaces ?? []).filter(
        surface =>
            surface.run.length > 0 &&
            surface.outline.length > 0 &&
            surface.grid &&
            surface.kind !== "opening",
    ),
);

export const surface_shown = computed<Surface | undefined>(
    () =>
        upright.value.find(surface => surface.id === wall_shown.value) ??
        upright.value.find(surface => surface.kind === "wall") ??
        upright.value[0],
);

/** A run of several faces is shown face by face; -1: all of it. */
export const face_shown = signal(0);

/** The stretch of the run that the sheet shows. */
function stretchShown(surface: Surface): [number, number] {
    const face = surface.run.length > 1 ? surface.run[face_shown.value] : undefined;
    return face ? [face.along, face.along + face.length] : [0, runLength(surface.run)];
}

/** Turns to the face that a fixture stands at. */
function faceFixture(id: string): void {
    const state = states.value.get(id);
    const run = surface_shown.value?.run ?? [];
    if (
        state?.along == null ||
        state.wall !== surface_shown.value?.id ||
        run.length < 2 ||
        face_shown.value < 0
    )
        return;
    const along = state.along;
    const face = run.findLastIndex(segment => along >= segment.along);
    if (face >= 0) face_shown.value = face;
}

effect(() => {
    const id = picked.value.at(-1);
    if (id !== undefined) untracked(() => faceFixture(id));
});

export function WallSheet({ is_main }: { is_main: boolean }) {
    const surface = surface_shown.value;
    const the_scale = scale.value;
    const now = changed.value;
    if (!surface || !the_scale || !now)
        return (
            <div class="sheet nothing">
                <p>
                    {has_answered.value && !now
                        ? "This property cannot be lit as it stands: “Light” says what has to be mended."
                        : "No wall yet. Draw one on the plan, or take a house front from “Add”."}
                </p>
            </div>
        );
    const [left, right] = stretchShown(surface);
    const top = Math.max(...surface.outline.flatMap(outline => outline.points.map(point => point[1])), 2);
    const extent: Extent = { left, right, bottom: -strip, top };
    const lux = luxToDraw(now.light, whole.value);
    return (
        <Sheet
            extent={extent}
            label={`Wall ${surface.id}, unfolded`}
            class="wall"
            margin={{ left: 62, right: 26, top: 60, bottom: 14 }}
            sight={sight}
            onPress={pressWall}
            onMove={(_, spot) => {
                if (tool.value) cursor.value = spot;
            }}
            under={
                sight.value && (
                    <LightPicture
                        surface={surface}
                        lux={lux}
                        scale={the_scale}
                        sight={sight.value}
                        levels={now.site.levels_lx}
                        level_words={now.site.level_words}
                    />
                )
            }
            overlay={sight.value && <WallOverlay surface={surface} view={sight.value} is_main={is_main} />}
        >
            {sight.value && (
                <WallInk surface={surface} view={sight.value} left={left} right={right} top={top} />
            )}
        </Sheet>
    );
}

function pressWall(event: PointerEvent, spot: Spot): boolean {
    const now = tool.value;
    const surface = surface_shown.value;
    if (!now || !surface) return false;
    event.stopPropagation();
    if (now.does === "stand") {
        standNew(
            now.what,
            spotAtRun(
                surface.run,
                Math.min(runLength(surface.run), Math.max(0, spot[0])),
                spot[1] < 0 ? -spot[1] : 0.381,
            ),
        );
        tool.value = undefined;
        return true;
    }
    if (now.does === "probe") {
        const segment = surface.run.findLast(candidate => spot[0] >= candidate.along) ?? surface.run[0];
        if (!segment || spot[1] < 0) return true;
        const [x, y] = spotAtRun(surface.run, spot[0], 0.001);
        void probe([x, y, surface.foot + spot[1]], [...segment.outward, 0], spot, "wall");
        return true;
    }
    if (now.does === "opening" || now.does === "gable") {
        points.value = [spot];
        cursor.value = spot;
        drag(event, {
            is_looking: true,
            moved: moved => {
                cursor.value = sight.value?.spot(moved);
            },
            ended: () => {
                if (cursor.value && surface) setOnWall(surface.part_of || surface.id, spot, cursor.value);
                points.value = [];
            },
        });
        return true;
    }
    return false;
}

function WallInk({
    surface,
    view,
    left,
    right,
    top,
}: {
    surface: Surface;
    view: Sight;
    left: number;
    right: number;
    top: number;
}) {
    const wall = site.value.walls?.find(candidate => candidate.id === surface.id);
    const here = (changed.value?.fixtures ?? []).filter(
        state =>
            (state.wall === surface.id || state.wall === surface.part_of) &&
            (state.along ?? 0) >= left - 0.01 &&
            (state.along ?? 0) <= right + 0.01,
    );
    const chosen_ids = picked.value;
    return (
        <>
            <rect
                class="ground-strip"
                x={view.x(left - 0.5)}
                y={view.y(0)}
                width={(right - left + 1) * view.scale}
                height={strip * view.scale}
            />
            <StripRuler view={view} left={left} right={right} />
            <HeightRuler view={view} left={left} top={top} surface={surface} />
            {surface.outline.map((outline, index) => (
                <WallOutline
                    key={`${outline.role}${outline.id}${index}`}
                    outline={outline}
                    view={view}
                    wall={surface.id}
                />
            ))}
            <line
                class="foot"
                x1={view.x(left - 0.5)}
                x2={view.x(right + 0.5)}
                y1={view.y(0)}
                y2={view.y(0)}
            />
            {wall && <PartHandles view={view} wall={wall} />}
            {here.map(state => (
                <ReachMark key={`reach ${state.id}`} state={state} view={view} surface={surface} />
            ))}
            {here.map(state => (
                <WallFixture
                    key={state.id}
                    state={state}
                    view={view}
                    surface={surface}
                    is_picked={chosen_ids.includes(state.id)}
                />
            ))}
            <Drawing view={view} />
        </>
    );
}

function WallOutline({ outline, view, wall }: { outline: Outline; view: Sight; wall: string }) {
    const path = `M${outline.points.map(([u, v]) => `${view.x(u).toFixed(1)} ${view.y(v).toFixed(1)}`).join("L")}${outline.is_closed ? "Z" : ""}`;
    const id = `${wall}.${outline.id}`;
    const found = things.value.get(id);
    if (outline.role !== "opening" || !found) return <path class={`outline ${outline.role}`} d={path} />;
    return (
        <path
            class={`outline opening ${picked.value.includes(id) ? "picked" : ""}`}
            d={path}
            tabIndex={0}
            role="button"
            aria-label={`${found.one} ${callIt(found.thing)}`}
            onPointerDown={event => {
                if (tool.value || event.button !== 0) return;
                const start = sight.value?.spot(event);
                const from = lengthOfPart(found.thing, "from");
                const sill = lengthOfPart(found.thing, "sill");
                if (!start) return;
                drag(event, {
                    clicked: now => pick(id, now.shiftKey),
                    moved: now => {
                        const spot = sight.value?.spot(now);
                        if (!spot) return;
                        if (!picked.value.includes(id)) pick(id);
                        movePart(id, {
                            from: from + spot[0] - start[0],
                            ...(found.one === "door" ? {} : { sill: sill + spot[1] - start[1] }),
                        });
                    },
                });
            }}
            onFocus={() => {
                if (!picked.value.includes(id)) pick(id);
            }}
        />
    );
}

function lengthOfPart(thing: Thing, key: string): number {
    return lengthOrZero(thing[key]);
}

function lengthOrZero(value: unknown): number {
    return value === undefined ? 0 : lengthOf(value);
}

function movePart(id: string, keys: Record<string, number>): void {
    const found = things.value.get(id);
    if (!found) return;
    const step = unit() === "m" ? 0.05 : 0.0762;
    const words = `Move ${callIt(found.thing)}`;
    const next = { ...found.thing };
    for (const [key, metres] of Object.entries(keys))
        next[key] = printLength(Math.max(0, Math.round(metres / step) * step), unit());
    setValue(words, found.place, next);
}

// A picked opening or gable has corners to pull.
function PartHandles({ view, wall }: { view: Sight; wall: Thing }) {
    const last = picked.value.at(-1) ?? "";
    const found = things.value.get(last);
    if (!found?.wall || found.wall.id !== wall.id || found.schema === "projection") return null;
    const thing = found.thing;
    const from = lengthOfPart(thing, "from");
    const width = lengthOfPart(thing, "width");
    const is_gable = found.schema === "gable";
    const low = is_gable ? lengthOfPart(wall, "height") : lengthOfPart(thing, "sill");
    const high = is_gable ? lengthOfPart(thing, "peak") : low + lengthOfPart(thing, "height");
    const handles: { x: number; y: number; words: string; pull(spot: Spot): Record<string, number> }[] =
        is_gable
            ? [
                  {
                      x: from,
                      y: low,
                      words: "left end",
                      pull: s => ({ from: s[0], width: from + width - s[0] }),
                  },
                  { x: from + width, y: low, words: "right end", pull: s => ({ width: s[0] - from }) },
                  { x: from + width / 2, y: high, words: "peak", pull: s => ({ peak: s[1] }) },
              ]
            : [
                  {
                      x: from,
                      y: (low + high) / 2,
                      words: "left edge",
                      pull: s => ({ from: s[0], width: from + width - s[0] }),
                  },
                  {
                      x: from + width,
                      y: (low + high) / 2,
                      words: "right edge",
                      pull: s => ({ width: s[0] - from }),
                  },
                  { x: from + width / 2, y: high, words: "top", pull: s => ({ height: s[1] - low }) },
                  {
                      x: from + width / 2,
                      y: low,
                      words: "bottom",
                      pull: s => ({ sill: s[1], height: high - s[1] }),
                  },
              ];
    return (
        <>
            {handles.map(handle => (
                <g
                    key={handle.words}
                    class="pull"
                    transform={`translate(${view.x(handle.x)} ${view.y(handle.y)})`}
                >
                    <title>{handle.words}</title>
                    <circle
                        class="touch"
                        r={18}
                        onPointerDown={event =>
                            drag(event, {
                                moved: now => {
                                    const spot = sight.value?.spot(now);
                                    if (spot) movePart(last, handle.pull(spot));
                                },
                            })
                        }
                    />
                    <rect x={-5} y={-5} width={10} height={10} />
                </g>
            ))}
        </>
    );
}

function HeightRuler({
    view,
    left,
    top,
    surface,
}: {
    view: Sight;
    left: number;
    top: number;
    surface: Surface;
}) {
    const step = unit() === "m" ? 1 : 5 * 0.3048;
    const ticks: number[] = [];
    for (let up = 0; up <= top + 0.01; up += step) ticks.push(up);
    const named = surface.outline
        .filter(outline => outline.role === "gable")
        .map(outline => Math.max(...outline.points.map(point => point[1])));
    const x = Math.max(54, view.x(left) - 12);
    return (
        <g class="ruler" aria-hidden="true">
            <line x1={x} x2={x} y1={view.y(0)} y2={view.y(top)} />
            {ticks.map(up => (
                <g key={up}>
                    <line x1={x - 6} x2={x} y1={view.y(up)} y2={view.y(up)} />
                    {!named.some(peak => Math.abs(peak - up) * view.scale < 13) && (
                        <text x={x - 9} y={view.y(up) + 4}>
                            {printLength(up, unit(), unit() === "m" ? 0.1 : 0.3048).replace(/^0 in$/, "0 ft")}
                        </text>
                    )}
                </g>
            ))}
            {[...new Set(named)].map(peak => (
                <text key={`peak ${peak}`} class="strong" x={x - 9} y={view.y(peak) + 4}>
                    {printLength(peak, unit(), unit() === "m" ? 0.01 : 0.0254)}
                </text>
            ))}
        </g>
    );
}

// Lines on the ground at each foot (or half metre) from the wall: a setback can be read off.
function StripRuler({ view, left, right }: { view: Sight; left: number; right: number }) {
    const step = unit() === "m" ? 0.5 : 0.3048;
    const lines: number[] = [];
    for (let out = step; out < strip; out += step) lines.push(out);
    return (
        <g class="strip-ruler" aria-hidden="true">
            {lines.map((out, index) => (
                <g key={out}>
                    <line
                        x1={view.x(left - 0.5)}
                        x2={view.x(right + 0.5)}
                        y1={view.y(-out)}
                        y2={view.y(-out)}
                    />
                    {view.scale * step > 11 && (index % 2 === 0 || view.scale * step > 20) && (
                        <text x={view.x(left - 0.5) - 6} y={view.y(-out) + 4}>
                            {printLength(out, unit(), unit() === "m" ? 0.1 : 0.0254)}
                        </text>
                    )}
                </g>
            ))}
        </g>
    );
}

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

function WallFixture({
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
    const press = (event: PointerEvent) => {
        if (tool.value || event.button !== 0) return;
        const start = view.spot(event);
        drag(event, {
            clicked: now => pick(state.id, now.shiftKey || now.ctrlKey || now.metaKey),
            moved: now => {
                const spot = sight.value?.spot(now);
                if (!spot) return;
                if (!picked.value.includes(state.id)) pick(state.id);
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

function ReachMark({ state, view, surface }: { state: FixtureState; view: Sight; surface: Surface }) {
    const whole = is_settled.value
        ? settled.value?.reaches.find(reach => reach.fixture === state.id && reach.surface === surface.id)
        : undefined;
    const level = shownLevel(changed.value?.site.levels_lx ?? []);
    const reach = (whole?.together ?? state.reach).find(one => Math.abs(one.level_lx - level) < 1e-3 * level);
    const along = whole?.along ?? state.line?.along;
    if (!reach || along === undefined || reach.height === null) return null;
    const words = plainReach(reach.words);
    const letter = 6.8; // pixels
    const is_roomy = (changed.value?.fixtures ?? []).every(
        other =>
            other.id === state.id ||
            other.along === null ||
            Math.abs(other.along - along) * view.scale > words.length * letter,
    );
    const height = reach.is_to_top ? reach.top : reach.height;
    return (
        <g
            class={`reach ${is_settled.value ? "" : "coming"}`}
            transform={`translate(${view.x(along)} ${view.y(height)})`}
        >
            <rect class="tick" x={-9} y={-2} width={18} height={4} rx={2} />
            {(is_roomy || picked.value.includes(state.id)) && (
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

function Drawing({ view }: { view: Sight }) {
    const [from] = points.value;
    const to = cursor.value;
    const now = tool.value;
    if (!now || !to) return null;
    if (now.does === "stand")
        return <circle class="ghost" cx={view.x(to[0])} cy={view.y(Math.min(0, to[1]))} r={7} />;
    if (!from || (now.does !== "opening" && now.does !== "gable")) return null;
    const [x, y] = [view.x(Math.min(from[0], to[0])), view.y(Math.max(from[1], to[1]))];
    const [width, height] = [Math.abs(to[0] - from[0]) * view.scale, Math.abs(to[1] - from[1]) * view.scale];
    return (
        <g class="drawing">
            {now.does === "gable" ? (
                <path d={`M${x} ${y + height}L${x + width / 2} ${y}L${x + width} ${y + height}Z`} />
            ) : (
                <rect x={x} y={y} width={width} height={height} />
            )}
            <text x={x + width / 2} y={y + height + 16}>
                {printLength(Math.abs(to[0] - from[0]), unit(), 0.0254)} ×{" "}
                {printLength(Math.abs(to[1] - from[1]), unit(), 0.0254)}
            </text>
        </g>
    );
}

function WallOverlay({ surface, view, is_main }: { surface: Surface; view: Sight; is_main: boolean }) {
    const state = useMemo(
        () =>
            changed.value?.fixtures.find(
                candidate => candidate.id === picked.value.at(-1) && candidate.wall === surface.id,
            ),
        [changed.value, picked.value, surface.id],
    );
    const found = finding.value?.on === "wall" ? finding.value : undefined;
    return (
        <>
            {found && <Finding x={view.x(found.spot[0])} y={view.y(found.spot[1])} words={found.words} />}
            {state && is_main && !tool.value && (
                <Hand
                    state={state}
                    x={view.x(state.along ?? 0)}
                    y={view.y(0)}
                    width={view.width}
                    height={view.height}
                    is_moving={in_hand.value}
                    free={{
                        left: view.x(stretchShown(surface)[0]) - 62,
                        right: view.x(stretchShown(surface)[1] + 0.5),
                    }}
                />
            )}
        </>
    );
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
