// The engine as the page sees it: types, and promises over Workers. Nobody else knows of memory or messages.
//
// The `front` worker answers what a hand waits for: a change of the document, direct light, loads, probes. The
// `back` worker follows it with what takes longer: bounced light and the whole report when the hand rests, views.
// A `study` worker is started for a sweep or a search and ended with it, which is also how one is cancelled.
//
// All figures are SI (metres, radians, lux, candela, lumens, volts); `words` are in the site's units and are the
// sentences of the command line. Right-handed, z up, north is +y. Names of keys follow the site file.

// ---- What is said of the document -------------------------------------------------------------------------

export interface Problem {
    severity: "error" | "warning";
    /** What is wrong. */
    message: string;
    /** What would be right; may be empty. */
    remedy: string;
    /** JSON pointer into the site file, such as "/fixtures/2/tilt"; empty: the whole, or another file. */
    pointer: string;
    /** The file it is in: the site's name, or one that the site names. */
    file: string;
    /** From 1; 0: not known. */
    line: number;
    column: number;
}

/** A site file with what it names: catalogues, LM-63, OBJ, MTL, textures, price lists. */
export interface SiteDocument {
    text: string;
    /** Bytes by name as the site file says it, "/" between folders; ".." is allowed. */
    files: Record<string, Uint8Array>;
}

/** How the document is looked at; absent: as it stands, in leaf, today. */
export interface Look {
    /** Id of one of the site's variants; absent or "": the site itself. */
    variant?: string;
    season?: "in-leaf" | "bare";
    years_on?: number;
}

/** What an accepted or refused document means. Where it is refused the last good state stays. */
export interface Changed {
    /** Counts the documents and looks that were given to this engine. */
    version: number;
    is_accepted: boolean;
    /** Errors where refused; else warnings: of reading, of advice (a spike in a lawn ...) and of meshes. */
    problems: Problem[];
    /** The stage was built anew: ask scene() again. */
    is_stage_new: boolean;
    /** Ids of fixtures whose light changed. */
    fixtures_changed: string[];
    /** What follows is of the last good state. */
    light: Light;
    fixtures: FixtureState[];
    options: { id: string; name: string }[];
    site: SiteWords;
}

export interface SiteWords {
    name: string;
    units: "ft" | "m";
    light: "fc" | "lx";
    /** Lux, ascending: those of the report. */
    levels_lx: number[];
    level_words: string[];
    ambient_lx: number;
    currency: string;
}

// ---- The stage, for drawing -------------------------------------------------------------------------------

export type SurfaceKind =
    | "wall"
    | "projection"
    | "soffit"
    | "opening"
    | "ground"
    | "tree"
    | "shrub"
    | "mesh"
    | "lantern"
    | "roof"
    | "steps"
    | "railing"
    | "fountain"
    | "water";

/** A surface unfolded to a plane of square cells: u along the wall's run (or east, or along), v up (or north). */
export interface Grid {
    u0: number;
    v0: number;
    step: number;
    columns: number;
    rows: number;
    /** rows x columns from the lowest row: index of the cell's sensor, -1 where nothing of the surface is kept. */
    cells: Int32Array;
}

export interface Outline {
    role: "edge" | "gable" | "opening" | "projection" | "corner" | "area";
    id: string;
    /** u, v pairs. */
    points: [number, number][];
    is_closed: boolean;
}

export interface RunSegment {
    start: [number, number];
    direction: [number, number];
    outward: [number, number];
    along: number;
    length: number;
}

export interface Surface {
    id: string;
    kind: SurfaceKind;
    /** The wall, tree ... in the document that it belongs to. */
    part_of: string;
    /** Its sensors: first .. first + count - 1. */
    first: number;
    count: number;
    area_m2: number;
    grid: Grid | null;
    outline: Outline[];
    /** Upright surfaces: the plan's run and the z that heights count from; else empty. */
    run: RunSegment[];
    foot: number;
}

export interface Material {
    name: string;
    /** Linear sRGB. */
    reflectance: [number, number, number];
    transmittance: [number, number, number];
    /** What it gives off of itself, cd/m2 by channel. */
    luminance: [number, number, number];
    /** Index into Scene.textures; -1: none. */
    texture: number;
}

export interface Texture {
    width: number;
    height: number;
    /** 8-bit sRGB with alpha, first row at the bottom. */
    rgba: Uint8Array;
}

/** What faces show beyond their triangles: a piece of cladding that repeats, or an opening. */
export interface FacePicture {
    width: number;
    height: number;
    /** 8-bit sRGB reflectance, first row at the bottom; alpha is the share of `glow`. */
    rgba: Uint8Array;
    /** cd/m2 per channel where alpha is 255. */
    glow: [number, number, number];
}

export interface Scene {
    version: number;
    surfaces: Surface[];
    materials: Material[];
    textures: Texture[];
    face_pictures: FacePicture[];
    /** Three floats a sensor. */
    sensor_position: Float32Array;
    sensor_normal: Float32Array;
    /** One map of light for all triangles: fill each texel with the lux of the sensor it names (-1: none). */
    atlas: {
        width: number;
        height: number;
        /** width x height, the lowest row first. Beside what is kept of a surface stands the nearest sensor, so that
         *  a linear filter mixes nothing foreign in. Beyond the last sensor they count on: the light of `mixes`. */
        sensor: Int32Array;
    };
    /** Light between sensors: of mix i a sum over sensor[end[i - 1]] up to sensor[end[i]], times their shares. */
    mixes: { end: Int32Array; sensor: Int32Array; share: Float32Array };
    /** Triangles, corners not shared. */
    triangles: {
        /** 9 a triangle. */
        position: Float32Array;
        /** 3 a triangle. */
        normal: Float32Array;
        /** 6 a triangle: place in the atlas, 0..1; -1 where no light is known (ground far from the site). */
        light_uv: Float32Array;
        /** 6 a triangle: place in the material's texture; empty where no material has one. */
        texture_uv: Float32Array;
        /** 1 a triangle: index into face_pictures; -1: none. */
        face_picture: Int32Array;
        /** 6 a triangle: place in that picture, which repeats with every 1; empty where there is none. */
        face_uv: Float32Array;
        /** 1 a triangle. */
        surface: Uint16Array;
        material: Uint16Array;
        /** 1 a triangle: 1 where its texture has see-through parts. */
        cutout: Uint8Array;
        /** 1 a triangle: 1 where it bounds something solid, whose inside is never seen. */
        solid: Uint8Array;
    };
    leaves: {
        /** 12 a leaf: four corners, going round. */
        corners: Float32Array;
        surface: Uint16Array;
        material: Uint16Array;
        /** 2 a leaf: the sensor whose light stands for the side towards its normal, and for the other side; -1: none. */
        sensor: Int32Array;
    };
    /** [east, north, up] least and most of everything but the ground. */
    bounds: { least: [number, number, number]; most: [number, number, number] };
    /** What a plan is drawn from; outlines in [east, north]. */
    plan: {
        walls: { id: string; outline: [number, number][]; is_closed: boolean }[];
        projections: { id: string; outline: [number, number][] }[];
        roofs: {
            id: string;
            outline: [number, number][];
            chimneys: { id: string; outline: [number, number][] }[];
            dormers: { id: string; outline: [number, number][] }[];
        }[];
        steps: { id: string; treads: [number, number][][] }[];
        /** Circles: the basin's edge, then its bowls'. */
        fountains: { id: string; rims: [number, number][][] }[];
        lanterns: { id: string; at: [number, number]; width: number }[];
        areas: { id: string; kind: string; outline: [number, number][] }[];
        /** Of ground that slopes: an arrow down it, and how much it falls. */
        falls: { id: string; high: [number, number]; low: [number, number]; words: string }[];
        trees: {
            id: string;
            at: [number, number];
            crown_radius: number;
            trunk_radius: number;
            height: number;
        }[];
        shrubs: { id: string; outline: [number, number][]; path: [number, number][]; width: number }[];
        cables: { run: string; gauge: number; course: [number, number][] }[];
        transformers: { id: string; at: [number, number] }[];
        hubs: { id: string; at: [number, number] }[];
    };
}

/** Lux, one float a sensor. */
export interface Light {
    version: number;
    /** Straight from the fixtures. */
    direct: Float32Array;
    /** Bounced and ambient light included; empty until settled. */
    total: Float32Array;
    /** Colour of the light on each sensor, linear sRGB of luminance 1, three a sensor; empty where all lamps are of
     *  one colour. */
    tint: Float32Array;
}

// ---- Fixtures ---------------------------------------------------------------------------------------------

export interface Reach {
    level_lx: number;
    /** Above the foot; null: reached nowhere on the line. */
    height: number | null;
    /** Upper edge there. */
    top: number;
    is_to_top: boolean;
    words: string;
}

export interface LampChoice {
    id: string;
    name: string;
    watts: number;
    lumens: number;
    /** Full angle, radians; null: not known. */
    beam_angle: number | null;
    price: number | null;
}

export interface FixtureState {
    id: string;
    /** JSON pointer; empty for one that the variant adds. */
    pointer: string;
    kind: string;
    mount: string;
    model: string;
    lamp: string;
    lamp_name: string;
    wall: string;
    tree: string;
    along: number | null;
    bearing: number | null;
    setback: number | null;
    position: [number, number, number];
    /** Unit, along the axis of the beam. */
    direction: [number, number, number];
    tilt: number;
    azimuth: number;
    lens_height: number;
    dimming: number;
    lens_diameter: number;
    lumens: number;
    watts: number;
    /** Full angle; null where the lamp is described by a file (lamps() has it). */
    beam_angle: number | null;
    cct: number;
    /** Linear sRGB of luminance 1. */
    colour: [number, number, number];
    /** Where its line of aim meets an upright surface: index into Scene.surfaces, u there. */
    line: { surface: number; along: number } | null;
    /** By its own light straight from the lens, one a level; empty where it has no line. */
    reach: Reach[];
    /** The level that people ask about there, of which `words` speak; absent where it has no line. */
    level_lx?: number;
    /** "15 in back, tilt 8°, reaches 13 ft". */
    words: string;
    /** "4 W, 36°, 280 lm". */
    lamp_words: string;
    /** Advice about where it stands, with the reason. */
    advice: string[];
}

/** The next lamp, beam or dimming that the socket takes, as keys of the fixture in the site file. */
export interface Step {
    /** To be merged into the fixture's object; null: there is nothing further. */
    set: Record<string, string | number> | null;
    words: string;
}

// ---- Settled light ----------------------------------------------------------------------------------------

export interface Sentence {
    text: string;
    fixture: string;
    surface: string;
    target: string;
    tree: string;
}

export interface Settled {
    version: number;
    light: Light;
    /** What the command line prints for `light`, sentence by sentence and as a table. */
    sentences: Sentence[];
    table: string[];
    light_loss: string;
    stray: string[];
    season: string;
    targets: {
        id: string;
        on: string;
        level_lx: number;
        wanted_share: number;
        share: number;
        mean_lx: number;
        is_reached: boolean;
    }[];
    /** By the light of all fixtures, bounced light included. */
    reaches: { fixture: string; surface: string; along: number; levels: Reach[]; together: Reach[] }[];
    trees: { tree: string; from: string; lit_to: Reach[] }[];
    spill: { emitted_lm: number; target_lm: number; other_lm: number; ground_lm: number; sky_lm: number };
    watts: number;
    price: number | null;
    /** summary.json of `duskcast light --json`. */
    summary: string;
}

// ---- Load and price ---------------------------------------------------------------------------------------

export interface LoadQuestion {
    /** Name of a price list; absent: no price. */
    prices?: string | undefined;
    /** Its text; absent: it is among the document's files. */
    prices_text?: string | undefined;
    labour_hours?: number;
    hours_a_night?: number;
    nights?: number;
    /** Propose transformer and runs instead of taking the site's. */
    route?: boolean;
}

export interface Load {
    version: number;
    problems: Problem[];
    /** Null where there is no network or it is at fault (see problems). */
    figures: {
        fixtures: {
            id: string;
            run: string;
            volts: number | null;
            amps: number | null;
            watts: number | null;
            state: "low" | "good" | "high" | "none";
            operating_volts: [number, number];
            at: [number, number];
            words: string;
        }[];
        runs: {
            id: string;
            transformer: string;
            tap: number;
            gauge: number;
            is_found: boolean;
            is_good: boolean;
            watts: number;
            /** This and the volts: null where the run has no operating point. */
            amps: number | null;
            least_volts: number | null;
            most_volts: number | null;
            length: number;
            cables: {
                part: "home" | "cable" | "lead";
                /** Of a lead; else empty. */
                fixture: string;
                course: [number, number][];
                gauge: number;
                length: number;
                end_volts: number | null;
            }[];
        }[];
        transformers: {
            id: string;
            at: [number, number];
            rating: number;
            volt_amperes: number;
            is_good: boolean;
        }[];
    } | null;
    table: string[];
    verdict: string[];
    advice: { words: string; network: string; is_enough: boolean }[];
    cautions: string[];
    take_off: string[];
    take_off_csv: string;
    total_words: string;
    energy: string;
    /** The proposed "network" as JSON text, to be put into the document; empty: none asked for. */
    network: string;
}

/** Watts and price of an option. */
export interface Bill {
    /** Of the variant; "" is the design as drawn. */
    id: string;
    watts: number;
    watt_words: string;
    /** By the price list, or by the catalogue's prices without one; empty where nothing has a price. */
    price_words: string;
    /** Whether everything in it has a price. */
    is_price_whole: boolean;
}

/** A price list as the page holds it: its name and text; without text one that begins, with what the catalogue says. */
export interface HeldList {
    file?: string | undefined;
    text?: string | undefined;
}

export interface PriceLine {
    kind: string;
    id: string;
    unit: string;
    /** What people call it. */
    words: string;
    /** "5 needed" */
    need: string;
    /** As it is typed; empty: not known. */
    price: string;
    /** Null where there is none to give. */
    hours: string | null;
    taxed: boolean | null;
    lacks_price: boolean;
    lacks_hours: boolean;
    /** Of all that is needed, before anything is put on. */
    cost: string;
}

export interface Prices {
    version: number;
    /** Of the list: then there is nothing else. */
    problems: Problem[];
    needed: PriceLine[];
    /** In the list, and not needed. */
    others: PriceLine[];
    /** Labour, tax and what is put on. */
    general: PriceLine[];
    sums: { what: string; sum: string }[];
    /** That something is still missing; empty where nothing is. */
    gaps: string;
}

/** A figure typed for a line of the price list. */
export interface PriceTyped {
    kind: string;
    id: string;
    unit: string;
    words: string;
    field: "price" | "hours" | "taxed";
    value: string;
}

export interface PriceWritten {
    version: number;
    file: string;
    text: string;
    /** Why what was typed will not do; empty: it will. */
    complaint: string;
}

// ---- On paper and in the hand -----------------------------------------------------------------------------

export interface ProposalQuestion {
    /** Of the site file, as it is named in what is drawn. */
    name: string;
    /** Text of a business file; its logo is among `files`. */
    business?: string;
    client?: string;
    /** As it should be printed. */
    date?: string;
    /** Small pictures, sooner. */
    is_quick?: boolean;
    prices?: string | undefined;
    prices_text?: string | undefined;
}

/** Whole HTML files; empty where there are problems. */
export interface Proposal {
    version: number;
    problems: Problem[];
    missing_prices: string[];
    proposal: string;
    technical: string;
}

export interface AimSheet {
    version: number;
    /** An HTML file. */
    page: string;
}

export interface NightCheck {
    version: number;
    /** Of the readings; then there is nothing else. */
    problems: Problem[];
    lines: string[];
    /** An HTML file. */
    page: string;
    /** The site file as it was built. */
    as_built: string;
}

// ---- Studies ----------------------------------------------------------------------------------------------

export interface SweepQuestion {
    fixtures: string[];
    /** "tilt=0..30:1", "setback=6in..30in:2in", "lamp=a,b". */
    vary: string;
    target?: string;
    is_direct_only?: boolean;
}

export interface Curve {
    quantity: string;
    title: string;
    is_more_better: boolean;
    /** In the unit of the title, one a variant; null where there is no such figure. */
    values: (number | null)[];
    words: string[];
    as_drawn: number | null;
    /** Index of the variant that is best; null: none is. */
    best: number | null;
}

export interface Sweep {
    version: number;
    knob: string;
    target: string;
    /** What each variant is called ("6°"), and the keys to be merged into each fixture for it; null: none say it. */
    labels: string[];
    sets: (Record<string, string | number> | null)[];
    curves: Curve[];
    table: string;
    findings: string[];
}

export interface SuggestQuestion {
    fixtures: string[];
    /** "tilt=0..30", "setback=12in..24in". */
    vary: string[];
    lamps: string[];
    least?: number;
    most?: number;
    target?: string;
    prefer?: string;
    most_watts?: number;
    most_price?: number;
    /** Share of the lumens that may miss, 0..1. */
    most_spill?: number;
    may_stand_in_lawn?: boolean;
    is_each_by_itself?: boolean;
    is_direct_only?: boolean;
}

export interface Suggested {
    words: string;
    /** How many fixtures it has. */
    count: number;
    watts: number;
    price: number | null;
    is_best: boolean;
    /** The whole site file of the design, to be taken over. */
    text: string;
}

export interface Suggestions {
    version: number;
    is_met: boolean;
    tried: number;
    designs: Suggested[];
    sentences: string[];
}

export interface Tolerance {
    version: number;
    bars: {
        quantity: string;
        title: string;
        target: string;
        /** In the unit of the title: as drawn, what 1 in 10 installations is below, half, 1 in 10 above. */
        as_drawn: number;
        low: number;
        middle: number;
        high: number;
        words: string;
    }[];
    /** Share of the installations in which every target that is met as drawn still is. */
    reached_share: number;
    sentences: string[];
}

export interface Comparison {
    version: number;
    table: string;
    verdict: string[];
    variants: {
        id: string;
        name: string;
        watts: number;
        price: number | null;
        spill_share: number | null;
        sentences: string[];
    }[];
}

export interface Contributions {
    version: number;
    targets: {
        target: string;
        fixtures: { fixture: string; of_light: number; without: number; is_decisive: boolean }[];
    }[];
    needless: string[];
    sentences: string[];
}

// ---- Looking ----------------------------------------------------------------------------------------------

export type ProbeQuestion =
    | { position: [number, number, number]; normal: [number, number, number] }
    /** On the ground there. */
    | { ground: [number, number] };

export interface Probe {
    version: number;
    direct_lx: number;
    /** Bounced and ambient light; null until settled. */
    bounced_lx: number | null;
    by_fixture: { fixture: string; lx: number; words: string }[];
    words: string;
}

export interface ViewQuestion {
    /** Id of one of the site's views, or a camera of its own. */
    view?: string;
    eye?: [number, number, number];
    look_at?: [number, number, number];
    /** Full horizontal angle, radians. */
    field_of_view?: number;
    width: number;
    height: number;
    /** Doublings of brightness. */
    exposure?: number;
    look?: "night" | "day";
}

export interface View {
    version: number;
    width: number;
    height: number;
    /** 8-bit sRGB with alpha 255, first row at the top: as ImageData takes it. */
    rgba: Uint8ClampedArray;
    sentences: string[];
}

// ---- Photos -----------------------------------------------------------------------------------------------
// Pixels count right and down from the upper left corner of the picture held upright.

export interface PhotoMark {
    id: string;
    /** Id of the wall, opening, gable or area that its place belongs to; empty: none. */
    of: string;
    /** "lower left corner", or the place in figures. */
    place: string;
    /** Where its place falls by the camera; null: the camera is not known. */
    falls_at: [number, number] | null;
    off_px: number | null;
    /** "0.6 px, 1/2 in", or what the others say of it; empty: the camera is not known. */
    fit_words: string;
    state: "open" | "good" | "off" | "wrong";
}

export interface PhotoFixture {
    id: string;
    /** Null: not before the camera. */
    lens: [number, number] | null;
    foot: [number, number] | null;
    /** Where its axis meets something; null: nothing, or that is not before the camera. */
    aim: [number, number] | null;
    is_hidden: boolean;
    /** Along its wall at its setback: metres along, and the pixel of the lens there; empty: it has no wall. */
    rail: [number, number, number][];
}

export interface PhotoState {
    id: string;
    file: string;
    /** Null: the file is missing or at fault. */
    size: [number, number] | null;
    /** As the site or the file tells it; null: neither does. */
    focal_35mm: number | null;
    /** Whether its marks settle the camera. */
    is_found: boolean;
    /** Why not, and which click would. */
    problems: Problem[];
    /** What the marks leave open. */
    doubts: string[];
    /** "Good to 1 in on the walls and 5 in on the ground"; may be empty. */
    worth: string;
    marks: PhotoMark[];
    fixtures: PhotoFixture[];
}

/** What of the site can be pointed at. */
export interface PhotoPlace {
    id: string;
    of: string;
    words: string;
    /** With along and up, metres; empty: `at` says where. */
    wall: string;
    along: number;
    up: number;
    at: [number, number, number] | null;
    falls_at: [number, number] | null;
    is_marked: boolean;
}

/** What is drawn on a photo: the feet of its walls and their parts; grid and shapes are empty without a camera. */
export interface PhotoLines {
    version: number;
    grid: {
        wall: string;
        is_upright: boolean;
        is_strong: boolean;
        /** How far along or up it lies. */
        words: string;
        points: [number, number][];
    }[];
    shapes: {
        wall: string;
        id: string;
        role: "edge" | "gable" | "opening" | "projection" | "corner" | "area";
        points: [number, number][];
        is_closed: boolean;
    }[];
    places: PhotoPlace[];
}

export interface PhotoClickQuestion {
    photo: string;
    pixel: [number, number];
    /** Taken to lie on that wall, past its outline too. */
    wall?: string;
    /** Where this fixture's lens is to be, as high above the ground as it is now. */
    fixture?: string;
}

export interface PhotoClick {
    version: number;
    wall: { wall: string; along: number; up: number; words: string } | null;
    ground: { at: [number, number]; words: string } | null;
}

export interface PhotoLength {
    version: number;
    length: number | null;
    /** Nine times of ten; metres. */
    within: number | null;
    words: string;
}

export interface PhotoUpright {
    version: number;
    at: [number, number];
    height: number;
    width: number;
    words: string;
}

export interface RelightQuestion {
    photo: string;
    /** At most so many pixels across. */
    width: number;
    /** With the light that bounced a moment ago, so that it comes sooner. */
    is_quick?: boolean;
}

export interface Relit {
    version: number;
    width: number;
    height: number;
    /** As View.rgba. */
    rgba: Uint8ClampedArray;
    /** What the picture cannot tell. */
    doubts: string[];
}

/** A photo by night under the hand; rgba null: more than fixtures has changed, or there was no whole night before. */
export interface Glanced {
    width: number;
    height: number;
    rgba: Uint8ClampedArray | null;
}

/** The fixed scale of light of the plates, and how the night is toned; shaders are checked against both. */
export interface LightScale {
    /** 256 colours from the scale's least to its most, evenly in the logarithm: sRGB bytes, 3 a colour. */
    colours: Uint8Array;
    least_lx: number;
    most_lx: number;
    /** In foot-candles, and in lux. */
    ticks: { lx: number; words: string }[];
    ticks_metric: { lx: number; words: string }[];
    /** The night's tone on a ramp: cd/m2 per channel (linear sRGB), and the sRGB bytes that it comes to. */
    night: { luminance: Float32Array; colours: Uint8Array };
}

// ---- Forms ------------------------------------------------------------------------------------------------

export interface Field {
    key: string;
    quantity: string;
    help: string;
    unit: string;
    /** Null: no end. */
    least: number | null;
    most: number | null;
    is_above_least: boolean;
    is_required: boolean;
    /** JSON text of what leaving it out means; empty: nothing. */
    usual: string;
    words: string[];
    choices: number[];
    /** Of a list. */
    least_items: number;
    object: string;
}

export interface ObjectForm {
    name: string;
    help: string;
    fields: Field[];
}

export interface Forms {
    site: ObjectForm[];
    catalogue: ObjectForm[];
    business: ObjectForm[];
    finishes: { name: string; reflectance: [number, number, number] }[];
    version: string;
}

export interface PlantChoice {
    name: string;
    /** Stands alone as a tree; else it is planted in beds and hedges. */
    is_tree: boolean;
    /** Metres, where nobody says. */
    height: number;
}

export interface PlantPicture {
    /** Pixels each way. */
    size: number;
    /** 8-bit sRGB, first row at the top; alpha is the share of the pixel that the plant covers. */
    rgba: Uint8Array;
}

// ---- The engine -------------------------------------------------------------------------------------------

export interface Progress {
    /** "bounce", "report", "sweep", "suggest", "tolerance", "compare", "view", "photo", "paper". */
    task: string;
    /** 0..1. */
    share: number;
}

export interface Engine {
    /**
     * A new document. Never rejects for what is in it: faults are in `problems`. `onStage` is called with its stage
     * before any light is known, where it will be accepted as far as that; then it is not new to the answer.
     */
    open(site: SiteDocument, look?: Look, onStage?: (scene: Scene) => void): Promise<Changed>;
    /**
     * The document's next state. Null: overtaken by a later one before it was begun. New or changed files go
     * with putFile before it.
     */
    change(text: string): Promise<Changed | null>;
    putFile(name: string, bytes: Uint8Array): void;
    removeFile(name: string): void;
    /** Another variant or season of the same document. */
    show(look: Look): Promise<Changed | null>;
    scene(): Promise<Scene>;
    /**
     * Bounced light and the whole report of the newest document; null: overtaken. The light alone comes sooner, by
     * onLight.
     */
    settle(): Promise<Settled | null>;
    /** The same of another variant or season of the newest document, beside it: for two side by side. */
    settleFor(look: Look): Promise<Settled | null>;

    load(question?: LoadQuestion): Promise<Load>;
    /** What every option takes and costs. */
    bills(list?: HeldList): Promise<Bill[]>;
    /** What the design needs, with its prices. */
    prices(list: HeldList): Promise<Prices>;
    /** The list with these figures in it. */
    writePrices(list: HeldList, typed: PriceTyped[]): Promise<PriceWritten>;
    step(fixture: string, way: "up" | "down"): Promise<Step>;
    /** Lamps that the fixture's socket takes. */
    lamps(fixture: string): Promise<LampChoice[]>;
    probe(question: ProbeQuestion): Promise<Probe>;
    scale(): Promise<LightScale>;
    forms(): Promise<Forms>;
    /** Every plant that the engine can grow, and one of them from the side as it grows it. */
    plants(): Promise<PlantChoice[]>;
    plantPicture(plant: string, size: number): Promise<PlantPicture>;
    /** Reads a length or angle as people type it ("15 in", "52 ft", "8"); null: it is none. SI. */
    read(quantity: "length" | "angle" | "illuminance", text: string): Promise<number | null>;
    print(quantity: "length" | "setback" | "angle" | "illuminance", value: number): Promise<string>;
    /** The document as the engine writes it, tidy: print_site. In other units every bare number is written anew. */
    tidy(units?: "ft" | "m"): Promise<string>;

    view(question: ViewQuestion): Promise<View>;
    photos(): Promise<PhotoState[]>;
    photoLines(photo: string): Promise<PhotoLines>;
    /** What lies at a pixel, which rejects where the photo's camera is not known; so do the two that follow. */
    photoClick(question: PhotoClickQuestion): Promise<PhotoClick>;
    photoLength(photo: string, from: [number, number], to: [number, number]): Promise<PhotoLength>;
    /** A tree by pixels of its foot, its top and one of its sides. */
    photoUpright(
        photo: string,
        foot: [number, number],
        top: [number, number],
        side: [number, number],
    ): Promise<PhotoUpright>;
    /**
     * The photo by night, as `duskcast photo` shows it; null: the document went on. `look`: another option of the
     * newest document.
     */
    relight(question: RelightQuestion, look?: Look): Promise<Relit | null>;
    /**
     * The photo's last whole night with the direct light of the fixtures as another text of the document has them,
     * at once and whatever the front is at.
     */
    glance(photo: string, text: string): Promise<Glanced>;
    sweep(question: SweepQuestion): Promise<Sweep>;
    suggest(question: SuggestQuestion): Promise<Suggestions>;
    tolerance(question?: { target?: string; samples?: number }): Promise<Tolerance>;
    compare(question?: { variants?: string[]; target?: string }): Promise<Comparison>;
    contributions(): Promise<Contributions>;
    /** `files`: what the business file names. Each of the three is of the design as drawn. */
    proposal(question: ProposalQuestion, files?: Map<string, Uint8Array>): Promise<Proposal>;
    aimSheet(name: string): Promise<AimSheet>;
    nightCheck(question: { name: string; readings: string; readings_name: string }): Promise<NightCheck>;
    /** Ends studies and views that are under way; their promises reject with a Cancelled. */
    cancel(): void;

    /** Called with settled light as soon as it is known. */
    onLight(listener: (light: Light) => void): () => void;

    /** Called while long work goes on. Returns how to stop listening. */
    onProgress(listener: (progress: Progress) => void): () => void;
    /** The engine broke and was started again with the last document; one message for people. */
    onFault(listener: (message: string) => void): () => void;
    close(): void;
}

/** What a promise rejects with when its work was cancelled. */
export class Cancelled extends Error {
    constructor() {
        super("cancelled");
        this.name = "Cancelled";
    }
}

/** What a promise rejects with when the question itself is at fault, or the engine broke. */
export class EngineFault extends Error {
    constructor(readonly problems: Problem[]) {
        super(
            problems.map(problem => [problem.message, problem.remedy].filter(Boolean).join("; ")).join("\n"),
        );
        this.name = "EngineFault";
    }
}

// ---- Workers ----------------------------------------------------------------------------------------------

/** What a worker is started from. */
interface EngineParts {
    /** The worker's script. */
    worker: string;
    wasm: BufferSource;
}

type Question = { ask: string; [key: string]: unknown };
type Files = Map<string, Uint8Array>;

interface Waiting {
    resolve(answer: unknown): void;
    reject(reason: unknown): void;
}

/** A worker that holds one state of the document and answers one question after the other. */
class Line {
    /** Which state it holds: 0 none. */
    held = 0;
    /** Whether it has kept a photo's night to glance at. */
    has_night = false;
    files: Files = new Map();
    private readonly worker: Worker;
    private readonly waiting = new Map<number, Waiting>();
    private next_id = 1;

    constructor(
        url: string,
        module: WebAssembly.Module,
        onProgress: (progress: Progress) => void,
        onCrash: (line: Line, message: string) => void,
    ) {
        this.worker = new Worker(url);
        this.worker.onmessage = ({ data }) => {
            if (data.progress) onProgress(data.progress);
            else if (data.crash !== undefined) onCrash(this, data.crash);
            else {
                const waiting = this.waiting.get(data.id);
                this.waiting.delete(data.id);
                if (data.answer.fault) waiting?.reject(new EngineFault(data.answer.fault));
                else waiting?.resolve(data.answer);
            }
        };
        this.worker.onerror = event => {
            event.preventDefault();
            onCrash(this, event.message);
        };
        this.worker.postMessage({ module });
    }

    get is_idle(): boolean {
        return this.waiting.size === 0;
    }

    private send(message: object): Promise<never> {
        return new Promise<never>((resolve, reject) => {
            const id = this.next_id++;
            this.waiting.set(id, { resolve: resolve as (answer: unknown) => void, reject });
            this.worker.postMessage({ id, ...message });
        });
    }

    ask<Answer>(question: Question): Promise<Answer> {
        return this.send({ question });
    }

    /** Makes its files the given ones. A name that is refused rejects. */
    async putFiles(files: Files): Promise<void> {
        const sent: Promise<unknown>[] = [];
        for (const [name, bytes] of files)
            if (this.files.get(name) !== bytes) sent.push(this.send({ put: name, bytes }));
        for (const name of this.files.keys()) if (!files.has(name)) sent.push(this.send({ remove: name }));
        this.files = new Map(files);
        if (sent.length > 0) this.held = 0;
        await Promise.all(sent);
    }

    end(reason: unknown): void {
        this.worker.terminate();
        for (const waiting of this.waiting.values()) waiting.reject(reason);
        this.waiting.clear();
    }
}

/** A document with the look at it and its files, as one state. */
interface State {
    version: number;
    text: string;
    look: Look;
    files: Files;
}

type StageListener = (scene: Scene) => void;
type Told = Omit<Changed, "version" | "light"> & { light: Omit<Light, "version"> };
type Role = "front" | "back" | "study";

class WorkerEngine implements Engine {
    private readonly lines: Partial<Record<Role, Line>> = {};
    private state: State = { version: 0, text: "", look: {}, files: new Map() };
    /** The newest state that was accepted; its version is 0 before there is one. */
    private accepted: State = this.state;
    private last: Changed | null = null;
    /** The front is at a change; the next one waits here, and a later one takes its place. */
    private is_changing = false;
    private next: { state: State; waiting: Waiting; onStage?: StageListener | undefined } | null = null;
    private changes: Promise<unknown> = Promise.resolve();
    /** What the back is at, one job after the other. */
    private back_jobs: Promise<unknown> = Promise.resolve();
    private settling = 0;
    private settled_version = 0;
    private is_viewing = false;
    private crashes = 0;
    private readonly progress_listeners = new Set<(progress: Progress) => void>();
    private readonly fault_listeners = new Set<(message: string) => void>();
    private readonly light_listeners = new Set<(light: Light) => void>();

    constructor(
        private readonly url: string,
        private readonly module: WebAssembly.Module,
    ) {
        this.line("front");
    }

    private line(role: Role): Line {
        const known = this.lines[role];
        if (known) return known;
        const made = new Line(
            this.url,
            this.module,
            progress => {
                for (const listener of this.progress_listeners) listener(progress);
            },
            (line, message) => this.crash(role, line, message),
        );
        this.lines[role] = made;
        return made;
    }

    private drop(role: Role, reason: unknown): void {
        const line = this.lines[role];
        delete this.lines[role];
        if (role === "back") this.settled_version = 0;
        line?.end(reason);
    }

    private crash(role: Role, line: Line, message: string): void {
        if (this.lines[role] !== line) return;
        ++this.crashes;
        const told =
            "The engine stopped and was started again; nothing of the document is lost. " +
            `If it happens again, undo the last change (${message}).`;
        this.drop(role, new EngineFault([plainProblem(told)]));
        for (const listener of this.fault_listeners) listener(told);
    }

    /** The line of that role, holding `state`. */
    private async hold(role: Role, state: State): Promise<Line> {
        const line = this.line(role);
        await line.putFiles(state.files);
        if (line.held !== state.version) {
            line.held = 0;
            await line.ask<Told>({ ask: "change", text: state.text, look: state.look });
            line.held = state.version;
        }
        return line;
    }

    // ---- The document

    open(site: SiteDocument, look: Look = {}, onStage?: StageListener): Promise<Changed> {
        this.next?.waiting.resolve(null);
        this.next = null;
        this.last = null;
        this.drop("study", new Cancelled());
        const files = new Map(Object.entries(site.files));
        return this.give({ text: site.text, look, files }, onStage) as Promise<Changed>;
    }

    change(text: string): Promise<Changed | null> {
        return this.give({ text });
    }

    show(look: Look): Promise<Changed | null> {
        return this.give({ look });
    }

    putFile(name: string, bytes: Uint8Array): void {
        this.state = { ...this.state, files: new Map(this.state.files).set(name, bytes) };
    }

    removeFile(name: string): void {
        const files = new Map(this.state.files);
        files.delete(name);
        this.state = { ...this.state, files };
    }

    private give(part: Partial<State>, onStage?: StageListener): Promise<Changed | null> {
        this.state = { ...this.state, ...part, version: this.state.version + 1 };
        const state = this.state;
        this.next?.waiting.resolve(null);
        const promise = new Promise<Changed | null>((resolve, reject) => {
            this.next = {
                state,
                waiting: { resolve: resolve as (answer: unknown) => void, reject },
                onStage,
            };
        });
        if (!this.is_changing) this.changes = this.goThroughChanges();
        return promise;
    }

    private async goThroughChanges(): Promise<void> {
        this.is_changing = true;
        while (this.next) {
            const { state, waiting, onStage } = this.next;
            this.next = null;
            try {
                if (onStage) await this.beginFront(state, onStage);
                waiting.resolve(await this.changeFront(state));
            } catch (reason) {
                waiting.reject(reason);
            }
        }
        this.is_changing = false;
    }

    /** The stage of another document, before any of its light. */
    private async beginFront(state: State, onStage: StageListener): Promise<void> {
        const front = this.line("front");
        await front.putFiles(state.files);
        front.held = 0;
        const { text, look } = state;
        const { is_accepted } = await front.ask<{ is_accepted: boolean }>({ ask: "stage", text, look });
        if (!is_accepted) return; // what is wrong is told of the change
        if (this.settling > 0) this.drop("back", new Overtaken());
        if (!this.next) onStage({ ...(await front.ask<Scene>({ ask: "scene" })), version: state.version });
    }

    private async changeFront(state: State): Promise<Changed> {
        const front = this.line("front");
        if (front.held === 0 && this.accepted.version > 0 && front.files.size === 0 && this.crashes > 0)
            await this.hold("front", this.accepted); // a new worker begins with the last good state
        await front.putFiles(state.files);
        const told = await front.ask<Told>({ ask: "change", text: state.text, look: state.look });
        const light = { ...told.light, version: state.version };
        if (!told.is_accepted) {
            const { is_accepted, problems } = told;
            return {
                ...(this.last ?? emptyChanged()),
                version: state.version,
                is_accepted,
                problems,
                is_stage_new: false,
                fixtures_changed: [],
            };
        }
        front.held = state.version;
        this.accepted = state;
        this.last = { ...told, version: state.version, light };
        // What the back computes of a stage that is no more is of no use.
        if (told.is_stage_new && this.settling > 0) this.drop("back", new Overtaken());
        return this.last;
    }

    /** A question to the front about the newest accepted state. */
    private async askFront<Answer>(question: Question): Promise<Answer> {
        // A change that is made while this waits goes first too: the front cannot hold two states at once.
        let known: Promise<unknown> | undefined;
        while (known !== this.changes) {
            known = this.changes;
            await known;
        }
        const front =
            this.accepted.version > 0 ? await this.hold("front", this.accepted) : this.line("front");
        const version = this.accepted.version;
        return { ...(await front.ask<Answer & object>(question)), version } as Answer;
    }

    scene(): Promise<Scene> {
        return this.askFront({ ask: "scene" });
    }
    load(question: LoadQuestion = {}): Promise<Load> {
        return this.askFront({ ask: "load", ...question });
    }
    async bills(list: HeldList = {}): Promise<Bill[]> {
        const question = { ask: "bills", prices: list.file, prices_text: list.text };
        return (await this.askFront<{ bills: Bill[] }>(question)).bills;
    }
    prices(list: HeldList): Promise<Prices> {
        return this.askFront({ ask: "prices", ...list });
    }
    writePrices(list: HeldList, typed: PriceTyped[]): Promise<PriceWritten> {
        return this.askFront({ ask: "price typed", ...list, typed });
    }
    step(fixture: string, way: "up" | "down"): Promise<Step> {
        return this.askFront({ ask: "step", fixture, way });
    }
    async lamps(fixture: string): Promise<LampChoice[]> {
        return (await this.askFront<{ lamps: LampChoice[] }>({ ask: "lamps", fixture })).lamps;
    }
    scale(): Promise<LightScale> {
        return this.askFront({ ask: "scale" });
    }
    forms(): Promise<Forms> {
        return this.askFront({ ask: "forms" });
    }
    async plants(): Promise<PlantChoice[]> {
        return (await this.askFront<{ plants: PlantChoice[] }>({ ask: "plants" })).plants;
    }
    plantPicture(plant: string, size: number): Promise<PlantPicture> {
        return this.askFront({ ask: "plant_picture", plant, size });
    }
    async read(quantity: string, text: string): Promise<number | null> {
        return (await this.askFront<{ value: number | null }>({ ask: "read", quantity, text })).value;
    }
    async print(quantity: string, value: number): Promise<string> {
        return (await this.askFront<{ text: string }>({ ask: "print", quantity, value })).text;
    }
    async tidy(units?: "ft" | "m"): Promise<string> {
        return (await this.askFront<{ text: string }>({ ask: "tidy", units })).text;
    }

    async probe(question: ProbeQuestion): Promise<Probe> {
        await this.changes;
        const back = this.lines.back;
        const version = this.accepted.version;
        if (back?.is_idle && back.held === version && this.settled_version === version)
            return { ...(await back.ask<Probe>({ ask: "probe", ...question })), version };
        return this.askFront({ ask: "probe", ...question });
    }

    // ---- What takes longer

    /** One job of the back after the other. */
    private queueBack<Answer>(job: () => Promise<Answer>): Promise<Answer> {
        const done = this.back_jobs.then(job, job);
        this.back_jobs = done.catch(() => undefined);
        return done;
    }

    private async settleState(
        find: () => State,
        is_wanted: (state: State) => boolean,
    ): Promise<Settled | null> {
        await this.changes;
        return this.queueBack(async () => {
            const state = find();
            if (state.version === 0 || !is_wanted(state)) return null;
            ++this.settling;
            try {
                const back = await this.hold("back", state);
                const light = {
                    ...(await back.ask<Omit<Light, "version">>({ ask: "settle" })),
                    version: state.version,
                };
                this.settled_version = state.version;
                if (!is_wanted(state)) return null;
                if (state === this.accepted) for (const listener of this.light_listeners) listener(light);
                const report = await back.ask<Omit<Settled, "version" | "light">>({ ask: "report" });
                return is_wanted(state) ? { ...report, version: state.version, light } : null;
            } catch (reason) {
                if (reason instanceof Overtaken) return null;
                throw reason;
            } finally {
                --this.settling;
            }
        });
    }

    private newest_settle = 0;
    settle(): Promise<Settled | null> {
        const number = ++this.newest_settle;
        return this.settleState(
            () => this.accepted,
            state => number === this.newest_settle && state.version === this.accepted.version,
        );
    }

    settleFor(look: Look): Promise<Settled | null> {
        const version = this.state.version;
        // A state of its own, which is no step of the document's.
        return this.settleState(
            () => ({ ...this.accepted, look, version: -++this.beside }),
            () => version === this.state.version,
        );
    }
    private beside = 0;

    async view(question: ViewQuestion): Promise<View> {
        await this.changes;
        return this.queueBack(async () => {
            this.is_viewing = true;
            try {
                const state = this.accepted;
                const back = await this.hold("back", state);
                const answer = await back.ask<Omit<View, "rgba"> & { rgba: Uint8Array }>({
                    ask: "view",
                    ...question,
                });
                this.settled_version = state.version;
                const rgba = new Uint8ClampedArray(answer.rgba.buffer as ArrayBuffer);
                return { ...answer, version: state.version, rgba };
            } catch (reason) {
                throw reason instanceof Overtaken ? new Cancelled() : reason;
            } finally {
                this.is_viewing = false;
            }
        });
    }

    async photos(): Promise<PhotoState[]> {
        return (await this.askFront<{ photos: PhotoState[] }>({ ask: "photos" })).photos;
    }
    photoLines(photo: string): Promise<PhotoLines> {
        return this.askFront({ ask: "photo_lines", photo });
    }
    photoClick(question: PhotoClickQuestion): Promise<PhotoClick> {
        return this.askFront({ ask: "photo_click", ...question });
    }
    photoLength(photo: string, from: [number, number], to: [number, number]): Promise<PhotoLength> {
        return this.askFront({ ask: "photo_length", photo, from, to });
    }
    photoUpright(
        photo: string,
        foot: [number, number],
        top: [number, number],
        side: [number, number],
    ): Promise<PhotoUpright> {
        return this.askFront({ ask: "photo_upright", photo, foot, top, side });
    }

    async relight(question: RelightQuestion, look?: Look): Promise<Relit | null> {
        await this.changes;
        const version = this.state.version;
        return this.queueBack(async () => {
            if (this.state.version !== version || this.accepted.version !== version) return null;
            const state = look ? { ...this.accepted, look, version: -++this.beside } : this.accepted;
            try {
                const back = await this.hold("back", state);
                const answer = await back.ask<Omit<Relit, "rgba"> & { rgba: Uint8Array }>({
                    ask: "relight",
                    is_kept: !look,
                    ...question,
                });
                if (!look && !question.is_quick) {
                    this.settled_version = state.version;
                    back.has_night = true;
                }
                const rgba = new Uint8ClampedArray(answer.rgba.buffer as ArrayBuffer);
                return { ...answer, version, rgba };
            } catch (reason) {
                if (reason instanceof Overtaken) return null;
                throw reason;
            }
        });
    }

    async glance(photo: string, text: string): Promise<Glanced> {
        const back = this.lines.back;
        const nothing = { width: 0, height: 0, rgba: null };
        if (!back?.has_night) return nothing;
        try {
            const answer = await back.ask<Omit<Glanced, "rgba"> & { rgba: Uint8Array | null }>({
                ask: "photo_glance",
                photo,
                text,
                look: this.state.look,
            });
            const rgba = answer.rgba && new Uint8ClampedArray(answer.rgba.buffer as ArrayBuffer);
            return { ...answer, rgba };
        } catch (reason) {
            if (reason instanceof Overtaken) return nothing;
            throw reason;
        }
    }

    async contributions(): Promise<Contributions> {
        await this.changes;
        return this.queueBack(async () => {
            const back = await this.hold("back", this.accepted);
            const version = this.accepted.version;
            return { ...(await back.ask<Contributions>({ ask: "contributions" })), version };
        });
    }

    private study_jobs: Promise<unknown> = Promise.resolve();
    private studies = 0;
    /** A study of the document as it is when it is asked for. */
    private async study<Answer>(question: Question, more?: Files): Promise<Answer> {
        await this.changes;
        const state = more?.size
            ? {
                  ...this.accepted,
                  files: new Map([...this.accepted.files, ...more]),
                  version: -++this.beside,
              }
            : this.accepted;
        ++this.studies;
        const job = async (): Promise<Answer> => {
            try {
                const line = await this.hold("study", state);
                return { ...(await line.ask<Answer & object>(question)), version: state.version } as Answer;
            } finally {
                if (--this.studies === 0) this.drop("study", new Cancelled()); // its memory is wanted elsewhere
            }
        };
        const done = this.study_jobs.then(job, job);
        this.study_jobs = done.catch(() => undefined);
        return done;
    }

    sweep(question: SweepQuestion): Promise<Sweep> {
        return this.study({ ask: "sweep", ...question });
    }
    suggest(question: SuggestQuestion): Promise<Suggestions> {
        return this.study({ ask: "suggest", ...question });
    }
    tolerance(question: { target?: string; samples?: number } = {}): Promise<Tolerance> {
        return this.study({ ask: "tolerance", ...question });
    }
    compare(question: { variants?: string[]; target?: string } = {}): Promise<Comparison> {
        return this.study({ ask: "compare", ...question });
    }

    proposal(question: ProposalQuestion, files?: Files): Promise<Proposal> {
        return this.study({ ask: "proposal", ...question }, files);
    }
    aimSheet(name: string): Promise<AimSheet> {
        return this.study({ ask: "aim sheet", name });
    }
    nightCheck(question: { name: string; readings: string; readings_name: string }): Promise<NightCheck> {
        return this.study({ ask: "night check", ...question });
    }

    cancel(): void {
        this.drop("study", new Cancelled());
        if (this.is_viewing) this.drop("back", new Cancelled());
    }

    onProgress(listener: (progress: Progress) => void): () => void {
        this.progress_listeners.add(listener);
        return () => this.progress_listeners.delete(listener);
    }
    onFault(listener: (message: string) => void): () => void {
        this.fault_listeners.add(listener);
        return () => this.fault_listeners.delete(listener);
    }
    onLight(listener: (light: Light) => void): () => void {
        this.light_listeners.add(listener);
        return () => this.light_listeners.delete(listener);
    }

    close(): void {
        for (const role of ["front", "back", "study"] as const) this.drop(role, new Cancelled());
        URL.revokeObjectURL(this.url);
    }
}

/** The back was ended because what it was at is of no use any more. */
class Overtaken extends Error {}

function plainProblem(message: string): Problem {
    return { severity: "error", message, remedy: "", pointer: "", file: "", line: 0, column: 0 };
}

/** Where the first document of all is refused there is no good state yet. */
function emptyChanged(): Changed {
    return {
        version: 0,
        is_accepted: false,
        problems: [],
        is_stage_new: false,
        fixtures_changed: [],
        light: {
            version: 0,
            direct: new Float32Array(),
            total: new Float32Array(),
            tint: new Float32Array(),
        },
        fixtures: [],
        options: [],
        site: {
            name: "",
            units: "ft",
            light: "fc",
            levels_lx: [],
            level_words: [],
            ambient_lx: 0,
            currency: "",
        },
    };
}

/** A part that the page carries, unpacked as it is read: gzip, base64, in a script element that is never run. */
function openPart(id: string): ReadableStream<Uint8Array> {
    const text = document.getElementById(id)?.textContent;
    if (!text) throw new Error(`the page carries no ${id}`);
    const letters = atob(text.trim());
    const packed = new Uint8Array(letters.length);
    for (let i = 0; i < packed.length; i++) packed[i] = letters.charCodeAt(i);
    return new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
}
export async function unpackPart(id: string): Promise<ArrayBuffer> {
    return new Response(openPart(id)).arrayBuffer();
}

/** Compiles the engine that the page carries while it is unpacked. */
export async function compileEngine(): Promise<WebAssembly.Module> {
    const headers = { "Content-Type": "application/wasm" };
    return WebAssembly.compileStreaming(new Response(openPart("duskcast-wasm"), { headers }));
}

/** Starts the engine that the page carries, whose module may be under way already, or the one given. */
export async function startEngine(
    parts?: EngineParts,
    module: Promise<WebAssembly.Module> = parts ? WebAssembly.compile(parts.wasm) : compileEngine(),
): Promise<Engine> {
    const worker = parts?.worker ?? new TextDecoder().decode(await unpackPart("duskcast-worker"));
    const url = URL.createObjectURL(new Blob([worker], { type: "text/javascript" }));
    return new WorkerEngine(url, await module);
}

/** The document that the page was made around; null: none. */
export function readPageSite(): { site: SiteDocument; is_client: boolean } | null {
    const text = document.getElementById("duskcast-site")?.textContent;
    if (!text?.trim()) return null;
    const carried = JSON.parse(text) as { text: string; files: Record<string, string>; is_client: boolean };
    const files: Record<string, Uint8Array> = {};
    for (const [name, base64] of Object.entries(carried.files))
        files[name] = Uint8Array.from(atob(base64), letter => letter.charCodeAt(0));
    return { site: { text: carried.text, files }, is_client: carried.is_client };
}

/** The licences of all that is in the page, as text. */
export async function readNotices(): Promise<string> {
    return new TextDecoder().decode(await unpackPart("duskcast-notices"));
}
