// The engine as the page sees it: types, and promises over two Workers. Nobody else knows of memory or messages.
//
// The `front` worker answers what a hand waits for: a change of the document, direct light, loads, probes. The
// `back` worker follows it with what takes longer: bounced light and the whole report when the hand rests, views
// and studies. Cancelling ends the back worker and starts another with the same document.
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
  /** "as wired": lamps get the volts that the network brings them. */
  as_wired?: boolean;
}

/** What an accepted or refused document means. Where it is refused the last good state stays. */
export interface Changed {
  /** Counts documents and looks given to this engine. */
  version: number;
  is_accepted: boolean;
  /** Errors where refused; else warnings: of reading, of advice (a spike in a lawn ...) and of meshes. */
  problems: Problem[];
  /** The stage was built anew: ask scene() again. */
  is_stage_new: boolean;
  /** Ids of fixtures whose light changed. */
  fixtures_changed: string[];
  /** Empty arrays where refused. */
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
  | "wall" | "projection" | "soffit" | "opening" | "ground" | "tree" | "shrub" | "mesh";

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
  /** Index into Scene.textures; -1: none. */
  texture: number;
}

export interface Texture {
  width: number;
  height: number;
  /** 8-bit sRGB with alpha, first row at the bottom. */
  rgba: Uint8Array;
}

export interface Scene {
  version: number;
  surfaces: Surface[];
  materials: Material[];
  textures: Texture[];
  /** Three floats a sensor. */
  sensor_position: Float32Array;
  sensor_normal: Float32Array;
  /** Triangles, corners not shared. */
  triangles: {
    /** 9 a triangle. */
    position: Float32Array;
    /** 3 a triangle. */
    normal: Float32Array;
    /** 6 a triangle: place in the light map of its surface's grid, 0..1; NaN where the surface has no grid. */
    light_uv: Float32Array;
    /** 6 a triangle: place in the material's texture; empty where no material has one. */
    texture_uv: Float32Array;
    /** 1 a triangle. */
    surface: Uint16Array;
    material: Uint16Array;
    /** 3 a triangle: the sensor nearest to the corner on its surface; -1 where the surface has none. */
    sensor: Int32Array;
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
    /** 2 a leaf: the sensor whose light stands for the side towards its normal, and for the other side. */
    sensor: Int32Array;
  };
  /** [east, north, up] least and most of everything but the ground. */
  bounds: { least: [number, number, number]; most: [number, number, number] };
  /** What a plan is drawn from; outlines in [east, north]. */
  plan: {
    walls: { id: string; outline: [number, number][]; is_closed: boolean }[];
    projections: { id: string; outline: [number, number][] }[];
    areas: { id: string; kind: string; outline: [number, number][] }[];
    trees: { id: string; at: [number, number]; crown_radius: number; trunk_radius: number; height: number }[];
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
  setback: number | null;
  position: [number, number, number];
  /** Unit, along the axis of the beam. */
  direction: [number, number, number];
  tilt: number;
  azimuth: number;
  dimming: number;
  lens_diameter: number;
  lumens: number;
  watts: number;
  beam_angle: number | null;
  field_angle: number | null;
  cct: number;
  /** Linear sRGB of luminance 1. */
  colour: [number, number, number];
  /** Where its line of aim meets an upright surface: index into Scene.surfaces, u there. */
  line: { surface: number; along: number } | null;
  /** By its own light straight from the lens, one a level; empty where it has no line. */
  reach: Reach[];
  /** "15 in back, tilt 8°, reaches 13 ft". */
  words: string;
  /** "4 W, 36°, 280 lm". */
  lamp_words: string;
  /** Advice about where it stands, with the reason. */
  advice: string[];
  /** What one press of "too dim" or "too bright" would do; null: nothing more. */
  step_up: string | null;
  step_down: string | null;
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
    id: string; on: string; level_lx: number; wanted_share: number; share: number; mean_lx: number;
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
  /** Name of a price list among the document's files; absent: no price. */
  prices?: string;
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
      id: string; run: string; volts: number | null; amps: number | null; watts: number | null;
      state: "low" | "good" | "high" | "none"; operating_volts: [number, number]; at: [number, number];
      words: string;
    }[];
    runs: {
      id: string; transformer: string; tap: number; gauge: number; is_found: boolean; is_good: boolean;
      watts: number; amps: number; least_volts: number; most_volts: number; length: number;
      cables: { part: "home" | "cable" | "lead"; course: [number, number][]; gauge: number; length: number;
                end_volts: number }[];
    }[];
    transformers: { id: string; at: [number, number]; rating: number; volt_amperes: number; is_good: boolean }[];
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
}

export interface Sweep {
  version: number;
  knob: string;
  /** What each variant is called ("6°"), and the keys to be merged into each fixture for it. */
  labels: string[];
  sets: Record<string, string | number>[];
  curves: Curve[];
  /** Index of the variant that is the site as drawn; -1: none of them. */
  as_drawn: number;
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
    key: string; title: string; fixture: string; on: string;
    low: number; middle: number; high: number; words: string;
  }[];
  sentences: string[];
}

export interface Comparison {
  version: number;
  table: string;
  verdict: string[];
  variants: {
    id: string; name: string; watts: number; price: number | null; spill_share: number | null;
    sentences: string[]; words: string;
  }[];
}

export interface Contributions {
  version: number;
  targets: { target: string; fixtures: { fixture: string; of_light: number; without: number }[] }[];
  needless: string[];
  sentences: string[];
}

// ---- Looking ----------------------------------------------------------------------------------------------

export interface ProbeQuestion {
  position: [number, number, number];
  normal: [number, number, number];
}

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

/** The fixed scale of light of the plates, and how the night is toned; shaders are checked against both. */
export interface LightScale {
  /** 256 colours from the scale's least to its most, evenly in the logarithm: sRGB bytes, 3 a colour. */
  colours: Uint8Array;
  least_lx: number;
  most_lx: number;
  ticks: { lx: number; words: string }[];
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
  finishes: { name: string; reflectance: [number, number, number] }[];
  version: string;
}

// ---- The engine -------------------------------------------------------------------------------------------

export interface Progress {
  /** "bounce", "report", "sweep", "suggest", "tolerance", "compare", "view". */
  task: string;
  /** 0..1. */
  share: number;
}

export interface Engine {
  /** A new document. Never rejects for what is in it: faults are in `problems`. */
  open(site: SiteDocument, look?: Look): Promise<Changed>;
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
  /** Bounced light and the whole report of the newest document; null: overtaken. */
  settle(): Promise<Settled | null>;

  load(question?: LoadQuestion): Promise<Load>;
  step(fixture: string, way: "up" | "down"): Promise<Step>;
  /** Lamps that the fixture's socket takes. */
  lamps(fixture: string): Promise<LampChoice[]>;
  probe(question: ProbeQuestion): Promise<Probe>;
  scale(): Promise<LightScale>;
  forms(): Promise<Forms>;
  /** Reads a length or angle as people type it ("15 in", "52 ft", "8"); null: it is none. SI. */
  read(quantity: "length" | "angle" | "illuminance", text: string): Promise<number | null>;
  print(quantity: "length" | "setback" | "angle" | "illuminance", value: number): Promise<string>;
  /** The document as the engine writes it, tidy: print_site. */
  tidy(): Promise<string>;

  view(question: ViewQuestion): Promise<View>;
  sweep(question: SweepQuestion): Promise<Sweep>;
  suggest(question: SuggestQuestion): Promise<Suggestions>;
  tolerance(question?: { target?: string; samples?: number }): Promise<Tolerance>;
  compare(question?: { variants?: string[]; target?: string }): Promise<Comparison>;
  contributions(): Promise<Contributions>;
  /** Ends what the back worker is at; its promises reject with a Cancelled. */
  cancel(): void;

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
    super(problems.map((problem) => [problem.message, problem.remedy].filter(Boolean).join("; ")).join("\n"));
    this.name = "EngineFault";
  }
}
