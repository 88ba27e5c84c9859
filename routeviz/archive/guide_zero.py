"""From which marks was measured, and how are they found again on an instrument?

Part of the reading guide; see reading_guide.py.
"""

from collections.abc import Iterator, Sequence

from routeviz.archive.columns import AXES
from routeviz.archive.plain_text import items, paragraph
from routeviz.archive.sums import Row, Tables, direction, figure, grouped, lengths, number

SIDES = 4  # of a rectangle
FIXED_MARKS = 3  # things by which the zero can be found again
SURE = (None, "", "measured")  # of a part's least sure measure: what else there is would lead astray


def about_the_zero(tables: Tables) -> list[str]:
    """Return from which marks was measured, and how the zero can be found again on the instrument."""
    lines = paragraph("The marks from which positions were taped, as they lie in the frame:")
    lines += items(_marks(tables))
    lines += [
        "",
        *paragraph(
            "To find the zero again with a rule and a square: lay the square on a part that still stands "
            "where it stood, so that its edges run with the case, and measure back from its faces by the "
            "figures below. Two parts should lead to the same zero; if they do not, one of them has moved. "
            "Only parts are named of which nothing is told that is less sure than measured."
        ),
    ]
    return lines + items(_faces(tables))


def _marks(tables: Tables) -> Iterator[str]:
    rows = tables.get("zeros", ())
    for row in rows:
        place = ", ".join(f"{axis} {number(float(str(row[f'{axis}_mm'])))}" for axis in AXES)
        remark = f"; {row['remark']}" if row.get("remark") else ""
        yield f"{row['zero']}: {place}{remark}"
    if not rows:
        yield "case: x 0, y 0, z 0"


def _faces(tables: Tables) -> Iterator[str]:
    """Yield between which coordinates the largest blocks lie that stand still, square to the frame."""
    status = {row["name"]: row.get("least_sure_status") for row in tables["parts"]}
    stays = {
        row["name"]
        for row in tables["parts"]
        if not (row["moves"] or row["kind"] == "keep_clear" or row["comes_out_x"] is not None)
        and row["pieces"] == 1
        and status[row["name"]] in SURE
    }
    corners = grouped(tables["solid-corners"], "solid", "piece")
    blocks = [
        (_extent(row, corners[row["solid"], row["piece"]]), row["solid"])
        for row in tables["solids"]
        if row["solid"] in stays
    ]
    found = [(extent, name) for extent, name in blocks if extent is not None]
    found.sort(key=lambda one: -min(high - low for low, high in one[0]))
    for extent, name in found[:FIXED_MARKS]:
        (left, right), (front, back), (bottom, top) = extent
        yield (
            f"{name}: left face at x {left:.1f}, right face at x {right:.1f}; front at y {front:.1f}, back "
            f"at y {back:.1f}; bottom at z {bottom:.1f}, top at z {top:.1f}; "
            f"{status[name] or 'nobody said how this is known'}"
        )
    if not found:
        yield (
            "none that was measured is a plain block square to the frame; use the tips of nipples in "
            "tables/nipples.csv"
        )


def _extent(piece: Row, outline: Sequence[Row]) -> tuple[tuple[float, float], ...] | None:
    """Return between which x, y and z a piece lies; None of one that is no block square to the frame."""
    axes = [direction(piece, name) for name in ("first", "second", "third")]
    corners = [(figure(one, "u_mm"), figure(one, "v_mm")) for one in outline]
    is_rectangle = len(corners) == SIDES and all(len({one[k] for one in corners}) == 2 for k in (0, 1))
    if not is_rectangle or any(part not in (-1.0, 0.0, 1.0) for axis in axes for part in axis):
        return None
    half, origin = figure(piece, "half_mm"), lengths(piece, "origin_")
    sides: list[tuple[float, float]] = []
    for k, zero in enumerate(origin):
        reached = [
            zero + u * axes[0][k] + v * axes[1][k] + w * axes[2][k] for u, v in corners for w in (-half, half)
        ]
        sides.append((min(reached), max(reached)))
    return tuple(sides)
