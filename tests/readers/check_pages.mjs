// Holds the pages that the program writes against the HTML standard, by html-validate's standard rules.
// usage: node check_pages.mjs DUSKCAST BUSINESS SITE...

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { HtmlValidate } from "html-validate";

const [duskcast, business, ...sites] = process.argv.slice(2);
const validator = new HtmlValidate({ extends: ["html-validate:standard"], root: true });
const folder = mkdtempSync(join(tmpdir(), "duskcast-pages-"));
let faults = 0;

async function check(name, text) {
    const report = await validator.validateString(text);
    const messages = report.results.flatMap(result => result.messages);
    console.log(`${name}: ${text.length} characters, ${messages.length} faults`);
    for (const { line, column, ruleId, message } of messages) console.log(`  ${line}:${column} ${ruleId}: ${message}`);
    faults += messages.length;
}

try {
    // What is at fault is found, or finding nothing would mean nothing.
    const wrong = await validator.validateString('<!DOCTYPE html><html lang="en"><body><p><b>x</p></b></body></html>');
    if (wrong.valid) throw new Error("elements closed in the wrong order were not noticed");

    const run = (...words) => execFileSync(duskcast, words, { stdio: "ignore" });
    for (const site of sites) {
        run("propose", site, "--draft", "--business", business, "--client", "A <b> & \"C\"", "--out", folder);
        run("aim-sheet", site, "--out", join(folder, "aim.html"));
        for (const name of ["proposal.html", "technical.html", "aim.html"])
            await check(`${basename(site)}, ${name}`, readFileSync(join(folder, name), "utf8"));
    }
} finally {
    rmSync(folder, { recursive: true });
}
process.exitCode = faults > 0 ? 1 : 0;
