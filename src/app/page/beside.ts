// The light of a second option, to be shown right of the slider.

import { changed, engine, is_settled, season, settled, years_on } from "./light.ts";
import { option } from "./options.ts";
import { other_light } from "./walk.tsx";

/** Asks for another option's light and comes back to the one being worked on. */
export async function lookBeside(id: string): Promise<void> {
    const ready = engine.value;
    if (!ready) return;
    const look = (variant: string) => ({ variant, season: season.value, years_on: years_on.value });
    const answer = await ready.show(look(id));
    if (answer?.is_accepted) {
        const all = await ready.settle();
        other_light.value = { light: answer.light, settled: all ?? undefined };
    }
    const back = await ready.show(look(option.value));
    if (!back) return;
    changed.value = back;
    const all = await ready.settle();
    if (all && changed.value === back) {
        settled.value = all;
        is_settled.value = true;
    }
}
