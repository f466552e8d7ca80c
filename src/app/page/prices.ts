// What the design needs and what it costs, line by line, and the prices that are typed. The engine writes them into
// the price list and adds them up.

import { effect, signal } from "@preact/signals";
import type { HeldList, PriceLine, Prices, PriceTyped } from "../engine.ts";
import { panel } from "./bench.tsx";
import { changed, engine, tellFault } from "./light.ts";
import { changePrices, companions, in_hand, type PriceFile, price_file, textOfList } from "./property.ts";

export const prices = signal<Prices | undefined>();

function textOf(list: PriceFile | undefined): HeldList {
    if (list) return textOfList(list);
    for (let number = 1; ; number++) {
        const file = number === 1 ? "prices.csv" : `prices-${number}.csv`;
        if (!companions.peek().has(file)) return { file };
    }
}

/** While prices are looked at they follow the design and the list. */
export function followPrices(): void {
    effect(() => {
        const now = changed.value;
        const list = price_file.value;
        if (panel.value !== "load" || !now || in_hand.value) return;
        engine.value?.prices(textOf(list)).then(found => {
            if (changed.peek() === now && price_file.peek() === list) prices.value = found;
        }, tellFault);
    });
}

let writing: Promise<unknown> = Promise.resolve();

/** Puts what was typed into the price list, as one step; a sentence comes back where it will not do. */
export function typePrices(words: string, typed: PriceTyped[]): Promise<string | undefined> {
    // One after the other: each goes into the list that the one before has left.
    const written = writing.then(() => write(words, typed));
    writing = written.catch(() => undefined);
    return written;
}

async function write(words: string, typed: PriceTyped[]): Promise<string | undefined> {
    const ready = engine.peek();
    if (!ready) return "The engine is not ready yet: try again.";
    try {
        const list = textOf(price_file.peek());
        const answer = await ready.writePrices(list, typed);
        if (answer.complaint) return answer.complaint;
        if (answer.text === list.text) return undefined; // typed once more, as when Enter is followed by Tab
        changePrices(words, { name: answer.file, bytes: new TextEncoder().encode(answer.text) });
    } catch (reason) {
        tellFault(reason);
    }
    return undefined;
}

/** A figure for a line. */
export function priceTyped(line: PriceLine, field: PriceTyped["field"], value: string): PriceTyped {
    const { kind, id, unit, words } = line;
    return { kind, id, unit, words, field, value };
}
