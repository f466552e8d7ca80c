// What can be added: lights, parts of a house, beds and walks, trees; and tools to look closer.

import { addKind, canAdd, kinds } from "./begin.ts";
import { PartPicture } from "./part_pictures.tsx";
import { addFront, addToWall } from "./parts.ts";
import { PlantChoices } from "./plant_choice.tsx";
import { site } from "./property.ts";
import { kindWords, type Tool, take, tool } from "./tool.ts";

function ToolButton({ words, makes, picture }: { words: string; makes: Tool; picture?: string }) {
    const is_taken = JSON.stringify(tool.value) === JSON.stringify(makes);
    return (
        <button
            type="button"
            class="part"
            aria-pressed={is_taken}
            onClick={event => {
                take(is_taken ? undefined : makes);
                // Enter ends what a pointer draws; on this button it would lay the tool down.
                if (event.detail > 0) event.currentTarget.blur();
            }}
        >
            {picture && <PartPicture of={picture} />}
            {words}
        </button>
    );
}

function KindButton(name: string) {
    const kind = kinds[name];
    return kind && canAdd(kind) ? (
        <button key={name} type="button" class="part" onClick={() => addKind(name)}>
            <PartPicture of={name} />
            {kind.words}
        </button>
    ) : null;
}

export function AddPanel() {
    const has_wall = (site.value.walls ?? []).length > 0;
    return (
        <>
            <h2>Lights</h2>
            <p class="how">Choose one, then click where it stands.</p>
            <div class="parts">
                {Object.entries(kindWords).map(([kind, words]) => (
                    <ToolButton
                        key={kind}
                        words={words.charAt(0).toUpperCase() + words.slice(1)}
                        makes={{ does: "stand", what: kind }}
                        picture={kind}
                    />
                ))}
            </div>
            <h2>House</h2>
            <div class="parts">
                <button type="button" class="part" onClick={() => addFront(2)}>
                    <PartPicture of="front2" />
                    Front, two gables
                </button>
                <button type="button" class="part" onClick={() => addFront(1)}>
                    <PartPicture of="front1" />
                    Front, one gable
                </button>
                <button type="button" class="part" onClick={() => addFront(0)}>
                    <PartPicture of="front0" />
                    Front, level eave
                </button>
                <ToolButton words="Draw a wall" makes={{ does: "wall" }} picture="wall" />
            </div>
            {has_wall && (
                <div class="parts">
                    {(["window", "door", "gable", "porch", "chimney"] as const).map(what => (
                        <button key={what} type="button" class="part" onClick={() => addToWall(what)}>
                            <PartPicture of={what} />
                            {what === "porch" ? "Porch roof" : what.charAt(0).toUpperCase() + what.slice(1)}
                        </button>
                    ))}
                    <ToolButton
                        words="Draw a window"
                        makes={{ does: "opening", what: "window" }}
                        picture="window"
                    />
                    <ToolButton words="Draw a gable" makes={{ does: "gable" }} picture="gable" />
                </div>
            )}
            <div class="parts">
                {(["roof", "porch_roof", "chimney", "dormer", "steps", "railing"] as const).map(KindButton)}
            </div>
            <h2>Lanterns of the house</h2>
            <div class="parts">{(["lantern", "lamp_post"] as const).map(KindButton)}</div>
            <h2>Garden</h2>
            <div class="parts">
                <ToolButton words="Bed" makes={{ does: "area", what: "mulch" }} picture="bed" />
                <ToolButton words="Walk or drive" makes={{ does: "area", what: "paving" }} picture="walk" />
                <ToolButton words="Lawn" makes={{ does: "area", what: "lawn" }} picture="lawn" />
                <ToolButton
                    words="Terrace"
                    makes={{ does: "area", what: "lawn", is_raised: true }}
                    picture="terrace"
                />
                <ToolButton words="Water" makes={{ does: "area", what: "water" }} picture="water" />
                {KindButton("fountain")}
                <ToolButton words="Shrubs" makes={{ does: "shrub" }} picture="shrubs" />
            </div>
            <h2>Trees</h2>
            <div class="parts">
                {["round", "oval", "spreading", "vase", "cone", "column", "weeping"].map(form => (
                    <ToolButton
                        key={form}
                        words={form.charAt(0).toUpperCase() + form.slice(1)}
                        makes={{ does: "tree", what: form }}
                        picture={form}
                    />
                ))}
            </div>
            <PlantChoices />
            <h2>What counts</h2>
            <div class="parts">
                {(["target", "view", "watch_point", "eye", "hub"] as const).map(KindButton)}
            </div>
            <h2>Look closer</h2>
            <div class="parts">
                <ToolButton words="Measure" makes={{ does: "measure" }} />
                <ToolButton words="How much light here?" makes={{ does: "probe" }} />
            </div>
        </>
    );
}
