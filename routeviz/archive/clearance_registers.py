"""How near each tube comes to what is about it, how it hangs, and the limits that are held against both.

An interval holds the true distance; the verdicts are among the findings.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from routeviz.archive.columns import NOWHERE, length_field, mm, point, point_fields, share, size_field
from routeviz.archive.defaults_register import is_default
from routeviz.archive.dimension_walk import UNITS
from routeviz.archive.registers import Field, Register, Value
from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Solid, asked_mm
from routeviz.lay import Lay
from routeviz.scene.quantities import Entry
from routeviz.tubes.measured import Nearest
from routeviz.tubes.taped import misses_mm

ON_MM = 1e-6  # by which rounding may take a place off the centreline on which it lies
AGAINST = ("tube", "fixed", "moving", "keep clear")

CLEARANCE_FIELDS = (
    Field(name="tube", about="The tube."),
    Field(
        name="against",
        about="What it is held against: other tubes, what stands still, what moves anywhere in its travel, "
        "spaces to be kept clear.",
        one_of=AGAINST,
    ),
    Field(
        name="near",
        about="Whether anything of that sort is near; where not, all of it is at least low_mm away, and "
        "farther off was not looked.",
        kind="yes or no",
    ),
    Field(name="other_tube", about="The nearest tube.", required=False),
    Field(
        name="other_solid",
        about="The nearest solid or space; another of that sort may be hardly farther off.",
        required=False,
    ),
    length_field(
        "low", "The least distance from wall to wall is at least this; negative where they overlap."
    ),
    length_field("high", "It is at most this.", required=False),
    size_field("limit", "Least distance wanted."),
    length_field(
        "along",
        "How far along the tube; below 0 on the sleeve at its start, beyond its length at its end.",
        required=False,
    ),
    Field(
        name="travel_share",
        about="How far along the other's travel, 0 at rest to 1 at full travel; found by halving, so that "
        "either may be missed by a little.",
        kind="number",
        required=False,
    ),
    Field(
        name="sleeve",
        about="Whether a sleeve, a tube's end over its nipple, of one of the two comes nearest.",
        kind="yes or no",
        required=False,
    ),
    *point_fields("", "The place on the tube's middle line", required=False),
    *point_fields(
        "other", "The place on the other: on a tube's middle line, or on a surface", required=False
    ),
)
HANGING_FIELDS = (
    Field(name="tube", about="The tube."),
    Field(name="span", about="First, second and so on from its start, of those that sag.", kind="whole"),
    length_field("from", "How far along the length that hangs begins."),
    length_field("to", "How far along it ends."),
    size_field(
        "sag_low",
        "How far it sags if it is held stiffly at both ends: an estimate, w L^4 / (384 E I), w the weight of "
        "its wall times plan length / length; empty beyond a tenth of the span.",
        required=False,
    ),
    size_field(
        "sag_high",
        "The same if it is held loosely at both ends, 5 w L^4 / (384 E I); empty beyond a tenth of the span.",
        required=False,
    ),
    size_field(
        "sag_most",
        "It cannot hang lower below where it is drawn than that, if it is 5 % longer than drawn: no estimate,"
        " a bound.",
    ),
    Field(name="below", about="The solid that it then comes nearest to.", required=False),
    length_field(
        "clear_low",
        "Distance to that, sagging the most: the formula of sag_high, but no lower than sag_most.",
        required=False,
    ),
    length_field(
        "clear_high",
        "Distance to that, sagging the least: the formula of sag_low, but no lower than sag_most.",
        required=False,
    ),
    size_field("limit", "Distance wanted from that.", required=False),
    length_field("along", "How far along that is, or the middle of the span."),
    *point_fields("", "The same place"),
)
LIMIT_FIELDS = (
    Field(name="limit", about="What is limited or set."),
    Field(name="value", about="How much.", kind="number"),
    Field(name="unit", about="Of the value; empty for none.", required=False),
    Field(
        name="said_by",
        about="Who says it: the scene; the program, whose default it is, see defaults; or it was reckoned.",
        one_of=("scene", "program", "reckoned"),
    ),
    Field(name="about", about="What it means."),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Close:
    """A tube beside one other thing, seen from that tube.

    Parameters
    ----------
    pair : Nearest
        As measured; of two tubes, the lower index first.
    name : str
        The other's.
    limit_mm : float
        Wanted between them.
    moves : bool
        Whether the other does.
    turned : bool
        Whether the tube is the second of the pair.
    """

    pair: Nearest
    name: str
    limit_mm: float
    moves: bool = False
    turned: bool = False


def clearances_register(lay: Lay) -> Register:
    """Return for each tube with a centreline the nearest of each sort of thing."""
    return Register(
        name="clearances",
        title="Clearances",
        about="The nearest thing of one sort to a tube; tubes without a centreline are not in it.",
        fields=CLEARANCE_FIELDS,
        rows=tuple(_clearances(lay)),
        key=("tube", "against"),
        refers={
            "tube": ("tubes", "tube"),
            "other_tube": ("tubes", "tube"),
            "other_solid": ("parts", "name"),
        },
    )


def hanging_register(lay: Lay) -> Register:
    """Return the lengths of tube that sag, and what they then come near to."""
    return Register(
        name="hanging",
        title="How tubes hang",
        about="A length of tube between two supports that sags by half a millimetre or more.",
        fields=HANGING_FIELDS,
        rows=tuple(_hanging(lay)),
        key=("tube", "span"),
        refers={"tube": ("tubes", "tube"), "below": ("parts", "name")},
    )


def limits_register(lay: Lay) -> Register:
    """Return the limits that the lay was held against, and what else its figures depend on."""
    limits, practice, down = lay.cabinet.limits, lay.cabinet.practice, lay.cabinet.down.tolist()
    scene = lay.reading.scene
    on_nipple = "Tube that goes over a nipple, where its part says nothing."
    rows: list[tuple[Value, ...]] = [
        _limit("fixed", limits, "fixed_mm", "Wall to what stands still, where it asks for no more itself."),
        _limit("moving", limits, "moving_mm", "Wall to what moves, where it asks for no more itself."),
        _limit("tubes", limits, "tubes_mm", "Wall to wall of two tubes; 0 lets them touch."),
        _limit("survey", limits, "survey_mm", "How far off the tape may be, either way."),
        _limit("on nipple", practice, "on_nipple_mm", on_nipple),
        _limit("vacuum", practice, "vacuum_kpa", "The highest vacuum in the tubes."),
        _limit("slack", practice, "slack_percent", "How much longer than needed a cut tube may be."),
        _limit("stretch", practice, "fit_stretch_percent", "How far a bore may be stretched over a nipple."),
        _limit(
            "off square", practice, "off_square_deg", "How far off its nipple's line a tube may leave it."
        ),
        (
            "looked to",
            mm(lay.measured.reach_mm),
            "mm",
            "reckoned",
            "What is farther from a tube's wall was not looked at.",
        ),
    ]
    leans = "program" if is_default(scene, "pose") else "scene"
    rows += [
        (f"down {axis}", share(part), None, leans, f"The way in which things hang: its part along {axis}.")
        for axis, part in zip("xyz", down, strict=True)
    ]
    return Register(
        name="limits",
        title="Limits",
        about="A limit or a setting for the whole case.",
        fields=LIMIT_FIELDS,
        rows=tuple(rows),
        key=("limit",),
    )


def _limit(limit: str, entry: Entry, name: str, about: str) -> tuple[Value, ...]:
    unit = next(unit for end, unit in UNITS.items() if name.endswith(end))
    said_by = "program" if is_default(entry, name) else "scene"
    value = float(getattr(entry, name))
    return limit, mm(value) if unit == "mm" else value, unit, said_by, about


def _clearances(lay: Lay) -> Iterator[tuple[Value, ...]]:
    sorts = {kind: _least(ones) for kind, ones in _close(lay).items()}
    limits = lay.cabinet.limits
    wanted = dict(zip(AGAINST, (limits.tubes_mm, limits.fixed_mm, limits.moving_mm, 0.0), strict=True))
    for index, tube in enumerate(lay.tubes):
        if tube.curve is None:
            continue
        for kind in AGAINST:
            one = sorts[kind].get(index)
            if one is None:
                reach = mm(lay.measured.reach_mm)
                cells: tuple[Value, ...] = (
                    False,
                    None,
                    None,
                    reach,
                    None,
                    mm(wanted[kind]),
                    None,
                    None,
                    None,
                )
                yield tube.name, kind, *cells, *NOWHERE, *NOWHERE
            else:
                yield tube.name, kind, *_row(one, kind, lay)


def _row(one: Close, kind: str, lay: Lay) -> tuple[Value, ...]:
    pair, is_tube = one.pair, kind == "tube"
    here, there = (pair.other_point, pair.point) if one.turned else (pair.point, pair.other_point)
    return (
        True,
        one.name if is_tube else None,
        None if is_tube else one.name,
        mm(pair.low_mm),
        mm(pair.high_mm),
        mm(one.limit_mm),
        mm(_along_second(pair, lay)) if one.turned else mm(pair.along_mm),
        share(pair.travel) if one.moves else None,
        pair.sleeve,
        *point(here),
        *point(there),
    )


def _along_second(pair: Nearest, lay: Lay) -> float | None:
    """Return how far along the second of two tubes their nearest place is, be it on its sleeve."""
    curve = lay.tubes[pair.other].curve
    if curve is None:
        return None
    misses, alongs = misses_mm(curve, pair.other_point[None])
    if misses[0] <= ON_MM:
        return float(alongs[0])
    length = float(curve.begins[-1])
    return -float(misses[0]) if alongs[0] < length / 2 else length + float(misses[0])


def _close(lay: Lay) -> Mapping[str, list[tuple[int, Close]]]:
    """Return by sort all that is near tubes, with the tube's index."""
    cabinet, measured = lay.cabinet, lay.measured
    found: dict[str, list[tuple[int, Close]]] = {kind: [] for kind in AGAINST}
    for pair in measured.solids:
        solid = cabinet.solids[pair.other]
        close = _close_to(pair, solid, asked_mm(cabinet, solid))
        found["moving" if close.moves else "fixed"].append((pair.tube, close))
    for pair in measured.keep_clear:
        space = cabinet.keep_clear[pair.other]
        found["keep clear"].append((pair.tube, _close_to(pair, space, space.clearance_mm or 0.0)))
    for pair in measured.tubes:
        for index, other in ((pair.tube, pair.other), (pair.other, pair.tube)):
            name, turned = lay.tubes[other].name, index == pair.other
            close = Close(pair=pair, name=name, limit_mm=cabinet.limits.tubes_mm, turned=turned)
            found["tube"].append((index, close))
    return found


def _close_to(pair: Nearest, solid: Solid, limit_mm: float) -> Close:
    moves = not isinstance(solid.movement, Fixed)
    return Close(pair=pair, name=solid.name, limit_mm=limit_mm, moves=moves)


def _least(ones: Sequence[tuple[int, Close]]) -> dict[int, Close]:
    """Return by tube what is nearest; of equals the first."""
    least: dict[int, Close] = {}
    for index, one in ones:
        if index not in least or one.pair.low_mm < least[index].pair.low_mm:
            least[index] = one
    return least


def _hanging(lay: Lay) -> Iterator[tuple[Value, ...]]:
    seen: dict[int, int] = {}
    for span in lay.measured.spans:
        seen[span.tube] = seen.get(span.tube, 0) + 1
        below = None if span.below is None else lay.cabinet.solids[span.below]
        yield (
            lay.tubes[span.tube].name,
            seen[span.tube],
            *(mm(span.from_mm), mm(span.to_mm), mm(span.sag_low_mm), mm(span.sag_high_mm)),
            mm(span.sag_most_mm),
            None if below is None else below.name,
            mm(span.clear_low_mm),
            mm(span.clear_high_mm),
            None if below is None else mm(asked_mm(lay.cabinet, below)),
            mm(span.along_mm),
            *point(span.point),
        )
