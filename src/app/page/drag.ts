// Dragging with mouse, pen or finger: one step of the document from press to release; Escape gives it up.

import { abandon, letGo, takeInHand } from "./property.ts";

const slack = 4; // pixels before a press becomes a drag

export interface Hand {
    moved(event: PointerEvent): void;
    clicked?(event: PointerEvent): void;
    ended?(): void;
    /** What of the last move is still on its way when the hand lets go: it belongs to the same step. */
    pending?(): Promise<unknown> | undefined;
    /** Moving about in a picture changes no document. */
    is_looking?: boolean;
}

export function drag(start: PointerEvent, hand: Hand): void {
    if (start.button !== 0 && !hand.is_looking) return;
    start.stopPropagation();
    let is_drag = false;
    let waiting: PointerEvent | undefined;
    let frame = 0;
    const step = () => {
        frame = 0;
        if (waiting) hand.moved(waiting);
        waiting = undefined;
    };
    const move = (event: PointerEvent) => {
        if (event.pointerId !== start.pointerId) return;
        if (!is_drag) {
            if (Math.hypot(event.clientX - start.clientX, event.clientY - start.clientY) < slack) return;
            is_drag = true;
            if (!hand.is_looking) takeInHand();
        }
        event.preventDefault();
        waiting = event;
        if (!frame) frame = requestAnimationFrame(step);
    };
    const stop = () => {
        cancelAnimationFrame(frame);
        removeEventListener("pointermove", move);
        removeEventListener("pointerup", end);
        removeEventListener("pointercancel", cancel);
        removeEventListener("keydown", key, true);
    };
    const end = (event: PointerEvent) => {
        if (event.pointerId !== start.pointerId) return;
        stop();
        if (!is_drag) hand.clicked?.(event);
        else if (waiting) hand.moved(waiting);
        const done = () => {
            if (is_drag && !hand.is_looking) letGo();
            if (is_drag) hand.ended?.();
        };
        const pending = is_drag ? hand.pending?.() : undefined;
        if (pending) void pending.then(done, done);
        else done();
    };
    const cancel = () => {
        stop();
        if (is_drag && !hand.is_looking) abandon();
    };
    const key = (event: KeyboardEvent) => {
        if (event.key !== "Escape") return;
        event.stopPropagation();
        cancel();
    };
    addEventListener("pointermove", move);
    addEventListener("pointerup", end);
    addEventListener("pointercancel", cancel);
    addEventListener("keydown", key, true);
}
