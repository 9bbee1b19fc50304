"""The jar: new colours, a new turn, a cold start, at 700 x 900."""

from __future__ import annotations

from itertools import count

from blendlab.jar import encode, paint, planes, scene, surface, texture, top, turning
from tests.bench.line import Line, best
from tests.jar.jar_kit import COAL, CREAM, PLUM, TEAL, coloured, filled

PX = (700, 900)


def lines() -> list[Line]:
    plain, star = filled(kind="helix"), filled(kind="helix", top="star")
    layers = filled(kind="layers", shares=(20, 20, 20, 20, 20))
    marble = filled(kind="marble")
    five = coloured(TEAL, CREAM, COAL, PLUM, TEAL)
    pairs = [coloured(TEAL, CREAM), coloured(PLUM, CREAM)]
    step = count(1)

    def colours() -> None:
        paint(plain, pairs[next(step) % 2], px=PX)

    def turn(layout, tones):
        return lambda: paint(layout, tones, turn=float(next(step)), px=PX)

    def cold(layout):
        def work() -> None:
            kept = (planes.front, scene.scene, texture.wall, top.relief, surface.dress, surface._made)
            for maker in kept:
                maker.cache_clear()
            paint(layout, pairs[0], px=PX)

        return work

    def film() -> None:
        planes.front.cache_clear()
        turning(star, pairs[0])

    shaped = filled(kind="helix", jar="j240-g")
    colours()
    picture = paint(plain, pairs[0], px=PX)
    return [
        Line("jar 700 x 900, new colours", 1000 * best(colours, 31), "ms", most=15),
        Line("jar 700 x 900, new turn, helix, flat top", 1000 * best(turn(plain, pairs[0])), "ms", most=60),
        Line("jar 700 x 900, new turn, five layers", 1000 * best(turn(layers, five)), "ms", most=60),
        Line(
            "jar 700 x 900, new turn, star top",
            1000 * best(turn(star, pairs[0]), 7),
            "ms",
            most=150,
            remark="the height field of the top is turned and lit anew",
        ),
        Line("jar 700 x 900, new turn, marble", 1000 * best(turn(marble, pairs[0]), 7), "ms", most=60),
        Line("jar 700 x 900, cold, flat top", 1000 * best(cold(plain), 3), "ms", most=600),
        Line("jar 700 x 900, cold, star top", 1000 * best(cold(star), 3), "ms", most=600),
        Line("turntable of 24 frames, 420 x 540, star top", best(film, 2), "s", most=3),
        Line("jar 700 x 900, shoulder, new turn", 1000 * best(turn(shaped, pairs[0]), 5), "ms", most=150),
        Line("jar 700 x 900 as JPEG", 1000 * best(lambda: encode(picture, "jpeg")), "ms", most=15),
    ]
