// What the walk draws, made from the engine's stage: triangles, leaves, pictures and the scale of light.

import {
    BufferAttribute,
    BufferGeometry,
    DataTexture,
    LinearFilter,
    LinearMipmapLinearFilter,
    RepeatWrapping,
    SRGBColorSpace,
} from "three";
import type { LightScale, Material, Scene } from "../engine.ts";

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

/** Of each mix the mean by shares, of `channels` numbers a sensor. */
export function mixLight({ end, sensor, share }: Scene["mixes"], of: Float32Array, channels: number) {
    const mixed = new Float32Array(channels * end.length);
    for (let i = 0, at = 0; i < end.length; i++)
        for (; at < (end[i] as number); at++)
            for (let channel = 0; channel < channels; channel++)
                mixed[channels * i + channel] =
                    (mixed[channels * i + channel] as number) +
                    (share[at] as number) * (of[channels * (sensor[at] as number) + channel] as number);
    return mixed;
}

/** What a mesh or a face shows. */
export function pictureOf({
    width,
    height,
    rgba,
}: {
    width: number;
    height: number;
    rgba: Uint8Array;
}): DataTexture {
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
    const { position, normal, light_uv, surface, material, face_picture } = scene.triangles;
    const count = surface.length;
    const normals = new Float32Array(9 * count);
    const reflectance = new Float32Array(9 * count);
    const gridded = new Float32Array(3 * count);
    const wooden = new Float32Array(3 * count);
    for (let i = 0; i < count; i++) {
        const of = scene.surfaces[surface[i] as number];
        gridded.fill(of?.grid && of.kind !== "ground" ? 1 : 0, 3 * i, 3 * i + 3);
        wooden.fill(of?.kind === "tree" ? 1 : 0, 3 * i, 3 * i + 3);
        // A face's picture is its reflectance.
        const colour =
            (face_picture[i] as number) >= 0
                ? [1, 1, 1]
                : (scene.materials[material[i] as number]?.reflectance ?? [0.2, 0.2, 0.2]);
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
    geometry.setAttribute("wooden", new BufferAttribute(wooden, 1));
    // Without it nothing shines.
    if (scene.materials.some(isShining))
        geometry.setAttribute("shine", new BufferAttribute(shineOf(scene), 3));
    groupByPicture(geometry, scene);
    return geometry;
}

const isShining = ({ luminance }: Material) => luminance.some(channel => channel > 0);

/** What every corner gives off of itself, cd/m2; a face's picture shows that of its own. */
function shineOf(scene: Scene): Float32Array {
    const { material, face_picture } = scene.triangles;
    const shine = new Float32Array(9 * material.length);
    for (let i = 0; i < material.length; i++) {
        const of = scene.materials[material[i] as number];
        if (!of || !isShining(of) || (face_picture[i] as number) >= 0) continue;
        for (let corner = 0; corner < 3; corner++) shine.set(of.luminance, 9 * i + 3 * corner);
    }
    return shine;
}

// Neighbouring triangles with one picture are drawn at once: group 0 without one, then those of the textures, then
// those of the faces.
function groupByPicture(geometry: BufferGeometry, scene: Scene): void {
    const { material, texture_uv, face_picture, face_uv } = scene.triangles;
    const count = material.length;
    const faces_from = scene.textures.length + 1;
    const pictureAt = (i: number) => {
        const face = face_picture[i] as number;
        if (face >= 0) return faces_from + face;
        return texture_uv.length ? (scene.materials[material[i] as number]?.texture ?? -1) + 1 : 0;
    };
    const places = texture_uv.length ? texture_uv.slice() : new Float32Array(6 * count);
    if (face_uv.length)
        for (let i = 0; i < count; i++)
            if ((face_picture[i] as number) >= 0) places.set(face_uv.subarray(6 * i, 6 * i + 6), 6 * i);
    geometry.setAttribute("picture_place", new BufferAttribute(places, 2));
    for (let from = 0; from < count; ) {
        const picture = pictureAt(from);
        let to = from + 1;
        while (to < count && pictureAt(to) === picture) ++to;
        geometry.addGroup(3 * from, 3 * (to - from), picture);
        from = to;
    }
}
