// Runs in a Worker: the engine's module, one question after the other. The page never sees its memory.

import createEngine from "duskcast-engine";

interface Module {
    _malloc(bytes: number): number;
    _free(address: number): void;
    _duskcast_ask(question: number): number;
    _duskcast_put_file(name: number, bytes: number, count: number): number;
    _duskcast_remove_file(name: number): number;
    _duskcast_block_count(): number;
    _duskcast_block_kind(block: number): number;
    _duskcast_block_length(block: number): number;
    _duskcast_block_data(block: number): number;
    _duskcast_drop_answer(): void;
    UTF8ToString(address: number): string;
    stringToUTF8(text: string, address: number, most_bytes: number): void;
    lengthBytesUTF8(text: string): number;
    HEAPU8: Uint8Array;
}

type Message =
    | { module: WebAssembly.Module }
    | { id: number; question: object }
    | { id: number; put: string; bytes: Uint8Array }
    | { id: number; remove: string };

type Block = Float32Array | Int32Array | Uint16Array | Uint8Array;

const scope = self as unknown as DedicatedWorkerGlobalScope;
let engine: Promise<Module> | undefined;

function start(module: WebAssembly.Module): Promise<Module> {
    return createEngine({
        instantiateWasm(imports: WebAssembly.Imports, done: (instance: WebAssembly.Instance) => void) {
            WebAssembly.instantiate(module, imports).then(done, crash);
            return {};
        },
        onProgress(task: string, share: number) {
            scope.postMessage({ progress: { task, share } });
        },
    });
}

function crash(reason: unknown): void {
    scope.postMessage({ crash: reason instanceof Error ? reason.message : String(reason) });
}

/** Calls with a text in the engine's memory. */
function withText<Result>(m: Module, text: string, call: (address: number) => Result): Result {
    const bytes = m.lengthBytesUTF8(text) + 1;
    const address = m._malloc(bytes);
    m.stringToUTF8(text, address, bytes);
    try {
        return call(address);
    } finally {
        m._free(address);
    }
}

/** The answer's arrays, each copied once out of the engine's memory. The kinds are in the order of duskcast::Block. */
function copyBlocks(m: Module): Block[] {
    const blocks: Block[] = [];
    for (let i = 0; i < m._duskcast_block_count(); i++) {
        const kind = [Float32Array, Int32Array, Uint16Array, Uint8Array][m._duskcast_block_kind(i)];
        if (!kind) throw new Error("an array of an unknown kind");
        blocks.push(
            new kind(
                m.HEAPU8.buffer as ArrayBuffer,
                m._duskcast_block_data(i),
                m._duskcast_block_length(i),
            ).slice(),
        );
    }
    return blocks;
}

function answer(m: Module, message: Exclude<Message, { module: WebAssembly.Module }>): [object, Block[]] {
    let address: number;
    if ("put" in message) {
        const { put, bytes } = message;
        const at = m._malloc(bytes.length);
        m.HEAPU8.set(bytes, at);
        address = withText(m, put, name => m._duskcast_put_file(name, at, bytes.length));
        m._free(at);
    } else if ("remove" in message)
        address = withText(m, message.remove, name => m._duskcast_remove_file(name));
    else address = withText(m, JSON.stringify(message.question), question => m._duskcast_ask(question));
    const json = m.UTF8ToString(address);
    const blocks = copyBlocks(m);
    m._duskcast_drop_answer();
    const found = JSON.parse(json, (_key, value) =>
        value !== null && typeof value === "object" && "$block" in value ? blocks[value.$block] : value,
    );
    return [found, blocks];
}

scope.onmessage = async ({ data }: MessageEvent<Message>) => {
    try {
        if ("module" in data) {
            engine = start(data.module);
            await engine;
            return;
        }
        if (!engine) throw new Error("the engine was not started");
        const [found, blocks] = answer(await engine, data);
        scope.postMessage(
            { id: data.id, answer: found },
            blocks.map(block => block.buffer as ArrayBuffer),
        );
    } catch (reason) {
        crash(reason);
    }
};
