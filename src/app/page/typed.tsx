// A figure that can be read and typed: what people write ("15 in", "8") goes into the file as they wrote it.

import { useSignal } from "@preact/signals";
import { useLayoutEffect, useRef } from "preact/hooks";

interface Props {
    label: string;
    value: string;
    /** Takes what was typed; a sentence comes back, at once or later, where it will not do. */
    onTyped(text: string): string | undefined | Promise<string | undefined>;
    onStep?(way: 1 | -1, is_big: boolean): void;
    hint?: string;
    class?: string;
    is_label_hidden?: boolean;
    is_decimal?: boolean;
}

export function Typed(props: Props) {
    const { label, value, onTyped, onStep, hint, class: look = "", is_label_hidden, is_decimal } = props;
    const field = useRef<HTMLInputElement>(null);
    const complaint = useSignal<string | undefined>(undefined);
    const is_typing = useSignal(false);
    // What stands in the field may also be older than `value`: only what was typed is taken.
    const is_new = useRef(false);
    useLayoutEffect(() => {
        if (field.current && !is_typing.value) field.current.value = value;
    }, [value]);
    const complain = (words: string | undefined) => {
        complaint.value = words;
        is_new.current = words !== undefined;
    };
    const enter = () => {
        const node = field.current;
        is_typing.value = false;
        if (!node || !is_new.current || node.value.trim() === value) {
            complain(undefined);
            if (node) node.value = value;
            return;
        }
        is_new.current = false;
        const said = onTyped(node.value.trim());
        if (said instanceof Promise) {
            said.then(complain);
            return;
        }
        complain(said);
        if (!complaint.value) node.value = value;
    };
    return (
        <label class={`typed ${look} ${complaint.value ? "wrong" : ""}`}>
            <span class={is_label_hidden ? "unseen" : "label"}>{label}</span>
            <input
                ref={field}
                type="text"
                inputMode={is_decimal ? "decimal" : undefined}
                autocomplete="off"
                spellcheck={false}
                defaultValue={value}
                placeholder={hint}
                aria-invalid={complaint.value !== undefined}
                onFocus={event => {
                    is_typing.value = true;
                    (event.target as HTMLInputElement).select();
                }}
                onInput={() => {
                    is_typing.value = true;
                    is_new.current = true;
                }}
                onBlur={enter}
                onKeyDown={event => {
                    event.stopPropagation();
                    if (event.key === "Enter") enter();
                    if (event.key === "Escape") {
                        (event.target as HTMLInputElement).value = value;
                        complain(undefined);
                        (event.target as HTMLInputElement).blur();
                    }
                    if (onStep && (event.key === "ArrowUp" || event.key === "ArrowDown")) {
                        event.preventDefault();
                        is_typing.value = false;
                        onStep(event.key === "ArrowUp" ? 1 : -1, event.shiftKey);
                    }
                }}
            />
            {complaint.value && (
                <span class="complaint" role="alert">
                    {complaint.value}
                </span>
            )}
        </label>
    );
}
