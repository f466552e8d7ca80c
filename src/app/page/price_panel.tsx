// The price: what is needed, each with its price and the hours to fit it, typed in place; labour, tax and what is put
// on; and the sums, which the engine adds up.

import { Fragment } from "preact";
import type { PriceLine } from "../engine.ts";
import { load } from "./light.ts";
import { prices, priceTyped, typePrices } from "./prices.ts";
import { changePrices, companions, is_list, price_list } from "./property.ts";
import { Typed } from "./typed.tsx";

const groups: { kinds: string[]; words: string }[] = [
    { kinds: ["fixture"], words: "Fixtures" },
    { kinds: ["lamp"], words: "Lamps" },
    { kinds: ["mount"], words: "Stakes and mounts" },
    { kinds: ["cable", "connector", "hub"], words: "Cable and joints" },
    { kinds: ["transformer"], words: "Transformers" },
];

export function PricePanel() {
    const told = prices.value;
    return (
        <>
            <h2>Price</h2>
            {told && told.problems.length === 0 && (
                <>
                    <dl class="sums">
                        {told.sums.map(({ what, sum }, index) => (
                            <div key={what} class={index === told.sums.length - 1 ? "total" : ""}>
                                <dt>{what}</dt>
                                <dd>{sum}</dd>
                            </div>
                        ))}
                    </dl>
                    {told.gaps && (
                        <p class="gaps" role="status">
                            {told.gaps}
                        </p>
                    )}
                    {load.value?.energy && price_list.value && <p class="dim">{load.value.energy}</p>}
                    <Lines lines={told.needed} />
                    <MissingHours lines={told.needed} />
                    <General lines={told.general} />
                    <Taxed lines={[...told.needed, ...told.general]} />
                    {told.others.length > 0 && (
                        <details>
                            <summary>Also in the list ({told.others.length})</summary>
                            <Lines lines={told.others} />
                        </details>
                    )}
                </>
            )}
            {told?.problems.map(problem => (
                <p class="complaint" key={problem.message}>
                    {problem.file}
                    {problem.line ? `, line ${problem.line}` : ""}: {problem.message}. {problem.remedy}
                </p>
            ))}
            <PriceList />
        </>
    );
}

function Lines({ lines }: { lines: PriceLine[] }) {
    return (
        <>
            {groups.map(({ kinds, words }) => {
                const own = lines.filter(line => kinds.includes(line.kind));
                return own.length ? (
                    <section class="prices" key={words}>
                        <h3>{words}</h3>
                        <span class="head" aria-hidden="true">
                            each
                        </span>
                        <span class="head" aria-hidden="true">
                            hours
                        </span>
                        {own.map(line => (
                            <Line key={`${line.kind} ${line.id} ${line.unit}`} line={line} />
                        ))}
                    </section>
                ) : null;
            })}
        </>
    );
}

function Line({ line }: { line: PriceLine }) {
    return (
        <>
            <p>
                {line.words}
                {line.need && (
                    <small>
                        {line.need}
                        {line.cost && `: ${line.cost}`}
                    </small>
                )}
            </p>
            <Figure line={line} field="price" label={`Price of ${line.words}`} />
            {line.hours === null ? (
                <span />
            ) : (
                <Figure line={line} field="hours" label={`Hours for ${line.words}`} />
            )}
        </>
    );
}

function Figure({ line, field, label }: { line: PriceLine; field: "price" | "hours"; label: string }) {
    const is_lacking = field === "price" ? line.lacks_price : line.lacks_hours;
    return (
        <Typed
            label={label}
            is_label_hidden
            is_decimal={line.kind !== "currency"}
            class={`figure ${is_lacking ? "lacking" : ""}`}
            value={(field === "price" ? line.price : line.hours) ?? ""}
            hint={is_lacking ? "?" : ""}
            onTyped={text => typePrices(`Set: ${label}`, [priceTyped(line, field, text)])}
        />
    );
}

/** Who prices the work in another way need not type a nought for everything. */
function MissingHours({ lines }: { lines: PriceLine[] }) {
    const without = lines.filter(line => line.lacks_hours);
    if (!without.length) return null;
    return (
        <button
            type="button"
            onClick={() =>
                void typePrices(
                    "Count no hours where none are given",
                    without.map(line => priceTyped(line, "hours", "0")),
                )
            }
        >
            Count no hours where none are given
        </button>
    );
}

function General({ lines }: { lines: PriceLine[] }) {
    return (
        <section class="prices general">
            <h3>Labour, tax and what is put on</h3>
            {lines.map(line => (
                <Fragment key={`${line.kind} ${line.id}`}>
                    <p>{line.words}</p>
                    <Figure line={line} field="price" label={line.words} />
                </Fragment>
            ))}
        </section>
    );
}

function Taxed({ lines }: { lines: PriceLine[] }) {
    return (
        <details>
            <summary>What is taxed</summary>
            <div class="taxed">
                {lines
                    .filter(line => line.taxed !== null)
                    .map(line => (
                        <label class="tick" key={`${line.kind} ${line.id} ${line.unit}`}>
                            <input
                                type="checkbox"
                                checked={line.taxed ?? false}
                                onChange={event => {
                                    const value = (event.target as HTMLInputElement).checked ? "yes" : "no";
                                    void typePrices(`Tax: ${line.words}`, [priceTyped(line, "taxed", value)]);
                                }}
                            />
                            <span>{line.words}</span>
                        </label>
                    ))}
            </div>
        </details>
    );
}

function PriceList() {
    const lists = [...companions.value.keys()].filter(is_list);
    if (!lists.length)
        return (
            <p class="how">
                Type your prices here, or drop your price list (.csv) in. What you type is kept with the
                property; File saves it.
            </p>
        );
    return (
        <label class="typed">
            <span class="label">Price list</span>
            <select
                value={price_list.value ?? ""}
                onChange={event => {
                    const name = (event.target as HTMLSelectElement).value;
                    const bytes = companions.value.get(name);
                    changePrices(
                        name ? `Take the prices of ${name}` : "Use no price list",
                        bytes ? { name, bytes } : undefined,
                    );
                }}
            >
                <option value="">none</option>
                {lists.map(name => (
                    <option key={name} value={name}>
                        {name}
                    </option>
                ))}
            </select>
        </label>
    );
}
