// The bench beside the pictures: what can be added, what is picked, what the light does, options, load, studies.

import { signal } from "@preact/signals";
import { useLayoutEffect } from "preact/hooks";
import { AddPanel } from "./add_panel.tsx";
import { problems } from "./light.ts";
import { LightPanel } from "./light_panel.tsx";
import { LoadPanel } from "./load_panel.tsx";
import { OptionsPanel } from "./options_panel.tsx";
import { PapersPanel } from "./papers_panel.tsx";
import { chosen_last } from "./pick.ts";
import { is_client } from "./property.ts";
import { keyOf } from "./site.ts";
import { ThingPanel } from "./thing_panel.tsx";

export type Panel = "add" | "thing" | "light" | "options" | "load" | "papers";
export const panel = signal<Panel>("light");
export const is_bench_open = signal(true);

const tabs: { panel: Panel; words: string }[] = [
    { panel: "add", words: "Add" },
    { panel: "thing", words: "Picked" },
    { panel: "light", words: "Light" },
    { panel: "options", words: "Options" },
    { panel: "load", words: "Load, price" },
    { panel: "papers", words: "Papers" },
];

export function Bench() {
    const last = chosen_last.value && keyOf(chosen_last.value);
    useLayoutEffect(() => {
        if (last && !is_client.value) panel.value = "thing";
    }, [last]);
    useLayoutEffect(() => {
        const node = document.getElementById("panel");
        if (node) node.scrollTop = 0;
    }, [panel.value, last]);
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
                {now === "papers" && <PapersPanel />}
            </div>
        </aside>
    );
}
