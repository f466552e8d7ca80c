// The walk in three dimensions: the engine's stage with its light, drawn by three.js with shaders of our own.

import {
    BufferAttribute,
    BufferGeometry,
    DataTexture,
    DataUtils,
    DoubleSide,
    GLSL3,
    HalfFloatType,
    LinearFilter,
    Matrix4,
    Mesh,
    NoColorSpace,
    PerspectiveCamera,
    Raycaster,
    RedFormat,
    RGBAFormat,
    ShaderMaterial,
    Scene as ThreeScene,
    Vector2,
    Vector3,
    WebGLRenderer,
} from "three";
import bark from "../../../shaders/bark.glsl";
import dusk from "../../../shaders/dusk.glsl";
import leaf_frag from "../../../shaders/leaf.frag";
import leaf_vert from "../../../shaders/leaf.vert";
import night from "../../../shaders/night.glsl";
import show from "../../../shaders/show.glsl";
import sky_frag from "../../../shaders/sky.frag";
import sky_vert from "../../../shaders/sky.vert";
import surface_frag from "../../../shaders/surface.frag";
import surface_vert from "../../../shaders/surface.vert";
import type { LightScale, Scene } from "../engine.ts";
import { LeafChoice, makeLeafGeometry, most_leaf_tint, type ShownLeaves } from "./walk_leaves.ts";
import { makeSurfaceGeometry, mixLight, pictureOf, rampOf } from "./walk_shapes.ts";

export type Look = "night" | "light" | "day";
const look_number: Record<Look, number> = { night: 0, light: 1, day: 2 };

const picture_aspect = 1.6;
/** Night pictures show at least so much light from the sky; view/tone.hpp says why. */
const least_ambient_lx = 0.15;

export class WalkScene {
    readonly camera = new PerspectiveCamera(50, 1, 0.1, 600);
    private readonly renderer: WebGLRenderer;
    private readonly stage = new ThreeScene();
    private readonly uniforms = {
        look: { value: 0 },
        lamp_colour: { value: new Vector3(1, 1, 1) },
        ambient_lx: { value: least_ambient_lx },
        least_lx: { value: 0.5 },
        most_lx: { value: 1000 },
        levels: { value: new Array(8).fill(1) as number[] },
        level_count: { value: 0 },
        split: { value: 1e9 },
        ramp: { value: null as DataTexture | null },
        light: { value: null as DataTexture | null },
        light_b: { value: null as DataTexture | null },
        tint: { value: null as DataTexture | null },
        tint_b: { value: null as DataTexture | null },
        is_tinted: { value: false },
        is_tinted_b: { value: false },
        world_from_clip: { value: new Matrix4() },
    };
    private surfaces: Mesh | undefined;
    private leaves: Mesh | undefined;
    private source: Scene | undefined;
    private leaf_choice: LeafChoice | undefined;
    private leaves_shown: ShownLeaves | undefined;
    private lit: { [side in "a" | "b"]?: { lux: Float32Array; tint: Float32Array | undefined } } = {};
    private pictures: DataTexture[] = [];

    constructor(canvas: HTMLCanvasElement) {
        this.renderer = new WebGLRenderer({ canvas, antialias: true, powerPreference: "high-performance" });
        this.camera.up.set(0, 0, 1);
        const sky = new Mesh(new BufferGeometry(), this.material(sky_vert, sky_frag, false));
        sky.geometry.setAttribute(
            "position",
            new BufferAttribute(new Float32Array([-1, -1, 0, 3, -1, 0, -1, 3, 0]), 3),
        );
        sky.frustumCulled = false;
        (sky.material as ShaderMaterial).depthWrite = false;
        sky.renderOrder = -1;
        this.stage.add(sky);
    }

    /** `glow`: of a face's picture, cd/m2 where it glows most; a texture of a mesh has none. */
    private material(
        vertex: string,
        fragment: string,
        is_lit = true,
        picture?: DataTexture,
        glow?: [number, number, number],
    ): ShaderMaterial {
        return new ShaderMaterial({
            glslVersion: GLSL3,
            defines: picture ? (glow ? { PICTURED: 1, FACE: 1 } : { PICTURED: 1 }) : {},
            vertexShader: vertex,
            fragmentShader: is_lit ? `${night}\n${dusk}\n${show}\n${bark}\n${fragment}` : fragment,
            uniforms: picture
                ? {
                      ...this.uniforms,
                      picture: { value: picture },
                      glow: { value: new Vector3(...(glow ?? [0, 0, 0])) },
                  }
                : this.uniforms,
            side: DoubleSide,
        });
    }

    /** Takes away what stands there. */
    clear(): void {
        this.source = undefined;
        for (const mesh of [this.surfaces, this.leaves])
            if (mesh) {
                this.stage.remove(mesh);
                mesh.geometry.dispose();
                for (const material of [mesh.material].flat()) material.dispose();
            }
        for (const picture of this.pictures) picture.dispose();
        this.pictures = [];
        this.surfaces = undefined;
        this.leaves = undefined;
        this.leaf_choice = undefined;
        this.lit = {};
    }

    /** Draws the leaves that matter most from where the eye is now. */
    private showLeaves(): void {
        const { source } = this;
        const chosen = source && this.leaf_choice?.choose(this.camera.position);
        if (!source || !chosen?.index.length) return;
        this.leaves_shown = chosen;
        const geometry = makeLeafGeometry(source, chosen);
        if (this.leaves) {
            this.leaves.geometry.dispose();
            this.leaves.geometry = geometry;
        } else {
            this.leaves = new Mesh(geometry, this.material(leaf_vert, leaf_frag));
            this.leaves.frustumCulled = false;
            this.stage.add(this.leaves);
        }
        for (const side of ["a", "b"] as const) this.lightLeaves(side);
    }

    setStage(scene: Scene): void {
        this.clear();
        this.source = scene;
        this.pictures = [...scene.textures, ...scene.face_pictures].map(pictureOf);
        this.surfaces = new Mesh(makeSurfaceGeometry(scene), [
            this.material(surface_vert, surface_frag),
            ...this.pictures.map((picture, index) => {
                const face = scene.face_pictures[index - scene.textures.length];
                return this.material(surface_vert, surface_frag, true, picture, face?.glow);
            }),
        ]);
        this.stage.add(this.surfaces);
        this.leaf_choice = new LeafChoice(scene);
        for (const key of ["light", "light_b"] as const) {
            this.uniforms[key].value?.dispose();
            const texture = new DataTexture(
                new Uint16Array(scene.atlas.width * scene.atlas.height),
                scene.atlas.width,
                scene.atlas.height,
                RedFormat,
                HalfFloatType,
            );
            texture.minFilter = LinearFilter;
            texture.magFilter = LinearFilter;
            texture.colorSpace = NoColorSpace;
            this.uniforms[key].value = texture;
        }
        this.uniforms.is_tinted.value = false;
        this.uniforms.is_tinted_b.value = false;
    }

    /** Lux of every sensor and its colour where lamps differ; in `side` "b" those of the option right of the slider. */
    setLight(lux: Float32Array, side: "a" | "b", tint?: Float32Array): void {
        const { source } = this;
        // Light of a stage that is not here yet, or no longer.
        if (!source || 3 * lux.length !== source.sensor_position.length) return;
        const texture = this.uniforms[side === "a" ? "light" : "light_b"].value;
        if (texture) {
            const texels = texture.image.data as Uint16Array;
            const mixed = mixLight(source.mixes, lux, 1);
            for (let i = 0; i < texels.length; i++) {
                const sensor = source.atlas.sensor[i] as number;
                const level = sensor < lux.length ? lux[sensor] : mixed[sensor - lux.length];
                texels[i] = sensor < 0 ? 0 : DataUtils.toHalfFloat(Math.min(60000, level as number));
            }
            texture.needsUpdate = true;
        }
        this.setTint(side, tint);
        this.lit[side] = { lux, tint };
        this.lightLeaves(side);
    }

    private lightLeaves(side: "a" | "b"): void {
        const { source, lit, leaves_shown: shown } = this;
        const of = lit[side];
        const sides = this.leaves?.geometry.getAttribute("side_lux") as BufferAttribute | undefined;
        if (!source || !of || !shown || !sides) return;
        const { lux, tint } = of;
        const { sensor } = source.leaves;
        const first = side === "a" ? 0 : 2;
        for (let i = 0; i < shown.index.length; i++) {
            const leaf = shown.index[i] as number;
            const front = sensor[2 * leaf] as number;
            const back = sensor[2 * leaf + 1] as number;
            for (let corner = 0; corner < 4; corner++) {
                sides.array[16 * i + 4 * corner + first] = front < 0 ? 0 : (lux[front] as number);
                sides.array[16 * i + 4 * corner + first + 1] = back < 0 ? 0 : (lux[back] as number);
            }
        }
        sides.needsUpdate = true;
        this.tintLeaves(side, shown, lux, tint);
    }

    /** Each leaf in the colour of the lamps that light it: of its two sides the brighter. */
    private tintLeaves(
        side: "a" | "b",
        shown: ShownLeaves,
        lux: Float32Array,
        tint: Float32Array | undefined,
    ): void {
        const { source } = this;
        const name = side === "a" ? "leaf_tint" : "leaf_tint_b";
        const colours = this.leaves?.geometry.getAttribute(name) as BufferAttribute | undefined;
        if (!source || !colours || tint?.length !== source.sensor_position.length) return;
        const bytes = colours.array as Uint8Array;
        const { sensor } = source.leaves;
        for (let i = 0; i < shown.index.length; i++) {
            const leaf = shown.index[i] as number;
            const front = sensor[2 * leaf] as number;
            const back = sensor[2 * leaf + 1] as number;
            const of =
                back < 0 || (front >= 0 && (lux[front] as number) >= (lux[back] as number)) ? front : back;
            for (let channel = 0; channel < 3; channel++) {
                const level = of < 0 ? 1 : (tint[3 * of + channel] as number);
                const byte = Math.min(255, Math.max(0, Math.round((255 / most_leaf_tint) * level)));
                for (let corner = 0; corner < 4; corner++) bytes[16 * i + 4 * corner + channel] = byte;
            }
        }
        colours.needsUpdate = true;
    }

    private setTint(side: "a" | "b", tint: Float32Array | undefined): void {
        const { source } = this;
        const is_tinted = source !== undefined && tint?.length === source.sensor_position.length;
        this.uniforms[side === "a" ? "is_tinted" : "is_tinted_b"].value = is_tinted;
        if (!is_tinted || !tint) return;
        const { width, height, sensor } = source.atlas;
        const texels = new Uint16Array(4 * width * height);
        const mixed = mixLight(source.mixes, tint, 3);
        for (let i = 0; i < sensor.length; i++) {
            const of = 3 * (sensor[i] as number);
            if (of < 0) continue;
            for (let channel = 0; channel < 3; channel++) {
                const at = of + channel;
                const level = at < tint.length ? tint[at] : mixed[at - tint.length];
                texels[4 * i + channel] = DataUtils.toHalfFloat(level as number);
            }
        }
        const texture = new DataTexture(texels, width, height, RGBAFormat, HalfFloatType);
        texture.minFilter = LinearFilter;
        texture.magFilter = LinearFilter;
        texture.needsUpdate = true;
        const key = side === "a" ? "tint" : "tint_b";
        this.uniforms[key].value?.dispose();
        this.uniforms[key].value = texture;
    }

    setLook(
        look: Look,
        scale: LightScale | undefined,
        levels: number[],
        lamp_colour: [number, number, number],
        ambient_lx: number,
    ): void {
        this.uniforms.look.value = look_number[look];
        this.uniforms.lamp_colour.value.fromArray(lamp_colour);
        this.uniforms.ambient_lx.value = Math.max(0, least_ambient_lx - ambient_lx);
        if (scale) {
            this.uniforms.ramp.value ??= rampOf(scale);
            this.uniforms.least_lx.value = scale.least_lx;
            this.uniforms.most_lx.value = scale.most_lx;
        }
        this.uniforms.level_count.value = Math.min(8, levels.length);
        this.uniforms.levels.value = Array.from({ length: 8 }, (_, i) => levels[i] ?? 1);
    }

    /** Share of the width left of which the first option is shown; 1: everywhere. */
    setSplit(share: number): void {
        const width = this.renderer.getDrawingBufferSize(new Vector2()).x;
        this.uniforms.split.value = share >= 1 ? 1e9 : share * width;
    }

    setSize(width: number, height: number): void {
        this.renderer.setPixelRatio(Math.min(2, devicePixelRatio || 1));
        this.renderer.setSize(width, height, false);
        this.camera.aspect = width / Math.max(1, height);
        this.camera.updateProjectionMatrix();
    }

    /** A full horizontal angle in degrees; a pane wider than the pictures of views shows more, not less. */
    setFieldOfView(degrees: number): void {
        const half = Math.tan((degrees * Math.PI) / 360) / Math.min(this.camera.aspect, picture_aspect);
        this.camera.fov = (Math.atan(half) * 360) / Math.PI;
        this.camera.updateProjectionMatrix();
    }

    draw(): void {
        this.camera.updateMatrixWorld();
        this.showLeaves();
        this.uniforms.world_from_clip.value
            .copy(this.camera.matrixWorld)
            .multiply(this.camera.projectionMatrixInverse);
        this.renderer.render(this.stage, this.camera);
    }

    /** Pixels of a place, and whether it lies before the eye. */
    project(
        [x, y, z]: readonly [number, number, number],
        width: number,
        height: number,
    ): [number, number, boolean] {
        const at = new Vector3(x, y, z).project(this.camera);
        return [((at.x + 1) / 2) * width, ((1 - at.y) / 2) * height, at.z < 1];
    }

    private rayOf(x: number, y: number): Raycaster {
        const caster = new Raycaster();
        caster.setFromCamera(new Vector2(2 * x - 1, 1 - 2 * y), this.camera);
        return caster;
    }

    /** Where a pixel (shares of width and height) meets the level z; undefined towards the sky. */
    spotAtLevel(x: number, y: number, z: number): [number, number] | undefined {
        const { origin, direction } = this.rayOf(x, y).ray;
        const t = (z - origin.z) / direction.z;
        if (!(t > 0) || t > 300) return undefined;
        return [origin.x + t * direction.x, origin.y + t * direction.y];
    }

    /** Whether a surface stands between the eye and a place. */
    isHidden(place: readonly [number, number, number]): boolean {
        if (!this.surfaces) return false;
        const way = new Vector3(...place).sub(this.camera.position);
        const far = way.length();
        const caster = new Raycaster(this.camera.position, way.normalize(), 0.1, Math.max(0.1, far - 0.35));
        return caster.intersectObject(this.surfaces).length > 0;
    }

    /** How high the ground is there; 0 beyond it. */
    groundBelow(x: number, y: number): number {
        const { source } = this;
        if (!this.surfaces || !source) return 0;
        const caster = new Raycaster(new Vector3(x, y, 1000), new Vector3(0, 0, -1));
        const met = caster
            .intersectObject(this.surfaces)
            .find(
                ({ faceIndex }) =>
                    faceIndex != null &&
                    source.surfaces[source.triangles.surface[faceIndex] as number]?.kind === "ground",
            );
        return met?.point.z ?? 0;
    }

    /** The nearest surface at a pixel. */
    find(
        x: number,
        y: number,
    ): { surface: number; position: [number, number, number]; normal: [number, number, number] } | undefined {
        if (!this.surfaces || !this.source) return undefined;
        const caster = this.rayOf(x, y);
        const hit = caster.intersectObject(this.surfaces)[0];
        if (!hit || hit.faceIndex == null) return undefined;
        const { normal, surface } = this.source.triangles;
        const way = [0, 1, 2].map(axis => normal[3 * (hit.faceIndex as number) + axis] as number) as [
            number,
            number,
            number,
        ];
        const { direction } = caster.ray;
        const is_away = way[0] * direction.x + way[1] * direction.y + way[2] * direction.z > 0;
        const facing = way.map(part => (is_away ? -part : part)) as [number, number, number];
        return {
            surface: surface[hit.faceIndex] as number,
            position: hit.point.toArray() as [number, number, number],
            normal: facing,
        };
    }

    dispose(): void {
        this.surfaces?.geometry.dispose();
        this.leaves?.geometry.dispose();
        this.renderer.dispose();
    }
}
