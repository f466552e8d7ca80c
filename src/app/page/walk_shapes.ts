// What the walk draws, made from the engine's stage: triangles, leaves, pictures and the scale of light.

import {
    BufferAttribute,
    BufferGeometry,
    DataTexture,
    LinearFilter,
    LinearMipmapLinearFilter,
    RepeatWrapping,
    SRGBColorSpace,
    Vector3,
} from "three";
import type { LightScale, Scene, Texture } from "../engine.ts";

/** The most leaves that are drawn; of more every second, third ... is, larger by as much. Their light is not touched. */
const most_leaves = 40000;

/** The colours of the scale of light. */
export function rampOf(scale: LightScale): DataTexture {
    const count = scale.colours.length / 3;
    const texels = new Uint8Array(4 * count).fill(255);
    for (let i = 0; i < count; i++) texels.set(scale.colours.subarray(3 * i, 3 * i + 3), 4 * i);
    const texture = new DataTexture(texels, count, 1);
    texture.minFilter = LinearFilter;
    texture.magFilter = LinearFilter;
    texture.needsUpdate = true;
    return texture;
}

/** What a mesh shows. */
export function pictureOf({ width, height, rgba }: Texture): DataTexture {
    const texture = new DataTexture(rgba, width, height);
    texture.colorSpace = SRGBColorSpace;
    texture.wrapS = RepeatWrapping;
    texture.wrapT = RepeatWrapping;
    texture.magFilter = LinearFilter;
    texture.minFilter = LinearMipmapLinearFilter;
    texture.generateMipmaps = true;
    texture.anisotropy = 4;
    texture.needsUpdate = true;
    return texture;
}

/** The triangles with what the shaders need of each corner, grouped by the picture that is on them. */
export function makeSurfaceGeometry(scene: Scene): BufferGeometry {
    const { position, normal, light_uv, surface, material } = scene.triangles;
    const count = surface.length;
    const normals = new Float32Array(9 * count);
    const reflectance = new Float32Array(9 * count);
    const gridded = new Float32Array(3 * count);
    for (let i = 0; i < count; i++) {
        const of = scene.surfaces[surface[i] as number];
        gridded.fill(of?.grid && of.kind !== "ground" ? 1 : 0, 3 * i, 3 * i + 3);
        const colour = scene.materials[material[i] as number]?.reflectance ?? [0.2, 0.2, 0.2];
        for (let corner = 0; corner < 3; corner++) {
            for (let axis = 0; axis < 3; axis++) {
                normals[9 * i + 3 * corner + axis] = normal[3 * i + axis] as number;
                reflectance[9 * i + 3 * corner + axis] = colour[axis] as number;
            }
        }
    }
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(position, 3));
    geometry.setAttribute("normal", new BufferAttribute(normals, 3));
    geometry.setAttribute("light_place", new BufferAttribute(light_uv, 2));
    geometry.setAttribute("reflectance", new BufferAttribute(reflectance, 3));
    geometry.setAttribute("gridded", new BufferAttribute(gridded, 1));
    groupByPicture(geometry, scene);
    return geometry;
}

// Neighbouring triangles with one picture are drawn at once: group 0 without one, else the texture's and one.
function groupByPicture(geometry: BufferGeometry, scene: Scene): void {
    const { material, texture_uv } = scene.triangles;
    const count = material.length;
    if (texture_uv.length) geometry.setAttribute("picture_place", new BufferAttribute(texture_uv, 2));
    const pictureAt = (i: number) =>
        texture_uv.length ? (scene.materials[material[i] as number]?.texture ?? -1) + 1 : 0;
    for (let from = 0; from < count; ) {
        const picture = pictureAt(from);
        let to = from + 1;
        while (to < count && pictureAt(to) === picture) ++to;
        geometry.addGroup(3 * from, 3 * (to - from), picture);
        from = to;
    }
}

/** Of how many leaves one is drawn. */
export function findLeafStride(scene: Scene): number {
    return Math.max(1, Math.ceil(scene.leaves.surface.length / most_leaves));
}

/** One leaf of `stride` as two triangles, larger by as much; its light is put in later. */
export function makeLeafGeometry(scene: Scene, stride: number): BufferGeometry {
    const { corners, material, surface } = scene.leaves;
    const shown = Math.floor(surface.length / stride);
    const larger = Math.sqrt(stride);
    const position = new Float32Array(12 * shown);
    const normals = new Float32Array(12 * shown);
    const reflectance = new Float32Array(12 * shown);
    const transmittance = new Float32Array(12 * shown);
    const index = new Uint32Array(6 * shown);
    const [a, b, cross] = [new Vector3(), new Vector3(), new Vector3()];
    for (let i = 0; i < shown; i++) {
        const from = 12 * i * stride;
        const middle = [0, 1, 2].map(
            axis =>
                ((corners[from + axis] as number) +
                    (corners[from + 3 + axis] as number) +
                    (corners[from + 6 + axis] as number) +
                    (corners[from + 9 + axis] as number)) /
                4,
        ) as [number, number, number];
        a.set(0, 0, 0)
            .fromArray(corners, from + 6)
            .sub(b.fromArray(corners, from));
        b.fromArray(corners, from + 9).sub(cross.fromArray(corners, from + 3));
        cross.crossVectors(a, b).normalize();
        const of = scene.materials[material[i * stride] as number];
        for (let corner = 0; corner < 4; corner++)
            for (let axis = 0; axis < 3; axis++) {
                const to = 12 * i + 3 * corner + axis;
                const at = corners[from + 3 * corner + axis] as number;
                const centre = middle[axis] as number;
                position[to] = centre + (at - centre) * larger;
                normals[to] = cross.getComponent(axis);
                reflectance[to] = of?.reflectance[axis] ?? 0.1;
                transmittance[to] = of?.transmittance[axis] ?? 0;
            }
        index.set([4 * i, 4 * i + 1, 4 * i + 2, 4 * i, 4 * i + 2, 4 * i + 3], 6 * i);
    }
    const geometry = new BufferGeometry();
    geometry.setIndex(new BufferAttribute(index, 1));
    geometry.setAttribute("position", new BufferAttribute(position, 3));
    geometry.setAttribute("normal", new BufferAttribute(normals, 3));
    geometry.setAttribute("reflectance", new BufferAttribute(reflectance, 3));
    geometry.setAttribute("transmittance", new BufferAttribute(transmittance, 3));
    geometry.setAttribute("side_lux", new BufferAttribute(new Float32Array(16 * shown), 4));
    return geometry;
}
