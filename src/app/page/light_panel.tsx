// What the light does, in sentences, and what is worth a look.

import { changed, is_settled, load, problems, progress, season, settled, years_on } from "./light.ts";
import { fixtureKey, inWords, keyOfSurface, pick, things } from "./pick.ts";
import { is_client, site } from "./property.ts";
import { callIt, findThings, keyFor } from "./site.ts";

export function LightPanel() {
    const now = settled.value;
    return (
        <>
            <Problems />
            {!is_client.value && <SeasonChoice />}
            {!now && (
                <div class="block" role="status">
                    <p class="how">
                        {changed.value
                            ? "Light straight from the lamps is shown. What walls, ground and leaves send on is being worked out; the report comes with it."
                            : "The property is being built, then lit."}
                    </p>
                    <progress
                        value={progress.value?.share}
                        max={1}
                        aria-label="How far the light is worked out"
                    />
                </div>
            )}
            {now && (
                <div class={`block ${is_settled.value ? "" : "coming"}`}>
                    <h2>What the light does</h2>
                    <ul class="answers">
                        {now.sentences.map(sentence => (
                            <li key={sentence.text}>
                                {sentence.fixture || sentence.target || sentence.tree ? (
                                    <button
                                        type="button"
                                        class="sentence"
                                        onClick={() => {
                                            const key = [
                                                fixtureKey(sentence.fixture),
                                                keyFor("tree", sentence.tree),
                                                keyFor("target", sentence.target),
                                                keyOfSurface(sentence.surface),
                                            ].find(one => one && things.value.has(one));
                                            if (key) pick(key);
                                        }}
                                    >
                                        {inWords(sentence.text)}
                                    </button>
                                ) : (
                                    inWords(sentence.text)
                                )}
                            </li>
                        ))}
                        {now.stray.map(text => (
                            <li key={text}>{inWords(text)}</li>
                        ))}
                    </ul>
                    {now.light_loss && <p class="dim">{now.light_loss}</p>}
                    <p class="dim">
                        Estimates. Lamps, dirt, voltage and aiming shift them: check after dark.
                    </p>
                </div>
            )}
        </>
    );
}

function SeasonChoice() {
    const has_trees = findThings(site.value).some(
        found => found.schema === "tree" || found.schema === "shrub",
    );
    if (!has_trees) return null;
    return (
        <div class="choices">
            <fieldset class="choice">
                <legend>Season</legend>
                {(["in-leaf", "bare"] as const).map(one => (
                    <button
                        key={one}
                        type="button"
                        aria-pressed={season.value === one}
                        onClick={() => {
                            season.value = one;
                        }}
                    >
                        {one === "in-leaf" ? "In leaf" : "Bare"}
                    </button>
                ))}
            </fieldset>
            <fieldset class="choice">
                <legend>Years on</legend>
                {[0, 5, 10, 20].map(years => (
                    <button
                        key={years}
                        type="button"
                        aria-pressed={years_on.value === years}
                        onClick={() => {
                            years_on.value = years;
                        }}
                    >
                        {years === 0 ? "Now" : years}
                    </button>
                ))}
            </fieldset>
        </div>
    );
}

export function Problems() {
    const list = [
        ...problems.value,
        // A property is priced without its cable too, and then nothing is wrong with its circuit.
        ...(site.value.network ? (load.value?.problems ?? []) : []).filter(
            problem => problem.severity === "error",
        ),
    ];
    if (!list.length) return null;
    const byPointer = (pointer: string) =>
        [...things.value]
            .filter(
                ([, found]) =>
                    pointer === `/${found.place.join("/")}` ||
                    pointer.startsWith(`/${found.place.join("/")}/`),
            )
            .at(-1);
    return (
        <section class="problems" aria-label="Worth a look">
            <h2>Worth a look</h2>
            <ul>
                {list.map((problem, index) => {
                    const owner = byPointer(problem.pointer);
                    return (
                        <li key={`${problem.pointer}${index}`} class={problem.severity}>
                            {owner ? (
                                <button type="button" class="sentence" onClick={() => pick(owner[0])}>
                                    {/* Some messages begin with what they are about. */}
                                    {!problem.message.startsWith(`${owner[1].thing.id} `) && (
                                        <strong>{callIt(owner[1].thing)} </strong>
                                    )}
                                    {inWords(problem.message)}
                                    {problem.remedy && `; ${inWords(problem.remedy)}`}
                                </button>
                            ) : (
                                <>
                                    {inWords(problem.message)}
                                    {problem.remedy && `; ${inWords(problem.remedy)}`}
                                </>
                            )}
                        </li>
                    );
                })}
            </ul>
        </section>
    );
}
