// Words for ids: what a person reads.

export function callId(id: string): string {
    const words = id.replace(/[.]/g, ", ").replaceAll("-", " ");
    return words.charAt(0).toUpperCase() + words.slice(1);
}

/** How high light carries, where that it reaches is said beside it. */
export function plainReach(words: string): string {
    return words.replace(/^reaches /, "");
}

/** A sentence of the engine with things called as people do: "run-1" is "run 1". Ids without a dash are marks on the
 *  plan, which the crew reads, and stay. */
export function plainly(sentence: string, ids: Iterable<string>): string {
    let plain = sentence;
    // The longest first: one id may be the beginning of another.
    for (const id of [...ids].filter(one => one.includes("-")).sort((a, b) => b.length - a.length))
        plain = plain.replaceAll(
            new RegExp(`(?<![\\w-])${id.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}(?![\\w-])`, "g"),
            id.replaceAll("-", " "),
        );
    // "Run run-1" of a sentence is "Run 1", not "Run run 1".
    return plain.replaceAll(/\b(run|transformer|hub|tree|wall|bed) \1 (?=\d)/gi, "$1 ");
}
