// Drawing without a pointer: a cross that arrow keys move, places and lengths that are typed.

import { putOnWall, set, setByLength } from "./draw.ts";
import { readLength } from "./length.ts";
import { lengthOf, runLength, type Spot, spotOf, unit } from "./move.ts";
import { site } from "./property.ts";
import { cursor, is_keyed, points, tool } from "./tool.ts";
import { surface_shown } from "./wall_face.ts";

export type DrawnOn = "plan" | "wall";

const ways: Record<string, Spot> = {
    ArrowLeft: [-1, 0],
    ArrowRight: [1, 0],
    ArrowUp: [0, 1],
    ArrowDown: [0, -1],
};
const usual_setback = 0.381;

// Where the cross comes from: what was drawn last, else the middle of what is there.
function startOf(on: DrawnOn): Spot {
    const before = cursor.value ?? points.value.at(-1);
    if (before) return before;
    if (on === "wall") {
        const surface = surface_shown.value;
        const middle = surface ? runLength(surface.run) / 2 : 0;
        if (tool.value?.does === "stand") return [middle, -usual_setback];
        return [middle, tool.value?.does === "gable" ? eaveHeight() : 0.9144];
    }
    const corners = (site.value.walls ?? []).flatMap(wall => wall.path.map(spotOf));
    if (!corners.length) return [0, 0];
    return [corners.reduce((sum, corner) => sum + corner[0], 0) / corners.length, corners[0]?.[1] ?? 0];
}

function eaveHeight(): number {
    const surface = surface_shown.value;
    const wall = site.value.walls?.find(one => one.id === (surface?.part_of || surface?.id));
    return wall ? lengthOf(wall.height) : 3;
}

/** Moves the cross by a foot, with Shift by ten, with Alt by an inch. True where the key is one of these. */
export function moveCross(on: DrawnOn, event: KeyboardEvent): boolean {
    const way = ways[event.key];
    if (!way) return false;
    const foot = unit() === "m" ? 0.1 : 0.3048;
    const step = event.shiftKey ? 10 * foot : event.altKey ? foot / (unit() === "m" ? 10 : 12) : foot;
    const [x, y] = startOf(on);
    cursor.value = [x + way[0] * step, y + way[1] * step];
    is_keyed.value = true;
    return true;
}

function put(on: DrawnOn, spot: Spot): void {
    const surface = surface_shown.value;
    if (on === "plan") set(spot);
    else if (surface) putOnWall(surface, spot);
    if (!tool.value) return;
    cursor.value = spot;
    is_keyed.value = false;
}

/** Uses the tool where the cross is. */
export function setCross(on: DrawnOn): void {
    if (cursor.value) put(on, cursor.value);
}

/** "52 ft" with an arrow key: the next point lies that far that way. */
export function setThatWay(on: DrawnOn, text: string, key: string): boolean {
    const way = ways[key];
    const length = readLength(text, unit());
    const last = points.value.at(-1);
    if (!way || on !== "plan" || !last || length === undefined || length <= 0) return false;
    put(on, [last[0] + way[0] * length, last[1] + way[1] * length]);
    return true;
}

/** What can be typed for the next point, as an example. */
export function exampleOf(on: DrawnOn): string {
    const is_metric = unit() === "m";
    if (on === "plan")
        return points.value.length
            ? is_metric
                ? "length, “6.5 m”"
                : "length, “52 ft”"
            : is_metric
              ? "east, north: “2 m, 0”"
              : "east, north: “6 ft, 0”";
    if (tool.value?.does === "stand")
        return is_metric ? "along, back: “3 m, 0.4 m”" : "along, back: “9 ft, 15 in”";
    if (points.value.length) return is_metric ? "“1.1 m x 1.5 m”" : "“42 in x 5 ft”";
    return is_metric ? "along, up: “3 m, 0.9 m”" : "along, up: “9 ft, 3 ft”";
}

/** Sets the next point by what was typed; a sentence comes back where it will not do. */
export function setByText(on: DrawnOn, text: string): string | undefined {
    const is_size = /[x×]/.test(text);
    const figures = text.split(/\s*[x×;]\s*|,\s+/).map(part => readLength(part, unit()));
    const [first, second] = figures;
    const like = `Write it like ${exampleOf(on)}.`;
    if (first === undefined || figures.length > 2 || (figures.length === 2 && second === undefined))
        return like;
    const last = points.value.at(-1);
    if (second === undefined) {
        if (on === "plan" && last) return setByLength(text) ? undefined : like;
        if (on === "wall" && tool.value?.does === "stand") put(on, [first, -usual_setback]);
        else if (on === "wall" && tool.value?.does === "gable" && !last) put(on, [first, eaveHeight()]);
        else return like;
        return undefined;
    }
    if (on === "wall" && last && is_size) put(on, [last[0] + first, last[1] + second]);
    else if (on === "wall" && tool.value?.does === "stand") put(on, [first, -Math.abs(second)]);
    else put(on, [first, second]);
    return undefined;
}
