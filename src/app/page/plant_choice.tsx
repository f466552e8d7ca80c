// Plants chosen by how they look: the engine grows each kind once, when the list is opened, and draws it.

import { signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { PlantChoice } from "../engine.ts";
import { engine, tellFault } from "./light.ts";
import { in_hand } from "./property.ts";
import { take, tool } from "./tool.ts";

const picture_size = 64; // pixels each way

const plants = signal<PlantChoice[]>([]);
const pictures = signal<ReadonlyMap<string, ImageData>>(new Map());
let is_asking = false;

// One after the other, and none while something is moved: the same worker answers the hand.
async function askPictures(): Promise<void> {
    const ready = engine.value;
    if (is_asking || !ready) return;
    is_asking = true;
    try {
        if (!plants.value.length) plants.value = await ready.plants();
        for (const { name } of plants.value) {
            while (in_hand.value) await new Promise(done => setTimeout(done, 300));
            if (!is_asking) return;
            if (pictures.value.has(name)) continue;
            const { size, rgba } = await ready.plantPicture(name, picture_size);
            const picture = new ImageData(new Uint8ClampedArray(rgba), size, size);
            pictures.value = new Map(pictures.value).set(name, picture);
        }
    } catch (fault) {
        tellFault(fault);
    } finally {
        is_asking = false;
    }
}

export function PlantChoices() {
    useEffect(
        () => () => {
            is_asking = false;
        },
        [],
    );
    const now = tool.value;
    const taken = now && (now.does === "tree" || now.does === "shrub") ? now.plant : undefined;
    return (
        <details
            class="plant-choices"
            onToggle={event => {
                if ((event.target as HTMLDetailsElement).open) void askPictures();
            }}
        >
            <summary>Plants by name and picture</summary>
            {[true, false].map(is_tree => (
                <section key={String(is_tree)} aria-label={is_tree ? "Trees" : "Shrubs and flowers"}>
                    <p class="how">
                        {is_tree
                            ? "Choose one, then click where its trunk stands."
                            : "Choose one, then click the corners of its bed."}
                    </p>
                    <div class="plants">
                        {plants.value
                            .filter(plant => plant.is_tree === is_tree)
                            .map(({ name }) => (
                                <button
                                    key={name}
                                    type="button"
                                    class="part plant"
                                    aria-pressed={taken === name}
                                    onClick={event => {
                                        if (taken === name) take(undefined);
                                        else if (is_tree) take({ does: "tree", what: name, plant: name });
                                        else take({ does: "shrub", plant: name });
                                        if (event.detail > 0) event.currentTarget.blur();
                                    }}
                                >
                                    <Picture of={pictures.value.get(name)} />
                                    {name.charAt(0).toUpperCase() + name.slice(1)}
                                </button>
                            ))}
                    </div>
                </section>
            ))}
        </details>
    );
}

function Picture({ of }: { of: ImageData | undefined }) {
    const canvas = useRef<HTMLCanvasElement>(null);
    useEffect(() => {
        if (of) canvas.current?.getContext("2d")?.putImageData(of, 0, 0);
    }, [of]);
    return (
        <canvas
            ref={canvas}
            class={of ? "" : "coming"}
            width={picture_size}
            height={picture_size}
            aria-hidden="true"
        />
    );
}
