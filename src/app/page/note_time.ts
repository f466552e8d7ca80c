// Moments that tools/bench --web measures between, in the browser's own record of times.

type Moment =
    | "engine"
    | "change"
    | "direct"
    | "whole"
    | "drawn"
    | "quick night"
    | "quick night drawn"
    | "glance"
    | "glance drawn"
    | "night"
    | "night drawn";

/** Notes that something has just been done; only the last of each is kept. */
export function noteTime(moment: Moment, detail?: number): void {
    const name = `duskcast ${moment}`;
    performance.clearMarks(name);
    performance.mark(name, { detail });
}
