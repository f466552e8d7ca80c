// A second option, shown right of the slider, and kept up with what is changed.

import { effect, signal } from "@preact/signals";
import type { Light } from "../engine.ts";
import { engine, is_settled, season, settled, tellFault, years_on } from "./light.ts";
import { option } from "./options.ts";
import { optionLit, property_id, site } from "./property.ts";

/** The option right of the slider; its light once it is known, and the version of the document it is of. */
export const beside = signal<{ id: string; light: Light | undefined; version: number } | undefined>();

/** Asks for another option's light; the one being worked on stays. */
export async function lookBeside(variant: string): Promise<void> {
    const version = settled.peek()?.version ?? 0;
    beside.value = {
        id: variant,
        light: beside.peek()?.id === variant ? beside.peek()?.light : undefined,
        version,
    };
    const found = await engine.value?.settleFor({
        variant: optionLit(variant),
        season: season.value,
        years_on: years_on.value,
    });
    if (found && beside.peek()?.id === variant) beside.value = { id: variant, light: found.light, version };
}

export function followBeside(): void {
    let of = property_id.peek();
    effect(() => {
        const shown = beside.value;
        if (!shown) {
            of = property_id.value;
            return;
        }
        const is_there = shown.id === "" || site.value.variants?.some(variant => variant.id === shown.id);
        if (!is_there || option.value === shown.id || of !== property_id.value) beside.value = undefined;
        else if (is_settled.value && settled.value && settled.value.version !== shown.version)
            void lookBeside(shown.id).catch(tellFault);
    });
}
