// A site file and what belongs to it in one archive: PKWARE APPNOTE 6.3, entries stored; read also deflated.

const crc_table = Uint32Array.from({ length: 256 }, (_, index) => {
    let value = index;
    for (let bit = 0; bit < 8; bit++) value = value & 1 ? 0xedb88320 ^ (value >>> 1) : value >>> 1;
    return value;
});

function crcOf(bytes: Uint8Array): number {
    let crc = 0xffffffff;
    for (const byte of bytes) crc = (crc_table[(crc ^ byte) & 0xff] as number) ^ (crc >>> 8);
    return (crc ^ 0xffffffff) >>> 0;
}

const local_sign = 0x04034b50;
const central_sign = 0x02014b50;
const end_sign = 0x06054b50;
const utf8_names = 0x0800;

/** Writes the archive; a file's name may hold "/" between folders. */
export function writeZip(files: Map<string, Uint8Array>): Uint8Array<ArrayBuffer> {
    const parts: Uint8Array[] = [];
    const central: Uint8Array[] = [];
    let at = 0;
    const header = (sign: number, name: Uint8Array, bytes: Uint8Array, offset?: number) => {
        const is_central = offset !== undefined;
        const block = new Uint8Array((is_central ? 46 : 30) + name.length);
        const view = new DataView(block.buffer);
        view.setUint32(0, sign, true);
        let to = 4;
        const put16 = (value: number) => {
            view.setUint16(to, value, true);
            to += 2;
        };
        const put32 = (value: number) => {
            view.setUint32(to, value, true);
            to += 4;
        };
        if (is_central) put16(20);
        put16(20);
        put16(utf8_names);
        put16(0); // stored
        put16(0);
        put16(0x21); // 1 January 1980: the same files give the same archive
        put32(crcOf(bytes));
        put32(bytes.length);
        put32(bytes.length);
        put16(name.length);
        put16(0);
        if (is_central) {
            put16(0);
            put16(0);
            put16(0);
            put32(0);
            put32(offset);
        }
        block.set(name, to);
        return block;
    };
    for (const [file, bytes] of files) {
        const name = new TextEncoder().encode(file);
        const local = header(local_sign, name, bytes);
        central.push(header(central_sign, name, bytes, at));
        parts.push(local, bytes);
        at += local.length + bytes.length;
    }
    const central_size = central.reduce((sum, block) => sum + block.length, 0);
    const end = new Uint8Array(22);
    const view = new DataView(end.buffer);
    view.setUint32(0, end_sign, true);
    view.setUint16(8, files.size, true);
    view.setUint16(10, files.size, true);
    view.setUint32(12, central_size, true);
    view.setUint32(16, at, true);
    const all = [...parts, ...central, end];
    const archive = new Uint8Array(at + central_size + end.length);
    let to = 0;
    for (const block of all) {
        archive.set(block, to);
        to += block.length;
    }
    return archive;
}

const most_unpacked = 200e6; // bytes; more is no site, and no promise is taken on trust

/** Reads an archive. Throws a sentence where it is none, or is broken. */
export async function readZip(archive: Uint8Array<ArrayBuffer>): Promise<Map<string, Uint8Array>> {
    const broken = new Error("This archive is broken or cut short.");
    const view = new DataView(archive.buffer, archive.byteOffset, archive.byteLength);
    let end = archive.length - 22;
    while (end >= 0 && view.getUint32(end, true) !== end_sign) end--;
    if (end < 0) throw broken;
    const files = new Map<string, Uint8Array>();
    const count = view.getUint16(end + 10, true);
    let at = view.getUint32(end + 16, true);
    let unpacked = 0;
    for (let index = 0; index < count; index++) {
        if (at + 46 > archive.length || view.getUint32(at, true) !== central_sign) throw broken;
        const method = view.getUint16(at + 10, true);
        const crc = view.getUint32(at + 16, true);
        const packed = view.getUint32(at + 20, true);
        const size = view.getUint32(at + 24, true);
        const name_length = view.getUint16(at + 28, true);
        const offset = view.getUint32(at + 42, true);
        const name = new TextDecoder().decode(archive.subarray(at + 46, at + 46 + name_length));
        at += 46 + name_length + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
        if (name.endsWith("/")) continue;
        if (offset + 30 > archive.length) throw broken;
        const start = offset + 30 + view.getUint16(offset + 26, true) + view.getUint16(offset + 28, true);
        unpacked += size;
        if (start + packed > archive.length || unpacked > most_unpacked) throw broken;
        const bytes = archive.subarray(start, start + packed);
        const file =
            method === 0
                ? bytes.slice(0, size)
                : method === 8
                  ? await inflate(bytes, size, broken)
                  : undefined;
        if (file?.length !== size || crcOf(file) !== crc) throw broken;
        files.set(name, file);
    }
    return files;
}

/** As many bytes as were promised; what would be more is left packed. */
async function inflate(bytes: Uint8Array<ArrayBuffer>, size: number, broken: Error): Promise<Uint8Array> {
    const file = new Uint8Array(size);
    let filled = 0;
    try {
        const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
        for (const reader = stream.getReader(); ; ) {
            const { done, value } = await reader.read();
            if (done) return file.subarray(0, filled);
            if (filled + value.length > size) {
                void reader.cancel();
                throw broken;
            }
            file.set(value, filled);
            filled += value.length;
        }
    } catch {
        throw broken;
    }
}
