// Lines of equal light on a sheet: marching squares over the middles of a grid's cells.

export interface Field {
    columns: number;
    rows: number;
    /** NaN where there is nothing. */
    values: Float32Array;
}

/** Pieces of the line, each x0, y0, x1, y1 in cells (0 is the middle of the first). Logarithms between cells, as
 *  light falls off. */
export function findContour(field: Field, level: number): number[] {
    const pieces: number[] = [];
    const { columns, rows, values } = field;
    const between = (a: number, b: number) => {
        const low = Math.log(Math.max(a, 1e-4));
        const high = Math.log(Math.max(b, 1e-4));
        return high === low ? 0.5 : (Math.log(level) - low) / (high - low);
    };
    for (let row = 0; row + 1 < rows; row++)
        for (let column = 0; column + 1 < columns; column++) {
            const at = row * columns + column;
            const a = values[at] as number;
            const b = values[at + 1] as number;
            const c = values[at + columns + 1] as number;
            const d = values[at + columns] as number;
            const code =
                (a >= level ? 1 : 0) | (b >= level ? 2 : 0) | (c >= level ? 4 : 0) | (d >= level ? 8 : 0);
            if (code === 0 || code === 15) continue;
            if (Number.isNaN(a + b + c + d)) continue;
            const south: [number, number] = [column + between(a, b), row];
            const east: [number, number] = [column + 1, row + between(b, c)];
            const north: [number, number] = [column + between(d, c), row + 1];
            const west: [number, number] = [column, row + between(a, d)];
            const join = (p: [number, number], q: [number, number]) => pieces.push(p[0], p[1], q[0], q[1]);
            switch (code) {
                case 1:
                case 14:
                    join(west, south);
                    break;
                case 2:
                case 13:
                    join(south, east);
                    break;
                case 3:
                case 12:
                    join(west, east);
                    break;
                case 4:
                case 11:
                    join(east, north);
                    break;
                case 6:
                case 9:
                    join(south, north);
                    break;
                case 7:
                case 8:
                    join(west, north);
                    break;
                default: {
                    const is_high = (a + b + c + d) / 4 >= level;
                    if ((code === 5) === is_high) {
                        join(west, north);
                        join(south, east);
                    } else {
                        join(west, south);
                        join(east, north);
                    }
                }
            }
        }
    return pieces;
}
