// What is done to all that is picked at once: copied, mirrored, spaced, taken away.

import type { FixtureState } from "../engine.ts";
import { printLength, readAngle } from "./length.ts";
import { fixtureIn, lengthOf, pointOf, put, rounded, runLength, unit, wallSurface } from "./move.ts";
import { chosen, chosen_fixtures, fixtureKey, picked, states } from "./pick.ts";
import { change, site } from "./property.ts";
import { callIt, type Fixture, freeId, isSingle, type Site, type Thing, valueAt } from "./site.ts";

/** Takes the selection away, and what hangs on it: what stands at a wall or a tree, targets on it. */
export function takeAway(): void {
    const gone = chosen.value.filter(found => !isSingle(found));
    if (!gone.length) return;
    const names = gone.length === 1 ? callIt((gone[0] as { thing: Thing }).thing) : `${gone.length} things`;
    change(`Take away ${names}`, draft => {
        // From the end, so that places before it stay right.
        for (const found of [...gone].reverse()) {
            const list = valueAt(draft, found.place.slice(0, -1)) as Thing[] | undefined;
            const at = list?.findIndex(thing => thing.id === found.thing.id) ?? -1;
            if (list && at >= 0) list.splice(at, 1);
        }
        const outer = new Set(
            gone
                .filter(found => ["wall", "tree", "area", "shrub"].includes(found.schema))
                .map(found => found.thing.id),
        );
        const hangs = (thing: Thing) =>
            outer.has(thing.wall as string) ||
            outer.has(thing.tree as string) ||
            outer.has(String(thing.on).split(".")[0] as string);
        if (outer.size) {
            for (const list of [draft.fixtures, draft.targets, draft.roofs, draft.steps, draft.lanterns])
                if (list) list.splice(0, list.length, ...(list.filter(thing => !hangs(thing)) as never[]));
            for (const photo of draft.photos ?? []) {
                if (photo.marks) photo.marks = photo.marks.filter(mark => !outer.has(mark.wall ?? ""));
                if (photo.lengths)
                    photo.lengths = photo.lengths.filter(length => !outer.has(length.wall ?? ""));
                if (photo.masks) photo.masks = photo.masks.filter(mask => !outer.has(mask.plant ?? ""));
            }
        }
        const fixtures = new Set((draft.fixtures ?? []).map(fixture => fixture.id));
        if (!gone.some(found => found.schema === "fixture") && !outer.size) return;
        for (const run of draft.network?.runs ?? [])
            run.fixtures = (run.fixtures as string[]).filter(id => fixtures.has(id));
        if (draft.network?.runs) {
            draft.network.runs = draft.network.runs.filter(run => (run.fixtures as string[]).length > 0);
            if (!draft.network.runs.length) delete draft.network;
        }
        for (const variant of draft.variants ?? []) {
            const added = new Set(((variant.added as Thing[] | undefined) ?? []).map(thing => thing.id));
            const has = (id: string) => fixtures.has(id) || added.has(id);
            const changes = (variant.changes as { fixtures?: string[] }[] | undefined)
                ?.map(one => ({ ...one, fixtures: one.fixtures?.filter(has) }))
                .filter(one => one.fixtures?.length);
            if (changes?.length) variant.changes = changes;
            else delete variant.changes;
            if (variant.without) variant.without = (variant.without as string[]).filter(has);
        }
    });
    picked.value = [];
}

/** A copy of each fixture, a stride along its wall or to its right. */
export function copyFixtures(): void {
    const taken: string[] = [];
    const stride = unit() === "m" ? 1.5 : 5 * 0.3048;
    const copies = chosen_fixtures.value.map(({ thing }) => {
        const fixture = structuredClone(thing) as Fixture;
        fixture.id = freeId(site.value, thing.id.replace(/[-\d]+$/, "") || "F", taken);
        taken.push(fixture.id);
        const state = states.value.get(thing.id);
        if (fixture.wall && state?.along != null) {
            const end = runLength(wallSurface(fixture.wall)?.run ?? []);
            const along =
                state.along + stride <= end ? state.along + stride : Math.max(0, state.along - stride);
            fixture.along = printLength(rounded(along), unit());
        } else if (fixture.tree) fixture.bearing = ((readAngle(fixture.bearing) ?? 0) + 60) % 360;
        else if (state) fixture.at = pointOf([state.position[0] + stride, state.position[1]]);
        return fixture;
    });
    if (!copies.length) return;
    change(copies.length === 1 ? `Copy ${(copies[0] as Fixture).id}` : "Copy fixtures", draft => {
        for (const copy of copies) put(draft, ["fixtures"], copy);
        joinRuns(
            draft,
            copies.map(copy => copy.id),
            chosen_fixtures.peek().map(found => found.thing.id),
        );
    });
    picked.value = copies.map(copy => fixtureKey(copy.id));
}

// A copy is fed by the run of what it was copied from.
function joinRuns(draft: Site, ids: string[], models: string[]): void {
    ids.forEach((id, i) => {
        const run = draft.network?.runs?.find(one =>
            (one.fixtures as string[]).includes(models[i] as string),
        );
        if (run) (run.fixtures as string[]).push(id);
    });
}

/** Copies of the picked fixtures on the other side of the middle of their wall, or of the gable over them. */
export function mirrorFixtures(): void {
    const taken: string[] = [];
    const copies: Fixture[] = [];
    const models: string[] = [];
    for (const { thing } of chosen_fixtures.value) {
        const fixture = structuredClone(thing) as Fixture;
        const state = states.value.get(thing.id);
        if (!fixture.wall || state?.along == null) continue;
        const wall = site.value.walls?.find(candidate => candidate.id === fixture.wall);
        const gable = wall?.gables?.find(candidate => {
            const from = lengthOf(candidate.from);
            return (
                state.along !== null && state.along >= from && state.along <= from + lengthOf(candidate.width)
            );
        });
        const middle = gable
            ? lengthOf(gable.from) + lengthOf(gable.width) / 2
            : runLength(wallSurface(fixture.wall)?.run ?? []) / 2;
        const along = 2 * middle - state.along;
        if (Math.abs(along - state.along) < 0.1) continue;
        fixture.id = freeId(site.value, thing.id.replace(/[-\d]+$/, "") || "F", taken);
        taken.push(fixture.id);
        fixture.along = printLength(rounded(along), unit());
        if (typeof fixture.turn === "number") fixture.turn = -fixture.turn;
        copies.push(fixture);
        models.push(thing.id);
    }
    if (!copies.length) return;
    change("Mirror", draft => {
        for (const copy of copies) put(draft, ["fixtures"], copy);
        joinRuns(
            draft,
            copies.map(copy => copy.id),
            models,
        );
    });
    picked.value = copies.map(copy => fixtureKey(copy.id));
}

/** Fixtures at one wall at equal distances between the first and the last of them. */
export function spaceEvenly(): void {
    const at_wall = chosen_fixtures.value
        .map(({ thing }) => states.value.get(thing.id))
        .filter(
            (state): state is FixtureState =>
                state !== undefined && state.along !== null && state.wall !== "",
        )
        .sort((a, b) => (a.along as number) - (b.along as number));
    const first = at_wall[0];
    const last = at_wall.at(-1);
    if (!first || !last || at_wall.length < 3) return;
    const step = ((last.along as number) - (first.along as number)) / (at_wall.length - 1);
    change("Space evenly", draft => {
        at_wall.forEach((state, i) => {
            const fixture = fixtureIn(draft, state.id);
            if (fixture) fixture.along = printLength(rounded((first.along as number) + i * step), unit());
        });
    });
}
