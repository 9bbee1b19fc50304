"""Card sheets to print in tests: invented designs of a usual size, and one as large as they get."""

import numpy as np

from blendlab.errors import MARKS
from blendlab.printing import CardSheet, ToneLine

PANEL = 184


def picture(h=900, w=700, colours=((111, 177, 174), (241, 231, 211))):
    """A plain jar on the panel grey, tones stacked; stands in for a painted one."""
    pixels = np.full((h, w, 3), PANEL, np.uint8)
    top, bottom, left, right = int(0.2 * h), int(0.9 * h), int(0.15 * w), int(0.85 * w)
    edges = np.linspace(top, bottom, len(colours) + 1).astype(int)
    for colour, start, end in zip(colours, edges[:-1], edges[1:], strict=True):
        pixels[start:end, left:right] = colour
    return pixels


LAGOON = CardSheet(
    name="Lagoon",
    product="whipped soap",
    jar="straight 120 ml jar",
    load="1.20 % of the finished product",
    date="2026-11-25",
    picture=picture(),
    tones=(
        ToneLine(
            "Deep water", 60, "#8CC1BE", "#6FB1AE", "#549C9A", (67.9, -20.1, -6.32), "estimate", 3.1,
            (("Hydrated chromium green", 0.06), ("Iron blue", 0.03)),
        ),
        ToneLine("Cream", 40, "#F4ECDC", "#F1E7D3", "#E9DCBF", (92.1, 0.4, 10.9), "measured, 3 swatches", 1.2,
                 (("Yellow oxide", 0.02),)),
    ),
    scent=(("Lavender", 45.0), ("Petitgrain", 30.0), ("Cedarwood", 25.0)),
    ceiling="Highest load within all listed limits: 1.42 % of the finished product. Citral binds.",
    label_names=("Linalool", "Limonene", "Geraniol", "Citral"),
    findings=(
        (MARKS["caution"], "Citral uses 92 % of its listed limit. Lower the load to 1.12 %."),
        (MARKS["caution"], "0.09 g of yellow oxide is less than 20 steps of your 0.01 g scale. "
                           "Use the 10 % stock: 0.90 g."),
        (MARKS["note"], "Deep water and Cream differ by Delta E 38: the border will read from 2 m."),
    ),
    counts="19 listed limits checked, 2 unverified, 1 unknown, lists of 2026-11-25.",
)  # fmt: skip

FULL = CardSheet(
    name="Küstennebel über der Lagune mit Λεβάντα und Лаванда, dritter Versuch",
    product="whipped soap",
    jar="straight 240 ml jar",
    load="1.50 % of the finished product",
    date="2026-11-25",
    picture=picture(colours=[(200, 180 - 20 * n, 90 + 25 * n) for n in range(6)]),
    tones=tuple(
        ToneLine(
            f"Tone {n}: Möwenflügel Ωmega Жемчуг", 100 / 6, f"#D{n}A0B0", f"#C{n}90A1", f"#B{n}8091",
            (60.0 + n, -12.34 * n, 8.0 - 3 * n), "estimate, starter value", 4.0 + n,
            tuple((f"Pigment {n}.{m} with a long trade name", 0.123456 + m) for m in range(4)), n != 2,
        )
        for n in range(1, 7)
    ),
    scent=tuple((f"Oil number {n} from the hillside", 100 / 12) for n in range(1, 13)),
    ceiling="Highest load for sale: none. Without Oil number 7: 1.02 % of the finished product.",
    label_names=tuple(f"Declared name {n}" for n in range(1, 15)),
    findings=tuple(
        (MARKS[level], f"Finding {n}: oil {n} stands at {n}.25 % of the jar, {n}.10 % is listed; take it "
                       f"down by {n} points or leave it out. Supplier's sheet of 2026-03-0{n % 9 + 1}.")
        for n, level in enumerate(["stop"] * 3 + ["caution"] * 4 + ["note"] * 3, start=1)
    ),
    counts="31 listed limits checked, 7 unverified, 12 unknown, lists of 2026-11-25.",
)  # fmt: skip
