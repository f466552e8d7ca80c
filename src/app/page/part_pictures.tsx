// Small drawings of what can be added: lines as on our plans and elevations, light as a wash.

const trunk = "M20 27V19";

/** Lines, and what light or leaves fill; 40 wide and 28 high. */
const pictures = {
    front2: { line: "M3 27V15L11 5L19 15H22L29 7L37 15V27ZM18 27V20H22V27M8 24V18H13V24ZM27 24V18H32V24Z" },
    front1: { line: "M3 27V15H13L22 4L31 15H37V27ZM19 27V19H24V27M7 24V18H12V24ZM29 24V18H34V24Z" },
    front0: { line: "M3 27V12H37V27ZM2 12H38M18 27V18H22V27M7 23V16H13V23ZM27 23V16H33V23Z" },
    wall: { line: "M3 22L26 22L37 10M3 19V25M35 8L39 12" },
    window: { line: "M12 3H28V25H12ZM12 14H28M20 3V25M10 25H30", fill: "M12 3H28V25H12Z" },
    door: { line: "M13 27V3H27V27M16 6H24V13H16ZM16 16H24V24H16ZM9 27H31" },
    gable: { line: "M4 24L20 5L36 24M2 24H38" },
    porch: { line: "M5 10L20 3L35 10ZM8 10V26M32 10V26M4 26H36" },
    chimney: { line: "M15 27V6H25V27M13 6H27V3H13ZM15 12H25M15 18H25M20 6V12M17 12V18" },
    roof: { line: "M2 22L11 6H29L38 22ZM11 6L20 22M29 6L20 22" },
    porch_roof: { line: "M4 10L9 4H31L36 10ZM8 10V26M16 10V26M24 10V26M32 10V26M4 26H36" },
    dormer: { line: "M2 25L10 9H30L38 25ZM14 22V14L20 8L26 14V22ZM17 22V16H23V22" },
    steps: { line: "M5 26V22H14V17H23V12H32V7H37" },
    railing: { line: "M4 27V7H36V27M4 23H36M10 7V23M16 7V23M22 7V23M28 7V23" },
    lantern: { line: "M16 8H24L26 20H14ZM20 8V4H30V24", fill: "M16 8H24L26 20H14Z" },
    lamp_post: {
        line: "M20 27V11M15 27H25M16 7A4 4 0 1 1 24 7A4 4 0 1 1 16 7",
        fill: "M16 7A4 4 0 1 1 24 7A4 4 0 1 1 16 7",
    },
    bed: { line: "M4 20Q10 8 22 10T37 18Q30 26 18 25T4 20ZM13 18h1M19 15h1M25 18h1M19 21h1M30 17h1" },
    walk: { line: "M14 27Q14 16 20 12T26 2M24 27Q24 18 29 14T34 2M16 19L26 20M20 12L30 14" },
    lawn: { line: "M5 24L7 18L9 24M15 22L17 16L19 22M25 24L27 18L29 24M33 21L35 15L37 21" },
    terrace: { line: "M3 25H14V15H37M14 20H37M20 15V20M28 20V25M14 25H37" },
    water: { line: "M4 12Q10 7 16 12T28 12T38 11M4 19Q10 14 16 19T28 19T38 18" },
    fountain: {
        line: "M4 20H36V26H4ZM18 20Q19 15 16 13H24Q21 15 22 20M11 10Q14 13 20 13T29 10ZM20 10V4M17 7Q18 3 20 3T23 7",
        fill: "M7 20H33V22H7Z",
    },
    shrubs: {
        line: "M5 24A5 5 0 0 1 9 15A6 6 0 0 1 20 12A6 6 0 0 1 31 15A5 5 0 0 1 35 24Z",
        fill: "M5 24A5 5 0 0 1 9 15A6 6 0 0 1 20 12A6 6 0 0 1 31 15A5 5 0 0 1 35 24Z",
    },
    round: { line: `${trunk}M12 11A8 8 0 1 1 28 11A8 8 0 1 1 12 11` },
    oval: { line: `${trunk}M13 11A7 9 0 1 1 27 11A7 9 0 1 1 13 11` },
    spreading: { line: `${trunk}M5 12A15 7 0 1 1 35 12A15 7 0 1 1 5 12` },
    vase: { line: `${trunk}M16 20Q7 11 8 5Q20 -1 32 5Q33 11 24 20Z` },
    cone: { line: `M20 27V23M11 23L20 2L29 23Z` },
    column: { line: `M20 27V23M15 14A5 10 0 1 1 25 14A5 10 0 1 1 15 14` },
    weeping: { line: `${trunk}M8 22Q8 3 20 3T32 22Q28 15 26 22Q23 13 20 20Q17 13 14 22Q12 15 8 22` },
    uplight: { line: "M15 27L17 20H23L25 27ZM14 27H26", fill: "M17 20L8 2H32L23 20Z" },
    bullet: { line: "M13 22L19 13L25 17L19 26ZM20 24L22 28", fill: "M19 13L24 1L38 10L25 17Z" },
    "in-ground": { line: "M3 22H13V27H27V22H37", fill: "M13 22L8 3H32L27 22Z" },
    wash: { line: "M16 27V22H13L15 18H25L27 22H16", fill: "M15 18L2 4H38L25 18Z" },
    path: { line: "M20 27V8M11 10Q20 1 29 10Z", fill: "M13 10H27L36 27H4Z" },
    downlight: { line: "M3 4H37M16 4V9H24V4", fill: "M16 9H24L33 27H7Z" },
} as const;

export type PictureName = keyof typeof pictures;

export function PartPicture({ of }: { of: string }) {
    const picture: { line: string; fill?: string } | undefined = pictures[of as PictureName];
    if (!picture) return null;
    return (
        <svg class="part-picture" viewBox="0 0 40 28" width="40" height="28" aria-hidden="true">
            {picture.fill && <path class="wash" d={picture.fill} />}
            <path d={picture.line} />
        </svg>
    );
}
