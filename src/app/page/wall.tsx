// The wall, unfolded to scale: the light on it with its levels, how high each fixture's light carries, and the
// fixtures on the strip of ground before it, where they are moved along and away; the mark on the wall is where a
// beam is aimed.

import type { FixtureState, Surface } from "../engine.ts";
import { drag } from "./drag.ts";
import { putOnWall } from "./draw.ts";
import { Hand } from "./hand.tsx";
import { printLength } from "./length.ts";
import { changed, has_answered, lux_drawn, scale } from "./light.ts";
import { LightPicture } from "./light_picture.tsx";
import { Finding } from "./marks.tsx";
import { type Spot, unit } from "./move.ts";
import { fixture_picked, fixtureKey, picked } from "./pick.ts";
import { in_hand, site } from "./property.ts";
import { type Extent, Sheet, type Sight } from "./sheet.tsx";
import { cursor, finding, is_keyed, points, tool } from "./tool.ts";
import { sight, stretchShown, strip, surface_shown } from "./wall_face.ts";
import { placesOfReach, ReachMark, WallFixture } from "./wall_fixture.tsx";
import { PartHandles, WallOutline } from "./wall_parts.tsx";
import { HeightRuler, StripRuler } from "./wall_rulers.tsx";

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
                        : site.value.walls?.length
                          ? ""
                          : "No wall yet. Draw one on the plan, or take a house front from “Add”."}
                </p>
            </div>
        );
    const [left, right] = stretchShown(surface);
    const top = Math.max(...surface.outline.flatMap(outline => outline.points.map(point => point[1])), 2);
    const extent: Extent = { left, right, bottom: -strip, top };
    const lux = lux_drawn.value;
    // Beside a wide pane's wall the figures at the hand have room, and cover none of the light.
    const pane = sight.value?.width ?? 0;
    const room = pane > 900 ? 310 : pane > 700 ? 280 : 26;
    return (
        <Sheet
            extent={extent}
            label={`Wall ${surface.id}, unfolded`}
            class="wall"
            margin={{ left: pane > 900 ? 78 : 62, right: room, top: 60, bottom: 14 }}
            sight={sight}
            onPress={pressWall}
            onMove={(_, spot) => {
                if (!tool.value) return;
                cursor.value = spot;
                is_keyed.value = false;
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
                        taken={placesOfReach(fixturesBefore(surface, left, right), surface, sight.value)}
                        shown={surface.run.length > 1 ? [left, right] : undefined}
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
    if (now.does === "stand" || now.does === "probe") {
        putOnWall(surface, spot);
        return true;
    }
    if (now.does === "opening" || now.does === "gable") {
        if (points.value.length) {
            putOnWall(surface, spot);
            return true;
        }
        points.value = [spot];
        cursor.value = spot;
        drag(event, {
            is_looking: true,
            moved: moved => {
                cursor.value = sight.value?.spot(moved);
            },
            ended: () => {
                if (cursor.value) putOnWall(surface, cursor.value);
            },
        });
        return true;
    }
    return false;
}

// Fixtures that are meant for this stretch of the wall.
function fixturesBefore(surface: Surface, left: number, right: number): FixtureState[] {
    return (changed.value?.fixtures ?? []).filter(
        state =>
            (state.wall === surface.id || state.wall === surface.part_of) &&
            (state.along ?? 0) >= left - 0.01 &&
            (state.along ?? 0) <= right + 0.01,
    );
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
    const here = fixturesBefore(surface, left, right);
    const chosen = picked.value;
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
            {surface.outline.map((outline, index) => (
                <WallOutline
                    key={`${outline.role}${outline.id}${index}`}
                    outline={outline}
                    view={view}
                    wall={surface.id}
                />
            ))}
            {surface.run.length > 1 && <Veil view={view} left={left} right={right} />}
            <HeightRuler view={view} left={left} top={top} surface={surface} />
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
                    is_picked={chosen.includes(fixtureKey(state.id))}
                />
            ))}
            <Drawing view={view} />
        </>
    );
}

// The faces round the corners are seen, but not taken for this one.
function Veil({ view, left, right }: { view: Sight; left: number; right: number }) {
    const [from, to] = [Math.max(0, view.x(left)), Math.max(0, view.width - view.x(right))];
    const foot = Math.max(0, view.y(0));
    return (
        <g class="veil" aria-hidden="true">
            <rect x={0} y={0} width={from} height={foot} />
            <rect x={view.x(right)} y={0} width={to} height={foot} />
        </g>
    );
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
    const last = fixture_picked.value;
    const state = last?.wall === surface.id ? last : undefined;
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
