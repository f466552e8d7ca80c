import type { Outline } from "../engine.ts";
import { drag } from "./drag.ts";
import { handStep } from "./length.ts";
import { Pull } from "./marks.tsx";
import { lengthOf, movePart, type Spot, unit } from "./move.ts";
import { chosen_last, pick, picked, things } from "./pick.ts";
import type { Sight } from "./sheet.tsx";
import { callIt, keyFor, type Thing } from "./site.ts";
import { tool } from "./tool.ts";
import { sight } from "./wall_face.ts";

export function WallOutline({ outline, view, wall }: { outline: Outline; view: Sight; wall: string }) {
    const path = `M${outline.points.map(([u, v]) => `${view.x(u).toFixed(1)} ${view.y(v).toFixed(1)}`).join("L")}${outline.is_closed ? "Z" : ""}`;
    const key = keyFor(outline.role, `${wall}.${outline.id}`);
    const found = things.value.get(key);
    if ((outline.role !== "opening" && outline.role !== "projection") || !found)
        return <path class={`outline ${outline.role}`} d={path} />;
    return (
        <path
            class={`outline ${outline.role} part ${picked.value.includes(key) ? "picked" : ""}`}
            d={path}
            tabindex={0}
            role="button"
            aria-label={`${found.one} ${callIt(found.thing)}`}
            onPointerDown={event => {
                if (tool.value || event.button !== 0) return;
                const start = sight.value?.spot(event);
                const from = lengthOfPart(found.thing, "from");
                const upright = outline.role === "opening" ? "sill" : "bottom";
                const low = lengthOfPart(found.thing, upright);
                if (!start) return;
                drag(event, {
                    clicked: now => pick(key, now.shiftKey),
                    moved: now => {
                        const spot = sight.value?.spot(now);
                        if (!spot) return;
                        if (!picked.value.includes(key)) pick(key);
                        movePart(found, {
                            from: from + spot[0] - start[0],
                            ...(found.one === "door" ? {} : { [upright]: low + spot[1] - start[1] }),
                        });
                    },
                });
            }}
            onFocus={() => {
                if (!picked.value.includes(key)) pick(key);
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

// A picked opening or gable has corners to pull.
export function PartHandles({ view, wall }: { view: Sight; wall: Thing }) {
    const found = chosen_last.value;
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
                <Pull
                    key={handle.words}
                    x={view.x(handle.x)}
                    y={view.y(handle.y)}
                    words={`${handle.words} of ${callIt(thing)}`}
                    onPress={event =>
                        drag(event, {
                            moved: now => {
                                const spot = sight.value?.spot(now);
                                if (spot) movePart(found, handle.pull(spot));
                            },
                        })
                    }
                    onNudge={(dx, dy) =>
                        movePart(found, handle.pull([handle.x + dx, handle.y + dy]), handStep(unit()))
                    }
                />
            ))}
        </>
    );
}
