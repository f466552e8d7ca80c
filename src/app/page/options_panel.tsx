// Options of the design: kept, worked on, and compared, two at a time, with the watts and price of each.

import { effect, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Comparison } from "../engine.ts";
import { beside, lookBeside } from "./beside.ts";
import { billOf } from "./bills.ts";
import { changed, engine, tellFault } from "./light.ts";
import { option } from "./options.ts";
import { pickNothing } from "./pick.ts";
import { change, is_client, site, site_text } from "./property.ts";
import { callIt, freeId } from "./site.ts";
import { Typed } from "./typed.tsx";
import { split } from "./walk_marks.tsx";

const letters = "ABCDEFGHIJ";

export function OptionsPanel() {
    const comparison = useSignal<Comparison | undefined>(undefined);
    const is_busy = useSignal(false);
    const variants = site.value.variants ?? [];
    const all = [
        { id: "", name: "As drawn" },
        ...variants.map(variant => ({ id: variant.id, name: callIt(variant) })),
    ];
    useEffect(
        () =>
            effect(() => {
                site_text.value;
                comparison.value = undefined;
            }),
        [],
    );
    const compare = async () => {
        const ready = engine.value;
        if (!ready || !variants.length) return;
        is_busy.value = true;
        try {
            comparison.value = await ready.compare();
        } catch (reason) {
            tellFault(reason);
        }
        is_busy.value = false;
    };
    const choose = (id: string) => {
        option.value = id;
        pickNothing();
    };
    const putBeside = (id: string) => {
        if (beside.value?.id === id) {
            beside.value = undefined;
            return;
        }
        split.value = 0.5;
        pickNothing(); // its figures would cover what is compared
        void lookBeside(id).catch(tellFault);
    };
    return (
        <>
            <h2>Options</h2>
            <p class="how">
                {is_client.value
                    ? "Look at one option, or at two with a slider between them."
                    : "Keep the design and try another beside it. What you do to the lights goes into the option being worked on."}
            </p>
            <ul class="options">
                {all.map((one, index) => {
                    const bill = billOf(one.id);
                    const is_now = option.value === one.id;
                    return (
                        <li key={one.id} class={is_now ? "now" : ""}>
                            <button
                                type="button"
                                class="option"
                                aria-pressed={is_now}
                                onClick={() => choose(one.id)}
                            >
                                <span class="letter">{letters[index] ?? index + 1}</span>
                                <span>
                                    {one.name}
                                    {bill && <small>{bill}</small>}
                                </span>
                            </button>
                            {!is_now && (
                                <button
                                    type="button"
                                    class="quiet"
                                    aria-pressed={beside.value?.id === one.id}
                                    onClick={() => putBeside(one.id)}
                                >
                                    {beside.value?.id === one.id
                                        ? beside.value.light
                                            ? "Take down"
                                            : "Coming …"
                                        : "Put beside"}
                                </button>
                            )}
                        </li>
                    );
                })}
            </ul>
            {!is_client.value && <OptionDeeds />}
            {variants.length > 0 && (
                <button type="button" class="deed" disabled={is_busy.value} onClick={compare}>
                    {is_busy.value ? "Comparing …" : "Compare all"}
                </button>
            )}
            {is_busy.value && (
                <button type="button" class="quiet" onClick={() => engine.value?.cancel()}>
                    Stop
                </button>
            )}
            {comparison.value && (
                <ul class="answers">
                    {comparison.value.verdict.map(text => (
                        <li key={text}>{text}</li>
                    ))}
                </ul>
            )}
        </>
    );
}

function OptionDeeds() {
    const now = site.value.variants?.findIndex(variant => variant.id === option.value) ?? -1;
    const variant = site.value.variants?.[now];
    return (
        <>
            {variant && (
                <Typed
                    label="Name"
                    value={callIt(variant)}
                    onTyped={text => {
                        if (!text) return "An option needs a name.";
                        change("Name an option", draft => {
                            const one = draft.variants?.[now];
                            if (one) one.name = text;
                        });
                        return undefined;
                    }}
                />
            )}
            <div class="deeds">
                <button
                    type="button"
                    disabled={!changed.value}
                    onClick={() => {
                        const id = freeId(site.value, "option");
                        const count = (site.value.variants ?? []).length;
                        change("Begin an option", draft => {
                            const from = draft.variants?.find(one => one.id === option.value);
                            draft.variants = [
                                ...(draft.variants ?? []),
                                {
                                    ...(from ? structuredClone(from) : {}),
                                    id,
                                    name: `Option ${letters[count + 1] ?? count + 2}`,
                                },
                            ];
                        });
                        option.value = id;
                    }}
                >
                    Begin an option from this
                </button>
                {variant && (
                    <button
                        type="button"
                        onClick={() => {
                            const id = option.value;
                            option.value = "";
                            change("Take an option away", draft => {
                                draft.variants = (draft.variants ?? []).filter(one => one.id !== id);
                            });
                        }}
                    >
                        Take it away
                    </button>
                )}
            </div>
        </>
    );
}
