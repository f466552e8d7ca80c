// Load and price: the circuit as the engine solves it, its remedies, the take-off.

import { useSignal } from "@preact/signals";
import type { Load } from "../engine.ts";
import { engine, load, tellFault } from "./light.ts";
import { fixtureKey, inWords, pick } from "./pick.ts";
import { PricePanel } from "./price_panel.tsx";
import { change, site } from "./property.ts";
import type { Site } from "./site.ts";
import { bringPlan } from "./surfaces.tsx";
import { take } from "./tool.ts";

export function LoadPanel() {
    const proposal = useSignal<Load | undefined>(undefined);
    const is_busy = useSignal(false);
    const now = load.value;
    const figures = now?.figures;
    const has_network = site.value.network !== undefined;
    const propose = async () => {
        const ready = engine.value;
        if (!ready) return;
        is_busy.value = true;
        try {
            proposal.value = await ready.load({
                route: true,
            });
        } catch (reason) {
            tellFault(reason);
        }
        is_busy.value = false;
    };
    const network = proposal.value?.network;
    return (
        <>
            <h2>Load</h2>
            {!has_network && (
                <p class="how">
                    No cable yet. Let duskcast propose transformer and runs, or hang the transformer on the
                    plan and lay the cable yourself.
                </p>
            )}
            <div class="deeds">
                <button
                    type="button"
                    disabled={is_busy.value || !(site.value.fixtures ?? []).length}
                    onClick={propose}
                >
                    {is_busy.value ? "Working it out …" : "Propose the cable"}
                </button>
                <button type="button" onClick={() => take({ does: "transformer" })}>
                    Hang a transformer
                </button>
                {has_network && (
                    <button type="button" onClick={() => take({ does: "cable" })}>
                        Lay a cable
                    </button>
                )}
            </div>
            {proposal.value && (
                <section class="proposal">
                    <Sentences list={proposal.value.verdict} />
                    {network ? (
                        <div class="deeds">
                            <button
                                type="button"
                                class="deed"
                                onClick={() => {
                                    change("Take the proposed cable", draft => {
                                        draft.network = readNetwork(network);
                                    });
                                    proposal.value = undefined;
                                    bringPlan();
                                }}
                            >
                                Take it
                            </button>
                            <button
                                type="button"
                                onClick={() => {
                                    proposal.value = undefined;
                                }}
                            >
                                Leave it
                            </button>
                        </div>
                    ) : (
                        <Sentences list={proposal.value.problems.map(problem => problem.message)} />
                    )}
                </section>
            )}
            {now && has_network && (
                <>
                    <Sentences list={now.verdict} />
                    {figures && (
                        <table>
                            <caption>Volts at every lamp</caption>
                            <tbody>
                                {figures.fixtures.map(one => (
                                    <tr key={one.id} class={one.state}>
                                        <th scope="row">
                                            <button
                                                type="button"
                                                class="sentence"
                                                onClick={() => pick(fixtureKey(one.id))}
                                            >
                                                {one.id}
                                            </button>
                                        </th>
                                        <td>{one.words}</td>
                                    </tr>
                                ))}
                            </tbody>
                        </table>
                    )}
                    {now.advice.length > 0 && <h3>What would help</h3>}
                    {now.advice.map(advice => (
                        <div class="advice-row" key={advice.words}>
                            <p>{inWords(advice.words)}</p>
                            {advice.network && (
                                <button
                                    type="button"
                                    onClick={() =>
                                        change("Take the advice", draft => {
                                            draft.network = readNetwork(advice.network);
                                        })
                                    }
                                >
                                    Do that
                                </button>
                            )}
                        </div>
                    ))}
                    {now.cautions.length > 0 && (
                        <details>
                            <summary>Before you dig</summary>
                            <Sentences list={now.cautions} />
                        </details>
                    )}
                </>
            )}
            <PricePanel />
        </>
    );
}

// The engine prints a network as the file holds it, under its key.
function readNetwork(text: string): Site["network"] {
    return (JSON.parse(text) as Site).network;
}

function Sentences({ list }: { list: string[] }) {
    return list.length ? (
        <ul class="answers">
            {list.map(text => (
                <li key={text}>{inWords(text)}</li>
            ))}
        </ul>
    ) : null;
}
