// Forms for things, made from the engine's description of the site file's fields: every field can be reached.

import { useSignal } from "@preact/signals";
import type { Field } from "../engine.ts";
import { begin } from "./begin.ts";
import { readAngle, readLength } from "./length.ts";
import { forms, problems } from "./light.ts";
import { rename, setValue, unit } from "./move.ts";
import { chosen, pick, things } from "./pick.ts";
import { change } from "./property.ts";
import { fits } from "./shape.ts";
import { callIt, type Found, type Json, keyOf, type Place, parts, valueAt } from "./site.ts";
import { Typed } from "./typed.tsx";

export function fieldsOf(object: string): Field[] {
    return forms.value?.site.find(form => form.name === object)?.fields ?? [];
}

function plain(key: string): string {
    const words = key.replaceAll("_", " ");
    return words.charAt(0).toUpperCase() + words.slice(1);
}

const about: Record<string, string> = { at: "Place", from: "From the left", on: "Lights" };

export function ThingForm({ found, object, skip = [] }: { found: Found; object: string; skip?: string[] }) {
    const is_all = useSignal(false);
    const fields = fieldsOf(object).filter(field => !skip.includes(field.key));
    const thing = found.thing as Record<string, unknown>;
    const shown = fields.filter(
        field =>
            is_all.value ||
            // Corners are moved on the plan.
            (!isPoints(thing[field.key]) &&
                (field.is_required || thing[field.key] !== undefined || early.has(field.key))),
    );
    return (
        <div class="form" data-object={object}>
            {shown.map(field => (
                <FieldRow key={field.key} field={field} found={found} />
            ))}
            {shown.length < fields.length && (
                <button
                    type="button"
                    class="quiet"
                    onClick={() => {
                        is_all.value = true;
                    }}
                >
                    All {fields.length} details
                </button>
            )}
        </div>
    );
}

function isPoints(value: unknown): boolean {
    return Array.isArray(value) && value.length > 0 && value.every(Array.isArray);
}

// Worth showing before they are set.
const early = new Set(["finish", "form", "height", "kind", "name", "closed", "eave", "dimming", "lamp"]);

function FieldRow({ field, found }: { field: Field; found: Found }) {
    const place: Place = [...found.place, field.key];
    const value = (found.thing as Record<string, unknown>)[field.key];
    const complaint = problems.value.find(
        problem => problem.severity === "error" && problem.pointer === `/${place.join("/")}`,
    );
    return (
        <div class={`row ${complaint ? "wrong" : ""}`} title={field.help}>
            <FieldInput field={field} value={value} found={found} />
            {complaint && (
                <p class="complaint" role="alert">
                    {complaint.message} {complaint.remedy}
                </p>
            )}
        </div>
    );
}

function put(found: Found, key: string, value: unknown): void {
    const words = `Change ${plain(key).toLowerCase()}`;
    const last = chosen.value.at(-1);
    if (found === last && chosen.value.length > 1 && key !== "id")
        change(words, draft => {
            for (const one of chosen.value) {
                if (one.schema !== last.schema) continue;
                const holder = valueAt(draft, one.place) as Record<string, unknown>;
                if (value === undefined) delete holder[key];
                else holder[key] = value;
            }
        });
    else setValue(words, [...found.place, key], value);
}

function FieldInput({ field, value, found }: { field: Field; value: unknown; found: Found }) {
    const label = about[field.key] ?? plain(field.key);
    const usual = field.usual ? String(JSON.parse(field.usual)) : "";
    if (field.words.length > 0 && (typeof value === "string" || value === undefined))
        return (
            <label class="typed">
                <span class="label">{label}</span>
                <select
                    value={(value as string | undefined) ?? ""}
                    onChange={event => {
                        const chosen_word = (event.target as HTMLSelectElement).value;
                        put(found, field.key, chosen_word === "" ? undefined : chosen_word);
                    }}
                >
                    {!field.is_required && <option value="">{usual ? `${usual} (usual)` : "–"}</option>}
                    {field.words.map(word => (
                        <option key={word} value={word}>
                            {word}
                        </option>
                    ))}
                </select>
            </label>
        );
    if (field.quantity === "boolean" || typeof value === "boolean" || usual === "true" || usual === "false")
        return (
            <label class="tick">
                <input
                    type="checkbox"
                    checked={(value as boolean | undefined) ?? usual === "true"}
                    onChange={event => put(found, field.key, (event.target as HTMLInputElement).checked)}
                />
                <span>{label}</span>
            </label>
        );
    if (field.quantity === "object") return <Inside field={field} label={label} found={found} />;
    if (field.quantity === "objects" && parts[found.schema]?.some(part => part.key === field.key))
        return <Parts label={label} found={found} field={field} />;
    const is_structured = typeof value === "object" && value !== null;
    return (
        <Typed
            label={label}
            value={value === undefined ? "" : is_structured ? JSON.stringify(value) : String(value)}
            hint={usual && usual !== "[object Object]" ? usual : ""}
            onTyped={text => {
                if (field.key === "id") {
                    if (!/^[A-Za-z0-9_-][A-Za-z0-9._-]{0,63}$/.test(text))
                        return "Letters, digits, dashes; no spaces.";
                    rename(found, text);
                    return undefined;
                }
                if (text === "" && !field.is_required) {
                    put(found, field.key, undefined);
                    return undefined;
                }
                const read = readTyped(field, text, value);
                if (read.complaint) return read.complaint;
                if (!fits(found.schema, field.key, read.value)) return as_before;
                put(found, field.key, read.value);
                return undefined;
            }}
        />
    );
}

// An object within a thing, such as the eave of a wall: a form of its own, to be opened.
function Inside({ field, label, found }: { field: Field; label: string; found: Found }) {
    const value = (found.thing as Record<string, unknown>)[field.key];
    if (typeof value !== "object" || value === null)
        return (
            <button
                type="button"
                class="quiet"
                onClick={() =>
                    setValue(`Add ${label.toLowerCase()}`, [...found.place, field.key], begin(field.object))
                }
            >
                {label}: add
            </button>
        );
    const inner: Found = {
        place: [...found.place, field.key],
        one: label.toLowerCase(),
        schema: field.object,
        thing: value as Found["thing"],
    };
    return (
        <details class="inside" open={!found.thing.id || undefined}>
            <summary>{label}</summary>
            <ThingForm found={inner} object={field.object} />
            {!field.is_required && (
                <button
                    type="button"
                    class="quiet"
                    onClick={() => setValue(`Take ${inner.one} away`, inner.place, undefined)}
                >
                    Take {inner.one} away
                </button>
            )}
        </details>
    );
}

// Parts with ids: they are picked, and have their own forms.
function Parts({ field, label, found }: { field: Field; label: string; found: Found }) {
    const inner = [...things.value].filter(
        ([, one]) =>
            one.owner !== undefined && keyOf(one.owner) === keyOf(found) && one.schema === field.object,
    );
    if (!inner.length) return null;
    return (
        <div class="parts" role="group" aria-label={label}>
            {inner.map(([key, one]) => (
                <button key={key} type="button" class="part" onClick={() => pick(key)}>
                    {callIt(one.thing)}
                </button>
            ))}
        </div>
    );
}

const as_before = "This needs its brackets and quotes as they were.";

// What is typed becomes what the file holds: a text stays one where the field takes texts; lists are written as JSON.
function readTyped(field: Field, text: string, before: unknown): { value?: Json; complaint?: string } {
    if (/^[[{]/.test(text) || (typeof before === "object" && before !== null)) {
        try {
            return { value: JSON.parse(text) as Json };
        } catch {
            return { complaint: as_before };
        }
    }
    const figure = Number(text);
    const is_figure = text !== "" && Number.isFinite(figure);
    if (field.quantity.includes("length"))
        return readLength(text, unit()) === undefined
            ? { complaint: "Write a length: “15 in”, “5 ft 6 in” or “0.4 m”." }
            : { value: is_figure ? figure : text };
    if (field.quantity.includes("angle"))
        return readAngle(text) === undefined
            ? { complaint: "Write degrees: “8”." }
            : { value: is_figure ? figure : text };
    if (is_figure && !["text", "string", "id", "reference"].includes(field.quantity))
        return { value: figure };
    return { value: text };
}
