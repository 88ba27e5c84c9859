"""What a view shows: every colour, label and emphasis decided once, as plain values.

The picture, the window and whatever else shows a lay only translate this. What colours mean is in shades.py,
the forms of things in items.py, from where faults are seen in closeups.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from routeviz.cabinet.solids import Cabinet, Solid
from routeviz.checks.findings import Finding, Severity
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.curves import points_along
from routeviz.geometry.envelopes import extents_of
from routeviz.geometry.shapes import Pieces
from routeviz.geometry.sight import directions_around
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube
from routeviz.views.cameras import Side, View, framed
from routeviz.views.closeups import Closeup, closeups_of
from routeviz.views.items import Item, items_of
from routeviz.views.knowing import doubtful, with_status
from routeviz.views.listing import subject
from routeviz.views.shades import (
    BADGES,
    KEEP_CLEAR,
    MANNERS,
    MARKED,
    MEASURED,
    PASSAGE,
    SOLIDS,
    TIE,
    TUBES,
    Form,
    Look,
    as_known,
)

SIDES = (
    Side(name="overview", title="Overview", out=(0.5, -1.0, 0.36), up=(0, 0, 1), parallel=False),
    Side(name="front", title="From the front", out=(0.0, -1.0, 0.0), up=(0, 0, 1), parallel=True),
    Side(name="top", title="From above", out=(0.0, 0.0, 1.0), up=(0, 1, 0), parallel=True),
    Side(name="side", title="From the player's right", out=(1.0, 0.0, 0.0), up=(0, 0, 1), parallel=True),
)
OUTWARDS = directions_around(160)  # 16 degrees apart: what lies between sticks out by less than a margin
# Where along a tube its tag may stand, as shares: from the middle to both ends.
ALONG = np.array([0.5, *(0.5 + side * 0.02 * k for k in range(1, 25) for side in (1, -1))])


NOWHERE = frozen(np.zeros(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Marker:
    """Where a finding is.

    Parameters
    ----------
    number : int
        As printed: the first finding is 1.
    severity : str
        Which badge.
    point : array, shape (3,)
        Where.
    says : str
        Rule and what it is about, in a few words.
    """

    number: int
    severity: Severity
    point: Floats
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A few words at a place, left out where there is no room.

    Parameters
    ----------
    name : str
        Of what it names.
    text : str
        The words.
    kind : str
        ``tube``, ``part``, ``passage`` or ``keep clear``.
    points : array, shape (k, 3)
        Where it may stand, best first.
    along : array, shape (k,)
        Of a tube's: how far along each is, as a share; else empty.
    wide_mm : float
        Of a tube's: its outside diameter; else 0.
    """

    name: str
    text: str
    kind: str
    points: Floats
    along: Floats = field(default_factory=lambda: NOWHERE)
    wide_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A line of the legend: the words, and the look and form that they explain."""

    text: str
    form: Form
    look: Look
    severity: Severity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Display:
    """All that a view needs.

    Parameters
    ----------
    title : str
        The scene's, and the stage.
    items : tuple of Item
        What is drawn.
    markers : tuple of Marker
        Findings that have a place.
    placeless : tuple of str
        The others, in words that begin with their number.
    labels : tuple of Label
        Most wanted first.
    legend : tuple of Entry
        Only what is there.
    views : tuple of View
        Of the whole.
    closeups : tuple of Closeup
        One a fault that has a place, worst first.
    """

    title: str
    items: tuple[Item, ...]
    markers: tuple[Marker, ...]
    placeless: tuple[str, ...]
    labels: tuple[Label, ...]
    legend: tuple[Entry, ...]
    views: tuple[View, ...]
    closeups: tuple[Closeup, ...]


def display(
    cabinet: Cabinet,
    tubes: Sequence[Tube],
    measured: Measured,
    findings: Sequence[Finding],
    *,
    aspect: float = 1.6,
) -> Display:
    """Return what a view of a lay shows.

    Parameters
    ----------
    cabinet, tubes, measured, findings
        The lay; findings in the order in which they are printed.
    aspect : float
        Width over height of the pictures.

    Returns
    -------
    display : Display
        The same for the same input, always.
    """
    items = items_of(cabinet, tubes, findings)
    every = [item.points for item in items] + [item.lines.reshape(-1, 3) for item in items]
    points = outermost(np.concatenate([np.zeros((0, 3)), *every]))
    numbered = list(enumerate(findings, 1))
    faults = [(n, f) for n, f in numbered if f.severity == "fault"]
    return Display(
        title=title_of(cabinet),
        items=items,
        markers=tuple(
            Marker(number=n, severity=f.severity, point=frozen(f.point), says=briefly(f))
            for n, f in numbered
            if f.point is not None
        ),
        placeless=tuple(f"{n} {briefly(f)}" for n, f in numbered if f.point is None),
        labels=(
            *_tube_labels(tubes),
            *_space_labels(cabinet),
            *_passage_labels(cabinet),
            *_part_labels(cabinet),
        ),
        legend=legend_of(cabinet, tubes, findings),
        views=tuple(framed(side, points, aspect) for side in SIDES),
        closeups=closeups_of(faults, cabinet, tubes, measured),
    )


def title_of(cabinet: Cabinet) -> str:
    """Return what stands over a view: the scene's title, and the stage of the work."""
    return cabinet.title + (f" – {cabinet.stage}" if cabinet.stage else "")


def outermost(points: Floats) -> Floats:
    """Return those of many points that lie farthest out in each of many directions; zero for none."""
    if not len(points):
        return np.zeros((1, 3))
    reaches = OUTWARDS.astype(np.float32) @ points.T.astype(np.float32)
    return np.asarray(points[np.unique(np.argmax(reaches, axis=1))])


def briefly(finding: Finding) -> str:
    """Return a finding in a few words: its rule, and what it is about."""
    other = f" – {finding.other}" if finding.other and finding.other != subject(finding) else ""
    return f"{finding.rule}: {subject(finding)}{other}"


def _tube_labels(tubes: Sequence[Tube]) -> list[Label]:
    return [
        Label(
            name=tube.name,
            text=tube.tag,
            kind="tube",
            along=frozen(ALONG),
            wide_mm=tube.kind.outside_mm,
            points=points_along(tube.curve, ALONG * float(tube.curve.begins[-1])),
        )
        for tube in tubes
        if tube.curve is not None
    ]


def _space_labels(cabinet: Cabinet) -> list[Label]:
    return [
        Label(
            name=s.name,
            text=with_status(f"{s.name}: {s.why}" if s.why else s.name, s.status),
            kind="keep clear",
            points=_middles([s]),
        )
        for s in cabinet.keep_clear
    ]


def _passage_labels(cabinet: Cabinet) -> list[Label]:
    return [
        Label(
            name=p.name,
            text=with_status(p.name, p.status),
            kind="passage",
            points=p.origin + p.outline @ p.axes[:2],
        )
        for p in cabinet.passages.values()
    ]


def _part_labels(cabinet: Cabinet) -> list[Label]:
    """Return a label a part: in the middle of its solids, or of its nipples where it has none."""
    solids: dict[str, list[Solid]] = {}
    for solid in cabinet.solids:
        solids.setdefault(solid.part, []).append(solid)
    tips: dict[str, list[Floats]] = {}
    for nipple in cabinet.nipples.values():
        if nipple.part not in solids:
            tips.setdefault(nipple.part, []).append(nipple.tip)
    places = {part: _middles(some) for part, some in solids.items()}
    places |= {part: np.mean(some, axis=0)[None] for part, some in tips.items()}
    known = {solid.part: solid.status for solid in cabinet.solids}
    known |= {nipple.part: nipple.status for nipple in cabinet.nipples.values() if nipple.part in tips}
    return [
        Label(name=part, text=with_status(part, known[part]), kind="part", points=points)
        for part, points in places.items()
    ]


def _middles(solids: Sequence[Solid]) -> Floats:
    """Return the middle of solids, then places spread over the box that holds them, the nearest first."""
    lows, highs = zip(*(_box(s.pieces) for s in solids), strict=True)
    low, high = np.min(lows, axis=0), np.max(highs, axis=0)
    shares = np.array([0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92])
    grid = np.stack(np.meshgrid(shares, [0.5], shares, indexing="ij"), axis=-1).reshape(-1, 3)
    order = np.argsort(np.abs(grid - 0.5).sum(axis=1), kind="stable")
    return np.asarray(low + grid[order] * (high - low))


def _box(pieces: Pieces) -> tuple[Floats, Floats]:
    low, high = extents_of(pieces, pieces.rotations)
    return (pieces.origins + low).min(axis=0), (pieces.origins + high).max(axis=0)


def legend_of(cabinet: Cabinet, tubes: Sequence[Tube], findings: Sequence[Finding]) -> tuple[Entry, ...]:
    """Return a line for each look that stands for something in a lay."""
    there = {f.severity for f in findings}
    drawn = [t for t in tubes if t.curve is not None]
    entries = [
        Entry(text=severity, form="badge", look=TIE, severity=severity)
        for severity in BADGES
        if severity in there
    ]
    for severity, look in MARKED.items():
        names = {f.tube for f in findings if f.severity == severity}
        if any(t.name in names for t in drawn):
            form: Form = "fault tube" if severity == "fault" else "caution tube"
            entries.append(Entry(text=f"tube with a {severity}", form=form, look=look, severity=severity))
    carried = {t.carries for t in drawn}
    entries += [Entry(text=words, form="tube", look=TUBES[words]) for words in TUBES if words in carried]
    if any(t.measured is not None for t in tubes):
        entries.append(Entry(text="measured point (its tube is fitted)", form="dots", look=MEASURED))
    if any(t.ties for t in drawn):
        entries.append(Entry(text="tie", form="solid", look=TIE))
    if cabinet.passages:
        entries.append(Entry(text="passage", form="lines", look=PASSAGE))
    if cabinet.keep_clear:
        entries.append(Entry(text="to be kept clear", form="hatched", look=KEEP_CLEAR))
    entries += [
        Entry(text=f"{status}: {MANNERS[status].says}", form="doubt", look=as_known(SOLIDS["wood"], status))
        for status in doubtful(cabinet, tubes)
    ]
    return tuple(entries)
