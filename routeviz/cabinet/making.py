"""What a part of the scene becomes: solids, nipples and passages where it stands, apart from all the others.

How all of them come together in a cabinet is in placing.py.
"""

from dataclasses import dataclass, replace

import numpy as np

from routeviz.cabinet.joins import join
from routeviz.cabinet.keyboards import keys_of, rooms_of, size_of_keyboard
from routeviz.cabinet.meshes import MeshError, read_mesh
from routeviz.cabinet.messages import Where, gathered
from routeviz.cabinet.motions import Fixed, Hinge, Movement, movement_of
from routeviz.cabinet.nipples import Nipple, nipples_of
from routeviz.cabinet.outlines import COINCIDE_MM, WAYS, corners_outline, outline_axes
from routeviz.cabinet.passages import Passage, cut_board
from routeviz.cabinet.solids import Solid
from routeviz.cabinet.standing import Standing, standing, vector
from routeviz.cabinet.zeros import AXES, Zeros, point
from routeviz.errors import Problem
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.blocks import box, cylinder, prism, triangles
from routeviz.geometry.frames import points_from, rigid, unit
from routeviz.geometry.shapes import Pieces, placed
from routeviz.scene.lengths import UNITS
from routeviz.scene.parts import (
    BarPart,
    BoardPart,
    BoxPart,
    CylinderPart,
    JoinPart,
    KeepClearPart,
    KeyboardPart,
    MeshPart,
    NipplesPart,
    Part,
    PrismPart,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What a part, or one copy of a part that repeats, has become.

    Parameters
    ----------
    name : str
        The part's, or the copy's: ``hammer 3``.
    solids : tuple of Solid
        What it is made of; none of a part that is only nipples.
    nipples : tuple of Nipple
        ``carrier`` is not said yet.
    passages : tuple of Passage
        ``solid`` is 0, the part's own.
    """

    name: str
    solids: tuple[Solid, ...] = ()
    nipples: tuple[Nipple, ...] = ()
    passages: tuple[Passage, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A part's shape: its pieces, whether something can be inside, and what comes with it."""

    pieces: Pieces
    tested_inside: bool = True
    nipples: tuple[Nipple, ...] = ()
    passages: tuple[Passage, ...] = ()


def made_part(name: str, part: Part, zeros: Zeros, where: Where, problems: list[Problem]) -> Made:
    """Return what a part becomes, the first copy of one that repeats.

    Parameters
    ----------
    name, part : str, Part
        As in the scene.
    zeros : mapping of Mark
        The scene's.
    where : Where
        The part's place in the file.
    problems : list of Problem
        Everything wrong with the part is added; what it concerns is then left out.

    Returns
    -------
    made : Made
        Under the part's own name.

    Raises
    ------
    SceneError
        Nothing of it can be made.
    """
    _check_combination(part, where)
    if isinstance(part, KeyboardPart):
        return _keyboard(name, part, zeros, where)
    stands = standing(name, part, zeros, where, size=_size_of(part))
    nipples = nipples_of(part, stands, where, problems)
    movement: Movement = Fixed()
    with gathered(problems):
        movement = movement_of(part.motion, stands, where.at("motion"))
    if isinstance(part, NipplesPart):
        return Made(name=name, nipples=nipples)
    body = _body(part, stands, where, problems)
    solid = Solid(
        name=name,
        part=name,
        kind=part.kind,
        look="metal" if isinstance(part, JoinPart) and "look" not in part.model_fields_set else part.look,
        pieces=body.pieces,
        movement=movement,
        clearance_mm=part.clearance_mm,
        comes_out=_way_out(part),
        why=part.why,
        tested_inside=body.tested_inside,
    )
    return Made(name=name, solids=(solid,), nipples=nipples + body.nipples, passages=body.passages)


def copied(made: Made, number: int, step: Floats) -> Made:
    """Return one copy of a part that repeats: ``hammer 3`` and all that belongs to it.

    Parameters
    ----------
    made : Made
        The part, where the first copy is.
    number : int
        The copy's, from 1.
    step : array, shape (3,)
        How far this copy is from the first, in the case.

    Returns
    -------
    copy : Made
        All moved and named anew.
    """
    name = f"{made.name} {number}"

    def renamed(old: str) -> str:
        return name + old.removeprefix(made.name)

    frame = rigid(np.eye(3), step)
    return Made(
        name=name,
        solids=tuple(
            replace(
                s,
                name=renamed(s.name),
                pieces=placed(s.pieces, frame),
                movement=_moved(s.movement, step),
            )
            for s in made.solids
        ),
        nipples=tuple(
            replace(n, name=renamed(n.name), part=name, tip=frozen(n.tip + step)) for n in made.nipples
        ),
        passages=tuple(
            replace(p, name=renamed(p.name), origin=frozen(p.origin + step)) for p in made.passages
        ),
    )


def _moved(movement: Movement, step: Floats) -> Movement:
    if isinstance(movement, Hinge):
        return replace(movement, point=frozen(movement.point + step))
    return movement


def _way_out(part: Part) -> Floats | None:
    """Return the way a part comes out: said of the case, so it does not turn with the part."""
    return None if part.comes_out is None else vector(part.comes_out)


def _keyboard(name: str, part: KeyboardPart, zeros: Zeros, where: Where) -> Made:
    rooms = rooms_of(part, where)
    stands = standing(name, part, zeros, where, size=size_of_keyboard(part, rooms))
    out = _way_out(part)
    keys = keys_of(part, rooms, stands, where)
    return Made(
        name=name,
        solids=tuple(replace(k, clearance_mm=part.clearance_mm, comes_out=out, why=part.why) for k in keys),
    )


def _size_of(part: Part) -> tuple[float, float, float] | None:
    match part:
        case BoxPart(size=size) | BoardPart(size=size) | KeepClearPart(size=size):
            return size.wide_mm, size.deep_mm, size.high_mm
        case _:
            return None


def _check_combination(part: Part, where: Where) -> None:
    """Refuse what cannot go together; that nipples must not move is held in scene/references.py."""
    if part.motion is not None:
        if isinstance(part, KeyboardPart):
            raise where.at("motion").wrong(
                "a motion of a keyboard", "none: each key has its own", "leave motion out"
            )
        if isinstance(part, BoardPart) and part.opening:
            raise where.at("motion").wrong(
                "openings in a board that moves",
                "openings in boards that stand still",
                "leave motion or the openings out",
            )
    if part.rows and isinstance(part, KeyboardPart | KeepClearPart | JoinPart):
        raise where.at("rows").wrong(
            f"rows of nipples on a {part.kind}",
            "rows on parts of another kind",
            "give them as a part of kind nipples",
        )
    if isinstance(part, NipplesPart) and not part.rows:
        raise where.wrong("a part of kind nipples without rows", "one row or more", "add rows")


def _body(part: Part, stands: Standing, where: Where, problems: list[Problem]) -> Body:
    """Return the shape of any part that has one and is no keyboard."""
    match part:
        case BoxPart(size=size) | KeepClearPart(size=size):
            return Body(pieces=box(stands.case_from_part, (size.wide_mm, size.deep_mm, size.high_mm)))
        case BoardPart():
            board = cut_board(part, stands, where, problems)
            frame = rigid(stands.turn[:, list(outline_axes(board.through))], stands.at)
            return Body(pieces=prism(frame, board.outline, board.thick_mm), passages=board.passages)
        case BarPart():
            return Body(pieces=_bar(part, _far_end(part, stands, where), stands))
        case CylinderPart():
            far_end = stands.in_case(_far_end(part, stands, where))
            return Body(pieces=cylinder(stands.at, far_end, part.diameter_mm / 2))
        case PrismPart():
            return Body(pieces=_prism(part, stands, where))
        case MeshPart():
            return _mesh(part, stands, where)
        case JoinPart():
            pieces, nipples = join(part, stands, where)
            return Body(pieces=pieces, nipples=nipples)
        case _:
            raise TypeError(f"part: no body is made of the kind {part.kind}")


def _far_end(part: BarPart | CylinderPart, stands: Standing, where: Where) -> Floats:
    """Return where a bar ends, seen from its ``at`` before it is turned; both are taped from one zero."""
    far = point(stands.zeros, part.to, part.zero, where.at("to")) - stands.at
    if float(np.linalg.norm(far)) <= COINCIDE_MM:
        raise where.at("to").wrong(
            "a bar that ends where it begins", "to apart from at", "tape both ends again, from the same zero"
        )
    return np.asarray(far)


def _bar(part: BarPart, far: Floats, stands: Standing) -> Pieces:
    """Return a bar along its middle line: wide is level, thick square to that; upright: wide to the right."""
    along = unit(far)
    level = np.cross(along, (0.0, 0.0, 1.0))
    level = unit(level) if float(np.abs(level).max()) > COINCIDE_MM else np.array([1.0, 0.0, 0.0])
    level = unit(level - (level * along).sum() * along)
    axes = np.column_stack([level, along, np.cross(level, along)])
    size = np.array([part.wide_mm, float(np.linalg.norm(far)), part.thick_mm])
    corner = axes @ (size * (-0.5, 0.0, -0.5))
    return box(rigid(stands.turn @ axes, stands.in_case(corner)), size)


def _prism(part: PrismPart, stands: Standing, where: Where) -> Pieces:
    through = WAYS.index(part.along)
    for index, position in enumerate(part.outline):
        for key in AXES[through][:2]:
            if getattr(position, key) is not None and position.zero is None:
                raise where.at("outline", index).wrong(
                    f"a corner with {key.removesuffix('_mm')} in an outline that is thick along {part.along}",
                    "corners with the two directions across it; the outline lies at the part's at",
                    f"leave {key.removesuffix('_mm')} out",
                )
    outline = corners_outline(part.outline, np.zeros(3), stands, through, where.at("outline"))
    frame = rigid(stands.turn[:, list(outline_axes(through))], stands.at)
    return prism(frame, outline, part.thick_mm)


def _mesh(part: MeshPart, stands: Standing, where: Where) -> Body:
    folder = where.reading.folder
    try:
        mesh = read_mesh(part.file, folder=folder, unit_mm=float(UNITS[part.unit]))
    except MeshError as error:
        raise where.at("file").wrong(error.found, error.allowed, error.remedy) from None
    pieces = triangles(points_from(stands.case_from_part, mesh.vertices_mm), mesh.triangles)
    return Body(pieces=pieces, tested_inside=mesh.watertight)
