// Words for ids: what a person reads.

export function callId(id: string): string {
    const words = id.replace(/[.]/g, ", ").replaceAll("-", " ");
    return words.charAt(0).toUpperCase() + words.slice(1);
}

/** How high light carries, where that it reaches is said beside it. */
export function plainReach(words: string): string {
    return words.replace(/^reaches /, "");
}
