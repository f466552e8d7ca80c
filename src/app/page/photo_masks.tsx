// What parts of a photo show, painted round by hand, and the white thing that tells how bright the day was.

import { takeOnPhoto } from "./photo_draw.ts";
import { change, site } from "./property.ts";
import type { Mask, Photo } from "./site.ts";
import { tool } from "./tool.ts";
import { Typed } from "./typed.tsx";
import { callId } from "./words.ts";

const white_usual = 0.75;

/** What a mask shows, in words. */
export function callMask(mask: { kind?: string; plant?: string }): string {
    if (mask.kind === "sky") return "Sky";
    if (mask.kind === "unlit") return "Stays dark";
    return callId(mask.plant ?? "");
}

function changePhoto(words: string, photo: Photo, recipe: (draft: Photo) => void): void {
    change(words, draft => {
        const one = draft.photos?.find(candidate => candidate.id === photo.id);
        if (one) recipe(one);
    });
}

export function Masks({ photo }: { photo: Photo }) {
    const masks = photo.masks ?? [];
    const plants = [...(site.value.trees ?? []), ...(site.value.shrubs ?? [])];
    const now = tool.value?.does === "mask" ? tool.value.mask : undefined;
    const kinds: Omit<Mask, "outline">[] = [
        ...plants.map(plant => ({ kind: "plant", plant: plant.id })),
        { kind: "unlit" },
        { kind: "sky" },
    ];
    return (
        <>
            <div class="heading">
                <h2>Painted round</h2>
                <span class="kind">{masks.length ? `${masks.length}` : "nothing yet"}</span>
            </div>
            <p class="how">
                Leaves before the wall, and what the plan does not have, such as a car: click the corners of
                it.
            </p>
            <div class="parts">
                {kinds.map(mask => {
                    const is_taken = now !== undefined && now.kind === mask.kind && now.plant === mask.plant;
                    return (
                        <button
                            key={`${mask.kind} ${mask.plant}`}
                            type="button"
                            class="part"
                            aria-pressed={is_taken}
                            onClick={event => {
                                takeOnPhoto(is_taken ? undefined : { does: "mask", mask });
                                if (event.detail > 0) (event.currentTarget as HTMLElement).blur();
                            }}
                        >
                            {callMask(mask)}
                        </button>
                    );
                })}
            </div>
            {masks.length > 0 && (
                <ul class="mark-list">
                    {masks.map((mask, index) => (
                        <li key={`${index} ${mask.outline.length}`}>
                            <span>{callMask(mask)}</span>
                            <span class="fit">{mask.outline.length / 2} corners</span>
                            <button
                                type="button"
                                class="quiet"
                                aria-label={`Take away what is painted round ${callMask(mask)}, ${index + 1} of ${masks.length}`}
                                onClick={() =>
                                    changePhoto("Take away a mask", photo, draft => {
                                        draft.masks = draft.masks?.filter((_one, at) => at !== index);
                                    })
                                }
                            >
                                ✕
                            </button>
                        </li>
                    ))}
                </ul>
            )}
            <White photo={photo} />
        </>
    );
}

function White({ photo }: { photo: Photo }) {
    const is_taken = tool.value?.does === "white";
    return (
        <>
            <div class="heading">
                <h2>White place</h2>
                <button
                    type="button"
                    aria-pressed={is_taken}
                    onClick={event => {
                        takeOnPhoto(is_taken ? undefined : { does: "white" });
                        if (event.detail > 0) (event.currentTarget as HTMLElement).blur();
                    }}
                >
                    {is_taken ? "Stop" : photo.white ? "Another place" : "Point at it"}
                </button>
            </div>
            <p class="how">
                White trim or a grey card beside a wall tells how bright the day was. Without it the wall’s
                finish is gone by.
            </p>
            {photo.white && (
                <div class="figures two">
                    <Typed
                        label="Share it reflects"
                        value={String(photo.white.reflectance ?? white_usual)}
                        is_decimal
                        onTyped={text => {
                            const share = /%$/.test(text)
                                ? Number(text.replace(/ *%$/, "")) / 100
                                : Number(text);
                            if (!(share >= 0.05 && share <= 1))
                                return "A share from 0.05 to 1: 0.75 of white trim, 0.18 of a grey card.";
                            changePhoto("Set what the white place reflects", photo, draft => {
                                if (draft.white) draft.white.reflectance = share;
                            });
                            return undefined;
                        }}
                    />
                    <button
                        type="button"
                        onClick={() =>
                            changePhoto("Take away the white place", photo, draft => {
                                delete draft.white;
                            })
                        }
                    >
                        Take it away
                    </button>
                </div>
            )}
        </>
    );
}
