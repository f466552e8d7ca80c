// What goes to the client and into the garden: the proposal, the sheet to aim by, and what the night's readings tell.

import { effect, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Field, NightCheck, Problem, Proposal } from "../engine.ts";
import { business, dropLogo, logo, printBusiness, setBusiness, takeBusiness } from "./business.ts";
import { Busy, useWork } from "./busy.tsx";
import { download, fileName } from "./files.ts";
import { engine, forms } from "./light.ts";
import { price_file, replace, site, site_text, textOfList } from "./property.ts";
import { readSite } from "./site.ts";
import { Typed } from "./typed.tsx";

const stem = () => fileName().replace(/\.site\.json$|\.json$/, "");
const savePage = (name: string, text: string) => download(`${stem()}-${name}.html`, text, "text/html");

export function PapersPanel() {
    const proposal = useSignal<Proposal | undefined>(undefined);
    const aim_sheet = useSignal<string | undefined>(undefined);
    const check = useSignal<NightCheck | undefined>(undefined);
    const client = useSignal("");
    const date = useSignal(new Date().toLocaleDateString(undefined, { dateStyle: "long" }));
    const is_quick = useSignal(false);
    const { words: busy, run } = useWork();
    useEffect(
        () =>
            effect(() => {
                site_text.value;
                price_file.value;
                proposal.value = undefined;
                aim_sheet.value = undefined;
                check.value = undefined;
            }),
        [],
    );
    const propose = () =>
        run("Writing the proposal", async () => {
            const { text, files } = printBusiness();
            const list = textOfList(price_file.value);
            const made = await engine.value?.proposal(
                {
                    name: fileName(),
                    business: text,
                    client: client.value,
                    date: date.value,
                    is_quick: is_quick.value,
                    prices: list.file,
                    prices_text: list.text,
                },
                files,
            );
            proposal.value = made;
            if (made?.proposal) savePage("proposal", made.proposal);
        });
    const aim = () =>
        run("Writing the aiming sheet", async () => {
            aim_sheet.value = (await engine.value?.aimSheet(fileName()))?.page;
            if (aim_sheet.value) savePage("tonight", aim_sheet.value);
        });
    const readNight = (file: File) =>
        run("Comparing the readings", async () => {
            check.value = await engine.value?.nightCheck({
                name: fileName(),
                readings: await file.text(),
                readings_name: file.name,
            });
        });
    const is_ready = busy.value === "" && (site.value.fixtures ?? []).length > 0;
    return (
        <>
            {(site.value.fixtures ?? []).length === 0 && (
                <p class="how">Stand a light first: papers are about the lights.</p>
            )}
            <Busy words={busy} />
            <h2>For the client</h2>
            <p class="how">
                Pictures, plan, designs to choose from and what they cost, to print or to send. It is made on
                this device; a whole property takes a minute or two.
            </p>
            <div class="form">
                <Typed
                    label="For"
                    value={client.value}
                    hint="the client’s name"
                    onTyped={text => {
                        client.value = text;
                        return undefined;
                    }}
                />
                <Typed
                    label="Date"
                    value={date.value}
                    onTyped={text => {
                        date.value = text;
                        return undefined;
                    }}
                />
                <label class="tick whole">
                    <input
                        type="checkbox"
                        checked={is_quick.value}
                        onChange={event => {
                            is_quick.value = (event.target as HTMLInputElement).checked;
                        }}
                    />
                    <span>Small pictures, for a quick look</span>
                </label>
            </div>
            <BusinessForm />
            <div class="deeds">
                <button type="button" class="deed" disabled={!is_ready} onClick={propose}>
                    Write the proposal
                </button>
            </div>
            {proposal.value && <Problems list={proposal.value.problems} />}
            {proposal.value?.proposal && (
                <>
                    {proposal.value.missing_prices.length > 0 && (
                        <p class="gaps">
                            Not priced yet, so that totals are left open:{" "}
                            {proposal.value.missing_prices.join(", ")}.
                        </p>
                    )}
                    <div class="deeds">
                        <Save name="proposal" words="Save the proposal" text={proposal.value.proposal} />
                        <Save
                            name="technical"
                            words="Save the technical sheets"
                            text={proposal.value.technical}
                        />
                    </div>
                </>
            )}
            <h2>For the night</h2>
            <p class="how">
                A sheet to aim by: where each head goes, and what a meter should read there. It opens on a
                phone in the dark, without a network, and prints.
            </p>
            <div class="deeds">
                <button type="button" disabled={!is_ready} onClick={aim}>
                    Write the aiming sheet
                </button>
                {aim_sheet.value && <Save name="tonight" words="Save it again" text={aim_sheet.value} />}
            </div>
            <h2>After the night</h2>
            <p class="how">
                Take in what the meter read, as the aiming sheet saves it, and see which lamp is dim and which
                head is off.
            </p>
            <FileChoice
                words="Take the readings …"
                accept=".csv,text/csv"
                is_off={!is_ready}
                onFiles={([file]) => file && readNight(file)}
            />
            {check.value && <Problems list={check.value.problems} />}
            {check.value?.page && (
                <>
                    <ul class="answers">
                        {check.value.lines.map(line => (
                            <li key={line}>{line}</li>
                        ))}
                    </ul>
                    <div class="deeds">
                        <button
                            type="button"
                            onClick={() =>
                                replace("Take the lights as built", readSite(check.value?.as_built ?? ""))
                            }
                        >
                            Take the lights as built
                        </button>
                        <Save name="as-built" words="Save the page" text={check.value.page} />
                    </div>
                </>
            )}
        </>
    );
}

function Save({ name, words, text }: { name: string; words: string; text: string }) {
    return (
        <button type="button" onClick={() => savePage(name, text)}>
            {words}
        </button>
    );
}

function Problems({ list }: { list: Problem[] }) {
    return (
        <>
            {list.map(problem => (
                <p class="complaint" role="alert" key={problem.message + problem.line}>
                    {problem.file}
                    {problem.line ? `, line ${problem.line}` : ""}: {problem.message}. {problem.remedy}
                </p>
            ))}
        </>
    );
}

/** A button that asks for files. */
function FileChoice(props: {
    words: string;
    accept: string;
    is_off?: boolean;
    is_many?: boolean;
    onFiles(files: File[]): void;
}) {
    return (
        <label class={`choose ${props.is_off ? "off" : ""}`}>
            <span>{props.words}</span>
            <input
                type="file"
                class="unseen"
                accept={props.accept}
                multiple={props.is_many}
                disabled={props.is_off}
                onChange={event => {
                    const input = event.target as HTMLInputElement;
                    props.onFiles([...(input.files ?? [])]);
                    input.value = ""; // the same file may be taken again
                }}
            />
        </label>
    );
}

const long_texts = new Set(["greeting", "care", "warranty", "terms"]);
const unasked = new Set(["$schema", "duskcast_business", "logo"]);

function BusinessForm() {
    const complaint = useSignal<string | undefined>(undefined);
    const fields = (forms.value?.business[0]?.fields ?? []).filter(field => !unasked.has(field.key));
    const { text } = printBusiness();
    return (
        <details>
            <summary>Your business: {business.value.name ?? "not said yet"}</summary>
            <div class="form">
                {fields.map(field => (
                    <BusinessRow key={field.key} field={field} />
                ))}
            </div>
            {logo.value && (
                <p>
                    <img class="own-logo" src={logo.value} alt="Your logo" />{" "}
                    <button type="button" class="quiet" onClick={dropLogo}>
                        Without it
                    </button>
                </p>
            )}
            {complaint.value && (
                <p class="complaint" role="alert">
                    {complaint.value}
                </p>
            )}
            <div class="deeds">
                <FileChoice
                    words={logo.value ? "Business file or another logo …" : "Logo or business file …"}
                    accept=".json,image/png,image/jpeg,image/gif,image/webp"
                    is_many
                    onFiles={async files => {
                        complaint.value = await takeBusiness(files);
                    }}
                />
                {text && (
                    <button
                        type="button"
                        onClick={() => download("own.business.json", text, "application/json")}
                    >
                        Save it to a file
                    </button>
                )}
            </div>
        </details>
    );
}

function BusinessRow({ field }: { field: Field }) {
    const label = `${field.key.charAt(0).toUpperCase()}${field.key.slice(1).replaceAll("_", " ")}`;
    const value = business.value[field.key];
    if (long_texts.has(field.key))
        return (
            <label class="typed long" title={field.help}>
                <span class="label">{label}</span>
                <textarea
                    rows={3}
                    value={String(value ?? "")}
                    onChange={event =>
                        setBusiness(field.key, (event.target as HTMLTextAreaElement).value.trim())
                    }
                />
            </label>
        );
    const is_text = field.quantity === "text";
    return (
        <div class="row" title={field.help}>
            <Typed
                label={label}
                value={String(value ?? "")}
                hint={is_text ? undefined : field.unit}
                is_decimal={!is_text}
                onTyped={typed => {
                    if (is_text || typed === "") setBusiness(field.key, typed);
                    else {
                        const figure = Number(typed.replace(",", "."));
                        if (!Number.isFinite(figure)) return "A figure is wanted here.";
                        setBusiness(field.key, figure);
                    }
                    return undefined;
                }}
            />
        </div>
    );
}
