// Options of a design: the site's variants. While one is worked on, what is done to fixtures goes into it, as the
// difference from the design as drawn; everything else goes into the site itself.

import { signal } from "@preact/signals";
import type { Fixture, Site, Variant } from "./site.ts";

/** Id of the option being worked on; "" is the design as drawn. */
export const option = signal("");

// What a hand holds may get a new id while it is moved: from the old to the new.
const renamed = new Map<string, string>();

/** The fixture that this one has become in the option being worked on. */
export function nowCalled(id: string): string {
    return (option.peek() && renamed.get(id)) || id;
}

type Change = { fixtures: string[]; [key: string]: unknown };

/** The fixtures of an option. */
export function fixturesOf(site: Site, id: string): Fixture[] {
    const variant = site.variants?.find(candidate => candidate.id === id);
    const drawn = site.fixtures ?? [];
    if (!variant) return drawn;
    const without = new Set((variant.without as string[] | undefined) ?? []);
    const fixtures = [...drawn, ...((variant.added as Fixture[] | undefined) ?? [])]
        .filter(fixture => !without.has(fixture.id))
        .map(fixture => ({ ...fixture }));
    for (const change of (variant.changes as Change[] | undefined) ?? []) {
        const { fixtures: ids, ...keys } = change;
        for (const fixture of fixtures)
            if (!ids || ids.includes(fixture.id)) {
                if ("azimuth" in keys) delete fixture.turn;
                if ("turn" in keys) delete fixture.azimuth;
                Object.assign(fixture, keys);
            }
    }
    return fixtures;
}

// Keys that a variant can change in a fixture of the site; a fixture that differs in others is put in anew.
const changeable = new Set([
    "lamp",
    "setback",
    "tilt",
    "azimuth",
    "turn",
    "along",
    "bearing",
    "beam",
    "lens_height",
    "dimming",
    "spacing",
]);

/** Whether nothing in an option differs from the design as drawn. */
export function isIdle(variant: Variant): boolean {
    return !["changes", "added", "without", "season", "years_on"].some(key => variant[key] !== undefined);
}

/** The same option with these fixtures. */
export function expressOption(drawn: Fixture[], variant: Variant, fixtures: Fixture[]): Variant {
    const added: Fixture[] = [];
    const without: string[] = [];
    const changes: Change[] = [];
    const base = new Map(drawn.map(fixture => [fixture.id, fixture]));
    const kept = new Set(fixtures.map(fixture => fixture.id));
    for (const fixture of drawn) if (!kept.has(fixture.id)) without.push(fixture.id);
    for (const fixture of fixtures) {
        const before = base.get(fixture.id);
        if (!before) {
            added.push(fixture);
            continue;
        }
        const keys = [...new Set([...Object.keys(before), ...Object.keys(fixture)])].filter(
            key => JSON.stringify(before[key]) !== JSON.stringify(fixture[key]),
        );
        if (keys.length === 0) continue;
        if (
            keys.every(
                key =>
                    changeable.has(key) &&
                    (fixture[key] !== undefined || key === "turn" || key === "azimuth"),
            )
        ) {
            const change: Change = { fixtures: [fixture.id] };
            for (const key of keys) if (fixture[key] !== undefined) change[key] = fixture[key];
            changes.push(change);
        } else {
            const id = freeOptionId(fixture.id, kept, base);
            renamed.set(fixture.id, id);
            without.push(fixture.id);
            added.push({ ...fixture, id });
        }
    }
    const { added: _a, changes: _c, without: _w, ...rest } = variant;
    const result: Variant = { ...(rest as Variant) };
    if (added.length) result.added = added;
    if (changes.length) result.changes = changes;
    if (without.length) result.without = without;
    return result;
}

function freeOptionId(id: string, kept: Set<string>, base: Map<string, unknown>): string {
    for (let number = 2; ; number++) {
        const candidate = `${id}-${number}`;
        if (!kept.has(candidate) && !base.has(candidate)) return candidate;
    }
}
