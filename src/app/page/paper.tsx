// The property on paper: the walk's picture, the sheets that are shown, what the light does, volts and take-off.

import { signal } from "@preact/signals";
import { billOf } from "./bills.ts";
import { load, settled } from "./light.ts";
import { option } from "./options.ts";
import { inWords } from "./pick.ts";
import { site } from "./property.ts";
import { callIt } from "./site.ts";

/** The walk as it stands, as a picture; undefined while nothing is printed. */
const picture = signal<string | undefined>();

/** Before printing the walk draws itself anew: a browser may have let its picture go. */
export function printFrom(draw: () => HTMLCanvasElement | undefined): () => void {
    const before = () => {
        picture.value = draw()?.toDataURL("image/jpeg", 0.92) ?? "";
    };
    const after = () => {
        picture.value = undefined;
    };
    addEventListener("beforeprint", before);
    addEventListener("afterprint", after);
    return () => {
        removeEventListener("beforeprint", before);
        removeEventListener("afterprint", after);
    };
}

export function PaperHead() {
    const variant = site.value.variants?.find(candidate => candidate.id === option.value);
    const bill = billOf(option.value);
    return (
        <header class="paper">
            <h2>{site.value.name ?? "Property"}</h2>
            <p>{[variant ? callIt(variant) : "", bill].filter(Boolean).join(": ")}</p>
            {picture.value && <img src={picture.value} alt="The property by night" />}
        </header>
    );
}

export function PaperFoot() {
    if (picture.value === undefined) return null;
    const volts = load.value?.figures?.fixtures ?? [];
    return (
        <section class="paper">
            <Sentences title="What the light does" list={settled.value?.sentences.map(one => one.text)} />
            <Sentences title="Load" list={load.value?.verdict} />
            {volts.length > 0 && (
                <table>
                    <tbody>
                        {volts.map(one => (
                            <tr key={one.id}>
                                <th scope="row">{one.id}</th>
                                <td>{one.words}</td>
                            </tr>
                        ))}
                    </tbody>
                </table>
            )}
            <Sentences title="Price" list={load.value?.take_off} />
            <p>Estimates. Lamps, dirt, voltage and aiming shift them: check after dark.</p>
        </section>
    );
}

function Sentences({ title, list }: { title: string; list: string[] | undefined }) {
    if (!list?.length) return null;
    return (
        <>
            <h3>{title}</h3>
            <ul>
                {list.map(text => (
                    <li key={text}>{inWords(text)}</li>
                ))}
            </ul>
        </>
    );
}
