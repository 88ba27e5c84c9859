"""What is not as it was in the case: parts, nipples, passages, kinds of tube and settings of two states."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields
from typing import Protocol, TypeVar

import numpy as np
from scipy.spatial.transform import Rotation

from routeviz.archive.changes import SAME_DEG, SAME_MM, Change, Kind, altered, number_altered
from routeviz.cabinet.motions import Fixed, Hinge, Movement, Sliding
from routeviz.cabinet.nipples import Nipple
from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet, Solid
from routeviz.cabinet.tubing import TubeKind
from routeviz.checks.words import mm
from routeviz.geometry.arrays import Floats
from routeviz.geometry.shapes import Pieces, rims
from routeviz.lay import Lay
from routeviz.scene.quantities import Entry

SIDES = 16  # corners by which a disc is compared


class Named(Protocol):
    """Whatever has a name."""

    @property
    def name(self) -> str:
        """Return what it is called."""


T = TypeVar("T", bound=Named)


def case_changes(before: Lay, after: Lay) -> Iterator[Change]:
    """Yield all that is not as it was apart from tubes and findings.

    Parameters
    ----------
    before, after : Lay
        The two states, each in its last stage.

    Yields
    ------
    change : Change
        Parts, nipples, passages, tubing, settings; each in the order of the later state.
    """
    old, new = before.cabinet, after.cabinet
    yield from _of_a_kind("part", _solids(old), _solids(new), _solid_changes)
    yield from _of_a_kind("nipple", old.nipples, new.nipples, _nipple_changes)
    yield from _of_a_kind("passage", old.passages, new.passages, _passage_changes)
    yield from _of_a_kind("tubing", old.tubing, new.tubing, _tubing_changes)
    yield from _setting_changes(before, after)


def _solids(cabinet: Cabinet) -> dict[str, Solid]:
    return {solid.name: solid for solid in (*cabinet.solids, *cabinet.keep_clear)}


def _of_a_kind(
    kind: Kind, old: Mapping[str, T], new: Mapping[str, T], changes: Callable[[T, T], Iterator[Change]]
) -> Iterator[Change]:
    """Yield what is new, what is not as it was, and what is gone."""
    for name, one in new.items():
        if name in old:
            yield from changes(old[name], one)
        else:
            yield Change(kind=kind, name=name, what="added", says="is new", part=_part_of(one))
    for name, one in old.items():
        if name not in new:
            yield Change(kind=kind, name=name, what="removed", says="is gone", part=_part_of(one))


def _part_of(one: Named) -> str:
    return one.part if isinstance(one, Solid | Nipple) else ""


def _solid_changes(old: Solid, new: Solid) -> Iterator[Change]:
    moved = _form_change("part", new.name, (corners_of(old.pieces), corners_of(new.pieces)), new.part)
    if moved is not None:
        yield moved
    for value, was, now in (
        ("kind", old.kind, new.kind),
        ("looks like", old.look, new.look),
        ("moves", _moves(old.movement), _moves(new.movement)),
        ("why it is kept clear", old.why or "", new.why or ""),
    ):
        if was != now:
            yield altered("part", new.name, value, was, now)
    if old.clearance_mm != new.clearance_mm:
        yield number_altered("part", new.name, "clearance", (old.clearance_mm, new.clearance_mm), "mm")


def corners_of(pieces: Pieces) -> Floats:
    """Return all corners of convex pieces, piece by piece; a disc is taken as a ring of corners."""
    return np.concatenate(
        [np.zeros((0, 3)), *(rims(pieces, k, SIDES).reshape(-1, 3) for k in range(len(pieces.halves)))]
    )


def _form_change(kind: Kind, name: str, corners: tuple[Floats, Floats], part: str = "") -> Change | None:
    """Return how a thing stands elsewhere or is of another form; None where it is as it was."""
    old, new = corners
    if old.shape != new.shape:
        by = float(np.abs(np.stack(_box(old)) - np.stack(_box(new))).max()) if len(old) and len(new) else None
        off = "" if by is None else f", its ends {mm(by)} off at most"
        return Change(
            kind=kind, name=name, what="reshaped", low=by, high=by, unit="mm", part=part,
            before=_size(old), after=_size(new), says=f"is of another form{off}",
        )  # fmt: skip
    by = float(np.linalg.norm(new - old, axis=1).max(initial=0.0))
    if by <= SAME_MM:
        return None
    same, turned = _as_one(old, new)
    if same:
        words = f"stands elsewhere, {mm(by)} off" if not turned else f"is turned, its corners {mm(by)} off"
        return Change(
            kind=kind, name=name, what="turned" if turned else "moved", low=by, high=by, unit="mm", part=part,
            says=words + (f" ({_way(new - old)})" if not turned else ""),
        )  # fmt: skip
    return Change(
        kind=kind, name=name, what="resized", low=by, high=by, unit="mm", part=part,
        before=_size(old), after=_size(new),
        says=f"is of another size, its corners {mm(by)} off at most: {_size(new)}, was {_size(old)}",
    )  # fmt: skip


def _as_one(old: Floats, new: Floats) -> tuple[bool, bool]:
    """Return whether corners are only moved, as one thing, and whether they are turned by that."""
    centred = old - old.mean(axis=0), new - new.mean(axis=0)
    if np.abs(centred[0] - centred[1]).max() <= SAME_MM:
        return True, False
    turn, _ = Rotation.align_vectors(centred[1], centred[0])
    return bool(np.abs(turn.apply(centred[0]) - centred[1]).max() <= SAME_MM), True


def _way(shifts: Floats) -> str:
    """Return in words which way a thing was moved."""
    words = (("to the right", "to the left"), ("to the back", "to the front"), ("up", "down"))
    mean = shifts.mean(axis=0).tolist()
    told = [
        f"{mm(abs(by))} {pair[by < 0]}" for by, pair in zip(mean, words, strict=True) if abs(by) > SAME_MM
    ]
    return ", ".join(told)


def _box(corners: Floats) -> tuple[Floats, Floats]:
    return corners.min(axis=0), corners.max(axis=0)


def _size(corners: Floats) -> str:
    if not len(corners):
        return ""
    low, high = _box(corners)
    wide, deep, tall = (high - low).tolist()
    return f"{wide:.1f} mm wide, {deep:.1f} mm deep, {tall:.1f} mm high over all"


def _moves(movement: Movement) -> str:
    match movement:
        case Fixed():
            return ""
        case Hinge(point=point, axis=axis, full_deg=deg):
            return f"turns by {deg:.4g} deg about {_place(axis)} through {_place(point)}"
        case Sliding(direction=direction, full_mm=full_mm):
            return f"slides by {mm(full_mm)} along {_place(direction)}"


def _place(vector: Floats) -> str:
    return "(" + ", ".join(f"{round(one, 2) + 0.0:g}" for one in vector.tolist()) + ")"


def _nipple_changes(old: Nipple, new: Nipple) -> Iterator[Change]:
    shift = new.tip - old.tip
    by = float(np.linalg.norm(shift))
    if by > SAME_MM:
        yield Change(
            kind="nipple", name=new.name, what="moved", low=by, high=by, unit="mm", point=new.tip,
            part=new.part, says=f"stands elsewhere, its tip {mm(by)} off ({_way(shift[None])})",
        )  # fmt: skip
    crossed = float(np.linalg.norm(np.cross(old.direction, new.direction)))
    deg = float(np.degrees(np.arctan2(crossed, old.direction @ new.direction)))
    if deg > SAME_DEG:
        yield Change(
            kind="nipple", name=new.name, what="turned", low=deg, high=deg, unit="deg", point=new.tip,
            part=new.part, says=f"points {deg:.1f} deg another way",
        )  # fmt: skip
    for value, was, now in (
        ("outside", old.outside_mm, new.outside_mm),
        ("tube over it", old.on_nipple_mm, new.on_nipple_mm),
    ):
        if abs(was - now) > SAME_MM:
            yield number_altered("nipple", new.name, value, (was, now), "mm")


def _passage_changes(old: Passage, new: Passage) -> Iterator[Change]:
    moved = _form_change("passage", new.name, (_faces(old), _faces(new)))
    if moved is not None:
        yield moved
    if old.most != new.most:
        yield number_altered("passage", new.name, "most", (old.most, new.most), "tubes")


def _faces(passage: Passage) -> Floats:
    flat = passage.origin + passage.outline @ passage.axes[:2]
    half = 0.5 * passage.thick_mm * passage.axes[2]
    return np.concatenate([flat - half, flat + half])


def _tubing_changes(old: TubeKind, new: TubeKind) -> Iterator[Change]:
    for field in fields(TubeKind):
        was, now = getattr(old, field.name), getattr(new, field.name)
        if was == now or field.name in ("name", "source"):
            continue
        value, _, unit = field.name.rpartition("_") if "_" in field.name else (field.name, "", "")
        if isinstance(was, str) or isinstance(now, str):
            yield altered("tubing", new.name, value.replace("_", " "), was or "", now or "")
        else:
            units = {"cm3": "g/cm3", "mpa": "MPa"}
            words = value.removesuffix("_g").replace("_", " ")
            yield number_altered("tubing", new.name, words, (was, now), units.get(unit, unit))


def _setting_changes(before: Lay, after: Lay) -> Iterator[Change]:
    for group in ("clearance", "practice"):
        old: Entry = getattr(before.reading.scene, group)
        new: Entry = getattr(after.reading.scene, group)
        for key, was in old.model_dump().items():
            now = getattr(new, key)
            if was != now:
                value, _, unit = key.rpartition("_")
                units = {"kpa": "kPa"}
                name = f"{group}.{value}"
                yield number_altered(
                    "setting", name, value.replace("_", " "), (was, now), units.get(unit, unit)
                )
    yield from _pose_changes(before.cabinet, after.cabinet)


def _pose_changes(old: Cabinet, new: Cabinet) -> Iterator[Change]:
    if np.abs(old.down - new.down).max() > 1e-6:
        yield altered("setting", "pose", "down", _place(old.down), _place(new.down))
    if old.stage != new.stage:
        yield altered("setting", "stages", "last stage", old.stage or "", new.stage or "")
