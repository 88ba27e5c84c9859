"""How a plan is written beside its scene, and read again.

Routes, ties, runs, reasons and places of tees are read; whether they are any good is for the checks to say.
What a plan is stands in plans.py, what its file may say in plan_form.py.
"""

import json
import stat
from collections.abc import Iterable, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from routeviz.cabinet.joins import JoinPlace
from routeviz.errors import Problem, SceneError
from routeviz.geometry.arrays import frozen
from routeviz.geometry.curves import length, rounded_polyline
from routeviz.scene.positions import dotted
from routeviz.tubes.plan_form import FORMAT, PlanFile, PlanPoint, PlanTube
from routeviz.tubes.plans import NoWay, Plan, PlannedTube, Run, on_grain
from routeviz.tubes.routes import Tie
from routeviz.writing import write_whole

SUFFIX = ".plan.json"
MOST_BYTES = 20_000_000  # a plan of 150 tubes has about 200 kB
MOST_TOLD = 20  # problems told at once; who has more has one cause
LONGEST_SHOWN = 60  # letters of a value in a message
REMEDY = "plan again: routeviz plan SCENE; or take the plan away"
LIST_OF = "a plan as `routeviz plan` writes it; `routeviz explain plan` prints what may stand there"


def plan_beside(scene: Path | str) -> Path:
    """Return where the plan of a scene lies: ``case.plan.json`` beside ``case.toml``."""
    path = Path(scene)
    return path.with_name(path.stem + SUFFIX)


# ── writing ──────────────────────────────────────────────────────────────────────────────────────
def write_plan(path: Path, plan: Plan) -> None:
    """Write a plan, whole or not at all.

    Parameters
    ----------
    path : Path
        Where; an old plan there is replaced.
    plan : Plan
        Written to the micrometre.

    Raises
    ------
    WritingError
        It cannot be written; an old plan still stands.
    """
    write_whole(path, plan_text(plan).encode())


def plan_text(plan: Plan) -> str:
    """Return a plan as JSON, a corner a line; the same plan gives the same text."""
    told = on_grain(plan)
    head = {"format": FORMAT, "made_by": f"routeviz {version('routeviz')}", "inputs": told.inputs}
    groups = {
        "runs": [_json({"says": r.says, "through": r.through, "tubes": r.tubes}) for r in told.runs],
        "no_ways": [_no_way_text(one) for one in told.no_ways],
        **({"places": [_place_text(one) for one in told.places]} if told.places else {}),
        "tubes": [_tube_text(one) for one in told.tubes],
    }
    lines = [f" {_json(key)}: {_json(value)}" for key, value in head.items()]
    lines += [f" {_json(key)}: {_list(items, ' ')}" for key, items in groups.items()]
    return "{\n" + ",\n".join(lines) + "\n}\n"


def _tube_text(tube: PlannedTube) -> str:
    radii = [None, *tube.radii.tolist(), None]
    corners = [_corner_text(*pair) for pair in zip(tube.corners.tolist(), radii, strict=True)]
    ties = [f'{{"along": {tie.along_mm:.3f}, "to": {_json(tie.to)}}}' for tie in tube.ties]
    lines = [f'"name": {_json(tube.name)}', f'"through": {_json(tube.through)}']
    lines += [f'"corners": {_list(corners, "   ")}', f'"ties": {_list(ties, "   ")}']
    return "{\n   " + ",\n   ".join(lines) + "\n  }"


def _corner_text(corner: Sequence[float], radius: float | None) -> str:
    right, back, up = corner
    more = "" if radius is None or radius == float("inf") else f', "radius": {radius:.3f}'
    return f'{{"right": {right:.3f}, "back": {back:.3f}, "up": {up:.3f}{more}}}'


def _no_way_text(one: NoWay) -> str:
    point = None if one.point is None else dict(zip(("right", "back", "up"), one.point.tolist(), strict=True))
    return _json(
        {
            "tubes": one.tubes,
            "passage": one.passage,
            "point": point,
            "cause": one.cause,
            "frees": one.frees,
            "wanted": one.wanted,
            "there": one.there,
            "unit": one.unit,
            **({"part": one.part} if one.part is not None else {}),
        }
    )


def _place_text(one: JoinPlace) -> str:
    named = f'"name": {_json(one.name)}, "at": {_corner_text(one.at.tolist(), None)}'
    return f'{{{named}, "runs": {_json(one.runs)}, "branches": {_json(one.branches)}}}'


def _list(items: Sequence[str], indent: str) -> str:
    inner = f",\n{indent} ".join(items)
    return f"[\n{indent} {inner}\n{indent}]" if items else "[]"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


# ── reading ──────────────────────────────────────────────────────────────────────────────────────
def read_plan(path: Path) -> Plan | None:
    """Return the plan that a file holds.

    Parameters
    ----------
    path : Path
        As the user would name it.

    Returns
    -------
    plan : Plan or None
        None where there is no such file. Every route in it makes a curve, and every tie lies on it.

    Raises
    ------
    SceneError
        The file cannot be used; carries every problem found.
    """
    file = str(path)
    text = _text_of(path, file)
    if text is None:
        return None
    tables = _tables_of(text, file)
    plan = _plan_of(_understood(tables, file))
    problems = [
        *_twice([one.name for one in plan.tubes], "tubes", "route", file),
        *_twice([one.name for one in plan.places], "places", "place", file),
        *(p for i, one in enumerate(plan.tubes) for p in _no_curve(i, one, file)),
    ]
    if problems:
        raise SceneError(_not_too_many(problems, file))
    return plan


def _text_of(path: Path, file: str) -> str | None:
    """Return the file's text; None where there is no file."""
    try:
        facts = path.stat()
        if not stat.S_ISREG(facts.st_mode):
            raise _wrong(file, "not a file", "a file")
        if facts.st_size > MOST_BYTES:
            raise _wrong(file, f"{facts.st_size / 1e6:.1f} MB", f"at most {MOST_BYTES / 1e6:.0f} MB")
        return path.read_bytes().decode()
    except FileNotFoundError:
        return None
    except UnicodeDecodeError:
        raise _wrong(file, "letters that are not UTF-8", "text in UTF-8") from None
    except OSError as error:
        raise _wrong(file, f"cannot be read: {error.strerror or error}", "a file that may be read") from None


def _tables_of(text: str, file: str) -> dict[str, Any]:
    def refuse(word: str) -> None:
        raise _wrong(file, f"the number {word}", "numbers that can be measured")

    try:
        tables = json.loads(text, parse_constant=refuse)
    except json.JSONDecodeError as error:
        found = f"cut short, or no JSON: {error.msg}"
        raise _wrong(file, found, LIST_OF, at=(error.lineno, error.colno)) from None
    except (RecursionError, ValueError):  # nested without end; a number of thousands of digits
        raise _wrong(file, "lists too deep or numbers too long to be read", LIST_OF) from None
    if not isinstance(tables, dict):
        raise _wrong(file, _shown(tables), LIST_OF)
    return tables


def _understood(tables: dict[str, Any], file: str) -> PlanFile:
    if tables.get("format") != FORMAT:
        raise _wrong(file, f"format {_shown(tables.get('format'))}", f"format {FORMAT}", "format")
    try:
        return PlanFile.model_validate(tables)
    except ValidationError as error:
        told = [_problem(file, one) for one in error.errors(include_url=False)]
        raise SceneError(_not_too_many(told, file)) from None


def _plan_of(read: PlanFile) -> Plan:
    return Plan(
        tubes=tuple(_planned(one) for one in read.tubes),
        no_ways=tuple(
            NoWay(
                tubes=one.tubes,
                passage=one.passage,
                point=None if one.point is None else frozen(_place(one.point)),
                cause=one.cause,
                frees=one.frees,
                wanted=one.wanted,
                there=one.there,
                unit=one.unit,
                part=one.part,
            )
            for one in read.no_ways
        ),
        runs=tuple(Run(through=one.through, tubes=one.tubes, says=one.says) for one in read.runs),
        inputs=read.inputs,
        places=tuple(
            JoinPlace(name=one.name, at=frozen(_place(one.at)), runs=one.runs, branches=one.branches)
            for one in read.places
        ),
    )


def _planned(read: PlanTube) -> PlannedTube:
    radii = [float("inf") if corner.radius is None else corner.radius for corner in read.corners[1:-1]]
    ties = [Tie(along_mm=tie.along, to=tie.to) for tie in read.ties]
    return PlannedTube(
        name=read.name,
        through=read.through,
        corners=frozen([_place(corner) for corner in read.corners]),
        radii=frozen(radii),
        ties=tuple(sorted(ties, key=lambda tie: tie.along_mm)),
    )


def _place(point: PlanPoint) -> tuple[float, float, float]:
    return point.right, point.back, point.up


# ── what is wrong ────────────────────────────────────────────────────────────────────────────────
def _twice(names: Sequence[str], group: str, what: str, file: str) -> Iterable[Problem]:
    known: set[str] = set()
    for number, name in enumerate(names):
        if name in known:
            found = f"a second {what} for {_shown(name)}"
            allowed = f"one {what} a {'tube' if what == 'route' else 'tee or coupler'}"
            yield _told(file, found, allowed, dotted((group, number, "name")))
        known.add(name)


def _no_curve(number: int, one: PlannedTube, file: str) -> Iterable[Problem]:
    """Yield what is wrong with a route whose numbers are right one by one."""
    try:
        long = length(rounded_polyline(one.corners, one.radii))
    except ValueError as error:
        allowed = "corners apart from each other, turns of at most 120 degrees, radii that fit between them"
        key = dotted(("tubes", number, "corners"))
        yield _told(file, f"{_shown(one.name)} makes no curve: {error}", allowed, key)
        return
    for place, tie in enumerate(one.ties):
        if tie.along_mm > long:
            key = dotted(("tubes", number, "ties", place, "along"))
            yield _told(file, f"{tie.along_mm:.0f} mm", f"at most {long:.0f} mm, the tube's length", key)


def _problem(file: str, detail: ErrorDetails) -> Problem:
    """Return what the validator refused, in plain words."""
    key, name = dotted(detail["loc"]), str(detail["loc"][-1])
    if detail["type"] == "missing":
        return _told(file, f"no {_shown(name)}", LIST_OF, key)
    if detail["type"] == "extra_forbidden":
        return _told(file, f"the unknown key {_shown(name)}", LIST_OF, dotted(detail["loc"][:-1]))
    allowed = detail["msg"].removeprefix("Input should be ").lower().replace("tuple", "list")
    if detail["type"] == "model_type":
        allowed = "a table"
    return _told(file, _shown(detail["input"]), allowed, key)


def _not_too_many(problems: Sequence[Problem], file: str) -> tuple[Problem, ...]:
    more = len(problems) - MOST_TOLD
    rest = [_told(file, f"{more} more problems", "none", "")] if more > 0 else []
    return (*problems[:MOST_TOLD], *rest)


def _wrong(file: str, found: str, allowed: str, key: str = "", *, at: tuple[int, int] = (0, 0)) -> SceneError:
    return SceneError((_told(file, found, allowed, key, at=at),))


def _told(file: str, found: str, allowed: str, key: str, *, at: tuple[int, int] = (0, 0)) -> Problem:
    return Problem(file=file, key=key, found=found, allowed=allowed, remedy=REMEDY, line=at[0], column=at[1])


def _shown(value: object) -> str:
    """Return a value for a message: short, whatever it is."""
    match value:
        case str():
            return repr(value if len(value) <= LONGEST_SHOWN else value[: LONGEST_SHOWN - 1] + "…")
        case bool() | None:
            return json.dumps(value)
        case float():
            return repr(value)
        case int():
            return repr(value) if value.bit_length() <= 64 else "a huge number"
        case dict():
            return "a table"
        case _:
            return "a list"
