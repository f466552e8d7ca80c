// What is picked: its figures, what can be done with it, what it does.

import { ThingForm } from "./form.tsx";
import { FixtureDeeds, FixtureFigures } from "./hand.tsx";
import { changed, is_settled, problems, settled } from "./light.ts";
import { PhotoPanel } from "./photo_panel.tsx";
import { chosen, chosen_last, inWords, pick, picked, pickNothing, states, things } from "./pick.ts";
import { takeAway } from "./several.ts";
import { callIt, type Found, isSingle, type Key } from "./site.ts";
import { Studies } from "./studies.tsx";
import { is_narrow } from "./surfaces.tsx";
import { again } from "./tool.ts";
import { plainReach } from "./words.ts";

export function ThingPanel() {
    const found = chosen_last.value;
    if (!found)
        return (
            <>
                <p class="how">
                    Nothing is picked. Click a light, a window, a tree or a bed in any of the pictures, or
                    choose it here.
                </p>
                <ThingList />
            </>
        );
    const state = found.schema === "fixture" ? states.value.get(found.thing.id) : undefined;
    const count = chosen.value.length;
    return (
        <>
            <div class="heading">
                <h2>{count > 1 ? `${count} things` : callIt(found.thing)}</h2>
                <span class="kind">{found.one}</span>
                <button type="button" class="quiet" onClick={pickNothing}>
                    Done
                </button>
            </div>
            <ProblemsOf id={found.thing.id} place={`/${found.place.join("/")}`} />
            {state ? (
                <>
                    {is_narrow.value && <FixtureFigures state={state} />}
                    <div class="deeds">
                        <Another />
                        <FixtureDeeds state={state} />
                    </div>
                    <ReachTable id={state.id} />
                    <Studies id={state.id} />
                    <details>
                        <summary>All details</summary>
                        <ThingForm found={found} object="fixture" />
                    </details>
                </>
            ) : found.schema === "photo" ? (
                <PhotoPanel key={found.thing.id} found={found} />
            ) : (
                <>
                    <ThingForm key={found.thing.id} found={found} object={found.schema} />
                    <div class="deeds">
                        <Another />
                        {!isSingle(found) && (
                            <button type="button" onClick={takeAway}>
                                Take away
                            </button>
                        )}
                    </div>
                </>
            )}
        </>
    );
}

/** After something was put down: one more of it, without going back for it. */
function Another() {
    const last = again.value;
    if (!last || last.key !== picked.value.at(-1)) return null;
    return (
        <button type="button" class="deed" onClick={last.does}>
            Another {last.words}
        </button>
    );
}

function ThingList() {
    const groups = new Map<string, [Key, Found][]>();
    for (const one of things.value) {
        const list = groups.get(one[1].one) ?? [];
        list.push(one);
        groups.set(one[1].one, list);
    }
    return (
        <div class="thing-list">
            {[...groups].map(([one, list]) => (
                <details key={one} open={one === "fixture"}>
                    <summary>
                        {one.charAt(0).toUpperCase() + one.slice(1)} <span class="dim">{list.length}</span>
                    </summary>
                    {list.map(([key, found]) => (
                        <button type="button" class="quiet" key={key} onClick={() => pick(key)}>
                            {callIt(found.thing)}
                        </button>
                    ))}
                </details>
            ))}
        </div>
    );
}

function ReachTable({ id }: { id: string }) {
    const whole = settled.value?.reaches.find(reach => reach.fixture === id);
    const state = states.value.get(id);
    if (!state?.reach.length) return null;
    const levels = changed.value?.site;
    return (
        <table class={is_settled.value ? "" : "coming"}>
            <caption>How high each level of light carries on its line</caption>
            <thead>
                <tr>
                    <th scope="col">Level</th>
                    <th scope="col">Alone</th>
                    <th scope="col">With the others</th>
                </tr>
            </thead>
            <tbody>
                {state.reach.map((reach, index) => (
                    <tr key={reach.level_lx}>
                        <th scope="row">
                            {levels?.level_words[levels.levels_lx.indexOf(reach.level_lx)] ??
                                levels?.level_words[index]}
                        </th>
                        <td>{plainReach(reach.words)}</td>
                        <td>{whole?.together[index] ? plainReach(whole.together[index].words) : "…"}</td>
                    </tr>
                ))}
            </tbody>
        </table>
    );
}

function ProblemsOf({ id, place }: { id: string; place: string }) {
    const own = problems.value.filter(
        problem => problem.pointer === place || problem.pointer.startsWith(`${place}/`),
    );
    return (
        <>
            {own.map((problem, index) => (
                <p key={`${id}${index}`} class={problem.severity === "error" ? "complaint" : "advice"}>
                    {inWords(problem.message)}
                    {problem.remedy && `; ${inWords(problem.remedy)}`}
                </p>
            ))}
        </>
    );
}
