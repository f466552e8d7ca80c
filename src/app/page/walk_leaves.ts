// Which leaves the walk draws, and their shapes. Their light is not touched.

import { BufferAttribute, BufferGeometry, Vector3 } from "three";
import type { Scene } from "../engine.ts";

/** The most leaves that are drawn. */
const most_leaves = 40000;
/** Of a plant however far away, where it has so many. */
const least_of_plant = 300;
/** Nearer than that a plant gets no more leaves; metres. */
const nearest = 4;
/** The leaves are chosen anew when a plant has come nearer by this factor, or gone as far. */
const moved_enough = 1.5;

/** A tree or a shrub: its leaves follow each other. */
interface Plant {
    first: number;
    count: number;
    middle: Vector3;
    reach: number; // m, from the middle to its leaves on average
}

export interface ShownLeaves {
    index: Uint32Array;
    stands_for: Float32Array; // leaves, as large as all of which it is drawn
}

/** Chooses what is drawn of the leaves of a scene: most of the plants that the eye is near to. */
export class LeafChoice {
    private readonly plants: Plant[] = [];
    private chosen_at: number[] | undefined; // m from the eye to each plant

    constructor(private readonly scene: Scene) {
        const { surface } = scene.leaves;
        for (let first = 0; first < surface.length; ) {
            let end = first + 1;
            while (end < surface.length && surface[end] === surface[first]) ++end;
            this.plants.push(this.plantOf(first, end - first));
            first = end;
        }
    }

    /** What is to be drawn from there; undefined where that is what was chosen last. */
    choose(eye: Vector3): ShownLeaves | undefined {
        const distances = this.plants.map(({ middle, reach }) =>
            Math.max(nearest, eye.distanceTo(middle) - reach),
        );
        const total = this.scene.leaves.surface.length;
        const before = this.chosen_at;
        if (before) {
            const is_near = distances.every((now, i) => {
                const ratio = now / (before[i] as number);
                return ratio < moved_enough && ratio * moved_enough > 1;
            });
            if (is_near || total <= most_leaves) return undefined;
        }
        this.chosen_at = distances;
        return this.pickOut(this.share(distances, total));
    }

    private leafAt(leaf: number): Vector3 {
        const { corners } = this.scene.leaves;
        const a = new Vector3().fromArray(corners, 12 * leaf);
        return a.add(new Vector3().fromArray(corners, 12 * leaf + 6)).multiplyScalar(0.5);
    }

    private plantOf(first: number, count: number): Plant {
        const step = Math.max(1, Math.floor(count / 200));
        const some: Vector3[] = [];
        for (let leaf = first; leaf < first + count; leaf += step) some.push(this.leafAt(leaf));
        const middle = new Vector3();
        for (const place of some) middle.addScaledVector(place, 1 / some.length);
        const reach = some.reduce((sum, place) => sum + place.distanceTo(middle), 0) / some.length;
        return { first, count, middle, reach };
    }

    /** How many of each plant: in proportion to the picture that it fills, as long as it has so many. */
    private share(distances: number[], total: number): number[] {
        if (total <= most_leaves) return this.plants.map(({ count }) => count);
        const at = (scale: number) =>
            this.plants.map(({ count }, i) =>
                Math.min(count, Math.max(least_of_plant, (scale * count) / (distances[i] as number) ** 2)),
            );
        let [low, high] = [0, Math.max(...distances) ** 2];
        for (let step = 0; step < 40; step++) {
            const middle = (low + high) / 2;
            if (at(middle).reduce((sum, count) => sum + count, 0) > most_leaves) high = middle;
            else low = middle;
        }
        return at(low).map(Math.floor);
    }

    private pickOut(counts: number[]): ShownLeaves {
        const sum = counts.reduce((so_far, count) => so_far + count, 0);
        const shown = { index: new Uint32Array(sum), stands_for: new Float32Array(sum) };
        let next = 0;
        for (const [i, { first, count }] of this.plants.entries()) {
            const stands_for = count / (counts[i] as number);
            for (let k = 0; k < (counts[i] as number); k++, next++) {
                shown.index[next] = first + Math.floor(k * stands_for);
                shown.stands_for[next] = stands_for;
            }
        }
        return shown;
    }
}

/** How far a leaf's outline reaches in halves of its width: shaders/leaf.frag draws it. */
const leaf_reach = { single: 0.75, spray: 1.1 };
/** Longer leaves are shown as sprays of leaflets, as in the engine's pictures; metres, by eye. */
const least_spray = 0.13;

/** Every leaf as the rectangle that its outline lies in; its light is put in later. */
export function makeLeafGeometry(scene: Scene, leaves: ShownLeaves): BufferGeometry {
    const { corners, material } = scene.leaves;
    const shown = leaves.index.length;
    const position = new Float32Array(12 * shown);
    const normals = new Float32Array(12 * shown);
    const reflectance = new Float32Array(12 * shown);
    const transmittance = new Float32Array(12 * shown);
    const leaf_place = new Float32Array(12 * shown);
    const index = new Uint32Array(6 * shown);
    const [along, across, normal, middle] = [new Vector3(), new Vector3(), new Vector3(), new Vector3()];
    const [a, b] = [new Vector3(), new Vector3()];
    for (let i = 0; i < shown; i++) {
        const leaf = leaves.index[i] as number;
        const larger = Math.sqrt(leaves.stands_for[i] as number);
        const from = 12 * leaf;
        a.fromArray(corners, from);
        along
            .fromArray(corners, from + 6)
            .sub(a)
            .multiplyScalar(0.5);
        middle.copy(a).add(along);
        b.fromArray(corners, from + 3);
        across
            .fromArray(corners, from + 9)
            .sub(b)
            .multiplyScalar(0.5);
        normal.crossVectors(along, across).normalize();
        const length = 2 * along.length() * larger;
        const is_spray = length > least_spray && across.length() > 0.42 * along.length();
        const reach = is_spray ? leaf_reach.spray : leaf_reach.single;
        const end = is_spray ? 1.2 : 1;
        const of = scene.materials[material[leaf] as number];
        for (let corner = 0; corner < 4; corner++) {
            const x = corner === 0 || corner === 3 ? -end : end;
            const y = corner < 2 ? -reach : reach;
            const to = 12 * i + 3 * corner;
            a.copy(middle)
                .addScaledVector(along, x * larger)
                .addScaledVector(across, y * larger)
                .toArray(position, to);
            normal.toArray(normals, to);
            leaf_place.set([x, y, is_spray ? 1 : 0], to);
            for (let channel = 0; channel < 3; channel++) {
                reflectance[to + channel] = of?.reflectance[channel] ?? 0.1;
                transmittance[to + channel] = of?.transmittance[channel] ?? 0;
            }
        }
        index.set([4 * i, 4 * i + 1, 4 * i + 2, 4 * i, 4 * i + 2, 4 * i + 3], 6 * i);
    }
    const geometry = new BufferGeometry();
    geometry.setIndex(new BufferAttribute(index, 1));
    geometry.setAttribute("position", new BufferAttribute(position, 3));
    geometry.setAttribute("normal", new BufferAttribute(normals, 3));
    geometry.setAttribute("reflectance", new BufferAttribute(reflectance, 3));
    geometry.setAttribute("transmittance", new BufferAttribute(transmittance, 3));
    geometry.setAttribute("leaf_place", new BufferAttribute(leaf_place, 3));
    geometry.setAttribute("side_lux", new BufferAttribute(new Float32Array(16 * shown), 4));
    for (const name of ["leaf_tint", "leaf_tint_b"])
        geometry.setAttribute(name, new BufferAttribute(new Uint8Array(16 * shown), 4, true));
    return geometry;
}

/** Colours of light go to the leaves as bytes: 255 is so much. */
export const most_leaf_tint = 4;
