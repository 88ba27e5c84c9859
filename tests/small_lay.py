"""A small lay to be shown: a keyboard, a shelf with an opening, four tubes, and findings written by hand.

Hand-made findings, so that views are tested on what they are given and not on what the checks say today.
"""

from pathlib import Path

import numpy as np
from builders import (
    a_scene,
    corners_of,
    extent,
    with_board,
    with_box,
    with_keep_clear,
    with_part,
    with_row,
    with_tube,
    written,
)
from builders import (
    place as at,
)

from routeviz.cabinet.placing import place
from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.curves import points_along
from routeviz.scene.reading import read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.measured import Measured, Nearest
from routeviz.tubes.routes import Tube
from routeviz.views.stepping import Lay, lay_of

KEYS = {
    "natural": {"long": 387, "front": 50, "balance": 235, "thick": 22, "dip": 10.2},
    "sharp": {"long": 342, "front": 90, "balance": 203, "thick": 22, "stands": 12, "dip": 9.5},
}


def a_lay(folder: Path, *, findings: bool = True) -> Lay:
    """A whole lay; without findings nothing is marked."""
    reading = read_scene(written(folder, _scene()))
    cabinet = place(reading)
    tubes = shape(reading, cabinet)
    found = the_findings(cabinet, tubes) if findings else ()
    return lay_of(cabinet, tubes, _measured(cabinet, tubes, found), found, 1.6)


def the_findings(cabinet: Cabinet, tubes: tuple[Tube, ...]) -> tuple[Finding, ...]:
    """A rub at half travel, a fault behind a board, a fault without a place, a caution and a note."""
    passage = cabinet.passages["shelf hole"]
    return (
        _finding("rub", "fault", "t 1", "keys 5", on(tubes[0], 300.0), 300.0, 0.5),
        _finding("touch", "fault", "t 2", "shelf", on(tubes[1], 120.0), 120.0),
        _finding("fit", "fault", "t 3", "u 3", None, None),
        _finding("crowd", "fault", None, "shelf hole", passage.origin, None),
        _finding("hang", "caution", "t 4", "shelf", on(tubes[3], 200.0), 200.0),
        _finding("unconnected", "note", None, "t 5", cabinet.nipples["t 5"].tip, None),
    )


def on(tube: Tube, along_mm: float) -> Floats:
    """A point on a tube's centreline."""
    assert tube.curve is not None
    return frozen(points_along(tube.curve, [along_mm])[0])


def _finding(
    rule: str,
    severity: str,
    tube: str | None,
    other: str | None,
    point: Floats | None,
    along_mm: float | None,
    travel: float | None = None,
) -> Finding:
    return Finding(
        rule=rule,
        severity=severity,  # type: ignore[arg-type]
        tube=tube,
        other=other,
        says=f"something about {tube or other}",
        remedy="mend it",
        point=point,
        along_mm=along_mm,
        travel=travel,
    )


def _scene() -> str:
    ways = [
        corners_of((40, 200, 300), (40, 200, 130), (92, 330, 128), (92, 330, 60), (92, 360, 0)),
        corners_of((60, 200, 300), (300, 240, 300), (300, 240, 0)),
        corners_of((80, 200, 310), (312, 240, 310), (312, 240, 0)),
        corners_of((100, 200, 320), (324, 240, 320), (324, 240, 0)),
    ]
    return a_scene(
        with_box("side", (-60, 0, -100), (20, 420, 520)),
        with_board(
            "shelf",
            (0, 100, 220),
            (420, 300, 20),
            opening={"hole": {"at": at(280, 110, 0), "size": {"wide": 70, "deep": 60}}},
        ),
        with_part(
            "keys",
            kind="keyboard",
            keys=12,
            lowest="C2",
            octave=164.6,
            between=1.5,
            sharps_back=50,
            at=at(0, 0, 100),
            **KEYS,
        ),
        with_part("pump", kind="cylinder", at=at(380, 60, 0), to=at(380, 60, 80), diameter=50, look="metal"),
        with_part("felt", kind="box", at=at(0, 420, 90), size=extent(200, 10, 40), look="felt"),
        with_row("t", "1..5", (40, 140, 300), (120, 140, 300), faces="back"),
        with_row("u", "1..4", (92, 400, -40), (324, 240, -40), faces="up"),
        with_keep_clear("hand", (340, 0, 150), (60, 60, 60), "the hand comes here"),
        *(
            with_tube(
                f"t {n}",
                f"u {n}",
                tag=f"T{n}",
                corners=way,
                ties=[{"along": 60, "to": "bundle"}],
                carries="signal" if n < 4 else "always-on vacuum",
            )
            for n, way in enumerate(ways, 1)
        ),
        title="Thistledown, a small case",
    )


def _measured(cabinet: Cabinet, tubes: tuple[Tube, ...], findings: tuple[Finding, ...]) -> Measured:
    """Nothing but lengths, and the rub's nearest point, from which a view learns where the gap is."""
    key = [s.name for s in cabinet.solids].index("keys 5")
    near = [
        Nearest(
            tube=0,
            other=key,
            low_mm=-1.0,
            high_mm=-0.96,
            along_mm=300.0,
            travel=0.5,
            point=f.point,
            other_point=f.point + np.array([0.0, 0.0, -3.0]),
        )
        for f in findings
        if f.rule == "rub" and f.point is not None
    ]
    lengths = [0.0 if t.curve is None else float(t.curve.begins[-1]) for t in tubes]
    return Measured(
        lengths_mm=frozen(lengths),
        bends=(None,) * len(tubes),
        solids=tuple(near),
        keep_clear=(),
        tubes=(),
        reach_mm=10.0,
        buried=(),
        crossings=(),
        passages=(),
        spans=(),
        leaving=(),
        trapped=(),
        foulings=(),
        least_bends={},
    )
