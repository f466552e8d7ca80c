// Cable, transformers and hubs on the plan, with the volts at every lamp.

import { drag } from "./drag.ts";
import { load, scene } from "./light.ts";
import { pointOf, setValue, spotOf } from "./move.ts";
import { pick, picked, things } from "./pick.ts";
import { pathOf, sight } from "./plan_marks.tsx";
import { site } from "./property.ts";
import type { Sight } from "./sheet.tsx";
import { callIt, keyFor, type Thing } from "./site.ts";
import { tool } from "./tool.ts";

export function Cables({ view }: { view: Sight }) {
    const plan = scene.value?.plan;
    const figures = load.value?.figures;
    const runs = figures?.runs;
    return (
        <g class="cables">
            {runs
                ? runs.flatMap(run =>
                      run.cables.map((cable, index) => (
                          <path
                              key={`${run.id}${index}`}
                              class={`cable ${cable.part} ${run.is_good ? "" : "bad"}`}
                              d={pathOf(view, cable.course, false)}
                          />
                      )),
                  )
                : plan?.cables.map((cable, index) => (
                      <path
                          key={`${cable.run}${index}`}
                          class="cable"
                          d={pathOf(view, cable.course, false)}
                      />
                  ))}
            {(site.value.network?.transformers ?? []).map(transformer => (
                <TransformerMark key={transformer.id} view={view} thing={transformer} />
            ))}
            {plan?.hubs.map(hub => (
                <circle key={hub.id} class="hub" cx={view.x(hub.at[0])} cy={view.y(hub.at[1])} r={5} />
            ))}
            {withoutOverlap(
                (figures?.fixtures ?? []).filter(one => one.volts !== null),
                view,
            ).map(one => (
                <text
                    key={one.id}
                    class={`volts ${one.state}`}
                    x={view.x(one.at[0])}
                    y={view.y(one.at[1]) + 37}
                >
                    {`${(one.volts as number).toFixed(1)} V`}
                </text>
            ))}
        </g>
    );
}

// Labels one after the other, those left out that would lie on one before.
function withoutOverlap<Labelled extends { at: [number, number]; state: string }>(
    labels: Labelled[],
    view: Sight,
): Labelled[] {
    const kept: Labelled[] = [];
    const [wide, high] = [46, 13]; // pixels of "11.2 V"
    const urgent = [...labels].sort((a, b) => Number(a.state === "good") - Number(b.state === "good"));
    for (const label of urgent)
        if (
            kept.every(
                other =>
                    Math.abs(view.x(other.at[0]) - view.x(label.at[0])) > wide ||
                    Math.abs(view.y(other.at[1]) - view.y(label.at[1])) > high,
            )
        )
            kept.push(label);
    return kept;
}

function TransformerMark({ view, thing }: { view: Sight; thing: Thing }) {
    const at = spotOf(thing.at);
    const key = keyFor("transformer", thing.id);
    const found = things.value.get(key);
    return (
        <g
            class={`transformer ${picked.value.includes(key) ? "picked" : ""}`}
            transform={`translate(${view.x(at[0])} ${view.y(at[1])})`}
            tabindex={0}
            role="button"
            aria-label={`transformer ${callIt(thing)}`}
            onFocus={() => {
                if (!picked.value.includes(key)) pick(key);
            }}
            onPointerDown={event => {
                if (tool.value || event.button !== 0) return;
                drag(event, {
                    clicked: () => pick(key),
                    moved: end => {
                        const spot = sight.value?.spot(end);
                        if (spot && found)
                            setValue(`Move ${callIt(thing)}`, [...found.place, "at"], pointOf(spot));
                    },
                });
            }}
        >
            <circle class="touch" r={20} />
            <rect x={-9} y={-9} width={18} height={18} />
            <path d="M-9 9L9 -9" />
        </g>
    );
}
