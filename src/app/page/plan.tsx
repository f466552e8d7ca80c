// The plan: what stands and lies on the property, seen from above with north up. Things are moved here, and a
// property is drawn here by pointing and typing lengths.

import { computed } from "@preact/signals";
import { drag } from "./drag.ts";
import { finish, isOutline, set, snap } from "./draw.ts";
import { Hand } from "./hand.tsx";
import { printLength } from "./length.ts";
import { changed, lux_drawn, scale, scene } from "./light.ts";
import { LightPicture } from "./light_picture.tsx";
import { Finding, FixtureMark } from "./marks.tsx";
import { type Spot, spotOf, standAt, unit } from "./move.ts";
import { fixture_picked, fixtureKey, pick, picked } from "./pick.ts";
import { Cables } from "./plan_cable.tsx";
import { EyeMark, pathOf, Shape, sight, TreeMark } from "./plan_marks.tsx";
import { FallMark, LanternMark, PlacedMark, RoofMark } from "./plan_parts.tsx";
import { in_hand, site } from "./property.ts";
import { type Extent, Sheet, type Sight } from "./sheet.tsx";
import { keyFor } from "./site.ts";
import { is_narrow } from "./surfaces.tsx";
import { cursor, finding, is_keyed, lengthBetween, points, stretch, tool, worksOn } from "./tool.ts";

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

export function PlanSheet({ is_main }: { is_main: boolean }) {
    const view = sight.value;
    const ground = scene.value?.surfaces.filter(surface => surface.kind === "ground" && surface.grid) ?? [];
    const now = changed.value;
    const the_scale = scale.value;
    const lux = lux_drawn.value;
    return (
        <Sheet
            extent={extent.value}
            label="Plan of the property, north up"
            class={`plan ${tool.value && worksOn(tool.value) !== "wall" ? "aiming" : ""}`}
            sight={sight}
            // On a phone what is said of the tool lies over the foot of the sheet.
            {...(is_narrow.value && tool.value ? { margin: above_bar } : {})}
            onPress={press}
            onMove={(event, spot) => {
                if (!tool.value || !sight.value) return;
                cursor.value = snap(spot, 12 / sight.value.scale, event.altKey);
                is_keyed.value = false;
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
                              levels={no_levels}
                              level_words={no_words}
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

const above_bar = { left: 40, right: 24, top: 60, bottom: 130 };
const no_levels: number[] = [];
const no_words: string[] = [];

function press(event: PointerEvent, spot: Spot): boolean {
    const now = tool.value;
    if (!now || !sight.value || worksOn(now) === "wall" || event.button !== 0) return false;
    event.preventDefault();
    event.stopPropagation();
    cursor.value = snap(spot, 12 / sight.value.scale, event.altKey);
    if (event.detail >= 2 && points.value.length >= 2) finish(isOutline(now));
    else set(cursor.value);
    return true;
}

function PlanInk({ view }: { view: Sight }) {
    const now = site.value;
    const plan = scene.value?.plan;
    const chosen = picked.value;
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
                    of="area"
                    class={`area ${area.kind}`}
                    view={view}
                    thing={area}
                    points_key="outline"
                />
            ))}
            {plan?.falls.map(fall => (
                <FallMark key={fall.id} view={view} fall={fall} />
            ))}
            {(now.shrubs ?? []).map(shrub => (
                <Shape
                    key={shrub.id}
                    of="shrub"
                    class="shrub"
                    view={view}
                    thing={shrub}
                    points_key={shrub.outline ? "outline" : "path"}
                />
            ))}
            {(now.walls ?? []).map(wall => (
                <Shape
                    key={wall.id}
                    of="wall"
                    class="wall-line"
                    view={view}
                    thing={wall}
                    points_key="path"
                    is_open={!wall.closed}
                />
            ))}
            {plan?.roofs.map(roof => (
                <RoofMark key={roof.id} view={view} roof={roof} />
            ))}
            {plan?.steps.map(flight => (
                <PlacedMark
                    key={flight.id}
                    view={view}
                    of={keyFor("steps", flight.id)}
                    class="steps"
                    outlines={flight.treads}
                />
            ))}
            {(now.railings ?? []).map(railing => (
                <Shape
                    key={railing.id}
                    of="railing"
                    class="railing"
                    view={view}
                    thing={railing}
                    points_key="path"
                    is_open
                />
            ))}
            {plan?.fountains.map(fountain => (
                <PlacedMark
                    key={fountain.id}
                    view={view}
                    of={keyFor("fountain", fountain.id)}
                    class="fountain"
                    outlines={fountain.rims}
                />
            ))}
            {plan?.projections.map(projection => (
                <path key={projection.id} class="projection" d={pathOf(view, projection.outline)} />
            ))}
            {plan?.lanterns.map(lantern => (
                <LanternMark key={lantern.id} view={view} lantern={lantern} />
            ))}
            <Cables view={view} />
            {plan?.trees.map(tree => (
                <TreeMark
                    key={tree.id}
                    view={view}
                    tree={tree}
                    is_picked={chosen.includes(keyFor("tree", tree.id))}
                />
            ))}
            {(now.views ?? []).map(eye => (
                <EyeMark
                    key={eye.id}
                    view={view}
                    thing={eye}
                    is_picked={chosen.includes(keyFor("view", eye.id))}
                />
            ))}
            {(changed.value?.fixtures ?? []).map(state => (
                <FixtureMark
                    key={state.id}
                    state={state}
                    x={view.x(state.position[0])}
                    y={view.y(state.position[1])}
                    is_picked={chosen.includes(fixtureKey(state.id))}
                    points_to={
                        Math.hypot(state.direction[0], state.direction[1]) > 0.02
                            ? (Math.atan2(state.direction[0], state.direction[1]) * 180) / Math.PI
                            : undefined
                    }
                    note={view.scale > 14 || chosen.includes(fixtureKey(state.id)) ? state.id : undefined}
                    onPress={event => {
                        if (tool.value || event.button !== 0) return;
                        const start = view.spot(event);
                        drag(event, {
                            clicked: end =>
                                pick(fixtureKey(state.id), end.shiftKey || end.ctrlKey || end.metaKey),
                            moved: end => {
                                const spot = sight.value?.spot(end);
                                if (!spot) return;
                                const key = fixtureKey(state.id);
                                if (!picked.value.includes(key)) pick(key);
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

function Drawn({ view }: { view: Sight }) {
    const now = tool.value;
    const to = cursor.value;
    if (!now || worksOn(now) === "wall") return null;
    const is_measured = now.does === "measure" && points.value.length === 2;
    const all =
        to && !is_measured && now.does !== "stand" && now.does !== "tree" && now.does !== "probe"
            ? [...points.value, to]
            : points.value;
    return (
        <g class="drawing">
            {all.length > 1 && <path d={pathOf(view, all, false)} />}
            {points.value.map(([x, y]) => (
                <circle key={`${x} ${y}`} cx={view.x(x)} cy={view.y(y)} r={4} />
            ))}
            {to && !is_measured && <circle class="ghost" cx={view.x(to[0])} cy={view.y(to[1])} r={6} />}
            <Stretch view={view} is_measured={is_measured} />
        </g>
    );
}

// How long what is drawn now is; of what was measured, the length itself.
function Stretch({ view, is_measured }: { view: Sight; is_measured: boolean }) {
    const [from, to] = is_measured ? points.value : [points.value.at(-1), cursor.value];
    const words = is_measured && from && to ? lengthBetween(from, to) : stretch.value;
    if (!from || !to || !words) return null;
    return (
        <text x={view.x((to[0] + from[0]) / 2)} y={view.y((to[1] + from[1]) / 2) - 8}>
            {words}
        </text>
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
    const state = fixture_picked.value;
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
                    marks={(changed.value?.fixtures ?? []).map(({ position }) => [
                        view.x(position[0]),
                        view.y(position[1]),
                    ])}
                />
            )}
        </>
    );
}
