// Opening and saving: the user's own files, by choosing or by dropping them in.

import { signal } from "@preact/signals";
import { readPageSite } from "../engine.ts";
import { option } from "./options.ts";
import { emptySite } from "./parts.ts";
import { isPicture, takePhoto } from "./photo_file.ts";
import { chosen_fixtures, pickNothing } from "./pick.ts";
import {
    change,
    changePrices,
    companions,
    is_list,
    notePricesSaved,
    noteSaved,
    openText,
    price_file,
    property,
    site,
    site_text,
} from "./property.ts";
import { freeId, printSite, readSite, type Site } from "./site.ts";
import { walkAnew } from "./stand.ts";
import { bringPhoto } from "./surfaces.tsx";
import { faceAnew } from "./wall_face.ts";
import { readZip, writeZip } from "./zip.ts";

/** What is to be said of a file that was dropped in or chosen. */
export const file_words = signal<{ words: string; is_bad: boolean } | undefined>();

let file_input: HTMLInputElement | undefined;

export function openFiles(): void {
    // It stays in the document: one that nothing holds may be gone before the browser has asked for files.
    if (!file_input) {
        const input = document.createElement("input");
        input.type = "file";
        input.multiple = true;
        input.accept = ".json,.zip,.ies,.obj,.mtl,.csv,.png,.jpg,.jpeg";
        input.hidden = true;
        input.onchange = () => void takeFiles([...(input.files ?? [])]);
        document.body.append(input);
        file_input = input;
    }
    file_input.value = ""; // the same file may be opened again
    file_input.click();
}

const is_site = (name: string) => /\.site\.json$|^(?!.*\.catalogue\.json$).*\.json$/i.test(name);

/** Takes files as they come: a site file is opened with the others beside it; without one they join the site. */
export async function takeFiles(list: File[]): Promise<void> {
    file_words.value = undefined;
    try {
        let files = new Map<string, Uint8Array>();
        for (const file of list) {
            const bytes = new Uint8Array(await file.arrayBuffer());
            if (/\.zip$/i.test(file.name))
                try {
                    files = new Map([...files, ...(await readZip(bytes))]);
                } catch (reason) {
                    throw new Error(`${file.name}: ${(reason as Error).message}`);
                }
            else files.set(file.name, bytes);
        }
        const document_name = [...files.keys()].find(is_site);
        if (document_name) openDocument(document_name, files);
        else join(files);
    } catch (reason) {
        file_words.value = { words: (reason as Error).message, is_bad: true };
    }
}

function openDocument(name: string, files: Map<string, Uint8Array>): void {
    const text = new TextDecoder().decode(files.get(name));
    let opened: Site;
    try {
        opened = readSite(text);
    } catch (reason) {
        const why =
            reason instanceof SyntaxError ? `it is no JSON (${reason.message})` : (reason as Error).message;
        throw new Error(`${name} could not be opened: ${why}. What you had stays as it was.`);
    }
    if (typeof opened.duskcast === "number" && opened.duskcast > 1)
        throw new Error(
            `${name} was written by a newer duskcast than this page. What you had stays as it was.`,
        );
    files.delete(name);
    const folder = name.includes("/") ? name.slice(0, name.lastIndexOf("/") + 1) : "";
    const beside = new Map(
        [...files].map(([file, bytes]) => [
            nameInSite(opened, folder && file.startsWith(folder) ? file.slice(folder.length) : file),
            bytes,
        ]),
    );
    openText(text, name.slice(folder.length), beside);
    pickNothing();
    walkAnew();
    faceAnew();
    if (opened.photos?.length) bringPhoto();
    const missing = filesNamed(opened).filter(file => !beside.has(file));
    if (missing.length)
        file_words.value = {
            words: `The site names ${missing.join(", ")}: drop ${missing.length > 1 ? "these files" : "this file"} in too.`,
            is_bad: true,
        };
}

/** Opens what the page carries, or an empty property; whether it is a page for a client. */
export function openCarried(): boolean {
    try {
        const carried = readPageSite();
        if (carried) {
            openText(carried.site.text, "", new Map(Object.entries(carried.site.files)));
            return carried.is_client;
        }
    } catch {
        file_words.value = {
            words: "The property in this page cannot be read: the file is damaged. Ask for it once more.",
            is_bad: true,
        };
    }
    openText(printSite(emptySite("ft")), "");
    return false;
}

function filesNamed(opened: Site): string[] {
    const named: unknown[] = [opened.catalogue];
    for (const thing of [...(opened.lamps ?? []), ...(opened.meshes ?? []), ...(opened.photos ?? [])])
        named.push(thing.file);
    return named.filter(name => typeof name === "string");
}

// The site may say "../lamps/spot.ies" for what is dropped as "spot.ies".
function nameInSite(opened: Site, name: string): string {
    const last = (path: string) => path.slice(path.lastIndexOf("/") + 1);
    return (
        filesNamed(opened).find(named => named === name) ??
        filesNamed(opened).find(named => last(named) === last(name)) ??
        name
    );
}

/** Whether a picture belongs to something of the site: a photo or a shape that names it. */
function isWanted(name: string, files: Map<string, Uint8Array>): boolean {
    if (filesNamed(site.value).includes(nameInSite(site.value, name))) return true;
    return [...files].some(
        ([other, bytes]) => /\.mtl$/i.test(other) && new TextDecoder().decode(bytes).includes(name),
    );
}

function join(files: Map<string, Uint8Array>): void {
    const joined: string[] = [];
    const refused: string[] = [];
    const all = new Map(companions.value);
    const photos: string[] = [];
    for (const [name, bytes] of files) {
        if (isPicture(name) && !isWanted(name, new Map([...all, ...files]))) photos.push(name);
        else if (!/\.(ies|obj|mtl|csv|catalogue\.json|png|jpe?g)$/i.test(name)) refused.push(name);
        else {
            if (!is_list(name)) all.set(nameInSite(site.value, name), bytes);
            joined.push(name);
        }
    }
    companions.value = all;
    for (const name of joined) {
        const named = filesNamed(site.value).some(file => file === nameInSite(site.value, name));
        const stem = name.replace(/\.[^.]+$/, "").replace(/[^A-Za-z0-9_-]+/g, "-");
        const bytes = files.get(name);
        if (is_list(name)) {
            if (bytes) changePrices(`Take the prices of ${name}`, { name, bytes });
        } else if (named) continue;
        else if (/\.ies$/i.test(name))
            change(`Take the lamp of ${name}`, draft => {
                const id = freeId(site.value, stem);
                draft.lamps = [...(draft.lamps ?? []), { id, name: stem, file: name }];
                // What is picked gets it at once.
                const ids = new Set(chosen_fixtures.peek().map(found => found.thing.id));
                for (const fixture of draft.fixtures ?? []) if (ids.has(fixture.id)) fixture.lamp = id;
            });
        else if (/\.obj$/i.test(name))
            change(`Take the shape of ${name}`, draft => {
                draft.meshes = [...(draft.meshes ?? []), { id: freeId(site.value, stem), file: name }];
            });
        else if (/\.catalogue\.json$/i.test(name))
            change(`Take the catalogue ${name}`, draft => {
                draft.catalogue = name;
            });
    }
    for (const name of photos) takePhoto(name, files.get(name) as Uint8Array);
    if (refused.length)
        file_words.value = {
            words: `${refused.join(", ")}: not a kind of file that duskcast knows. It takes site files, lamps (.ies), shapes (.obj with .mtl and pictures), photos (.jpg, .png), catalogues and price lists (.csv).`,
            is_bad: true,
        };
    else if (joined.length) file_words.value = { words: `Taken: ${joined.join(", ")}.`, is_bad: false };
}

export function fileName(): string {
    const stem = (site.value.name ?? "")
        .trim()
        .toLowerCase()
        .replace(/[^a-z0-9]+/g, "-")
        .replace(/^-|-$/g, "");
    return property.value.file_name || `${stem || "property"}.site.json`;
}

export function download(name: string, bytes: BlobPart, type: string): void {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([bytes], { type }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

export function saveFile(): void {
    const name = fileName();
    download(name, site_text.value, "application/json");
    noteSaved(name);
}

/** The site file and the files it names, in one archive. */
export function saveArchive(): void {
    const name = fileName();
    const files = new Map<string, Uint8Array>([[name, new TextEncoder().encode(site_text.value)]]);
    // The list in use comes first: it is the one that an opened archive is priced with.
    const list = price_file.value;
    if (list) files.set(list.name, list.bytes);
    // An archive keeps no way out of its folder: what stands above it goes beside the site.
    for (const [file, bytes] of companions.value) files.set(file.replace(/^(\.\.\/)+/, ""), bytes);
    download(name.replace(/\.site\.json$|\.json$/, ".zip"), writeZip(files), "application/zip");
    noteSaved(name, true);
}

/** The price list alone, to be used with other properties too. */
export function savePrices(): void {
    const list = price_file.value;
    if (!list) return;
    download(list.name, list.bytes as Uint8Array<ArrayBuffer>, "text/csv");
    notePricesSaved();
}

/** Takes over a design that the engine found: its fixtures, and lamps that it brought. */
export function openSuggested(text: string): void {
    const design = readSite(text);
    change("Take the design found", draft => {
        draft.fixtures = design.fixtures ?? [];
        const known = new Set((draft.lamps ?? []).map(lamp => lamp.id));
        const brought = (design.lamps ?? []).filter(lamp => !known.has(lamp.id));
        if (brought.length) draft.lamps = [...(draft.lamps ?? []), ...brought];
        if (!option.value && design.network) draft.network = design.network;
    });
}
