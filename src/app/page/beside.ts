// The light of a second option, to be shown right of the slider.

import { engine, season, years_on } from "./light.ts";
import { other_light } from "./walk.tsx";

/** Asks for another option's light; the one being worked on stays. */
export async function lookBeside(variant: string): Promise<void> {
    const found = await engine.value?.settleFor({ variant, season: season.value, years_on: years_on.value });
    if (found) other_light.value = found.light;
}
