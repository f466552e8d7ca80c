// The light on a grid of cells as colours of the fixed scale, with its level lines, beneath the ink of a sheet.

import { useEffect, useRef } from "preact/hooks";
import type { LightScale, Surface } from "../engine.ts";
import { type Field, findContour } from "./contour.ts";
import type { Sight } from "./sheet.tsx";

/** The middle of some words, in pixels of the sheet. */
export interface Label {
    x: number;
    y: number;
}

export function placeOnScale(lux: number, scale: LightScale): number {
    if (!(lux > scale.least_lx)) return 0;
    return Math.min(1, Math.log(lux / scale.least_lx) / Math.log(scale.most_lx / scale.least_lx));
}

interface Props {
    surface: Surface;
    lux: Float32Array;
    scale: LightScale;
    sight: Sight;
    levels: number[];
    level_words: string[];
    /** Whether dark ground lets the paper through, so that the plan stays readable. */
    is_veil?: boolean;
    /** Words that stand on it already, which those of the levels keep off. */
    taken?: Label[];
    /** Metres along between which words may stand; beyond them a veil lies over the picture. */
    shown?: readonly [number, number];
}

const none_taken: Label[] = [];

export function LightPicture({
    surface,
    lux,
    scale,
    sight,
    levels,
    level_words,
    is_veil = false,
    taken = none_taken,
    shown,
}: Props) {
    const canvas = useRef<HTMLCanvasElement>(null);
    const cells = useRef<HTMLCanvasElement | undefined>(undefined);
    useEffect(() => {
        const node = canvas.current;
        const grid = surface.grid;
        if (!node || !grid) return;
        const ratio = Math.min(2, devicePixelRatio || 1);
        if (
            node.width !== Math.round(sight.width * ratio) ||
            node.height !== Math.round(sight.height * ratio)
        ) {
            node.width = Math.round(sight.width * ratio);
            node.height = Math.round(sight.height * ratio);
        }
        const pen = node.getContext("2d");
        if (!pen) return;
        pen.setTransform(ratio, 0, 0, ratio, 0, 0);
        pen.clearRect(0, 0, sight.width, sight.height);

        cells.current ??= document.createElement("canvas");
        const small = cells.current;
        small.width = grid.columns;
        small.height = grid.rows;
        const small_pen = small.getContext("2d");
        if (!small_pen) return;
        const image = small_pen.createImageData(grid.columns, grid.rows);
        const values = new Float32Array(grid.cells.length);
        const last = scale.colours.length / 3 - 1;
        for (let row = 0; row < grid.rows; row++)
            for (let column = 0; column < grid.columns; column++) {
                const at = row * grid.columns + column;
                const sensor = nearestSensor(grid.cells, grid.columns, grid.rows, column, row);
                values[at] =
                    (grid.cells[at] as number) < 0 ? Number.NaN : (lux[grid.cells[at] as number] as number);
                if (sensor < 0) continue;
                const place = placeOnScale(lux[sensor] as number, scale);
                const colour = 3 * Math.round(place * last);
                const pixel = 4 * ((grid.rows - 1 - row) * grid.columns + column);
                image.data[pixel] = scale.colours[colour] as number;
                image.data[pixel + 1] = scale.colours[colour + 1] as number;
                image.data[pixel + 2] = scale.colours[colour + 2] as number;
                image.data[pixel + 3] = 255 * (is_veil ? Math.min(1, 1.6 * place) : 1);
            }
        small_pen.putImageData(image, 0, 0);

        pen.save();
        clipToSurface(pen, surface, sight);
        pen.imageSmoothingEnabled = true;
        pen.imageSmoothingQuality = "high";
        pen.drawImage(
            small,
            sight.x(grid.u0),
            sight.y(grid.v0 + grid.rows * grid.step),
            grid.columns * grid.step * sight.scale,
            grid.rows * grid.step * sight.scale,
        );
        const field = { columns: grid.columns, rows: grid.rows, values };
        const labels = [...taken];
        const [first, end] = shown ? [sight.x(shown[0]), sight.x(shown[1])] : [0, sight.width];
        levels.forEach((level, index) => {
            drawLevel(pen, field, level, level_words[index] ?? "", surface, sight, scale, labels, first, end);
        });
        pen.restore();
    }, [surface, lux, scale, sight, levels, level_words, is_veil, JSON.stringify([taken, shown])]);
    return <canvas class="light-picture" ref={canvas} aria-hidden="true" />;
}

// Cells at an edge that are not kept take their neighbour's colour, so that the colours run to the drawn edge.
function nearestSensor(
    cells: Int32Array,
    columns: number,
    rows: number,
    column: number,
    row: number,
): number {
    const own = cells[row * columns + column] as number;
    if (own >= 0) return own;
    for (const [dx, dy] of [
        [1, 0],
        [-1, 0],
        [0, 1],
        [0, -1],
        [1, 1],
        [-1, 1],
        [1, -1],
        [-1, -1],
    ] as const) {
        const x = column + dx;
        const y = row + dy;
        if (x < 0 || y < 0 || x >= columns || y >= rows) continue;
        const sensor = cells[y * columns + x] as number;
        if (sensor >= 0) return sensor;
    }
    return -1;
}

function clipToSurface(pen: CanvasRenderingContext2D, surface: Surface, sight: Sight): void {
    const edges = surface.outline.filter(outline => outline.is_closed && outline.role === "edge");
    if (!edges.length) return;
    pen.beginPath();
    for (const edge of edges) {
        edge.points.forEach(([u, v], i) => {
            if (i) pen.lineTo(sight.x(u), sight.y(v));
            else pen.moveTo(sight.x(u), sight.y(v));
        });
        pen.closePath();
    }
    pen.clip("evenodd");
}

function drawLevel(
    pen: CanvasRenderingContext2D,
    field: Field,
    level: number,
    words: string,
    surface: Surface,
    sight: Sight,
    scale: LightScale,
    labels: Label[],
    first: number,
    end: number,
): void {
    const grid = surface.grid;
    if (!grid) return;
    const pieces = findContour(field, level);
    if (!pieces.length) return;
    const x = (cell: number) => sight.x(grid.u0 + (cell + 0.5) * grid.step);
    const y = (cell: number) => sight.y(grid.v0 + (cell + 0.5) * grid.step);
    const is_pale = placeOnScale(level, scale) > 0.55;
    pen.strokeStyle = is_pale ? "rgba(30,22,44,.75)" : "rgba(255,252,240,.85)";
    pen.lineWidth = 1.2;
    pen.beginPath();
    let best = -1;
    let best_y = Number.POSITIVE_INFINITY;
    const half_width = 0.5 * words.length * 6.5;
    const half = Math.ceil(half_width / (grid.step * sight.scale));
    for (let i = 0; i < pieces.length; i += 4) {
        const top = y(pieces[i + 1] as number);
        pen.moveTo(x(pieces[i] as number), top);
        pen.lineTo(x(pieces[i + 2] as number), y(pieces[i + 3] as number));
        if (
            top < best_y &&
            x(pieces[i] as number) >= first + half_width &&
            x(pieces[i] as number) <= end - half_width &&
            isRoomAt(field, pieces[i] as number, pieces[i + 1] as number, half) &&
            labels.every(
                other => Math.abs(other.x - x(pieces[i] as number)) > 40 || Math.abs(other.y - top) > 14,
            )
        ) {
            best_y = top;
            best = i;
        }
    }
    pen.stroke();
    if (best < 0) return;
    const at = [x(pieces[best] as number), best_y] as const;
    labels.push({ x: at[0], y: at[1] });
    pen.font = "600 11px system-ui, sans-serif";
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    pen.lineWidth = 3;
    pen.strokeStyle = is_pale ? "rgba(255,240,210,.7)" : "rgba(20,16,40,.65)";
    pen.strokeText(words, at[0], at[1]);
    pen.fillStyle = is_pale ? "#241a33" : "#fffbea";
    pen.fillText(words, at[0], at[1]);
}

// Whether a label that wide lies on the surface, its line above and below included.
function isRoomAt(field: Field, column: number, row: number, half: number): boolean {
    for (const y of [Math.floor(row) - 1, Math.ceil(row) + 1])
        for (const x of [Math.floor(column) - half, Math.ceil(column) + half])
            if (
                x < 0 ||
                y < 0 ||
                x >= field.columns ||
                y >= field.rows ||
                Number.isNaN(field.values[y * field.columns + x])
            )
                return false;
    return true;
}
