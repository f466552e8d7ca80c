// Long work that was asked for by a button: what it is, how far it has come, and how to stop it.

import { type Signal, useSignal } from "@preact/signals";
import { engine, progress, tellFault } from "./light.ts";

/** `words` says what is under way; empty: nothing. */
export function useWork(): {
    words: Signal<string>;
    run(what: string, work: () => Promise<void>): Promise<void>;
} {
    const words = useSignal("");
    const run = async (what: string, work: () => Promise<void>) => {
        words.value = what;
        try {
            await work();
        } catch (reason) {
            tellFault(reason);
        }
        words.value = "";
    };
    return { words, run };
}

export function Busy({ words }: { words: Signal<string> }) {
    if (!words.value) return null;
    return (
        <div class="busy" role="status">
            <span>{words.value} …</span>
            <progress value={progress.value?.share ?? 0} max={1} aria-label={words.value} />
            <button type="button" class="quiet" onClick={() => engine.value?.cancel()}>
                Stop
            </button>
        </div>
    );
}
