// What every option takes and costs, kept up with what is changed.

import { computed, effect, signal } from "@preact/signals";
import type { Bill } from "../engine.ts";
import { changed, engine } from "./light.ts";
import { in_hand, optionLit, price_file, site, textOfList } from "./property.ts";

const bills = signal<Bill[]>([]);
const words = computed(() => new Map(bills.value.map(bill => [bill.id, printBill(bill)])));

/** Watts and price of an option, as words; undefined until they are known. */
export function billOf(option: string): string | undefined {
    return words.value.get(optionLit(option));
}

export function followBills(): void {
    effect(() => {
        const now = changed.value;
        const list = price_file.value;
        if (!now || !site.value.variants?.length) {
            bills.value = []; // those of another property must not stay
            return;
        }
        // While something is in hand the figures stand still.
        if (in_hand.value) return;
        engine.value?.bills(textOfList(list)).then(
            found => {
                if (changed.peek() === now && price_file.peek() === list) bills.value = found;
            },
            () => {
                bills.value = []; // the load says what is wrong with the list
            },
        );
    });
}

function printBill(bill: Bill): string {
    if (!bill.price_words) return bill.watt_words;
    return `${bill.watt_words}, ${bill.price_words}${bill.is_price_whole ? "" : " and what has no price"}`;
}
