// Lengths as people write them in a site file, and as the page writes them there.

export type LengthUnit = "ft" | "m";

const metres_per: Record<string, number> = {
    m: 1,
    cm: 0.01,
    mm: 0.001,
    ft: 0.3048,
    "'": 0.3048,
    in: 0.0254,
    '"': 0.0254,
};

/** Metres of "5 ft 6 in", `5' 6"`, "0.45 m" or a bare number in `unit`; undefined where it is none of these. */
export function readLength(value: unknown, unit: LengthUnit): number | undefined {
    if (typeof value === "number")
        return Number.isFinite(value) ? value * (metres_per[unit] as number) : undefined;
    if (typeof value !== "string") return undefined;
    const text = value.trim().toLowerCase().replaceAll("″", '"').replaceAll("′", "'").replaceAll(",", ".");
    const bare = Number(text);
    if (text !== "" && Number.isFinite(bare)) return bare * (metres_per[unit] as number);
    const part =
        /^([-+]?)\s*(\d+(?:\.\d+)?|\.\d+)?(?:\s+(\d+)\/(\d+)|(?<=^|\s|[-+])(\d+)\/(\d+))?\s*(ft|feet|foot|in|inches|inch|mm|cm|m|'|")\.?\s*/;
    let rest = text;
    let sum = 0;
    let sign = 1;
    let count = 0;
    while (rest !== "") {
        const found = part.exec(rest);
        if (!found || (found[2] === undefined && found[5] === undefined)) return undefined;
        if (found[1] && count > 0) return undefined;
        if (found[1] === "-") sign = -1;
        const fraction = found[3]
            ? Number(found[3]) / Number(found[4])
            : found[5]
              ? Number(found[5]) / Number(found[6])
              : 0;
        const name = (found[7] as string).replace(/feet|foot/, "ft").replace(/inch(es)?/, "in");
        sum += (Number(found[2] ?? 0) + fraction) * (metres_per[name] as number);
        rest = rest.slice(found[0].length);
        count += 1;
    }
    return count > 0 && Number.isFinite(sum) ? sign * sum : undefined;
}

/** What the page writes into the file for a length: "15 in" under 2 ft, "6 ft 3 in" above, or "0.38 m".
 *  `step` is what it is rounded to, in metres; the default is a quarter inch or half a centimetre. */
export function printLength(metres: number, unit: LengthUnit, step?: number): string {
    if (unit === "m") {
        const size = step ?? 0.005;
        return `${Number((Math.round(metres / size) * size).toFixed(3))} m`;
    }
    const size = (step ?? 0.00635) / 0.0254;
    const inches = Number((Math.round(metres / 0.0254 / size) * size).toFixed(3));
    const sign = inches < 0 ? "-" : "";
    const whole = Math.abs(inches);
    if (whole < 24) return `${sign}${whole} in`;
    const feet = Math.floor(whole / 12);
    const rest = Number((whole - 12 * feet).toFixed(3));
    return rest === 0 ? `${sign}${feet} ft` : `${sign}${feet} ft ${rest} in`;
}

/** A coordinate of the plan, which the file keeps as a bare number of its unit. */
export function printCoordinate(metres: number, unit: LengthUnit): number {
    return unit === "m" ? Number(metres.toFixed(3)) : Number((metres / 0.3048).toFixed(3));
}

/** What a hand moves a thing by: whole inches or centimetres. */
export function handStep(unit: LengthUnit): number {
    return unit === "m" ? 0.01 : 0.0254;
}

/** Degrees as the file keeps them, "8", "8 deg" or "0.14 rad"; undefined where it is none of these. */
export function readAngle(value: unknown): number | undefined {
    if (typeof value === "number") return Number.isFinite(value) ? value : undefined;
    if (typeof value !== "string") return undefined;
    const found = /^\s*([-+]?[0-9.]+(?:e[-+]?\d+)?)\s*(deg|rad|°|degrees)?\s*$/i.exec(value);
    if (!found) return undefined;
    const figure = Number(found[1]);
    if (!Number.isFinite(figure)) return undefined;
    return found[2]?.toLowerCase() === "rad" ? (figure * 180) / Math.PI : figure;
}
