// What is drawn over a photo: the feet of its walls, the parts that can be picked, its marks, and the fixtures.

import type { PhotoFixture, PhotoMark } from "../engine.ts";
import { drag } from "./drag.ts";
import { changed, engine } from "./light.ts";
import { FixtureMark } from "./marks.tsx";
import { type Spot, standAlong, standAt, wallSurface } from "./move.ts";
import {
    callPlace,
    is_pressing,
    mark_held,
    measured,
    moveMark,
    pixel_cursor,
    pixels,
    removeMark,
    stepOf,
} from "./photo_draw.ts";
import { is_grid_shown, lines, photo_shown, state_shown } from "./photo_state.ts";
import { findFixture, fixtureKey, photoKey, pick, picked, states, things } from "./pick.ts";
import { in_hand, is_client } from "./property.ts";
import type { Sight } from "./sheet.tsx";
import { callIt, keyFor } from "./site.ts";
import { are_marks_shown } from "./stand.ts";
import { tool } from "./tool.ts";

interface InkProps {
    sight: Sight;
    pixelAt(event: { clientX: number; clientY: number }): Spot;
}

function pathOf(sight: Sight, points: [number, number][], is_closed = false): string {
    const place = ([x, y]: [number, number]) => `${sight.x(x).toFixed(1)} ${sight.y(-y).toFixed(1)}`;
    return `M${points.map(place).join("L")}${is_closed ? "Z" : ""}`;
}

export function PhotoInk({ sight, pixelAt, day_ends }: InkProps & { day_ends: number }) {
    const state = state_shown.value;
    if (!state) return null;
    if (is_client.value) return null;
    const does = tool.value?.does;
    const are_masks_shown = does
        ? does === "mask" || does === "white"
        : picked.value.includes(photoKey(photo_shown.value?.id));
    return (
        <>
            <clipPath id="by-day">
                <rect x={0} y={0} width={Math.max(0, day_ends)} height={sight.height} />
            </clipPath>
            {is_grid_shown.value && (
                <g clip-path="url(#by-day)">
                    <Grid sight={sight} />
                </g>
            )}
            <Shapes sight={sight} />
            {are_marks_shown.value &&
                state.fixtures.map(seen => (
                    <SeenFixture key={seen.id} seen={seen} sight={sight} pixelAt={pixelAt} />
                ))}
            {areMarksShown() &&
                state.marks.map(mark => (
                    <MarkOnPhoto key={mark.id} mark={mark} sight={sight} pixelAt={pixelAt} />
                ))}
            {are_masks_shown && <MasksOnPhoto sight={sight} />}
            <Drawing sight={sight} />
        </>
    );
}

/** Marks are in the way of the picture, but while they are worked on or something is wrong with them. */
function areMarksShown(): boolean {
    const state = state_shown.value;
    if (tool.value) return tool.value.does === "mark";
    return (
        mark_held.value !== "" ||
        picked.value.includes(photoKey(photo_shown.value?.id)) ||
        !state?.is_found ||
        state.marks.some(mark => mark.state === "wrong")
    );
}

function Grid({ sight }: { sight: Sight }) {
    const drawn = lines.value;
    if (!drawn?.grid.length) return null;
    const paths = { faint: "", strong: "" };
    for (const line of drawn.grid) paths[line.is_strong ? "strong" : "faint"] += pathOf(sight, line.points);
    return (
        <g class="feet" aria-hidden="true">
            <path class="faint" d={paths.faint} />
            <path class="strong" d={paths.strong} />
            {drawn.grid
                .filter(line => line.is_strong && !/^0 /.test(line.words))
                .map((line, index) => {
                    const [x, y] = line.points[0] as [number, number];
                    return (
                        <text
                            key={`${line.wall}${index}`}
                            x={sight.x(x) + (line.is_upright ? 0 : -6)}
                            y={sight.y(-y) + (line.is_upright ? 14 : 4)}
                            class={line.is_upright ? "along" : "up"}
                        >
                            {line.words}
                        </text>
                    );
                })}
        </g>
    );
}

function Shapes({ sight }: { sight: Sight }) {
    return (
        <>
            {(lines.value?.shapes ?? [])
                .filter(shape => shape.role === "opening" || shape.role === "edge")
                .map((shape, index) => {
                    const key = keyFor("opening", `${shape.wall}.${shape.id}`);
                    const found = things.value.get(key);
                    const path = pathOf(sight, shape.points, shape.is_closed);
                    if (shape.role !== "opening" || !found)
                        return is_grid_shown.value ? (
                            <path
                                key={`${key}${index}`}
                                class="house-line"
                                d={path}
                                clip-path="url(#by-day)"
                            />
                        ) : null;
                    return (
                        <path
                            key={key}
                            class={`house-part ${picked.value.includes(key) ? "picked" : ""}`}
                            d={path}
                            tabindex={0}
                            role="button"
                            aria-label={`${found.one} ${callIt(found.thing)}`}
                            onPointerDown={event => {
                                if (tool.value || event.button !== 0) return;
                                drag(event, {
                                    is_looking: true,
                                    moved: () => undefined,
                                    clicked: now => pick(key, now.shiftKey),
                                });
                            }}
                            onFocus={() => {
                                if (!picked.value.includes(key)) pick(key);
                            }}
                        />
                    );
                })}
        </>
    );
}

/** How far along its wall a pixel is nearest to, and how many pixels off its line it lies. */
function alongRail(rail: PhotoFixture["rail"], [x, y]: Spot): { along: number; off: number } | undefined {
    let best: { along: number; off: number } | undefined;
    for (let i = 0; i + 1 < rail.length; i++) {
        const [a0, x0, y0] = rail[i] as [number, number, number];
        const [a1, x1, y1] = rail[i + 1] as [number, number, number];
        const [dx, dy] = [x1 - x0, y1 - y0];
        const long = dx * dx + dy * dy;
        const share = long > 0 ? Math.min(1, Math.max(0, ((x - x0) * dx + (y - y0) * dy) / long)) : 0;
        const off = Math.hypot(x - x0 - share * dx, y - y0 - share * dy);
        if (!best || off < best.off) best = { along: a0 + share * (a1 - a0), off };
    }
    return best;
}

// One question after the other; asked for while an answer is on its way, only the newest counts.
let newest: (() => Promise<void>) | undefined;
let asking: Promise<void> | undefined;

function standOnGround(id: string, pixel: Spot): void {
    const photo = photo_shown.value?.id;
    if (photo === undefined) return;
    newest = async () => {
        const found = await engine.value?.photoClick({ photo, pixel, fixture: id });
        if (found?.ground && in_hand.value) standAt(id, found.ground.at);
    };
    asking ??= (async () => {
        while (newest) {
            const next: () => Promise<void> = newest;
            newest = undefined;
            await next().catch(() => undefined); // a camera lost meanwhile is told of beside the photo
        }
        asking = undefined;
    })();
}

function wallOf(id: string): string {
    return findFixture(id)?.wall ?? "";
}

/** A hand that goes along a wall trembles by so much on the screen, and a pixel there may be a foot of ground. */
const rail_slack = 12;

function SeenFixture({ seen, sight, pixelAt }: { seen: PhotoFixture } & InkProps) {
    const state = states.value.get(seen.id) ?? changed.value?.fixtures.find(one => one.id === seen.id);
    if (!seen.lens || !state) return null;
    const [x, y] = seen.lens;
    const key = fixtureKey(seen.id);
    const is_picked = picked.value.includes(key);
    const press = (event: PointerEvent) => {
        if (tool.value || event.button !== 0) return;
        const start = pixelAt(event);
        let is_off_rail = false; // once it has left its line it stays free
        const foot = wallSurface(wallOf(seen.id))?.foot ?? 0;
        const is_mounted = state.mount === "wall" || state.position[2] - foot > 1; // as on the wall's sheet
        drag(event, {
            pending: () => asking,
            clicked: now => pick(key, now.shiftKey || now.ctrlKey || now.metaKey),
            moved: now => {
                if (!is_picked) pick(key);
                const [px, py] = pixelAt(now);
                const to: Spot = [x + px - start[0], y + py - start[1]];
                const nearest = alongRail(seen.rail, to);
                is_off_rail ||= !nearest || (!is_mounted && nearest.off * sight.scale > rail_slack);
                if (nearest && !is_off_rail) standAlong(seen.id, nearest.along);
                else standOnGround(seen.id, to);
            },
        });
    };
    const place = (at: [number, number]) => ({ x: sight.x(at[0]), y: sight.y(-at[1]) });
    const lens = place(seen.lens);
    const aim = seen.aim && place(seen.aim);
    return (
        <g class={seen.is_hidden ? "hidden-fixture" : ""}>
            {is_picked && aim && <line class="aim-line" x1={lens.x} y1={lens.y} x2={aim.x} y2={aim.y} />}
            {is_picked && aim && <circle class="aim-spot" cx={aim.x} cy={aim.y} r={5} />}
            <FixtureMark
                state={state}
                x={lens.x}
                y={lens.y}
                is_picked={is_picked}
                note={is_picked ? (in_hand.value ? state.words : state.id) : undefined}
                onPress={press}
            />
        </g>
    );
}

// The middle of words so that they lie within the sheet, where it is wide enough for them.
function keptIn(x: number, words: string, width: number): number {
    const half = 4 * words.length; // pixels
    return Math.max(Math.min(half, width / 2), Math.min(Math.max(width - half, width / 2), x));
}

function MarkOnPhoto({ mark, sight, pixelAt }: { mark: PhotoMark } & InkProps) {
    const own = photo_shown.value?.marks?.find(one => one.id === mark.id);
    if (!own) return null;
    const [x, y] = [sight.x(own.pixel[0]), sight.y(-own.pixel[1])];
    const is_held = mark_held.value === mark.id;
    const words = `Mark on ${callPlace(mark.of, mark.place)}${mark.fit_words ? `: ${mark.fit_words}` : ""}`;
    const press = (event: PointerEvent) => {
        if (tool.value && tool.value.does !== "mark") return;
        if (event.button !== 0) return;
        const start = pixelAt(event);
        mark_held.value = mark.id;
        is_pressing.value = true;
        const stop = () => {
            is_pressing.value = false;
            pixel_cursor.value = undefined;
        };
        pixel_cursor.value = own.pixel;
        drag(event, {
            moved: now => {
                const [px, py] = pixelAt(now);
                const to: Spot = [own.pixel[0] + px - start[0], own.pixel[1] + py - start[1]];
                pixel_cursor.value = to;
                moveMark(mark.id, to);
            },
        });
        addEventListener("pointerup", stop, { once: true });
        addEventListener("pointercancel", stop, { once: true });
    };
    const off = mark.falls_at && (mark.state === "wrong" || mark.state === "off" || is_held);
    return (
        <g
            class={`photo-mark ${mark.state} ${is_held ? "held" : ""}`}
            tabindex={0}
            role="button"
            aria-label={words}
            data-mark={mark.id}
            onPointerDown={press}
            onFocus={() => {
                mark_held.value = mark.id;
            }}
            onKeyDown={event => {
                const way = stepOf(event);
                if (way) moveMark(mark.id, [own.pixel[0] + way[0], own.pixel[1] + way[1]]);
                else if (event.key === "Delete" || event.key === "Backspace") removeMark(mark.id);
                else return;
                event.preventDefault();
                event.stopPropagation();
            }}
        >
            <title>{words}</title>
            {off && mark.falls_at && (
                <line
                    class="off-line"
                    x1={x}
                    y1={y}
                    x2={sight.x(mark.falls_at[0])}
                    y2={sight.y(-mark.falls_at[1])}
                />
            )}
            <circle class="touch" cx={x} cy={y} r={20} />
            <circle class="ring" cx={x} cy={y} r={7} />
            <path class="cross" d={`M${x - 3} ${y}h6M${x} ${y - 3}v6`} />
            {(is_held || mark.state === "wrong") && mark.fit_words && (
                <text class="fit" x={keptIn(x, mark.fit_words, sight.width)} y={y - 14}>
                    {mark.fit_words}
                </text>
            )}
        </g>
    );
}

/** What is painted round, and the white place. */
function MasksOnPhoto({ sight }: { sight: Sight }) {
    const photo = photo_shown.value;
    if (!photo) return null;
    return (
        <g class="painted" aria-hidden="true">
            {(photo.masks ?? []).map((mask, index) => {
                const points: [number, number][] = [];
                for (let i = 0; i + 1 < mask.outline.length; i += 2)
                    points.push([mask.outline[i] as number, mask.outline[i + 1] as number]);
                return <path key={`${index}`} class={mask.kind ?? "plant"} d={pathOf(sight, points, true)} />;
            })}
            {photo.white && (
                <rect
                    class="white-place"
                    x={sight.x(photo.white.pixel[0]) - 6}
                    y={sight.y(-photo.white.pixel[1]) - 6}
                    width={12}
                    height={12}
                />
            )}
        </g>
    );
}

function Drawing({ sight }: { sight: Sight }) {
    const now = tool.value;
    const set = pixels.value;
    const cursor = pixel_cursor.value;
    if (!now || now.does === "mark") {
        if (now && cursor) return <Cross sight={sight} at={cursor} />;
        return null;
    }
    const all = cursor && !measured.value ? [...set, cursor] : set;
    const is_box = now.does === "opening" && all.length === 2;
    const [a, b] = all as [Spot, Spot];
    return (
        <g class="drawing">
            {is_box ? (
                <path d={pathOf(sight, [a, [b[0], a[1]], b, [a[0], b[1]]], true)} />
            ) : (
                all.length > 1 && (
                    <path
                        class="open"
                        d={pathOf(
                            sight,
                            all,
                            now.does === "gable" || (now.does === "mask" && all.length > 2),
                        )}
                    />
                )
            )}
            {set.map(at => (
                <circle key={at.join()} cx={sight.x(at[0])} cy={sight.y(-at[1])} r={4} />
            ))}
            {measured.value && set.length === 2 && (
                <text
                    class="measure"
                    x={(sight.x(a[0]) + sight.x(b[0])) / 2}
                    y={(sight.y(-a[1]) + sight.y(-b[1])) / 2 - 10}
                >
                    {measured.value}
                </text>
            )}
            {cursor && <Cross sight={sight} at={cursor} />}
        </g>
    );
}

function Cross({ sight, at }: { sight: Sight; at: Spot }) {
    const [x, y] = [sight.x(at[0]), sight.y(-at[1])];
    return (
        <path class="pixel-cross" d={`M${x - 9} ${y}h6M${x + 3} ${y}h6M${x} ${y - 9}v6M${x} ${y + 3}v6`} />
    );
}
