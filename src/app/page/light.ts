// What the engine last said of the document, and the asking: direct light at every change, the rest when the hand
// rests. Nothing here is computed; an answer that has been overtaken is dropped.

import { batch, computed, effect, signal } from "@preact/signals";
import {
    Cancelled,
    type Changed,
    type Engine,
    type Forms,
    type Light,
    type LightScale,
    type Load,
    type Problem,
    type Progress,
    type Scene,
    type Settled,
} from "../engine.ts";
import { noteTime } from "./note_time.ts";
import { option } from "./options.ts";
import {
    companions,
    in_hand,
    is_list,
    optionLit,
    price_file,
    property_id,
    site,
    site_text,
    textOfList,
} from "./property.ts";

export type Season = "in-leaf" | "bare";

export const engine = signal<Engine | undefined>();
export const changed = signal<Changed | undefined>(); // the last that was accepted
export const scene = signal<Scene | undefined>();
export const settled = signal<Settled | undefined>();
export const problems = signal<Problem[]>([]);
/** Direct and all light of the last time the hand rested; known before its report. */
export const whole = signal<Light | undefined>();
export const load = signal<Load | undefined>();
export const scale = signal<LightScale | undefined>();
export const forms = signal<Forms | undefined>();
export const progress = signal<Progress | undefined>();
export const fault = signal<string | undefined>();
export const season = signal<Season>("in-leaf");
export const years_on = signal(0);
/** Whether the engine has said anything yet of the document, good or bad. */
export const has_answered = signal(false);

/** Whether bounced light and report belong to the document as it is now. */
export const is_settled = signal(false);

// Prices go with the questions that are about them: no light changes with them.
let last_files = new Map<string, Uint8Array>();
const lit_files = computed(() => {
    const now = new Map([...companions.value].filter(([name]) => !is_list(name)));
    const is_same =
        now.size === last_files.size && [...now].every(([name, bytes]) => last_files.get(name) === bytes);
    if (!is_same) last_files = now;
    return last_files;
});

// A hand that holds something rests when it has been still for so long; one that has let go rests at once.
/** Longer where a picture that follows the hand would have to wait for the bounced light. */
export const still_ms = signal(150);
const let_go_ms = 10;
let rest_timer: ReturnType<typeof setTimeout> | undefined;
let sent = new Map<string, Uint8Array>();
let opened = "";
let last_look = "";
let heard = 0; // the version of the last answer

/** Gives the engine the document, and follows it from now on. */
export async function follow(ready: Engine): Promise<void> {
    engine.value = ready;
    ready.onProgress(now => {
        progress.value = now.share < 1 ? now : undefined;
    });
    ready.onLight(light => {
        if (light.version !== changed.value?.version) return;
        noteTime("whole", light.total.length);
        whole.value = light;
    });
    ready.onFault(message => {
        fault.value = message;
    });
    noteTime("engine");
    const [the_scale, the_forms] = await Promise.all([ready.scale(), ready.forms()]);
    batch(() => {
        scale.value = the_scale;
        forms.value = the_forms;
    });
    effect(() => {
        const text = site_text.value;
        const files = lit_files.value;
        const look = {
            variant: optionLit(option.value),
            season: season.value,
            years_on: years_on.value,
        };
        void ask(ready, text, files, look, property_id.value);
    });
    effect(() => {
        if (!in_hand.value) settleSoon();
    });
    effect(() => {
        price_file.value;
        const now = changed.peek();
        if (now) followLoad(ready, now);
    });
}

async function ask(
    ready: Engine,
    text: string,
    files: Map<string, Uint8Array>,
    look: { variant: string; season: Season; years_on: number },
    id: string,
): Promise<void> {
    is_settled.value = false;
    noteTime("change");
    const look_text = JSON.stringify(look);
    let answer: Changed | null;
    try {
        if (opened !== id) {
            opened = id;
            sent = new Map(files);
            last_look = look_text;
            // What was lit before is another property: it must not be taken for this one.
            const forget = () =>
                batch(() => {
                    changed.value = undefined;
                    scene.value = undefined;
                    settled.value = undefined;
                    whole.value = undefined;
                });
            forget();
            has_answered.value = false;
            answer = await ready.open({ text, files: Object.fromEntries(files) }, look, early => {
                if (opened === id) scene.value = early;
            });
            if (!answer.is_accepted) forget();
        } else {
            for (const [name, bytes] of files) if (sent.get(name) !== bytes) ready.putFile(name, bytes);
            for (const name of sent.keys()) if (!files.has(name)) ready.removeFile(name);
            sent = new Map(files);
            const is_other_look = last_look !== look_text;
            last_look = look_text;
            const answers = [ready.change(text)];
            if (is_other_look) answers.push(ready.show(look));
            answer = (await Promise.all(answers)).findLast(one => one !== null) ?? null;
        }
    } catch (reason) {
        tellFault(reason);
        return;
    }
    if (!answer) return;
    noteTime("direct", answer.light.direct.length);
    const is_new_stage = answer.is_accepted && (answer.is_stage_new || !scene.peek());
    const new_scene = is_new_stage ? await ready.scene().catch(tellFault) : undefined;
    batch(() => {
        has_answered.value = true;
        if (new_scene && new_scene.version >= (scene.peek()?.version ?? 0)) {
            scene.value = new_scene;
            settled.value = undefined;
            whole.value = undefined;
        }
        // While the scene was fetched a later answer may have come.
        if (answer.version < heard) return;
        heard = answer.version;
        problems.value = answer.problems;
        if (answer.is_accepted) changed.value = answer;
    });
    settleSoon();
}

function settleSoon(): void {
    clearTimeout(rest_timer);
    rest_timer = setTimeout(() => void settleNow(), in_hand.peek() ? still_ms.peek() : let_go_ms);
}

async function settleNow(): Promise<void> {
    const ready = engine.peek();
    const now = changed.peek();
    if (!ready || !now) return;
    if (settled.peek()?.version === now.version) {
        is_settled.value = true;
        return;
    }
    followLoad(ready, now);
    try {
        const answer = await ready.settle();
        if (!answer || changed.peek() !== now) return;
        batch(() => {
            settled.value = answer;
            whole.value = answer.light;
            is_settled.value = true;
            progress.value = undefined;
        });
    } catch (reason) {
        tellFault(reason);
    }
}

function followLoad(ready: Engine, now: Changed): void {
    if (site.peek().network || price_file.peek()) void askLoad(ready, now);
    else load.value = undefined;
}

async function askLoad(ready: Engine, now: Changed): Promise<void> {
    const list = price_file.peek();
    const { file, text } = textOfList(list);
    try {
        const answer = await ready.load({ prices: file, prices_text: text });
        if (changed.peek()?.version === now.version && price_file.peek() === list) load.value = answer;
    } catch (reason) {
        tellFault(reason);
    }
}

export function tellFault(reason: unknown): undefined {
    if (!(reason instanceof Cancelled))
        fault.value = reason instanceof Error ? reason.message : String(reason);
    return undefined;
}

/** The colours of the light to be drawn: with all the light once it is known. */
export const tint_drawn = computed((): Float32Array | undefined => {
    const now = changed.value?.light;
    const all = whole.value;
    return all && all.version === now?.version ? all.tint : now?.tint;
});

/** Lux of every sensor to be drawn: all the light once it is known; until then the direct light of now with the
 *  bounced light of a moment ago, so that the picture does not darken under the hand. The same array as long as no
 *  light has come, so that nobody draws it twice. */
export const lux_drawn = computed((): Float32Array => {
    const now = changed.value?.light;
    const all = whole.value;
    if (!now) return new Float32Array();
    if (!all || all.total.length !== now.direct.length) return now.direct;
    if (all.version === now.version) return all.total;
    const lux = new Float32Array(now.direct.length);
    for (let i = 0; i < lux.length; i++)
        lux[i] = (now.direct[i] as number) + (all.total[i] as number) - (all.direct[i] as number);
    return lux;
});
