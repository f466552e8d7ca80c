// The candela that duskcast reads from type C files against those of an independent reader, IESLoader of
// the npm package three: node compare.mjs PRINT_CANDELA FOLDER...
//
// That loader makes a table over C 0, 1 ... 359 degrees and 180 angles gamma from 0 to 180 (every 180/179
// degrees), bilinear between the file's angles as ours is, and divides it by the greatest candela of the
// file. So both are compared at the table's own directions after dividing ours by our greatest. Beyond the
// file's vertical angles it goes on along the last slope; there nothing is compared. The table holds 32-bit
// floats: a value is off by up to 2^-24 of itself; what the two sides' sums in double precision differ by
// is measured in the greatest value. Factors common to all candela cancel out: they are for
// tests/photometry/test_lm63.cpp. Types A and B it does not know.

import { execFileSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { exit } from 'node:process';

let FloatType, IESLoader;
try {
    ({ FloatType } = await import('three'));
    ({ IESLoader } = await import('three/addons/loaders/IESLoader.js'));
} catch (error) {
    console.error(`${error.message}\nRun "npm ci" in tests/readers; tools/test does.`);
    exit(1);
}

const roundingOf = (value) => 2 ** -24 * value + 1e-13;
const leastDirections = 500;

// What the loader cannot read, and why. Every other type C file must be read and agree.
const unreadable = {
    '1991-about-0-180.ies': 'looks for TILT in capitals only',
    '2019-axial.ies': "does not know Fortran's exponents (9.0D+01)",
};

// It counts C from the file's first horizontal angle.
const firstAngle = { '1995-about-90-270.ies': 90, '2019-about-90-270.ies': 90 };

const readTable = (file) => {
    const loader = new IESLoader();
    loader.type = FloatType;
    try {
        return loader.parse(readFileSync(file, 'latin1')).image.data;
    } catch {
        return [NaN];
    }
};

const [printCandela, ...folders] = process.argv.slice(2);
const files = folders.flatMap((folder) =>
    readdirSync(folder).filter((name) => name.endsWith('.ies')).sort().map((name) => join(folder, name)));
const printed = execFileSync(printCandela, files, { encoding: 'utf8', maxBuffer: 2 ** 28 });

let directions = 0;
let failed = false;
for (const part of printed.split(/^file /m).slice(1)) {
    const [head, ...lines] = part.trimEnd().split('\n');
    const [, type, greatest, file] = head.match(/^(\S+) (\S+) (.*)$/);
    const name = basename(file);
    if (type !== 'C') {
        console.log(`${name}: type A or B, not for that loader`);
        continue;
    }
    const table = readTable(file);
    if (table.some(Number.isNaN)) {
        console.log(`${name}: not compared, the loader ${unreadable[name] ?? 'fails'}`);
        failed ||= !(name in unreadable);
        continue;
    }
    let worst = 0; // share of what is allowed
    let where = '';
    for (const line of lines) {
        const [c, row, candela] = line.split(' ').map(Number);
        const turned = (c - (firstAngle[name] ?? 0) + 360) % 360;
        const theirs = table[(row + 180 * turned) % table.length];
        const ours = candela / greatest;
        const difference = Math.abs(theirs - ours) / roundingOf(ours);
        if (!(difference <= worst)) {
            worst = difference;
            where = ` at C ${c}, gamma ${((row * 180) / 179).toFixed(3)}: ${ours} and ${theirs} of the greatest`;
        }
    }
    directions += lines.length;
    const isGood = worst <= 1 && lines.length > 0 && !(name in unreadable);
    failed ||= !isGood;
    console.log(`${name}: ${lines.length} directions, worst ${worst.toFixed(2)} of what rounding allows` +
        (isGood ? '' : `${where}  WRONG`));
}
console.log(`${directions} directions, at least ${leastDirections} wanted`);
exit(failed || directions < leastDirections ? 1 : 0);
