// Words for ids: what a person reads.

export function callId(id: string): string {
    const words = id.replace(/[.]/g, ", ").replaceAll("-", " ");
    return words.charAt(0).toUpperCase() + words.slice(1);
}
