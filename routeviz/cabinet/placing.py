"""Where does everything stand? A scene as read becomes a cabinet: all parts of a stage in the case's frame.

The frame is right-handed, in millimetres: x to the player's right, y away from the player, z up. What one
part becomes is in making.py; what is wrong with the scene is said all at once.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from routeviz.cabinet.making import Made, copied, made_part
from routeviz.cabinet.messages import Where, gathered, listed
from routeviz.cabinet.motions import Fixed, in_geometry
from routeviz.cabinet.passages import Passage, free_passage
from routeviz.cabinet.solids import Cabinet, Solid
from routeviz.cabinet.stages import chosen_stage, down_in, is_there
from routeviz.cabinet.standing import step_of
from routeviz.cabinet.sureness import part_as_known, passage_as_known
from routeviz.cabinet.tubing import TubeKind, tube_kind
from routeviz.cabinet.zeros import Zeros, marks
from routeviz.errors import Problem, SceneError
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.shapes import Bodies, assembled
from routeviz.scene.parts import JoinPart, Part
from routeviz.scene.reading import Reading

KEEP_CLEAR = "keep_clear"


def place(reading: Reading, stage: str | None = None) -> Cabinet:
    """Return everything that stands in the case at a stage of the work, in the case's frame.

    Parameters
    ----------
    reading : Reading
        The scene.
    stage : str or None
        Which stage; the last one where not said.

    Returns
    -------
    cabinet : Cabinet
        Parts that come later or have gone are left out, as are tees and couplers without a place; a nipple
        whose carrier is one of them has none.

    Raises
    ------
    SceneError
        All that is wrong with the scene's zeros, tubing, parts, passages and stages.
    """
    where = Where(reading=reading)
    problems: list[Problem] = []
    order = {one.name: number for number, one in enumerate(reading.scene.stages)}
    with gathered(problems):
        stage = chosen_stage(stage, order, where)
    down = _down(stage, order, where, problems)
    tubing = _tubing(where, problems)
    zeros = _zeros(where, problems)
    made = _parts(zeros, where, problems)
    free = _free_passages(zeros, where, problems)
    _check_names(made, free, where, problems)
    carriers = _carriers(made, where, problems)
    if problems:
        raise SceneError(tuple(problems))
    here = [
        one
        for name, copies in made.items()
        if is_there(reading.scene.part[name], stage, order)
        for one in part_as_known(reading, name, copies)
    ]
    waiting = tuple(
        name for name, part in reading.scene.part.items() if name not in made and is_there(part, stage, order)
    )
    free = [passage_as_known(reading, one) for one in free]
    return replace(_cabinet(reading, stage, (down, tubing), here, free, carriers), without_place=waiting)


def _cabinet(
    reading: Reading,
    stage: str | None,
    down_and_tubing: tuple[Floats, Mapping[str, TubeKind]],
    here: Sequence[Made],
    free: Sequence[Passage],
    carriers: Mapping[str, str],
) -> Cabinet:
    """Put together what is there, and say by index which solid carries a nipple or holds a passage."""
    every = [solid for one in here for solid in one.solids]
    solids = tuple(solid for solid in every if solid.kind != KEEP_CLEAR)
    keep_clear = tuple(solid for solid in every if solid.kind == KEEP_CLEAR)
    index = {solid.name: i for i, solid in enumerate(solids)}
    nipples = {
        n.name: replace(n, carrier=index.get(carriers.get(one.name, ""))) for one in here for n in one.nipples
    }
    passages = {p.name: replace(p, solid=index[one.solids[0].name]) for one in here for p in one.passages}
    down, tubing = down_and_tubing
    return Cabinet(
        title=reading.scene.title,
        stage=stage,
        limits=reading.scene.clearance,
        practice=reading.scene.practice,
        down=down,
        solids=solids,
        bodies=_bodies(solids),
        keep_clear=keep_clear,
        clear_bodies=_bodies(keep_clear),
        nipples=MappingProxyType(nipples),
        passages=MappingProxyType(passages | {p.name: p for p in free}),
        tubing=MappingProxyType(dict(tubing)),
    )


def _bodies(solids: Sequence[Solid]) -> Bodies:
    return assembled([solid.pieces for solid in solids], [in_geometry(solid.movement) for solid in solids])


def _down(stage: str | None, order: Mapping[str, int], where: Where, problems: list[Problem]) -> Floats:
    scene = where.reading.scene
    pose, place = scene.pose, where.at("pose")
    if stage is not None and stage in order:
        number = order[stage]
        own = scene.stages[number].pose
        if own is not None:
            pose, place = own, where.at("stages", number, "pose")
    with gathered(problems):
        return down_in(pose, place)
    return frozen((0.0, 0.0, -1.0))


def _tubing(where: Where, problems: list[Problem]) -> dict[str, TubeKind]:
    kinds: dict[str, TubeKind] = {}
    for name, tubing in where.reading.scene.tubing.items():
        with gathered(problems):
            kinds[name] = tube_kind(name, tubing, where.at("tubing", name))
    return kinds


def _zeros(where: Where, problems: list[Problem]) -> Zeros:
    # A part seen from a zero that cannot be placed would only repeat what is wrong with the zero.
    before = len(problems)
    zeros = marks(where, problems)
    if len(problems) > before:
        raise SceneError(tuple(problems))
    return zeros


def _parts(zeros: Zeros, where: Where, problems: list[Problem]) -> dict[str, tuple[Made, ...]]:
    """Return what each part has become, copy by copy; those with problems are noted and left out."""
    parts: dict[str, tuple[Made, ...]] = {}
    for name, part in where.reading.scene.part.items():
        if isinstance(part, JoinPart) and part.at is None:
            continue
        before, place = len(problems), where.at("part", name)
        with gathered(problems):
            made = made_part(name, part, zeros, place, problems)
            if len(problems) == before:
                parts[name] = _copies(made, part, place)
    return parts


def _copies(made: Made, part: Part, where: Where) -> tuple[Made, ...]:
    """Return a part alone, or its copies ``hammer 1``, ``hammer 2`` and so on, each a step further."""
    if part.repeat is None:
        return (made,)
    step = step_of(part.repeat.step, where.at("repeat", "step"))
    return tuple(copied(made, n + 1, n * step) for n in range(part.repeat.count))


def _free_passages(zeros: Zeros, where: Where, problems: list[Problem]) -> list[Passage]:
    free: list[Passage] = []
    for name, part in where.reading.scene.passage.items():
        with gathered(problems):
            free.append(free_passage(name, part, zeros, where.at("passage", name)))
    return free


def _check_names(
    made: Mapping[str, Sequence[Made]], free: Sequence[Passage], where: Where, problems: list[Problem]
) -> None:
    """Note passages of one name: ``shelf bass`` may be an opening in a board, and stand free."""
    named = [
        (p.name, ("part", part)) for part, copies in made.items() for one in copies for p in one.passages
    ]
    known: dict[str, tuple[str, str]] = {}
    for name, key in named + [(p.name, ("passage", p.name)) for p in free]:
        other = known.setdefault(name, key)
        if other != key:
            said = f"a passage {name!r}, of which the {other[0]} {other[1]!r} has one too"
            wrong = where.at(*key).wrong(said, "a name for each passage", "give one of them another name")
            problems.extend(wrong.problems)


def _carriers(made: Mapping[str, Sequence[Made]], where: Where, problems: list[Problem]) -> dict[str, str]:
    """Return the name of the solid that carries the nipples of each part or copy; none for nipples alone."""
    solids = {s.name: s for copies in made.values() for one in copies for s in one.solids}
    carriers: dict[str, str] = {}
    parts = where.reading.scene.part
    for name, copies in made.items():
        carried_by = parts[name].carried_by
        if carried_by is None:
            carriers |= {one.name: one.solids[0].name for one in copies if one.solids and one.nipples}
        # A carrier that could not be made has its own problem, and is not said to be missing.
        elif {carried_by, carried_by.rsplit(" ", 1)[0]}.isdisjoint(parts.keys() - made.keys()):
            with gathered(problems):
                for number, one in enumerate(copies, start=1):
                    wanted = [word for word in (carried_by, f"{carried_by} {number}") if word in solids]
                    _check_carrier(carried_by, wanted, solids, where.at("part", name, "carried_by"))
                    carriers[one.name] = wanted[0]
    return carriers


def _check_carrier(carried_by: str, wanted: Sequence[str], solids: Mapping[str, Solid], where: Where) -> None:
    """Refuse a carrier that is not there, is a space, or moves."""
    standing = [name for name, s in solids.items() if s.kind != KEEP_CLEAR and isinstance(s.movement, Fixed)]
    if wanted and wanted[0] in standing:
        return
    raise where.wrong(
        f"carried by {carried_by!r}, which {'moves or is a space' if wanted else 'is no part with a body'}",
        f"a part that stands still: {listed(standing, carried_by)}",
        "name what the nipples are fixed to, or leave carried_by out",
    )
