"""What are the tubes made of, and which of its properties matter when a substitute is chosen?

How least bends and collapse vacuums are reckoned is in tubes/kinking.py, how tubes hang in tubes/hanging.py.
"""

from collections.abc import Iterator, Sequence

from routeviz.archive.columns import mm, size_field
from routeviz.archive.registers import Field, Register, Value
from routeviz.cabinet.tubing import TubeKind
from routeviz.checks.collapse import MARGIN
from routeviz.lay import Lay
from routeviz.tubes.kinking import Wall, is_thin_wall
from routeviz.views.work_left import LEAD

SOURCED = ("bore", "outside", "wall", "least_bend", "least_bend_inner", "modulus", "density", "longest")
WIRE = "wire"

FIELDS = (
    Field(name="tubing", about="Its name in the scene."),
    Field(name="describes", about="What it is, in words."),
    Field(name="model", about="The model in source/models that it is taken from, if any.", required=False),
    Field(name="material", about="What it is made of."),
    size_field("bore", "Its inner diameter."),
    size_field("outside", "Its outside diameter."),
    size_field("wall", "Thickness of its wall."),
    size_field(
        "least_bend",
        "Least radius to which it may be bent, to the middle of the tube: a tighter bend is a fault; empty "
        "where nobody knows it, and where it may not be bent at all.",
        required=False,
    ),
    size_field(
        "least_bend_at_vacuum",
        "Below this radius it may flatten under its vacuum, though least_bend allows it: a bend between the "
        "two is a caution, as how far the vacuum widens it is reckoned by a formula for thin walls; "
        "empty where that is not reckoned, or counted in least_bend already.",
        required=False,
    ),
    Field(name="least_bend_from", about="Where the least bend comes from, with its numbers.", required=False),
    Field(
        name="modulus_mpa",
        about="Its stiffness: Young's modulus.",
        kind="number",
        unit="MPa",
        required=False,
        least=0,
    ),
    Field(name="density_g_cm3", about="Its density.", kind="number", unit="g/cm3", required=False, least=0),
    size_field("longest", "No tube of it may be longer.", required=False),
    Field(
        name="collapse_kpa",
        about="Vacuum at which it falls flat where it is straight: E t^3 / (4 (1 - nu^2) a^3), E its "
        "modulus, t its wall, a the mean of half its bore and half its outside, nu = 0.5 for all but metal "
        "and hard plastic. Holds strictly for thin walls, see thin_wall.",
        kind="number",
        unit="kPa",
        required=False,
    ),
    Field(
        name="thin_wall",
        about="Whether its wall is so thin that the formula of collapse_kpa holds strictly; else the figure "
        "is a guide.",
        kind="yes or no",
    ),
    Field(name="tubes", about="How many tubes are of it.", kind="whole"),
    size_field("tightest", "Radius of the tightest bend that lies in it, to the middle.", required=False),
    Field(name="tightest_in", about="The tube with this bend.", required=False),
    size_field("nipples_least", "Outside diameter of the smallest nipple that it is on.", required=False),
    size_field("nipples_most", "Outside diameter of the largest nipple that it is on.", required=False),
    size_field(
        "longest_span",
        "Its longest way between two supports that sags, of those whose sag is estimated, see hanging.",
        required=False,
    ),
    size_field("most_sag", "How far that way hangs at most, held loosely.", required=False),
    Field(
        name="matters",
        about="Which of its properties a substitute must have, what each must be, and why.",
        required=False,
    ),
    *(
        Field(name=f"{key}_source", about=f"Where its {key.replace('_', ' ')} comes from.", required=False)
        for key in SOURCED
    ),
)


def tubing_register(lay: Lay) -> Register:
    """Return every kind of tube, with what it is asked for where it lies.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    register : Register
        Those of which no tube is among them.
    """
    return Register(
        name="tubing",
        title="Kinds of tube",
        about="A kind of tube: its measures, where they come from, and what matters when it is replaced.",
        fields=FIELDS,
        rows=tuple(_row(lay, kind) for kind in lay.cabinet.tubing.values()),
        key=("tubing",),
        refers={"tightest_in": ("tubes", "tube")},
    )


def _row(lay: Lay, kind: TubeKind) -> tuple[Value, ...]:
    entry = lay.reading.scene.tubing[kind.name]
    used = [k for k, tube in enumerate(lay.tubes) if tube.kind.name == kind.name]
    least = lay.measured.least_bends.get(kind.name)
    wall = _wall(kind)
    tightest = _tightest(lay, used)
    nipples = _nipples_mm(lay, used)
    span = _longest_span(lay, used)
    return (
        kind.name,
        kind.describes,
        entry.model,
        kind.material,
        mm(kind.bore_mm),
        mm(kind.outside_mm),
        mm(wall.thickness_mm),
        mm(kind.least_bend_mm if least is None else least.radius_mm),
        None if least is None else mm(least.caution_mm),
        kind.source or None if least is None else least.words,
        kind.modulus_mpa,
        kind.density_g_cm3,
        mm(kind.longest_mm),
        None if wall.collapse_kpa is None else round(wall.collapse_kpa, 4),
        is_thin_wall(kind.outside_mm, kind.bore_mm),
        len(used),
        mm(tightest[0]) if tightest else None,
        lay.tubes[tightest[1]].name if tightest else None,
        mm(min(nipples, default=None)),
        mm(max(nipples, default=None)),
        mm(span[0]) if span else None,
        mm(span[1]) if span else None,
        " ".join(_matters(lay, kind, used)) or None,
        *(entry.source.get(key) for key in SOURCED),
    )


def _wall(kind: TubeKind) -> Wall:
    return Wall(
        outside_mm=kind.outside_mm,
        bore_mm=kind.bore_mm,
        material=kind.material,
        modulus_mpa=kind.modulus_mpa,
    )


def _tightest(lay: Lay, used: Sequence[int]) -> tuple[float, int] | None:
    """Return the radius of the tightest bend of some tubes, and in which it is."""
    bends = [(bend.radius_mm, k) for k in used if (bend := lay.measured.bends[k]) is not None]
    return min(bends, default=None)


def _nipples_mm(lay: Lay, used: Sequence[int]) -> list[float]:
    """Return the outsides of the nipples on which some tubes are."""
    ends = [end for k in used for end in (lay.tubes[k].start, lay.tubes[k].end)]
    return [lay.cabinet.nipples[end.nipple].outside_mm for end in ends if end.nipple]


def _longest_span(lay: Lay, used: Sequence[int]) -> tuple[float, float] | None:
    """Return the longest span of some tubes whose sag is estimated, and how far it sags at most."""
    spans = [
        (one.to_mm - one.from_mm, one.sag_high_mm)
        for one in lay.measured.spans
        if one.tube in used and one.sag_high_mm is not None
    ]
    return max(spans, default=None)


# ── what matters ─────────────────────────────────────────────────────────────────────────────────
def _matters(lay: Lay, kind: TubeKind, used: Sequence[int]) -> Iterator[str]:
    """Yield what a substitute must be, a sentence a property; nothing of what no tube is made of.

    What is at fault as it lies is nothing that a substitute must do, and is left out.
    """
    if not used:
        return
    if kind.material == LEAD:
        yield "It stays as it lies and is not replaced: old lead is neither cut nor bent, and none is bought."
        return
    yield from _bends(lay, used)
    if kind.material != WIRE:
        yield from _grips(lay, kind, used)
        yield from _stands(lay, kind, used)
    yield from _hangs(lay, used)
    yield from _fills(lay, kind, used)


def _fills(lay: Lay, kind: TubeKind, used: Sequence[int]) -> Iterator[str]:
    routed = sum(lay.tubes[k].curve is not None for k in used)
    if not routed:
        yield f"Outside: {kind.outside_mm:.2f} mm; no tube of it has a route, so nothing was proved of it."
        return
    those = "" if routed == len(used) else f" of the {routed} with a route"
    yield (
        f"Outside: {kind.outside_mm:.2f} mm; all clearances and passages{those} were measured with it, so no "
        "thicker."
    )


def _sound(lay: Lay, used: Sequence[int], rule: str) -> tuple[list[int], str]:
    """Return the tubes with which a rule finds no fault, and in words which are left out."""
    faulty = {one.tube for one in lay.findings if one.rule == rule and one.severity == "fault"}
    names = [lay.tubes[k].name for k in used if lay.tubes[k].name in faulty]
    left_out = f" Left out, as found at fault ({rule}): {', '.join(names)}." if names else ""
    return [k for k in used if lay.tubes[k].name not in faulty], left_out


def _bends(lay: Lay, used: Sequence[int]) -> Iterator[str]:
    sound, left_out = _sound(lay, used, "kink")
    tightest = _tightest(lay, sound)
    if tightest is None or mm(tightest[0]) is None:
        yield f"Bend: no bend of it was measured.{left_out}"
        return
    radius, tube = tightest
    yield (
        f"Bend: it must bend to {radius:.1f} mm, measured to its middle, without flattening under its "
        f"vacuum: so tightly lies {lay.tubes[tube].name}.{left_out}"
    )


def _grips(lay: Lay, kind: TubeKind, used: Sequence[int]) -> Iterator[str]:
    sound, left_out = _sound(lay, used, "fit")
    nipples = _nipples_mm(lay, sound)
    if not nipples:
        return
    least, most = min(nipples), max(nipples)
    over = lay.cabinet.practice.fit_stretch_percent
    on = f"{least:.2f} mm" if least == most else f"{least:.2f} to {most:.2f} mm"
    tight = most / (1 + over / 100)
    if tight >= least:
        yield (
            f"Grip: it is on nipples of {on} outside; a bore below {least:.2f} mm holds on all of them and "
            f"is stretched by more than {over:g} % on the largest.{left_out}"
        )
        return
    yield (
        f"Grip: it is on nipples of {on} outside and holds by its own grip; bore below {least:.2f} mm, and "
        f"not below {tight:.2f} mm, or it is stretched by more than {over:g} %.{left_out}"
    )


def _stands(lay: Lay, kind: TubeKind, used: Sequence[int]) -> Iterator[str]:
    if all(lay.tubes[k].carries == WIRE for k in used):
        return
    vacuum = lay.cabinet.practice.vacuum_kpa
    stands = _wall(kind).collapse_kpa
    now = "" if stands is None else f"; this one stands {stands:.1f} kPa"
    yield (
        f"Wall and stiffness: it must not fall flat at {vacuum:.1f} kPa of vacuum, with a margin "
        f"{MARGIN * vacuum:.1f} kPa{now}."
    )


def _hangs(lay: Lay, used: Sequence[int]) -> Iterator[str]:
    span = _longest_span(lay, used)
    if span is None:
        return
    long, sag = span
    yield (
        f"Stiffness and weight: its longest way between supports whose sag can be estimated, {long:.0f} mm, "
        f"hangs by at most {sag:.1f} mm; a softer or heavier one hangs more, unless it is tied more often."
    )
