// The plan: what stands and lies on the property, seen from above with north up. Things are moved here, and a
// property is drawn here by pointing and typing lengths.

import { computed } from "@preact/signals";
import { drag } from "./drag.ts";
import { Hand } from "./hand.tsx";
import { printLength } from "./length.ts";
import { changed, load, luxToDraw, scale, scene, whole } from "./light.ts";
import { LightPicture } from "./light_picture.tsx";
import { FixtureMark } from "./marks.tsx";
import { pointOf, type Spot, setValue, spotOf, standAt, unit } from "./move.ts";
import { pick, picked, things } from "./pick.ts";
import { in_hand, site } from "./property.ts";
import { type Extent, makeSight, Sheet, type Sight } from "./sheet.tsx";
import { callIt, type Point, type Thing } from "./site.ts";
import { cursor, finding, finish, points, set, snap, stretch, tool, worksOn } from "./tool.ts";
import { Finding } from "./wall.tsx";

const sight = makeSight();

let extent_before: Extent | undefined;
const extent = computed<Extent>(() => {
    // While something is in hand the paper lies still under it.
    if (in_hand.value && extent_before) return extent_before;
    extent_before = findExtent();
    return extent_before;
});

function findExtent(): Extent {
    const spots: Spot[] = [];
    const now = site.value;
    for (const wall of now.walls ?? []) spots.push(...wall.path.map(spotOf));
    for (const area of now.ground?.areas ?? []) spots.push(...area.outline.map(spotOf));
    for (const tree of scene.value?.plan.trees ?? [])
        spots.push(
            [tree.at[0] - tree.crown_radius, tree.at[1] - tree.crown_radius],
            [tree.at[0] + tree.crown_radius, tree.at[1] + tree.crown_radius],
        );
    for (const state of changed.value?.fixtures ?? []) spots.push([state.position[0], state.position[1]]);
    for (const transformer of now.network?.transformers ?? []) spots.push(spotOf(transformer.at));
    if (!spots.length) return { left: -2, right: 20, bottom: -12, top: 6 };
    const xs = spots.map(spot => spot[0]);
    const ys = spots.map(spot => spot[1]);
    return {
        left: Math.min(...xs) - 1,
        right: Math.max(...xs) + 1,
        bottom: Math.min(...ys) - 1,
        top: Math.max(...ys) + 1,
    };
}

function pathOf(view: Sight, outline: readonly (readonly number[])[], is_closed = true): string {
    return outline.length
        ? `M${outline.map(([x, y]) => `${view.x(x as number).toFixed(1)} ${view.y(y as number).toFixed(1)}`).join("L")}${is_closed ? "Z" : ""}`
        : "";
}

export function PlanSheet({ is_main }: { is_main: boolean }) {
    const view = sight.value;
    const ground = scene.value?.surfaces.filter(surface => surface.kind === "ground" && surface.grid) ?? [];
    const now = changed.value;
    const the_scale = scale.value;
    const lux = now ? luxToDraw(now.light, whole.value) : new Float32Array();
    return (
        <Sheet
            extent={extent.value}
            label="Plan of the property, north up"
            class={`plan ${tool.value && worksOn(tool.value) !== "wall" ? "aiming" : ""}`}
            sight={sight}
            onPress={press}
            onMove={(event, spot) => {
                if (tool.value && sight.value)
                    cursor.value = snap(spot, 12 / sight.value.scale, event.altKey);
            }}
            under={
                view && now && the_scale
                    ? ground.map(surface => (
                          <LightPicture
                              key={surface.id}
                              surface={surface}
                              lux={lux}
                              scale={the_scale}
                              sight={view}
                              levels={[]}
                              level_words={[]}
                              is_veil
                          />
                      ))
                    : null
            }
            overlay={view && <PlanOverlay view={view} is_main={is_main} />}
        >
            {view && <PlanInk view={view} />}
        </Sheet>
    );
}

function press(event: PointerEvent, spot: Spot): boolean {
    const now = tool.value;
    if (!now || !sight.value || worksOn(now) === "wall" || event.button !== 0) return false;
    event.preventDefault();
    event.stopPropagation();
    cursor.value = snap(spot, 12 / sight.value.scale, event.altKey);
    if (event.detail >= 2 && points.value.length >= 2) finish(now.does === "area" || now.does === "shrub");
    else set(cursor.value);
    return true;
}

function PlanInk({ view }: { view: Sight }) {
    const now = site.value;
    const plan = scene.value?.plan;
    const chosen_ids = picked.value;
    return (
        <>
            <defs>
                <pattern id="bed" width="9" height="9" patternUnits="userSpaceOnUse">
                    <circle cx="2" cy="2" r="0.9" class="dot" />
                    <circle cx="6.5" cy="6.5" r="0.9" class="dot" />
                </pattern>
                <pattern id="paving" width="14" height="14" patternUnits="userSpaceOnUse">
                    <path d="M0 0H14M0 7H14M4 0V7M11 7V14" class="joint" />
                </pattern>
                <pattern id="water" width="16" height="8" patternUnits="userSpaceOnUse">
                    <path d="M0 4Q4 1 8 4T16 4" class="joint" />
                </pattern>
            </defs>
            {(now.ground?.areas ?? []).map(area => (
                <Shape
                    key={area.id}
                    id={area.id}
                    class={`area ${area.kind}`}
                    view={view}
                    thing={area}
                    points_key="outline"
                />
            ))}
            {(now.shrubs ?? []).map(shrub => (
                <Shape
                    key={shrub.id}
                    id={shrub.id}
                    class="shrub"
                    view={view}
                    thing={shrub}
                    points_key={shrub.outline ? "outline" : "path"}
                />
            ))}
            {(now.walls ?? []).map(wall => (
                <Shape
                    key={wall.id}
                    id={wall.id}
                    class="wall-line"
                    view={view}
                    thing={wall}
                    points_key="path"
                    is_open={!wall.closed}
                />
            ))}
            {plan?.projections.map(projection => (
                <path key={projection.id} class="projection" d={pathOf(view, projection.outline)} />
            ))}
            <Cables view={view} />
            {plan?.trees.map(tree => (
                <TreeMark key={tree.id} view={view} tree={tree} is_picked={chosen_ids.includes(tree.id)} />
            ))}
            {(now.views ?? []).map(eye => (
                <EyeMark key={eye.id} view={view} thing={eye} is_picked={chosen_ids.includes(eye.id)} />
            ))}
            {(changed.value?.fixtures ?? []).map(state => (
                <FixtureMark
                    key={state.id}
                    state={state}
                    x={view.x(state.position[0])}
                    y={view.y(state.position[1])}
                    is_picked={chosen_ids.includes(state.id)}
                    points_to={
                        Math.hypot(state.direction[0], state.direction[1]) > 0.02
                            ? (Math.atan2(state.direction[0], state.direction[1]) * 180) / Math.PI
                            : undefined
                    }
                    note={view.scale > 14 || chosen_ids.includes(state.id) ? state.id : undefined}
                    onPress={event => {
                        if (tool.value || event.button !== 0) return;
                        const start = view.spot(event);
                        drag(event, {
                            clicked: end => pick(state.id, end.shiftKey || end.ctrlKey || end.metaKey),
                            moved: end => {
                                const spot = sight.value?.spot(end);
                                if (!spot) return;
                                if (!picked.value.includes(state.id)) pick(state.id);
                                standAt(state.id, [
                                    state.position[0] + spot[0] - start[0],
                                    state.position[1] + spot[1] - start[1],
                                ]);
                            },
                        });
                    }}
                />
            ))}
            <Drawn view={view} />
            <North view={view} />
        </>
    );
}

interface ShapeProps {
    id: string;
    class: string;
    view: Sight;
    thing: Thing;
    points_key: "outline" | "path";
    is_open?: boolean;
}

// An outline or a line: the whole is moved, or a corner of it when it is picked.
function Shape({ id, class: look, view, thing, points_key, is_open }: ShapeProps) {
    const outline = ((thing[points_key] as Point[] | undefined) ?? []).map(spotOf);
    const found = things.value.get(id);
    const is_picked = picked.value.includes(id);
    if (!found) return null;
    const move = (words: string, recipe: (spots: Spot[], by: Spot) => Spot[]) => (event: PointerEvent) => {
        if (tool.value || event.button !== 0) return;
        const start = view.spot(event);
        drag(event, {
            clicked: end => pick(id, end.shiftKey),
            moved: end => {
                const spot = sight.value?.spot(end);
                if (!spot) return;
                if (!picked.value.includes(id)) pick(id);
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
                tabIndex={0}
                role="button"
                aria-pressed={is_picked}
                aria-label={`${found.one} ${callIt(thing)}`}
                onPointerDown={move(`Move ${callIt(thing)}`, (spots, by) =>
                    spots.map(([x, y]) => [x + by[0], y + by[1]]),
                )}
                onFocus={() => {
                    if (!picked.value.includes(id)) pick(id);
                }}
            />
            {is_picked &&
                outline.map(([x, y], index) => (
                    <g key={`${index}`} class="pull" transform={`translate(${view.x(x)} ${view.y(y)})`}>
                        <circle
                            class="touch"
                            r={16}
                            onPointerDown={move(`Reshape ${callIt(thing)}`, (spots, by) =>
                                spots.map((corner, at) =>
                                    at === index ? [corner[0] + by[0], corner[1] + by[1]] : corner,
                                ),
                            )}
                        />
                        <rect x={-5} y={-5} width={10} height={10} />
                    </g>
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

function TreeMark({
    view,
    tree,
    is_picked,
}: {
    view: Sight;
    tree: { id: string; at: [number, number]; crown_radius: number; trunk_radius: number };
    is_picked: boolean;
}) {
    const found = things.value.get(tree.id);
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
            tabIndex={0}
            role="button"
            aria-pressed={is_picked}
            aria-label={`tree ${found ? callIt(found.thing) : tree.id}`}
            onFocus={() => {
                if (!picked.value.includes(tree.id)) pick(tree.id);
            }}
            onPointerDown={event => {
                if (tool.value || event.button !== 0 || !found) return;
                const start = view.spot(event);
                drag(event, {
                    clicked: end => pick(tree.id, end.shiftKey),
                    moved: end => {
                        const spot = sight.value?.spot(end);
                        if (!spot) return;
                        if (!picked.value.includes(tree.id)) pick(tree.id);
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

function EyeMark({ view, thing, is_picked }: { view: Sight; thing: Thing; is_picked: boolean }) {
    const eye = spotOf((thing.eye as Point).slice(0, 2));
    const at = spotOf((thing.look_at as Point).slice(0, 2));
    const way = (Math.atan2(at[0] - eye[0], at[1] - eye[1]) * 180) / Math.PI;
    const x = Math.min(view.width - 18, Math.max(18, view.x(eye[0])));
    const y = Math.min(view.height - 18, Math.max(18, view.y(eye[1])));
    return (
        <g
            class={`eye ${is_picked ? "picked" : ""}`}
            transform={`translate(${x} ${y})`}
            tabIndex={0}
            role="button"
            aria-label={`view ${callIt(thing)}`}
            onPointerDown={event => {
                if (tool.value || event.button !== 0) return;
                const found = things.value.get(thing.id);
                drag(event, {
                    clicked: () => pick(thing.id),
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

function Cables({ view }: { view: Sight }) {
    const plan = scene.value?.plan;
    const figures = load.value?.figures;
    const runs = figures?.runs;
    return (
        <g class="cables">
            {runs
                ? runs.flatMap(run =>
                      run.cables.map((cable, index) => (
                          <path
                              key={`${run.id}${index}`}
                              class={`cable ${cable.part} ${run.is_good ? "" : "bad"}`}
                              d={pathOf(view, cable.course, false)}
                          />
                      )),
                  )
                : plan?.cables.map((cable, index) => (
                      <path
                          key={`${cable.run}${index}`}
                          class="cable"
                          d={pathOf(view, cable.course, false)}
                      />
                  ))}
            {(site.value.network?.transformers ?? []).map(transformer => (
                <TransformerMark key={transformer.id} view={view} thing={transformer} />
            ))}
            {plan?.hubs.map(hub => (
                <circle key={hub.id} class="hub" cx={view.x(hub.at[0])} cy={view.y(hub.at[1])} r={5} />
            ))}
            {withoutOverlap(
                (figures?.fixtures ?? []).filter(one => one.volts !== null),
                view,
            ).map(one => (
                <text
                    key={one.id}
                    class={`volts ${one.state}`}
                    x={view.x(one.at[0]) + 12}
                    y={view.y(one.at[1]) + 4}
                >
                    {`${(one.volts as number).toFixed(1)} V`}
                </text>
            ))}
        </g>
    );
}

// Labels one after the other, those left out that would lie on one before.
function withoutOverlap<Labelled extends { at: [number, number]; state: string }>(
    labels: Labelled[],
    view: Sight,
): Labelled[] {
    const kept: Labelled[] = [];
    const [wide, high] = [46, 13]; // pixels of "11.2 V"
    const urgent = [...labels].sort((a, b) => Number(a.state === "good") - Number(b.state === "good"));
    for (const label of urgent)
        if (
            kept.every(
                other =>
                    Math.abs(view.x(other.at[0]) - view.x(label.at[0])) > wide ||
                    Math.abs(view.y(other.at[1]) - view.y(label.at[1])) > high,
            )
        )
            kept.push(label);
    return kept;
}

function TransformerMark({ view, thing }: { view: Sight; thing: Thing }) {
    const at = spotOf(thing.at);
    const found = things.value.get(thing.id);
    return (
        <g
            class={`transformer ${picked.value.includes(thing.id) ? "picked" : ""}`}
            transform={`translate(${view.x(at[0])} ${view.y(at[1])})`}
            tabIndex={0}
            role="button"
            aria-label={`transformer ${callIt(thing)}`}
            onFocus={() => {
                if (!picked.value.includes(thing.id)) pick(thing.id);
            }}
            onPointerDown={event => {
                if (tool.value || event.button !== 0) return;
                drag(event, {
                    clicked: () => pick(thing.id),
                    moved: end => {
                        const spot = sight.value?.spot(end);
                        if (spot && found)
                            setValue(`Move ${callIt(thing)}`, [...found.place, "at"], pointOf(spot));
                    },
                });
            }}
        >
            <circle class="touch" r={20} />
            <rect x={-9} y={-9} width={18} height={18} />
            <path d="M-9 9L9 -9" />
        </g>
    );
}

function Drawn({ view }: { view: Sight }) {
    const now = tool.value;
    const to = cursor.value;
    if (!now || worksOn(now) === "wall") return null;
    const all =
        to && now.does !== "stand" && now.does !== "tree" && now.does !== "probe"
            ? [...points.value, to]
            : points.value;
    const last = points.value.at(-1);
    return (
        <g class="drawing">
            {all.length > 1 && <path d={pathOf(view, all, false)} />}
            {points.value.map(([x, y]) => (
                <circle key={`${x} ${y}`} cx={view.x(x)} cy={view.y(y)} r={4} />
            ))}
            {to && <circle class="ghost" cx={view.x(to[0])} cy={view.y(to[1])} r={6} />}
            {to && last && stretch.value && (
                <text x={view.x((to[0] + last[0]) / 2)} y={view.y((to[1] + last[1]) / 2) - 8}>
                    {stretch.value}
                </text>
            )}
        </g>
    );
}

function North({ view }: { view: Sight }) {
    const step = unit() === "m" ? 5 : 10 * 0.3048;
    return (
        <g aria-hidden="true">
            <g class="north" transform={`translate(${view.width - 26} 64)`}>
                <path d="M0 -16L6 6L0 2L-6 6Z" />
                <text y={20}>N</text>
            </g>
            <g class="bar" transform={`translate(16 ${view.height - 16})`}>
                <path d={`M0 -5V0H${step * view.scale}V-5`} />
                <text x={(step * view.scale) / 2} y={-6}>
                    {printLength(step, unit(), 0.0254)}
                </text>
            </g>
        </g>
    );
}

function PlanOverlay({ view, is_main }: { view: Sight; is_main: boolean }) {
    const state = changed.value?.fixtures.find(candidate => candidate.id === picked.value.at(-1));
    const found = finding.value?.on === "plan" ? finding.value : undefined;
    return (
        <>
            {found && <Finding x={view.x(found.spot[0])} y={view.y(found.spot[1])} words={found.words} />}
            {state && is_main && !tool.value && (
                <Hand
                    state={state}
                    x={view.x(state.position[0])}
                    y={view.y(state.position[1])}
                    width={view.width}
                    height={view.height}
                    is_moving={in_hand.value}
                />
            )}
        </>
    );
}
