// A sheet of paper in the window: metres right and up, fitted to what is drawn on it, moved and enlarged by hand.

import { type Signal, signal, useComputed, useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { drag } from "./drag.ts";
import { pickNothing } from "./pick.ts";

export interface Extent {
    left: number;
    right: number;
    bottom: number;
    top: number;
}

/** Where metres lie in the window's pane. */
export interface Sight {
    width: number;
    height: number;
    scale: number; // pixels a metre
    x(east: number): number;
    y(up: number): number;
    spot(event: { clientX: number; clientY: number }): [number, number];
}

interface SheetProps {
    extent: Extent;
    label: string;
    class?: string;
    margin?: { left: number; right: number; top: number; bottom: number };
    sight: Signal<Sight | undefined>;
    /** A press on bare paper; true: taken, so that the sheet does not move. */
    onPress?(event: PointerEvent, spot: [number, number]): boolean;
    onMove?(event: PointerEvent, spot: [number, number]): void;
    under?: ComponentChildren;
    children: ComponentChildren;
    overlay?: ComponentChildren;
}

const pans: Record<string, [number, number]> = {
    ArrowLeft: [60, 0],
    ArrowRight: [-60, 0],
    ArrowUp: [0, 60],
    ArrowDown: [0, -60],
};

export function makeSight(): Signal<Sight | undefined> {
    return signal<Sight | undefined>(undefined);
}

export function Sheet(props: SheetProps) {
    const host = useRef<HTMLDivElement>(null);
    const size = useSignal({ width: 0, height: 0, left: 0, top: 0 });
    const moved = useSignal({ zoom: 1, x: 0, y: 0 });
    const { extent } = props;
    const margin = props.margin ?? { left: 40, right: 24, top: 24, bottom: 40 };
    useEffect(() => {
        const node = host.current as HTMLDivElement;
        const measure = () => {
            const box = node.getBoundingClientRect();
            size.value = { width: box.width, height: box.height, left: box.left, top: box.top };
        };
        const watcher = new ResizeObserver(measure);
        watcher.observe(node);
        measure();
        return () => watcher.disconnect();
    }, []);
    const wide = Math.max(0.5, extent.right - extent.left);
    const high = Math.max(0.5, extent.top - extent.bottom);
    const sight = useMemo(() => {
        const { width, height } = size.value;
        if (!width || !height) return undefined;
        const room_x = Math.max(50, width - margin.left - margin.right);
        const room_y = Math.max(50, height - margin.top - margin.bottom);
        const fit = Math.min(room_x / wide, room_y / high);
        const { zoom, x, y } = moved.value;
        const scale = fit * zoom;
        const middle_x = margin.left + room_x / 2 + x;
        const middle_y = margin.top + room_y / 2 + y;
        const east = (extent.left + extent.right) / 2;
        const up = (extent.bottom + extent.top) / 2;
        const made: Sight = {
            width,
            height,
            scale,
            x: value => middle_x + (value - east) * scale,
            y: value => middle_y - (value - up) * scale,
            spot: event => {
                const box = (host.current as HTMLDivElement).getBoundingClientRect();
                return [
                    (event.clientX - box.left - middle_x) / scale + east,
                    up - (event.clientY - box.top - middle_y) / scale,
                ];
            },
        };
        return made;
    }, [
        size.value,
        moved.value,
        margin.right,
        margin.bottom,
        extent.left,
        extent.right,
        extent.bottom,
        extent.top,
    ]);
    useEffect(() => {
        props.sight.value = sight;
    }, [sight]);

    const zoomAt = (x: number, y: number, factor: number) => {
        const { zoom, x: mx, y: my } = moved.value;
        const next = Math.min(12, Math.max(0.4, zoom * factor));
        const real = next / zoom;
        const box = (host.current as HTMLDivElement).getBoundingClientRect();
        const cx = x - box.left - (margin.left + (box.width - margin.left - margin.right) / 2);
        const cy = y - box.top - (margin.top + (box.height - margin.top - margin.bottom) / 2);
        moved.value = { zoom: next, x: cx - (cx - mx) * real, y: cy - (cy - my) * real };
    };
    useEffect(() => {
        const node = host.current as HTMLDivElement;
        const wheel = (event: WheelEvent) => {
            event.preventDefault();
            zoomAt(event.clientX, event.clientY, Math.exp(-event.deltaY * 0.0015));
        };
        node.addEventListener("wheel", wheel, { passive: false });
        return () => node.removeEventListener("wheel", wheel);
    }, []);

    const fingers = useRef(new Map<number, { x: number; y: number }>());
    const press = (event: PointerEvent) => {
        fingers.current.set(event.pointerId, { x: event.clientX, y: event.clientY });
        if (fingers.current.size === 2) return;
        if (sight && props.onPress?.(event, sight.spot(event))) return;
        const start = { ...moved.value };
        drag(event, {
            is_looking: true,
            moved: now => {
                if (fingers.current.size > 1) return;
                moved.value = {
                    ...moved.value,
                    x: start.x + now.clientX - event.clientX,
                    y: start.y + now.clientY - event.clientY,
                };
            },
            clicked: () => pickNothing(),
        });
    };
    const move = (event: PointerEvent) => {
        if (fingers.current.has(event.pointerId) && fingers.current.size === 2) {
            const before = [...fingers.current.values()];
            fingers.current.set(event.pointerId, { x: event.clientX, y: event.clientY });
            const [a0, b0] = before as [{ x: number; y: number }, { x: number; y: number }];
            const [a1, b1] = [...fingers.current.values()] as [
                { x: number; y: number },
                { x: number; y: number },
            ];
            const spread =
                Math.hypot(a1.x - b1.x, a1.y - b1.y) / Math.max(1, Math.hypot(a0.x - b0.x, a0.y - b0.y));
            zoomAt((a1.x + b1.x) / 2, (a1.y + b1.y) / 2, spread);
            moved.value = {
                ...moved.value,
                x: moved.value.x + (a1.x + b1.x - a0.x - b0.x) / 2,
                y: moved.value.y + (a1.y + b1.y - a0.y - b0.y) / 2,
            };
        } else if (sight) props.onMove?.(event, sight.spot(event));
    };
    // Nearer, further off, all of it; and past the edge with Ctrl and an arrow.
    const onKey = (event: KeyboardEvent) => {
        const box = (host.current as HTMLDivElement).getBoundingClientRect();
        const middle = [box.left + box.width / 2, box.top + box.height / 2] as const;
        const pan = event.ctrlKey && pans[event.key];
        if (event.key === "+" || event.key === "=") zoomAt(...middle, 1.25);
        else if (event.key === "-") zoomAt(...middle, 0.8);
        else if (event.key === "0") moved.value = { zoom: 1, x: 0, y: 0 };
        else if (pan) moved.value = { ...moved.value, x: moved.value.x + pan[0], y: moved.value.y + pan[1] };
        else return;
        event.preventDefault();
        event.stopPropagation();
    };
    const lift = (event: PointerEvent) => fingers.current.delete(event.pointerId);
    const is_moved = useComputed(() => moved.value.zoom !== 1 || moved.value.x !== 0 || moved.value.y !== 0);
    return (
        <div
            class={`sheet ${props.class ?? ""}`}
            ref={host}
            onPointerDown={press}
            onPointerMove={move}
            onPointerUp={lift}
            onPointerCancel={lift}
            onPointerLeave={lift}
            onKeyDown={onKey}
        >
            {sight && (
                <>
                    {props.under}
                    <svg
                        class="ink"
                        width={sight.width}
                        height={sight.height}
                        viewBox={`0 0 ${sight.width} ${sight.height}`}
                        role="group"
                        aria-label={props.label}
                    >
                        {props.children}
                    </svg>
                    {props.overlay}
                </>
            )}
            {is_moved.value && (
                <button
                    type="button"
                    class="chip fit"
                    onPointerDown={event => event.stopPropagation()}
                    onClick={() => {
                        moved.value = { zoom: 1, x: 0, y: 0 };
                    }}
                >
                    Show all
                </button>
            )}
        </div>
    );
}
