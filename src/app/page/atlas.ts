// One picture that holds the light on every gridded surface, a texel a sensor, for the walk's shaders.

import type { Scene } from "../engine.ts";

export interface Atlas {
    width: number;
    height: number;
    /** The sensor whose lux a texel shows; -1 where none is near. */
    sensors: Int32Array;
    /** By surface: where its grid begins, and its cells; absent where it has none. */
    charts: Map<number, { x: number; y: number; columns: number; rows: number }>;
}

const gap = 1; // texels round a grid, which repeat its edge, so that filtering does not bleed

export function makeAtlas(scene: Scene): Atlas {
    const grids = scene.surfaces
        .map((surface, index) => ({ index, grid: surface.grid }))
        .filter(entry => entry.grid !== null)
        .sort((a, b) => (b.grid?.rows ?? 0) - (a.grid?.rows ?? 0));
    const widest = Math.max(0, ...grids.map(entry => entry.grid?.columns ?? 0)) + 2 * gap;
    const area = grids.reduce(
        (sum, entry) => sum + ((entry.grid?.columns ?? 0) + 2) * ((entry.grid?.rows ?? 0) + 2),
        1,
    );
    const width = Math.max(widest, Math.ceil(Math.sqrt(area)));
    const charts: Atlas["charts"] = new Map();
    let x = 0;
    let y = 0;
    let shelf = 0;
    for (const { index, grid } of grids) {
        if (!grid) continue;
        if (x + grid.columns + 2 * gap > width) {
            x = 0;
            y += shelf;
            shelf = 0;
        }
        charts.set(index, { x: x + gap, y: y + gap, columns: grid.columns, rows: grid.rows });
        x += grid.columns + 2 * gap;
        shelf = Math.max(shelf, grid.rows + 2 * gap);
    }
    const height = Math.max(1, y + shelf);
    const sensors = new Int32Array(width * height).fill(-1);
    for (const { index, grid } of grids) {
        const chart = charts.get(index);
        if (!grid || !chart) continue;
        for (let row = 0; row < grid.rows; row++)
            sensors.set(
                grid.cells.subarray(row * grid.columns, (row + 1) * grid.columns),
                (chart.y + row) * width + chart.x,
            );
        spread(sensors, width, chart);
    }
    return { width, height, sensors, charts };
}

// What is cut away of a grid takes the sensor of a neighbour, three cells out from what is kept, the gap included.
function spread(
    sensors: Int32Array,
    width: number,
    chart: { x: number; y: number; columns: number; rows: number },
): void {
    for (let pass = 0; pass < 3; pass++) {
        const found: [number, number][] = [];
        for (let y = chart.y - gap; y < chart.y + chart.rows + gap; y++)
            for (let x = chart.x - gap; x < chart.x + chart.columns + gap; x++) {
                const at = y * width + x;
                if ((sensors[at] as number) >= 0) continue;
                for (const [dx, dy] of [
                    [-1, 0],
                    [1, 0],
                    [0, -1],
                    [0, 1],
                    [-1, -1],
                    [1, 1],
                    [-1, 1],
                    [1, -1],
                ] as const) {
                    const [nx, ny] = [x + dx, y + dy];
                    if (
                        nx < chart.x ||
                        ny < chart.y ||
                        nx >= chart.x + chart.columns ||
                        ny >= chart.y + chart.rows
                    )
                        continue;
                    const sensor = sensors[ny * width + nx] as number;
                    if (sensor >= 0) {
                        found.push([at, sensor]);
                        break;
                    }
                }
            }
        for (const [at, sensor] of found) sensors[at] = sensor;
    }
}
