"""What stands in the case, as the page's data has it: solids, spaces, passages, nipples, and their parts.

The forms of solids are in page_forms.py, tubes in page_tubes.py.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from routeviz.cabinet.motions import Fixed, Hinge, Movement, Sliding
from routeviz.cabinet.nipples import Nipple
from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Solid
from routeviz.checks.words import mm
from routeviz.geometry.arrays import Floats
from routeviz.lay import Lay
from routeviz.tubes.measured import Measured, Nearest, PassageUse
from routeviz.views.items import (
    UNBLAMED,
    edged,
    nipple_ends,
    nipple_look,
    passage_lines,
    passage_look,
    solid_look,
    space_look,
)
from routeviz.views.listing import counted_tubes
from routeviz.views.page_forms import Standing
from routeviz.views.page_known import known_part
from routeviz.views.page_looks import Looks, Seen
from routeviz.views.page_numbers import packed, rounded, triple
from routeviz.views.plate_faces import facing, outline_on
from routeviz.views.plates import plate
from routeviz.views.shades import Look


def solid_entries(
    solids: Sequence[Solid],
    standing: Sequence[Standing],
    measured: Measured,
    seen: Seen,
) -> list[dict[str, Any]]:
    """Return the solids, with how each moves and where in its travel it comes nearest to a tube."""
    least = _least(measured.solids)
    return [
        {
            **_thing(solid, stands, solid_look(solid), seen),
            "made": solid.look,
            "movement": _movement(solid.movement),
            "least": None if isinstance(solid.movement, Fixed) else _nearest(least.get(index)),
        }
        for index, (solid, stands) in enumerate(zip(solids, standing, strict=True))
    ]


def space_entries(spaces: Sequence[Solid], standing: Sequence[Standing], seen: Seen) -> list[dict[str, Any]]:
    """Return the spaces to be kept clear, with why."""
    return [
        {**_thing(space, stands, space_look(space), seen), "why": space.why}
        for space, stands in zip(spaces, standing, strict=True)
    ]


def passage_entries(lay: Lay, seen: Seen) -> list[dict[str, Any]]:
    """Return the passages, with what goes through each and what it holds."""
    uses = {use.passage: use for use in lay.measured.passages}
    entries = []
    for passage in lay.cabinet.passages.values():
        use = uses.get(passage.name)
        entries.append(
            {
                "name": passage.name,
                **_looks(passage.name, passage_look(passage), seen),
                "lines": packed(passage_lines(passage)),
                **_faces(passage),
                "thick": rounded(passage.thick_mm),
                "most": passage.most,
                "holds": None if use is None else [use.found, use.bound],
                "tubes": [] if use is None else list(use.tubes),
                "says": _passage_says(passage, use),
                "plate": plate(lay, passage.name),
            }
        )
    return entries


def nipple_entries(nipples: Iterable[Nipple], looks: Looks) -> list[dict[str, Any]]:
    """Return the nipples as the round bars that they are drawn as."""
    entries = []
    for nipple in nipples:
        root, tip = nipple_ends(nipple)
        entries.append(
            {
                "name": nipple.name,
                "part": nipple.part,
                "from": triple(root),
                "to": triple(tip),
                "radius": rounded(nipple.outside_mm / 2),
                "look": looks.number(nipple_look(nipple)),
            }
        )
    return entries


def part_entries(lay: Lay) -> list[dict[str, Any]]:
    """Return the parts, with the solids, spaces and nipples of each, and how each is known."""
    cabinet = lay.cabinet
    parts: dict[str, dict[str, Any]] = {}
    for index, solid in enumerate(cabinet.solids):
        _part(parts, solid.part, solid.kind)["solids"].append(index)
    for index, space in enumerate(cabinet.keep_clear):
        _part(parts, space.part, space.kind)["spaces"].append(index)
    for index, nipple in enumerate(cabinet.nipples.values()):
        _part(parts, nipple.part, "nipples")["nipples"].append(index)
    known = {solid.part: solid.status for solid in (*cabinet.solids, *cabinet.keep_clear)}
    known |= {nipple.part: nipple.status for nipple in cabinet.nipples.values()}
    return [
        {**part, "status": known[name], "known": known_part(lay.reading, name)}
        for name, part in parts.items()
    ]


def _part(parts: dict[str, dict[str, Any]], name: str, kind: str) -> dict[str, Any]:
    nothing: dict[str, Any] = {"name": name, "kind": kind, "solids": [], "spaces": [], "nipples": []}
    return parts.setdefault(name, nothing)


def _thing(solid: Solid, stands: Standing, look: Look, seen: Seen) -> dict[str, Any]:
    return {
        "name": solid.name,
        "part": solid.part,
        "kind": solid.kind,
        "form": stands.form,
        "at": triple(stands.at),
        **_looks(solid.name, look, seen),
    }


def _looks(name: str, look: Look, seen: Seen) -> dict[str, Any]:
    blame = seen.blames.get(name, UNBLAMED)
    return {
        "look": seen.looks.number(look),
        "marked": seen.looks.marked(edged(look, blame)),
        "severity": blame.severity,
        "numbers": list(blame.numbers),
    }


def _movement(movement: Movement) -> dict[str, Any] | None:
    match movement:
        case Hinge(point=point, axis=axis, full_deg=full_deg):
            return {"kind": "hinge", "at": triple(point), "axis": _unit(axis), "deg": round(full_deg, 6)}
        case Sliding(direction=direction, full_mm=full_mm):
            return {"kind": "slide", "axis": _unit(direction), "mm": rounded(full_mm)}
        case Fixed():
            return None


def _faces(passage: Passage) -> dict[str, Any]:
    """Return from where an opening is seen, as its plate is: in words, its middle, and its size that way."""
    view = facing(passage, "front")
    left, top, right, bottom = outline_on(passage, view).bounds
    middle = passage.origin + 0.5 * ((left + right) * view.right - (top + bottom) * view.up)
    return {
        "seen": view.seen,
        "middle": triple(middle),
        "right": _unit(view.right),
        "up": _unit(view.up),
        "size": [rounded(right - left), rounded(bottom - top)],
    }


def _unit(axis: Floats) -> list[float]:
    """Return a direction to twelve decimals: far from its origin a thing must still turn where it does."""
    return [0 if c == 0.0 else round(c, 12) for c in axis.tolist()]


def _least(pairs: Iterable[Nearest]) -> dict[int, Nearest]:
    """Return by solid the pair in which it comes nearest to a tube."""
    least: dict[int, Nearest] = {}
    for pair in pairs:
        if pair.other not in least or pair.low_mm < least[pair.other].low_mm:
            least[pair.other] = pair
    return least


def _nearest(pair: Nearest | None) -> dict[str, Any] | None:
    if pair is None:
        return None
    return {
        "mm": rounded(pair.low_mm),
        "tube": pair.tube,
        "point": triple(pair.point),
        "travel": rounded(pair.travel),
    }


def _passage_says(passage: Passage, use: PassageUse | None) -> str:
    """Say what goes through a passage, what it holds, and what the fitter will put through."""
    if use is None:
        says = "no tube goes through"
    else:
        goes = "goes" if len(use.tubes) == 1 else "go"
        says = f"{counted_tubes(len(use.tubes))} {goes} through; it holds "
        exact = use.found == use.bound
        says += f"exactly {use.found}" if exact else f"at least {use.found}, never more than {use.bound}"
        says += f" of {mm(use.outside_mm)} outside"
    return says if passage.most is None else f"{says}; at most {passage.most} are wanted in it"
