// Fingers on the page: touch events as a screen sends them.

/** Sends touches through the browser's own input, one finger for each place. */
export async function openTouch(page) {
    const session = await page.context().newCDPSession(page);
    const send = (type, points) =>
        session.send("Input.dispatchTouchEvent", {
            type,
            touchPoints: points.map(([x, y], id) => ({ x, y, id, radiusX: 8, radiusY: 8, force: 1 })),
        });
    const touch = {
        press: at => send("touchStart", [at]),
        move: at => send("touchMove", [at]),
        lift: () => send("touchEnd", []),
        async tap(at) {
            await touch.press(at);
            await touch.lift();
        },
        /** A finger drawn from one place to another. */
        async drag(from, to, steps = 8) {
            await touch.press(from);
            for (let i = 1; i <= steps; i++)
                await touch.move([
                    from[0] + ((to[0] - from[0]) * i) / steps,
                    from[1] + ((to[1] - from[1]) * i) / steps,
                ]);
            await touch.lift();
        },
        /** Two fingers that part about a middle, level. */
        async spread(middle, from, to, steps = 8) {
            const fingers = half => [
                [middle[0] - half, middle[1]],
                [middle[0] + half, middle[1]],
            ];
            await send("touchStart", fingers(from));
            for (let i = 1; i <= steps; i++)
                await send("touchMove", fingers(from + ((to - from) * i) / steps));
            await send("touchEnd", []);
        },
    };
    return touch;
}
