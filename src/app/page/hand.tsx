// The figures at the hand: beside the fixture that is picked, readable while it moves and typed at rest.

import { useSignal } from "@preact/signals";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import type { FixtureState, LampChoice, Step } from "../engine.ts";
import { printLength, readAngle, readLength } from "./length.ts";
import { engine, tellFault } from "./light.ts";
import { lean, unit } from "./move.ts";
import { nowCalled } from "./options.ts";
import { chosen_fixtures, picked, things } from "./pick.ts";
import { change } from "./property.ts";
import { copyFixtures, mirrorFixtures, spaceEvenly, takeAway } from "./several.ts";
import type { Thing } from "./site.ts";
import { Typed } from "./typed.tsx";

interface HandProps {
    state: FixtureState;
    x: number;
    y: number;
    width: number;
    height: number;
    is_moving: boolean;
    /** Where the drawing ends at the left and at the right: beside it nothing is covered. */
    free?: { left: number; right: number };
    /** Where fixtures stand, which should not be covered. */
    marks?: [number, number][];
}

const card_width = 244;

export function Hand({ state, x, y, width, height, is_moving, free, marks = [] }: HandProps) {
    const beside = [
        { left: free ? free.right + 8 : width, room: width - (free?.right ?? width) - 14 },
        { left: 6, room: (free?.left ?? 0) - 8 },
    ].find(side => side.room >= card_width);
    const card = useRef<HTMLElement>(null);
    const tall = useSignal(216);
    useLayoutEffect(() => {
        tall.value = card.current?.offsetHeight ?? tall.value;
    });
    const within = (at: number, room: number) => Math.max(8, Math.min(at, room - 8));
    const places = [
        [x + 34, y - tall.value + 40],
        [x - card_width - 34, y - tall.value + 40],
        [x - card_width / 2, y + 56],
        [x - card_width / 2, y - tall.value - 34],
    ].map(([at_x = 0, at_y = 0]) => ({
        left: beside?.left ?? within(at_x, width - card_width),
        top: within(at_y, height - tall.value),
    }));
    const covered = (place: { left: number; top: number }) =>
        [...marks, [x, y] as const].filter(
            ([at_x, at_y]) =>
                Math.abs(at_x - place.left - card_width / 2) < card_width / 2 + 20 &&
                Math.abs(at_y - place.top - tall.value / 2) < tall.value / 2 + 24,
        ).length;
    const [first, ...others] = places as [{ left: number; top: number }, ...typeof places];
    const { left, top } = beside
        ? first
        : others.reduce((best, next) => (covered(next) < covered(best) ? next : best), first);
    return (
        <section
            ref={card}
            class={`hand ${is_moving ? "moving" : ""}`}
            aria-label={`Fixture ${state.id}`}
            style={{ left: `${left}px`, top: `${top}px`, width: `${card_width}px` }}
            onPointerDown={event => event.stopPropagation()}
        >
            <FixtureFigures state={state} />
        </section>
    );
}

const length_hint = "That is no length: write “15 in”, “5 ft 6 in” or “0.4 m”.";

export function setFixture(id: string, words: string, keys: Record<string, unknown>): void {
    change(words, draft => {
        const fixture = draft.fixtures?.find(one => one.id === nowCalled(id));
        if (!fixture) return;
        for (const [key, value] of Object.entries(keys))
            if (value === undefined) delete fixture[key];
            else fixture[key] = value;
    });
}

function LengthField({
    state,
    name,
    label,
}: {
    state: FixtureState;
    name: "setback" | "along";
    label: string;
}) {
    const metres = state[name];
    if (metres === null) return null;
    const step = unit() === "m" ? 0.01 : 0.0254;
    const put = (value: number) =>
        setFixture(state.id, `Move ${state.id}`, { [name]: printLength(Math.max(0, value), unit()) });
    return (
        <Typed
            label={label}
            value={printLength(metres, unit())}
            onTyped={text => {
                const typed = readLength(
                    /^[\d.]+$/.test(text) && name === "setback" && unit() === "ft" ? `${text} in` : text,
                    unit(),
                );
                if (typed === undefined) return length_hint;
                if (typed < 0) return "Not less than nothing.";
                put(typed);
                return undefined;
            }}
            onStep={(way, is_big) => put(metres + way * step * (is_big ? 12 : 1))}
        />
    );
}

/** Everything a fixture's place and light are changed by; short at the hand, whole in the bench. */
export function FixtureFigures({ state }: { state: FixtureState }) {
    const degrees = (state.tilt * 180) / Math.PI;
    const many = chosen_fixtures.value.length;
    return (
        <>
            <header>
                <strong>{many > 1 ? `${many} fixtures` : state.id}</strong>
                <span class="say" aria-live="polite">
                    {state.words}
                </span>
            </header>
            {state.advice.map(words => (
                <p class="advice" key={words}>
                    {words}
                </p>
            ))}
            <div class="figures">
                <LengthField state={state} name="setback" label="Back" />
                <Typed
                    label="Tilt"
                    value={`${Number(degrees.toFixed(1))}°`}
                    onTyped={text => {
                        const typed = readAngle(text);
                        if (typed === undefined || typed < 0 || typed > 180)
                            return "Degrees from straight up, 0 to 180.";
                        for (const { thing } of chosen_fixtures.value) lean(thing.id, typed);
                        return undefined;
                    }}
                    onStep={(way, is_big) => lean(state.id, degrees + way * (is_big ? 5 : 1))}
                />
                <LengthField state={state} name="along" label="Along" />
            </div>
            <Brightness state={state} />
        </>
    );
}

/** What can be done with the picked fixtures as a whole. */
export function FixtureDeeds({ state }: { state: FixtureState }) {
    const many = chosen_fixtures.value.length;
    return (
        <>
            <button type="button" onClick={copyFixtures}>
                Copy
            </button>
            {state.wall !== "" && (
                <button type="button" onClick={mirrorFixtures}>
                    Mirror
                </button>
            )}
            {many > 2 && (
                <button type="button" onClick={spaceEvenly}>
                    Space evenly
                </button>
            )}
            {many < 3 && state.wall !== "" && (
                <button type="button" onClick={() => pickAtWall(state)}>
                    Pick all at this wall
                </button>
            )}
            <button type="button" onClick={takeAway}>
                Take away
            </button>
        </>
    );
}

function pickAtWall(state: FixtureState): void {
    picked.value = [...things.value]
        .filter(([, found]) => found.schema === "fixture" && found.thing.wall === state.wall)
        .map(([key]) => key);
}

function Brightness({ state }: { state: FixtureState }) {
    const lamps = useSignal<LampChoice[]>([]);
    const said = useSignal("");
    const ways = useSignal<{ up: Step; down: Step } | undefined>(undefined);
    useEffect(() => {
        let is_current = true;
        engine.value?.lamps(state.id).then(
            found => {
                if (is_current) lamps.value = found;
            },
            () => undefined,
        );
        return () => {
            is_current = false;
        };
    }, [state.id, state.model, engine.value]);
    useEffect(() => {
        let is_current = true;
        const ready = engine.value;
        if (!ready) return;
        Promise.all([ready.step(state.id, "up"), ready.step(state.id, "down")]).then(
            ([up, down]) => {
                if (is_current) ways.value = { up, down };
            },
            () => undefined,
        );
        return () => {
            is_current = false;
        };
    }, [state.id, state.lamp, state.dimming, engine.value]);
    const step = async (way: "up" | "down") => {
        const ready = engine.value;
        if (!ready) return;
        try {
            const steps: [Thing, Step][] = await Promise.all(
                chosen_fixtures.value.map(
                    async ({ thing }) => [thing, await ready.step(thing.id, way)] as [Thing, Step],
                ),
            );
            const found = steps.filter(([, one]) => one.set);
            said.value = (found[0] ?? steps[0])?.[1].words ?? "";
            if (!found.length) return;
            change(way === "up" ? "Brighter" : "Dimmer", draft => {
                for (const [thing, one] of found) {
                    const fixture = draft.fixtures?.find(candidate => candidate.id === nowCalled(thing.id));
                    if (fixture) Object.assign(fixture, one.set);
                }
            });
        } catch (reason) {
            tellFault(reason);
        }
    };
    return (
        <>
            <div class="brightness">
                <button
                    type="button"
                    class="deed"
                    disabled={!ways.value?.down.set}
                    title={ways.value?.down.words ?? ""}
                    onClick={() => step("down")}
                >
                    Too bright
                </button>
                <button
                    type="button"
                    class="deed"
                    disabled={!ways.value?.up.set}
                    title={ways.value?.up.words ?? ""}
                    onClick={() => step("up")}
                >
                    Too dim
                </button>
            </div>
            <label class="lamp">
                <span class="unseen">Lamp</span>
                <select
                    value={state.lamp}
                    onChange={event => {
                        const lamp = (event.target as HTMLSelectElement).value;
                        change("Change the lamp", draft => {
                            const ids = chosen_fixtures.value.map(found => nowCalled(found.thing.id));
                            for (const fixture of draft.fixtures ?? [])
                                if (ids.includes(fixture.id)) fixture.lamp = lamp;
                        });
                    }}
                >
                    {!lamps.value.some(lamp => lamp.id === state.lamp) && (
                        <option value={state.lamp}>{state.lamp_name || state.lamp}</option>
                    )}
                    {lamps.value.map(lamp => (
                        <option key={lamp.id} value={lamp.id}>
                            {lamp.name || lamp.id}
                        </option>
                    ))}
                </select>
            </label>

            <p class="lamp-words" aria-live="polite">
                {lampWords(state)}
                {said.value}
            </p>
        </>
    );
}

/** What the choice of lamps above does not say already. */
function lampWords({ lamp_words, lamp_name, dimming }: FixtureState): string {
    const words = lamp_words === lamp_name ? [] : [lamp_words];
    if (dimming < 1) words.push(`dimmed to ${Math.round(dimming * 100)} %`);
    return words.length ? `${words.join(", ")}. ` : "";
}
