// The magnifier at the finger: what lies under it, several times as large, with a cross at the very pixel.

import { useEffect, useRef } from "preact/hooks";
import type { Spot } from "./move.ts";
import { day_picture } from "./photo_state.ts";
import type { Sight } from "./sheet.tsx";

const across = 128;

export function Magnifier({ sight, pixel, size }: { sight: Sight; pixel: Spot; size: [number, number] }) {
    const canvas = useRef<HTMLCanvasElement>(null);
    const day = day_picture.value;
    const scale = Math.max(4, 3 * sight.scale);
    useEffect(() => {
        const node = canvas.current;
        const pen = node?.getContext("2d");
        if (!node || !pen || !day) return;
        const ratio = Math.min(2, devicePixelRatio || 1);
        node.width = across * ratio;
        node.height = across * ratio;
        pen.setTransform(ratio, 0, 0, ratio, 0, 0);
        pen.fillStyle = "#0b101e";
        pen.fillRect(0, 0, across, across);
        pen.imageSmoothingEnabled = false;
        pen.drawImage(
            day,
            across / 2 - pixel[0] * scale,
            across / 2 - pixel[1] * scale,
            size[0] * scale,
            size[1] * scale,
        );
        const middle = across / 2;
        for (const [colour, width] of [
            ["rgba(10,14,26,.75)", 3],
            ["#ffe2bd", 1.2],
        ] as const) {
            pen.strokeStyle = colour;
            pen.lineWidth = width;
            pen.beginPath();
            for (const way of [-1, 1]) {
                pen.moveTo(middle + way * 4, middle);
                pen.lineTo(middle + way * 30, middle);
                pen.moveTo(middle, middle + way * 4);
                pen.lineTo(middle, middle + way * 30);
            }
            pen.stroke();
        }
    });
    const [x, y] = [sight.x(pixel[0]), sight.y(-pixel[1])];
    const is_above = y > across + 40;
    const left = Math.min(sight.width - across - 4, Math.max(4, x - across / 2));
    const top = is_above ? y - across - 30 : y + 30;
    return (
        <canvas
            class="magnifier"
            ref={canvas}
            aria-hidden="true"
            style={{ left: `${left}px`, top: `${top}px`, width: `${across}px`, height: `${across}px` }}
        />
    );
}
