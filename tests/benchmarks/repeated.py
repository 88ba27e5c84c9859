"""An invented cabinet of any size at one density, written as a scene: what the benchmarks measure.

For every forty tubes there is half a metre of case: a row of nipples that face back, a gap between keys of
four boxes each, a shelf with a passage under it, a row of nipples that face up, posts and rails. Each tube
bends six times: it runs down behind the bar, close over the keys to the gap, and through gap and shelf.
"""

import numpy as np
from builders import a_scene, extent, place, with_box, with_part, with_tube, with_tubing

GROUP = 40  # tubes of one passage
WIDE_MM = 540.0  # of the case, for one passage
COLUMNS = 8  # tubes side by side in a passage
PITCH_MM = 8.0  # from tube to tube in a passage
KEYS = 88  # keys that the case of 120 tubes has
FRONT_MM, SHELF_MM = 404.0, 600.0  # first row of tubes behind the keys; underside of the shelf
KEYS_MM, GAP_MM = 690.0, 96.0  # underside of the keys; room between two of them over a passage
OVER_MM = 725.0  # the lowest tubes over the keys, whose rears rise to 719
LEVER = {"long": 400, "front": 50, "balance": 200, "thick": 18, "dip": 10}
TUBING = {"least_bend": 18.0, "outside": 5.56, "bore": 3.97, "modulus": 1.2, "density": 0.95}


def a_cabinet_of(tubes: int, seed: int = 5) -> str:
    """Return a scene of so many tubes; width, keys, solids and passages grow with them."""
    groups = max(round(tubes / GROUP), 1)
    share = tubes / 120
    wide = WIDE_MM * 3 * share
    each = [tubes // groups + (g < tubes % groups) for g in range(groups)]
    random = np.random.default_rng(seed)
    pieces = [
        with_tubing("note", **TUBING),
        *_case(wide, groups),
        *_keyboards(round(KEYS * share), wide, groups),
    ]
    pieces += _posts(round(36 * share), wide, random)
    first = 1
    for group, count in enumerate(each):
        pieces += _group(group, first, count, (group + 0.5) * wide / groups)
        first += count
    return a_scene(*pieces, title=f"A case of {tubes} tubes")


def _case(wide: float, groups: int) -> list[str]:
    opening = {
        f"p{g}": {
            "at": place((g + 0.5) * wide / groups - 36, 395 - 330, 0),
            "size": {"wide": 72, "deep": 56},
        }
        for g in range(groups)
    }
    return [
        with_part(
            "shelf",
            kind="board",
            at=place(0, 330, SHELF_MM),
            size=extent(wide, 300, 20),
            opening=opening,
        ),
        with_box("bar", (0, 200, 960), (wide, 40, 80)),
        with_box("stack", (0, 380, 230), (wide, 120, 50)),
    ]


def _keyboards(keys: int, wide: float, groups: int) -> list[str]:
    """Keyboards of at most 88 keys side by side, with a gap over each passage."""
    parts = -(-keys // KEYS)
    pieces = []
    for k in range(parts):
        count, begin = min(KEYS, keys - k * KEYS), k * wide / parts + 10
        middles = [(g + 0.5) * wide / groups - begin for g in range(groups) if g * parts // groups == k]
        gaps = [
            {"after": round((middle - GAP_MM / 2 - GAP_MM * i) / (164.5 / 12)), "wide": GAP_MM}
            for i, middle in enumerate(middles)
        ]
        board = {"keys": count, "lowest": "A0", "octave": 164.5, "between": 1.0, "sharps_back": 50}
        levers = {"natural": LEVER, "sharp": {**LEVER, "long": 350, "stands": 12, "balance": 150}}
        at = place(begin, 60, KEYS_MM)
        pieces.append(with_part(f"keys{k}", kind="keyboard", at=at, gaps=gaps, **board, **levers))
    return pieces


def _posts(count: int, wide: float, random: np.random.Generator) -> list[str]:
    """Posts behind the tubes and rails above the keys, here and there."""
    pieces = []
    for k in range(count):
        right = round(float(random.uniform(10, wide - 40)), 1)
        if k % 2:
            pieces.append(with_box(f"rail{k}", (right, 340, 624 + 8 * (k % 5)), (30, 52, 12)))
        else:
            bar = {"at": place(right, 475, 740), "to": place(right, 475, 940), "diameter": 12}
            pieces.append(with_part(f"post{k}", kind="cylinder", **bar))
    return pieces


def _group(group: int, first: int, count: int, middle: float) -> list[str]:
    """Two rows of nipples and the tubes between them through one passage."""
    span = 11.0 * (count - 1)
    left = middle - span / 2
    holes = f"1..{count}"
    row = {"holes": holes, "outside": 4.5}
    pieces = [
        with_part(
            f"from{group}",
            kind="nipples",
            carried_by="bar",
            faces="back",
            rows=[{**row, "first": place(left, 251, 1000), "last": place(left + span, 251, 1000)}],
        ),
        with_part(
            f"to{group}",
            kind="nipples",
            carried_by="stack",
            faces="up",
            rows=[{**row, "first": place(left, 440, 292), "last": place(left + span, 440, 292)}],
        ),
    ]
    rows = -(-count // COLUMNS)
    for i in range(count):
        column, depth = i // rows, FRONT_MM + PITCH_MM * (i % rows)
        right, through = left + 11.0 * i, middle + PITCH_MM * (column - (COLUMNS - 1) / 2)
        order = column if column < COLUMNS / 2 else COLUMNS - 1 - column
        over, lower = OVER_MM + PITCH_MM * order, 470.0 - PITCH_MM * order
        drop = max(136.0 - abs(right - through), 24.0)
        corners = [
            place(right, depth, 1000),
            place(right, depth, over + drop),
            place(through, depth, over),
            place(through, depth, lower + 40),
            place(right, depth, lower - 60),
            place(right, 440, 355),
        ]
        pieces.append(
            with_tube(
                f"from{group} {i + 1}",
                f"to{group} {i + 1}",
                name=f"tube {first + i}",
                through=[f"shelf p{group}"],
                corners=corners,
                ties=[{"along": 380, "to": "shelf"}] if i % 3 == 0 else None,
            )
        )
    return pieces
