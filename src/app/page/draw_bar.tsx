// What the tool in hand asks for, and where places and lengths are typed.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { finish, isOutline } from "./draw.ts";
import { type DrawnOn, exampleOf, moveCross, setByText, setCross, setThatWay } from "./draw_keys.ts";
import { printLength } from "./length.ts";
import { unit } from "./move.ts";
import { cursor, instruction, is_keyed, points, take, tool } from "./tool.ts";

export function DrawBar({ on }: { on: DrawnOn }) {
    const field = useRef<HTMLInputElement>(null);
    const complaint = useSignal<string | undefined>(undefined);
    const now = tool.value;
    // Who took the tool by keys goes on by keys, and comes back to the bench from it.
    useEffect(() => {
        const is_by_keys = document.activeElement?.matches(":focus-visible") ?? false;
        if (is_by_keys) field.current?.focus();
        return () => {
            if (!is_by_keys) return;
            setTimeout(() => {
                if (document.activeElement === document.body) document.getElementById("panel")?.focus();
            });
        };
    }, []);
    const is_path = ["wall", "area", "shrub", "cable"].includes(now?.does ?? "");
    const least = now && isOutline(now) ? 3 : 2;
    const end = () => now && finish(isOutline(now));
    const enter = (event: Event) => {
        event.preventDefault();
        const text = field.current?.value.trim() ?? "";
        complaint.value = undefined;
        if (text !== "") {
            complaint.value = setByText(on, text);
            if (complaint.value) field.current?.select();
            else if (field.current) field.current.value = "";
        } else if (is_keyed.value) setCross(on);
        else if (is_path && points.value.length >= least) end();
    };
    const key = (event: KeyboardEvent) => {
        const node = event.target as HTMLInputElement;
        if (event.key === "Escape") return; // puts the tool down
        if (node.value.trim() === "" ? moveCross(on, event) : setThatWay(on, node.value, event.key)) {
            event.preventDefault();
            node.value = "";
        }
        event.stopPropagation();
    };
    const at = is_keyed.value ? cursor.value : undefined;
    return (
        <div class="draw-bar">
            <span role="status">{instruction.value}</span>
            <form onSubmit={enter}>
                <label>
                    <span class="unseen">Place or length</span>
                    <input
                        ref={field}
                        id="drawn-place"
                        type="text"
                        autocomplete="off"
                        placeholder={exampleOf(on)}
                        aria-invalid={complaint.value !== undefined}
                        aria-describedby="drawn-keys"
                        onKeyDown={key}
                    />
                </label>
                <span class="keys" id="drawn-keys">
                    {complaint.value ??
                        (at
                            ? `${printLength(at[0], unit())}, ${printLength(at[1], unit())}: Enter sets it`
                            : "Arrow keys move the cross, Enter sets it")}
                </span>
            </form>
            {is_path && points.value.length >= least && (
                <button type="button" class="deed" onClick={end}>
                    Done
                </button>
            )}
            <button type="button" onClick={() => take(undefined)}>
                Stop
            </button>
        </div>
    );
}
