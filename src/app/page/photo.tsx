// The client's photo as a surface: by day and by night with a line between, the feet of its walls, its marks, and
// the fixtures where they stand on it.

import type { Signal } from "@preact/signals";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import { beside } from "./beside.ts";
import { billOf } from "./bills.ts";
import { drag } from "./drag.ts";
import { Hand } from "./hand.tsx";
import { Finding } from "./marks.tsx";
import type { Spot } from "./move.ts";
import { noteTime } from "./note_time.ts";
import { option } from "./options.ts";
import { found_at, is_pressing, mark_held, measured, pixel_cursor, pressPhoto } from "./photo_draw.ts";
import { choosePhoto } from "./photo_file.ts";
import { PhotoInk } from "./photo_ink.tsx";
import { Magnifier } from "./photo_lens.tsx";
import {
    beside_picture,
    day_picture,
    has_night,
    is_measuring,
    type NightPicture,
    night_fault,
    night_picture,
    panes_showing,
    photo_look,
    photo_shown,
    photo_split,
    state_shown,
    wanted_width,
} from "./photo_state.ts";
import { fixture_picked, photoKey, pick, picked } from "./pick.ts";
import { in_hand, is_client, property_id, site } from "./property.ts";
import { makeSight, Sheet, type Sight } from "./sheet.tsx";
import { finding, tool, worksOnPhoto } from "./tool.ts";
import { nameOf } from "./walk_marks.tsx";

export const photo_sight: Signal<Sight | undefined> = makeSight();

function pixelAt(event: { clientX: number; clientY: number }): Spot {
    const [x, up] = photo_sight.peek()?.spot(event) ?? [0, 0];
    return [x, -up];
}

/** Whether the tool in hand works on this photo as it is. */
export function isAiming(): boolean {
    const now = tool.value;
    return (
        now !== undefined &&
        worksOnPhoto(now) &&
        (["mark", "mask", "white"].includes(now.does) || is_measuring.value)
    );
}

/** Whether the picture itself is looked at closely, which is done by day. */
function isWorkedOn(): boolean {
    const does = tool.value?.does;
    return is_pressing.value || (isAiming() && does !== "stand" && does !== "probe");
}

/** Where the day ends on the pane, from its left. */
function dayEnds(width: number): number {
    const look = photo_look.value;
    const is_picked = picked.value.includes(photoKey(photo_shown.value?.id));
    if (look === "day" || isWorkedOn() || !nightOf(photo_shown.value?.id ?? "")) return width;
    if (beside_picture.value) return 0;
    if (look === "night") return is_picked ? width : 0;
    return photo_split.value * width;
}

export function PhotoSheet({ is_main }: { is_main: boolean }) {
    const photo = photo_shown.value;
    const state = state_shown.value;
    const sight = photo_sight.value;
    useEffect(() => {
        panes_showing.value++;
        return () => {
            panes_showing.value--;
        };
    }, []);
    // As many pixels as are seen, in steps, so that a pane that is pulled does not ask again and again.
    useEffect(() => {
        if (!sight || !state?.size) return;
        const shown = Math.min(sight.width, (sight.height * state.size[0]) / state.size[1]);
        wanted_width.value = Math.min(1600, 200 * Math.ceil((shown * Math.min(2, devicePixelRatio)) / 200));
    }, [sight?.width, sight?.height, state?.size?.[0], state?.size?.[1]]);
    if (!photo) return <NoPhoto />;
    const [width, height] = state?.size ?? [960, 640];
    return (
        <Sheet
            key={`${property_id.value} ${photo.id}`}
            extent={{ left: 0, right: width, bottom: -height, top: 0 }}
            label={`Photo ${photo.id}`}
            class={`photo ${isAiming() ? "aiming" : ""}`}
            margin={{ left: 0, right: 0, top: 0, bottom: 0 }}
            sight={photo_sight}
            onPress={event => {
                if (!isAiming() || event.button !== 0) {
                    mark_held.value = "";
                    return false;
                }
                event.stopPropagation();
                event.preventDefault();
                pressPhoto(event, pixelAt);
                return true;
            }}
            onMove={event => {
                if (isAiming() && !is_pressing.value) pixel_cursor.value = pixelAt(event);
            }}
            under={sight && <Pictures sight={sight} width={width} height={height} />}
            overlay={sight && <Over sight={sight} width={width} height={height} is_main={is_main} />}
        >
            {sight && state?.size && (
                <PhotoInk sight={sight} pixelAt={pixelAt} day_ends={dayEnds(sight.width)} />
            )}
        </Sheet>
    );
}

/** The night that belongs to what is seen; that of a moment ago until it is there. */
function nightOf(photo: string): NightPicture | undefined {
    const night = night_picture.value;
    return night?.photo === photo && has_night.value ? night : undefined;
}

function Pictures({ sight, width, height }: { sight: Sight; width: number; height: number }) {
    const canvas = useRef<HTMLCanvasElement>(null);
    const drawn = useRef<NightPicture | undefined>(undefined);
    const day = day_picture.value;
    const photo = photo_shown.value?.id ?? "";
    const night = nightOf(photo);
    const other = beside_picture.value?.photo.startsWith(`${photo} `) ? beside_picture.value : undefined;
    const look = photo_look.value;
    const split = photo_split.value;
    const is_worked_on = isWorkedOn();
    useLayoutEffect(() => {
        const node = canvas.current;
        const pen = node?.getContext("2d");
        if (!node || !pen) return;
        const ratio = Math.min(2, devicePixelRatio || 1);
        const [w, h] = [Math.round(sight.width * ratio), Math.round(sight.height * ratio)];
        if (node.width !== w || node.height !== h) {
            node.width = w;
            node.height = h;
        }
        pen.setTransform(ratio, 0, 0, ratio, 0, 0);
        pen.clearRect(0, 0, sight.width, sight.height);
        pen.imageSmoothingEnabled = true;
        pen.imageSmoothingQuality = night?.is_quick ? "low" : "high"; // under the hand time matters more
        const box = [sight.x(0), sight.y(0), width * sight.scale, height * sight.scale] as const;
        const is_dark = look !== "day" && !is_worked_on;
        const left = other && is_dark ? night?.canvas : day;
        const right = is_dark ? (other ?? night)?.canvas : undefined;
        const put = (picture: CanvasImageSource | undefined, from: number, to: number) => {
            if (!picture || to <= from) return;
            pen.save();
            pen.beginPath();
            pen.rect(from, 0, to - from, sight.height);
            pen.clip();
            pen.drawImage(picture, ...box);
            pen.restore();
        };
        const is_parted = look === "both" || other;
        const middle = is_parted ? split * sight.width : look === "night" ? 0 : sight.width;
        if (day) put(day, 0, sight.width);
        put(left, 0, right ? middle : sight.width);
        put(right, middle, sight.width);
        if (night?.is_quick && night !== drawn.current) noteTime("glance drawn");
        drawn.current = night;
    });
    return <canvas class="photo-picture" ref={canvas} aria-hidden="true" />;
}

function Over({
    sight,
    width,
    height,
    is_main,
}: {
    sight: Sight;
    width: number;
    height: number;
    is_main: boolean;
}) {
    const state = state_shown.value;
    const chosen = fixture_picked.value;
    const seen = state?.fixtures.find(one => one.id === chosen?.id);
    const at = finding.value ? found_at.value : undefined;
    const cursor = pixel_cursor.value;
    return (
        <>
            {at && <Finding x={sight.x(at[0])} y={sight.y(-at[1])} words={finding.value?.words ?? []} />}
            {chosen && seen?.lens && is_main && !tool.value && !is_client.value && (
                <Hand
                    state={chosen}
                    x={sight.x(seen.lens[0])}
                    y={sight.y(-seen.lens[1])}
                    width={sight.width}
                    height={sight.height}
                    is_moving={in_hand.value}
                    free={
                        sight.x(seen.lens[0]) < sight.width * 0.6
                            ? { left: 0, right: sight.width - 268 }
                            : { left: 268, right: sight.width }
                    }
                />
            )}
            {cursor && (is_pressing.value || (isAiming() && !measured.value)) && (
                <Magnifier sight={sight} pixel={cursor} size={[width, height]} />
            )}
            <Line sight={sight} />
            <Said />
        </>
    );
}

/** The line between day and night, or between two options. */
function Line({ sight }: { sight: Sight }) {
    const night = nightOf(photo_shown.value?.id ?? "");
    const has_other = beside_picture.value && photo_look.value !== "day";
    if (!night || isAiming() || is_pressing.value || (photo_look.value !== "both" && !has_other)) return null;
    const move = (share: number) => {
        photo_split.value = Math.min(1, Math.max(0, share));
    };
    return (
        <div
            class="slider"
            style={{ left: `${photo_split.value * sight.width}px` }}
            role="slider"
            tabIndex={0}
            aria-label={has_other ? "Between the two options" : "Between day and night"}
            aria-valuemin={0}
            aria-valuemax={100}
            aria-valuenow={Math.round(photo_split.value * 100)}
            onPointerDown={event => {
                const start = photo_split.value;
                drag(event, {
                    is_looking: true,
                    moved: now => move(start + (now.clientX - event.clientX) / sight.width),
                });
            }}
            onKeyDown={event => {
                if (event.key !== "ArrowLeft" && event.key !== "ArrowRight") return;
                event.stopPropagation();
                move(photo_split.value + (event.key === "ArrowLeft" ? -0.05 : 0.05));
            }}
        >
            {has_other && (
                <>
                    <OptionName class="left" id={option.value} />
                    <OptionName class="right" id={beside.value?.id ?? ""} />
                </>
            )}
        </div>
    );
}

function OptionName({ class: side, id }: { class: string; id: string }) {
    return (
        <span class={side}>
            {nameOf(id)}
            <small>{billOf(id)}</small>
        </span>
    );
}

/** What keeps the photo from being measured or lit, with what to do. */
function Said() {
    const photo = photo_shown.value;
    const state = state_shown.value;
    const day = day_picture.value;
    if (!photo || tool.value || is_client.value) return null;
    if (state && !state.size)
        return (
            <div class="photo-said" role="alert" onPointerDown={event => event.stopPropagation()}>
                <p>
                    {state.problems[0]?.message ?? "The picture is missing"}
                    {state.problems[0]?.remedy ? `; ${state.problems[0].remedy}` : ""}.
                </p>
                <button type="button" onClick={choosePhoto}>
                    Choose the picture …
                </button>
            </div>
        );
    if (state && !state.is_found) {
        const count = state.marks.length;
        return (
            <div class="photo-said" role="status" onPointerDown={event => event.stopPropagation()}>
                <p>
                    {!site.value.walls?.length
                        ? "Begin with the front: how wide it is, and how high its eave."
                        : count < 4
                          ? `${count === 0 ? "No mark" : count === 1 ? "1 mark" : `${count} marks`} so far. Point at places of the house on the picture: six on the front and two on the ground before it settle where it was taken from.`
                          : `${state.problems[0]?.message ?? ""}${state.problems[0]?.remedy ? `; ${state.problems[0].remedy}` : ""}.`}
                </p>
                {!picked.value.includes(photoKey(photo.id)) && (
                    <button type="button" onClick={() => pick(photoKey(photo.id))}>
                        {site.value.walls?.length ? "Marks" : "Begin"}
                    </button>
                )}
            </div>
        );
    }
    if (night_fault.value && photo_look.value !== "day")
        return (
            <div class="photo-said" role="status">
                <p>No night picture: {night_fault.value}</p>
            </div>
        );
    if (day && has_night.value && photo_look.value !== "day" && !nightOf(photo.id))
        return (
            <div class="photo-said small" role="status">
                <p>Night is falling …</p>
            </div>
        );
    return null;
}

function NoPhoto() {
    return (
        <div class="sheet photo nothing">
            <div class="begin-photo">
                <p>
                    <strong>No photo yet.</strong> Drop a picture of the house here, taken by day.
                </p>
                {!is_client.value && (
                    <button type="button" class="deed" onClick={choosePhoto}>
                        Choose a picture …
                    </button>
                )}
                <p class="dim">
                    Best under a cloudy sky, from the street, with nothing cut off. White trim in it tells how
                    bright the day was. The picture stays on this machine.
                </p>
            </div>
        </div>
    );
}
