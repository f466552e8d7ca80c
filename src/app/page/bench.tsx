// The bench beside the pictures: what can be added, what is picked, what the light does, options, load, studies.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ThingForm } from "./form.tsx";
import { FixtureDeeds, FixtureFigures } from "./hand.tsx";
import { changed, is_settled, load, problems, progress, season, settled, years_on } from "./light.ts";
import { LoadPanel } from "./load_panel.tsx";
import { takeAway } from "./move.ts";
import { OptionsPanel } from "./options_panel.tsx";
import { addFront, addToWall } from "./parts.ts";
import { chosen, chosen_last, pick, pickNothing, states, things } from "./pick.ts";
import { is_client, site } from "./property.ts";
import { callIt, findThings } from "./site.ts";
import { Studies } from "./studies.tsx";
import { is_narrow } from "./surfaces.tsx";
import { kindWords, type Tool, take, tool } from "./tool.ts";
import { plainReach } from "./words.ts";

export type Panel = "add" | "thing" | "light" | "options" | "load";
export const panel = signal<Panel>("light");
export const is_bench_open = signal(true);

const tabs: { panel: Panel; words: string }[] = [
    { panel: "add", words: "Add" },
    { panel: "thing", words: "Picked" },
    { panel: "light", words: "Light" },
    { panel: "options", words: "Options" },
    { panel: "load", words: "Load" },
];

export function Bench() {
    const last = chosen_last.value?.thing.id;
    useEffect(() => {
        if (last && !is_client.value) panel.value = "thing";
    }, [last]);
    const shown = is_client.value
        ? tabs.filter(tab => tab.panel === "light" || tab.panel === "options")
        : tabs;
    const now = shown.some(tab => tab.panel === panel.value) ? panel.value : "light";
    return (
        <aside class={`bench ${is_bench_open.value ? "" : "shut"}`} aria-label="Bench">
            <div class="tabs" role="tablist" aria-label="What the bench shows">
                {shown.map((tab, index) => (
                    <button
                        key={tab.panel}
                        type="button"
                        role="tab"
                        id={`tab-${tab.panel}`}
                        aria-selected={now === tab.panel}
                        aria-controls="panel"
                        tabIndex={now === tab.panel ? 0 : -1}
                        onClick={() => {
                            if (now === tab.panel && innerWidth < 760)
                                is_bench_open.value = !is_bench_open.value;
                            else is_bench_open.value = true;
                            panel.value = tab.panel;
                        }}
                        onKeyDown={event => {
                            const way = event.key === "ArrowRight" ? 1 : event.key === "ArrowLeft" ? -1 : 0;
                            if (!way) return;
                            event.stopPropagation();
                            const next = shown[(index + way + shown.length) % shown.length];
                            if (!next) return;
                            panel.value = next.panel;
                            document.getElementById(`tab-${next.panel}`)?.focus();
                        }}
                    >
                        {tab.words}
                        {tab.panel === "light" && problems.value.length > 0 && (
                            <span
                                class={`count ${problems.value.some(problem => problem.severity === "error") ? "bad" : ""}`}
                            >
                                {problems.value.length}
                                <span class="unseen"> to look at</span>
                            </span>
                        )}
                    </button>
                ))}
            </div>
            <div class="panel" id="panel" role="tabpanel" aria-labelledby={`tab-${now}`} tabIndex={0}>
                {now === "add" && <AddPanel />}
                {now === "thing" && <ThingPanel />}
                {now === "light" && <LightPanel />}
                {now === "options" && <OptionsPanel />}
                {now === "load" && <LoadPanel />}
            </div>
        </aside>
    );
}

function ToolButton({ words, makes }: { words: string; makes: Tool }) {
    const is_taken = JSON.stringify(tool.value) === JSON.stringify(makes);
    return (
        <button
            type="button"
            class="part"
            aria-pressed={is_taken}
            onClick={() => take(is_taken ? undefined : makes)}
        >
            {words}
        </button>
    );
}

function AddPanel() {
    const has_wall = (site.value.walls ?? []).length > 0;
    return (
        <>
            <h2>Lights</h2>
            <p class="how">Choose one, then click where it stands.</p>
            <div class="parts">
                {Object.entries(kindWords).map(([kind, words]) => (
                    <ToolButton
                        key={kind}
                        words={words.charAt(0).toUpperCase() + words.slice(1)}
                        makes={{ does: "stand", what: kind }}
                    />
                ))}
            </div>
            <h2>House</h2>
            <div class="parts">
                <button type="button" class="part" onClick={() => addFront(2)}>
                    Front, two gables
                </button>
                <button type="button" class="part" onClick={() => addFront(1)}>
                    Front, one gable
                </button>
                <button type="button" class="part" onClick={() => addFront(0)}>
                    Front, level eave
                </button>
                <ToolButton words="Draw a wall" makes={{ does: "wall" }} />
            </div>
            {has_wall && (
                <div class="parts">
                    {(["window", "door", "gable", "porch", "chimney"] as const).map(what => (
                        <button key={what} type="button" class="part" onClick={() => addToWall(what)}>
                            {what === "porch" ? "Porch roof" : what.charAt(0).toUpperCase() + what.slice(1)}
                        </button>
                    ))}
                    <ToolButton words="Draw a window" makes={{ does: "opening", what: "window" }} />
                    <ToolButton words="Draw a gable" makes={{ does: "gable" }} />
                </div>
            )}
            <h2>Garden</h2>
            <div class="parts">
                <ToolButton words="Bed" makes={{ does: "area", what: "mulch" }} />
                <ToolButton words="Walk or drive" makes={{ does: "area", what: "paving" }} />
                <ToolButton words="Lawn" makes={{ does: "area", what: "lawn" }} />
                <ToolButton words="Water" makes={{ does: "area", what: "water" }} />
                <ToolButton words="Shrubs" makes={{ does: "shrub" }} />
            </div>
            <h2>Trees</h2>
            <div class="parts">
                {["round", "oval", "spreading", "vase", "cone", "column", "weeping"].map(form => (
                    <ToolButton
                        key={form}
                        words={form.charAt(0).toUpperCase() + form.slice(1)}
                        makes={{ does: "tree", what: form }}
                    />
                ))}
            </div>
            <h2>Look closer</h2>
            <div class="parts">
                <ToolButton words="Measure" makes={{ does: "measure" }} />
                <ToolButton words="How much light here?" makes={{ does: "probe" }} />
            </div>
        </>
    );
}

function ThingPanel() {
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
    const state = states.value.get(found.thing.id);
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
            {found.schema === "fixture" && state ? (
                <>
                    {is_narrow.value && <FixtureFigures state={state} />}
                    <FixtureDeeds state={state} />
                    <ReachTable id={state.id} />
                    <Studies id={state.id} />
                    <details>
                        <summary>All details</summary>
                        <ThingForm found={found} object="fixture" />
                    </details>
                </>
            ) : (
                <>
                    <ThingForm key={found.thing.id} found={found} object={found.schema} />
                    <div class="deeds">
                        <button type="button" onClick={takeAway}>
                            Take away
                        </button>
                    </div>
                </>
            )}
        </>
    );
}

function ThingList() {
    const groups = new Map<string, string[]>();
    for (const [id, found] of things.value) {
        const list = groups.get(found.one) ?? [];
        list.push(id);
        groups.set(found.one, list);
    }
    return (
        <div class="thing-list">
            {[...groups].map(([one, ids]) => (
                <details key={one} open={one === "fixture"}>
                    <summary>
                        {one.charAt(0).toUpperCase() + one.slice(1)} <span class="dim">{ids.length}</span>
                    </summary>
                    {ids.map(id => (
                        <button type="button" class="quiet" key={id} onClick={() => pick(id)}>
                            {callIt((things.value.get(id) as { thing: { id: string } }).thing)}
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
                    {problem.message}
                    {problem.remedy && `; ${problem.remedy}`}
                </p>
            ))}
        </>
    );
}

function LightPanel() {
    const now = settled.value;
    return (
        <>
            <Problems />
            {!is_client.value && <SeasonChoice />}
            {!now && (
                <div class="block" role="status">
                    <p class="how">
                        {changed.value
                            ? "The report comes when all the light is known."
                            : "The engine is getting ready."}
                    </p>
                    {progress.value && (
                        <progress
                            value={progress.value.share}
                            max={1}
                            aria-label="How far the light is worked out"
                        />
                    )}
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
                                            const id = [
                                                sentence.fixture,
                                                sentence.tree,
                                                sentence.target,
                                                sentence.surface,
                                            ].find(one => things.value.has(one));
                                            if (id) pick(id);
                                        }}
                                    >
                                        {sentence.text}
                                    </button>
                                ) : (
                                    sentence.text
                                )}
                            </li>
                        ))}
                        {now.stray.map(text => (
                            <li key={text}>{text}</li>
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
        ...(load.value?.problems ?? []).filter(problem => problem.severity === "error"),
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
                                    <strong>{callIt(owner[1].thing)}</strong> {problem.message}
                                    {problem.remedy && `; ${problem.remedy}`}
                                </button>
                            ) : (
                                <>
                                    {problem.message}
                                    {problem.remedy && `; ${problem.remedy}`}
                                </>
                            )}
                        </li>
                    );
                })}
            </ul>
        </section>
    );
}
