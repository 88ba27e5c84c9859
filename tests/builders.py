"""Words to write a small scene quickly: each returns a piece of TOML, ``a_scene`` puts them together.

Everything in millimetres unless a text says otherwise; a scene opens with a kind of tube named ``note``.
"""

import json
from pathlib import Path
from typing import Any

from routeviz.scene.reading import Reading, read_scene

NOTE = {"bore": 3.97, "outside": 5.56, "least_bend": 22.0, "modulus": 1.2, "density": 0.95}


def a_scene(*pieces: str, title: str = "A small case", units: str | None = "mm", top: str = "") -> str:
    """Return the text of a scene made of pieces; ``top`` holds further lines for its head."""
    head = ["format = 1", f"title = {toml(title)}"]
    head += [f"units = {toml(units)}"] if units else []
    head += [top] if top else []
    tubing = [] if any(piece.startswith("[tubing.") for piece in pieces) else [with_tubing("note")]
    return "\n".join([*head, *tubing, *pieces]) + "\n"


def with_tubing(name: str, **values: Any) -> str:
    """A kind of tube: ``NOTE`` with other values; None leaves one out."""
    return a_table(f"tubing.{_key(name)}", **{**NOTE, **values})


def with_zero(name: str, at: tuple[float, float, float], **spans: Any) -> str:
    """A mark at right, back, up; spans are wide, deep, high."""
    return a_table(f"zero.{_key(name)}", at=place(*at), **spans)


def with_box(name: str, at: tuple[float, float, float], size: tuple[float, float, float], **more: Any) -> str:
    """A box by its left, front, lower corner and its width, depth, height."""
    return a_table(f"part.{_key(name)}", kind="box", at=place(*at), size=extent(*size), **more)


def with_board(
    name: str, at: tuple[float, float, float], size: tuple[float, float, float], **more: Any
) -> str:
    """A board; give openings as ``opening={"bass": {...}}``."""
    return a_table(f"part.{_key(name)}", kind="board", at=place(*at), size=extent(*size), **more)


def with_closed_case(holes: dict[str, Any]) -> list[str]:
    """A closed case, 320 wide, 160 deep, 400 high, with a shelf from wall to wall at half its height."""
    return [
        with_board("shelf", (0, 0, 200), (320, 160, 12), opening=holes),
        with_box("left", (-10, -10, -10), (10, 180, 420)),
        with_box("right", (320, -10, -10), (10, 180, 420)),
        with_box("front", (0, -10, -10), (320, 10, 420)),
        with_box("back", (0, 160, -10), (320, 10, 420)),
        with_box("bottom", (0, 0, -10), (320, 160, 10)),
        with_box("top", (0, 0, 400), (320, 160, 10)),
    ]


def with_part(name: str, **values: Any) -> str:
    """Any part: ``kind`` or ``model``, and its keys."""
    return a_table(f"part.{_key(name)}", **values)


def with_nipple(
    name: str, tip: tuple[float, float, float], faces: Any = "up", outside: Any = 3.97, **more: Any
) -> str:
    """A part of a single nipple, number 1, at its tip."""
    return with_row(name, "1", tip, None, faces=faces, outside=outside, **more)


def with_row(
    name: str,
    holes: str,
    first: tuple[float, float, float],
    last: tuple[float, float, float] | None,
    faces: Any = "up",
    outside: Any = 3.97,
    **more: Any,
) -> str:
    """A part that is one row of nipples from ``first`` to ``last``."""
    row: dict[str, Any] = {"holes": holes, "first": place(*first)}
    row |= {"last": place(*last)} if last else {}
    return a_table(f"part.{_key(name)}", kind="nipples", faces=faces, outside=outside, rows=[row], **more)


def with_keep_clear(
    name: str, at: tuple[float, float, float], size: tuple[float, float, float], why: str
) -> str:
    """A space in which nothing may lie."""
    return a_table(f"part.{_key(name)}", kind="keep_clear", at=place(*at), size=extent(*size), why=why)


def with_tube(start: str, end: str, tubing: str = "note", **more: Any) -> str:
    """One ``[[tubes]]``; corners from ``corners_of``; ``waits_for`` is written ``for``."""
    if "waits_for" in more:
        more["for"] = more.pop("waits_for")
    return a_table("[tubes]", **{"from": start, "to": end, "tubing": tubing, **more})


def with_stage(name: str, **more: Any) -> str:
    """One ``[[stages]]``."""
    return a_table("[stages]", name=name, **more)


def place(right: Any, back: Any, up: Any, **more: Any) -> dict[str, Any]:
    """A position."""
    return {"right": right, "back": back, "up": up, **more}


def extent(wide: Any, deep: Any, high: Any) -> dict[str, Any]:
    """A size."""
    return {"wide": wide, "deep": deep, "high": high}


def corners_of(*points: tuple[float, float, float], radius: float | None = None) -> list[dict[str, Any]]:
    """Corners of a drawn route, all with one radius where it is given."""
    return [place(*point) | ({} if radius is None else {"radius": radius}) for point in points]


def a_table(header: str, **values: Any) -> str:
    """A table with its header, a key a line; None leaves a key out."""
    lines = [f"{_key(key)} = {toml(value)}" for key, value in values.items() if value is not None]
    return "\n".join([f"\n[{header}]", *lines]).lstrip("\n")


def toml(value: Any) -> str:
    """A value as TOML writes it, tables in one line."""
    match value:
        case dict():
            return "{ " + ", ".join(f"{_key(key)} = {toml(item)}" for key, item in value.items()) + " }"
        case list() | tuple():
            return "[" + ", ".join(toml(item) for item in value) + "]"
        case _:
            return json.dumps(value, ensure_ascii=False)


def written(folder: Path, text: str, name: str = "scene.toml") -> Path:
    """Write a scene into a folder and return its path."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def read(folder: Path, *pieces: str, **head: Any) -> Reading:
    """Write the scene of these pieces into a folder and read it."""
    return read_scene(written(folder, a_scene(*pieces, **head)))


def _key(word: str) -> str:
    plain = word.replace("_", "").replace("-", "")
    return word if plain.isascii() and plain.isalnum() else json.dumps(word, ensure_ascii=False)
