// Options of the design: kept, worked on, and compared, two at a time, with the watts and price of each.

import { effect, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Bill, Comparison } from "../engine.ts";
import { beside, lookBeside } from "./beside.ts";
import { changed, engine, price_list, tellFault } from "./light.ts";
import { option } from "./options.ts";
import { pickNothing } from "./pick.ts";
import { change, in_hand, is_client, optionLit, site, site_text } from "./property.ts";
import { callIt, freeId } from "./site.ts";
import { Typed } from "./typed.tsx";
import { split } from "./walk_marks.tsx";

const letters = "ABCDEFGHIJ";

export function OptionsPanel() {
    const comparison = useSignal<Comparison | undefined>(undefined);
    const is_busy = useSignal(false);
    const bills = useSignal<Bill[]>([]);
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
    useEffect(
        () =>
            effect(() => {
                const now = changed.value;
                const prices = price_list.value;
                // While something is in hand its watts stand still.
                if (!now || in_hand.value) return;
                engine.value?.bills(prices).then(
                    found => {
                        if (changed.peek() === now) bills.value = found;
                    },
                    () => {
                        bills.value = []; // the load says what is wrong with the list
                    },
                );
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
                    const bill = bills.value.find(found => found.id === optionLit(one.id));
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
                                    {bill && <small>{printBill(bill)}</small>}
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
                                        : "Beside"}
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

function printBill(bill: Bill): string {
    if (!bill.price_words) return bill.watt_words;
    return `${bill.watt_words}, ${bill.price_words}${bill.is_price_whole ? "" : " and what has no price"}`;
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
