// A figure that can be read and typed: what people write ("15 in", "8") goes into the file as they wrote it.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";

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
    useEffect(() => {
        if (field.current && !is_typing.value) field.current.value = value;
    }, [value]);
    const enter = () => {
        const node = field.current;
        is_typing.value = false;
        if (!node || node.value.trim() === value) {
            complaint.value = undefined;
            if (node) node.value = value;
            return;
        }
        const said = onTyped(node.value.trim());
        if (said instanceof Promise) {
            said.then(words => {
                complaint.value = words;
            });
            return;
        }
        complaint.value = said;
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
                onBlur={enter}
                onKeyDown={event => {
                    event.stopPropagation();
                    if (event.key === "Enter") enter();
                    if (event.key === "Escape") {
                        (event.target as HTMLInputElement).value = value;
                        complaint.value = undefined;
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
