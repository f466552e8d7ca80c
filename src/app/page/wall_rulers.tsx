// Heights beside the wall, and distances on the strip of ground before it.

import type { Surface } from "../engine.ts";
import { printLength } from "./length.ts";
import { unit } from "./move.ts";
import type { Sight } from "./sheet.tsx";
import { strip } from "./wall_face.ts";

export function HeightRuler({
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
                        <text x={x - 9} y={view.y(up) + (up === 0 ? -3 : 4)}>
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
export function StripRuler({ view, left, right }: { view: Sight; left: number; right: number }) {
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
