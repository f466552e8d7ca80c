// Studies of the fixture in hand: a curve that can be clicked, the search for a better design, how sure it all is.

import { effect, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Suggestions, Sweep, Tolerance } from "../engine.ts";
import { Busy, useWork } from "./busy.tsx";
import { openSuggested } from "./files.ts";
import { setFixture } from "./hand.tsx";
import { engine } from "./light.ts";
import { chosen_fixtures, states } from "./pick.ts";
import { site, site_text } from "./property.ts";
import { callId } from "./words.ts";

type Knob = "tilt" | "setback" | "along";
const knob_words: Record<Knob, string> = {
    tilt: "Tilt",
    setback: "Distance from the wall",
    along: "Along the wall",
};

export function Studies({ id }: { id: string }) {
    const sweep = useSignal<Sweep | undefined>(undefined);
    const suggestions = useSignal<Suggestions | undefined>(undefined);
    const tolerance = useSignal<Tolerance | undefined>(undefined);
    const { words: busy, run } = useWork();
    useEffect(
        () =>
            effect(() => {
                site_text.value;
                sweep.value = undefined;
                tolerance.value = undefined;
            }),
        [],
    );
    useEffect(() => {
        suggestions.value = undefined;
    }, [id]);
    const state = states.value.get(id);
    if (!state) return null;
    const ids = chosen_fixtures.value.map(found => found.thing.id);
    const is_metric = site.value.units === "m";
    const vary: Record<Knob, string> = {
        tilt: "tilt=0..30:1",
        setback: is_metric ? "setback=0.2m..1m:0.05m" : "setback=6in..36in:2in",
        along: "",
    };
    const along = state.along;
    if (along !== null) {
        const [from, to] = [Math.max(0, along - 1.2), along + 1.2].map(metres =>
            is_metric ? `${metres.toFixed(2)}m` : `${(metres / 0.0254).toFixed(0)}in`,
        );
        vary.along = `along=${from}..${to}:${is_metric ? "0.1m" : "4in"}`;
    }
    const knobs = (Object.keys(vary) as Knob[]).filter(knob => vary[knob] && (knob === "tilt" || state.wall));
    return (
        <section class="studies">
            <h3>What if?</h3>
            <div class="deeds">
                {knobs.map(knob => (
                    <button
                        key={knob}
                        type="button"
                        disabled={busy.value !== ""}
                        onClick={() =>
                            run(knob_words[knob], async () => {
                                sweep.value = await engine.value?.sweep({ fixtures: ids, vary: vary[knob] });
                            })
                        }
                    >
                        {knob_words[knob]}
                    </button>
                ))}
                <button
                    type="button"
                    disabled={busy.value !== ""}
                    onClick={() =>
                        run("Looking for the best", async () => {
                            suggestions.value = await engine.value?.suggest({
                                fixtures: ids,
                                vary: state.wall
                                    ? ["tilt=0..20", is_metric ? "setback=0.3m..0.6m" : "setback=12in..24in"]
                                    : ["tilt=0..30"],
                                lamps: (site.value.lamps ?? []).map(lamp => lamp.id).slice(0, 6),
                                least: ids.length,
                                most: ids.length + 1,
                            });
                        })
                    }
                >
                    Find the best
                </button>
                <button
                    type="button"
                    disabled={busy.value !== ""}
                    onClick={() =>
                        run("How sure is it", async () => {
                            tolerance.value = await engine.value?.tolerance();
                        })
                    }
                >
                    How sure is it?
                </button>
            </div>
            <Busy words={busy} />
            {sweep.value && <SweepCurves sweep={sweep.value} ids={ids} />}
            {suggestions.value && <Designs suggestions={suggestions.value} />}
            {tolerance.value && <Bars tolerance={tolerance.value} id={id} />}
        </section>
    );
}

const chart = { width: 300, height: 92, left: 8, right: 8, top: 10, bottom: 8 };

function SweepCurves({ sweep, ids }: { sweep: Sweep; ids: string[] }) {
    const take = (index: number) => {
        for (const id of ids) setFixture(id, `Set ${sweep.knob}`, sweep.sets[index] ?? {});
    };
    const curves = sweep.curves.filter(curve => curve.values.some(value => value !== null)).slice(0, 3);
    return (
        <>
            {curves.map(curve => {
                const values = curve.values.map(value => value ?? Number.NaN);
                const known = values.filter(value => !Number.isNaN(value));
                const low = Math.min(...known);
                const high = Math.max(...known);
                const count = values.length;
                const x = (index: number) =>
                    chart.left + ((chart.width - chart.left - chart.right) * index) / Math.max(1, count - 1);
                const y = (value: number) =>
                    chart.height -
                    chart.bottom -
                    ((chart.height - chart.top - chart.bottom) * (value - low)) / Math.max(1e-9, high - low);
                return (
                    <figure key={curve.quantity} class="curve">
                        <figcaption>{curve.title}</figcaption>
                        <svg
                            viewBox={`0 0 ${chart.width} ${chart.height}`}
                            role="group"
                            aria-label={curve.title}
                        >
                            <path
                                class="line"
                                d={values
                                    .map((value, i) =>
                                        Number.isNaN(value)
                                            ? ""
                                            : `${i && !Number.isNaN(values[i - 1] as number) ? "L" : "M"}${x(i).toFixed(1)} ${y(value).toFixed(1)}`,
                                    )
                                    .join("")}
                            />
                            {curve.best !== null && (
                                <line
                                    class="drawn"
                                    x1={x(curve.best)}
                                    x2={x(curve.best)}
                                    y1={0}
                                    y2={chart.height}
                                />
                            )}
                            {values.map((value, index) =>
                                Number.isNaN(value) ? null : (
                                    <g
                                        key={sweep.labels[index]}
                                        class="dot"
                                        role="button"
                                        tabindex={0}
                                        aria-label={`${sweep.labels[index]}: ${curve.words[index] ?? ""}`}
                                        onClick={() => take(index)}
                                        onKeyDown={event => {
                                            if (event.key === "Enter" || event.key === " ") take(index);
                                        }}
                                    >
                                        <title>{`${sweep.labels[index]}: ${curve.words[index] ?? ""}`}</title>
                                        <rect x={x(index) - 5} y={0} width={10} height={chart.height} />
                                        <circle cx={x(index)} cy={y(value)} r={3} />
                                    </g>
                                ),
                            )}
                        </svg>
                        <div class="ends">
                            <span>{sweep.labels[0]}</span>
                            <span>{sweep.labels.at(-1)}</span>
                        </div>
                    </figure>
                );
            })}
            <ul class="answers">
                {sweep.findings.map(text => (
                    <li key={text}>{text}</li>
                ))}
            </ul>
        </>
    );
}

function Designs({ suggestions }: { suggestions: Suggestions }) {
    return (
        <>
            <ul class="answers">
                {suggestions.sentences.slice(0, 4).map(text => (
                    <li key={text}>{text}</li>
                ))}
            </ul>
            <ol class="designs">
                {suggestions.designs.slice(0, 4).map(design => (
                    <li key={design.words} class={design.is_best ? "best" : ""}>
                        <span>{design.words}</span>
                        <button type="button" onClick={() => openSuggested(design.text)}>
                            Take it
                        </button>
                    </li>
                ))}
            </ol>
        </>
    );
}

function Bars({ tolerance, id }: { tolerance: Tolerance; id: string }) {
    const bars = [
        ...tolerance.bars.filter(bar => bar.target === id),
        ...tolerance.bars.filter(bar => bar.target !== id),
    ].slice(0, 6);
    return (
        <>
            {bars.map(bar => {
                const most = Math.max(bar.high, 1e-9) * 1.1;
                return (
                    <figure class="bar" key={`${bar.target} ${bar.title}`}>
                        <figcaption>
                            {bar.target ? `${callId(bar.target)}: ${bar.title}` : bar.title}
                        </figcaption>
                        <svg viewBox="0 0 300 16" aria-hidden="true">
                            <line x1={0} x2={300} y1={8} y2={8} />
                            <rect
                                x={(300 * bar.low) / most}
                                y={3}
                                width={Math.max(2, (300 * (bar.high - bar.low)) / most)}
                                height={10}
                                rx={3}
                            />
                            <line
                                class="middle"
                                x1={(300 * bar.middle) / most}
                                x2={(300 * bar.middle) / most}
                                y1={0}
                                y2={16}
                            />
                        </svg>
                        <span>{bar.words}</span>
                    </figure>
                );
            })}
            <p class="dim">Eight in ten installations stay within the bars.</p>
        </>
    );
}
