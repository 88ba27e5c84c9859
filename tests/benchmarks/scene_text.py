"""A cabinet as the text of a scene, and its witness apart from it."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from benchmarks.openings import Opening
from benchmarks.ribbons import BORE, FIXED, KEY_LONG, KEYS_FRONT, LEAST, MOVING, NIPPLE, OUTSIDE, Lay
from benchmarks.woodwork import KEYS_THICK, KEYS_UP, Piece, bar_body, stack_body

WALL = 15.0
BOARDS = ("bed", "shelf")  # from the top
OCTAVE = 164.5
TIED = 65.0  # between ties: looser ones sag by half a millimetre and more


@dataclass(frozen=True)
class Built:
    lay: Lay
    openings: list[Opening]
    pieces: list[Piece]
    room: np.ndarray  # the case's inner size
    names: list[str]
    order: np.ndarray


def length_of(corners: np.ndarray, radii: np.ndarray) -> float:
    legs = np.diff(corners, axis=0)
    long = np.linalg.norm(legs, axis=1)
    turns = np.arccos(np.clip(np.sum(legs[:-1] * legs[1:], axis=1) / long[:-1] / long[1:], -1, 1))
    return float(long.sum() - (radii * (2 * np.tan(turns / 2) - turns)).sum())


def witness_of(built: Built) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for hole in built.order:
        corners, radii = built.lay.corners[hole], built.lay.radii[hole]
        length = length_of(corners, radii)
        count = int(np.ceil(length / TIED))
        ribbon = built.lay.ribbon_of[hole]
        through = [
            f"{BOARDS[one.board]} {one.name}"
            for one in sorted(built.openings, key=lambda one: one.board)
            if one.ribbon == ribbon
        ]
        found[built.names[hole]] = {
            "through": through,
            "corners": corners[1:-1].tolist(),
            "radii": radii.tolist(),
            "ties": [round(length * i / count, 1) for i in range(1, count)],
        }
    return found


def number(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".") if abs(value) >= 5e-4 else "0"


def place(point: Any) -> str:
    return "{{ right = {}, back = {}, up = {} }}".format(*map(number, point))


def _size(size: Any) -> str:
    return "{{ wide = {}, deep = {}, high = {} }}".format(*map(number, size))


def text_of(built: Built, openings: list[Opening]) -> str:
    lay, lines = built.lay, _head(built)
    for board, (low, high) in enumerate(lay.levels.boards):
        size = [*built.room[:2], high - low]
        lines += _part(BOARDS[board], "board", at=place([0, 0, low]), size=_size(size))
        for one in (one for one in openings if one.board == board):
            lines += [
                f"[part.{BOARDS[board]}.opening.{one.name}]",
                f"at = {place([*one.low, 0])}",
                f"size = {{ wide = {number(one.size[0])}, deep = {number(one.size[1])} }}",
                *([f"most = {one.most}"] if one.most is not None else []),
                "",
            ]
    lines += _keyboard(lay)
    lines += _nipples("tracker bar", bar_body(lay), lay.bar, "back")
    lines += _nipples("stack", stack_body(lay), lay.stack, lay.levels.faces)
    for count, piece in enumerate(built.pieces, start=1):
        lines += _piece(f"piece{count}", piece)
    for hole in built.order:
        lines += [
            "[[tubes]]",
            f'name = "{built.names[hole]}"',
            f'from = "tracker bar {hole + 1}"',
            f'to = "stack {lay.peg_of[hole] + 1}"',
            'tubing = "note"',
            "",
        ]
    return "\n".join(lines)


def _head(built: Built) -> list[str]:
    x, y, z = built.room
    lines = [
        "# An invented cabinet, drawn by seed.",
        "format = 1",
        f'title = "Invented cabinet of {len(built.names)} tubes"',
        'units = "mm"',
        "",
        "[clearance]",
        f"fixed = {number(FIXED)}",
        f"moving = {number(MOVING)}",
        "tubes = 0",
        "",
        "[tubing.note]",
        f"bore = {BORE}",
        f"outside = {OUTSIDE}",
        f"least_bend = {LEAST}",
        "modulus = 3",
        "density = 1",
        "",
    ]
    walls = {
        "floor": ([0, 0, -WALL], [x, y, WALL]),
        "lid": ([0, 0, z], [x, y, WALL]),
        "left side": ([-WALL, 0, 0], [WALL, y, z]),
        "right side": ([x, 0, 0], [WALL, y, z]),
        "front": ([0, -WALL, 0], [x, WALL, z]),
        "back": ([0, y, 0], [x, WALL, z]),
    }
    for name, (at, size) in walls.items():
        lines += _part(name, "box", at=place(at), size=_size(size))
    return lines


def _part(name: str, kind: str, **values: str) -> list[str]:
    return [
        f'[part."{name}"]',
        f'kind = "{kind}"',
        *(f"{key} = {value}" for key, value in values.items()),
        "",
    ]


def _keyboard(lay: Lay) -> list[str]:
    keys = min(88, int((lay.wide - 40) / (OCTAVE / 12)))
    long = f"long = {number(KEY_LONG)}"
    natural = f"{{ {long}, front = 50, balance = 230, thick = {number(KEYS_THICK)}, dip = 10 }}"
    short = f"long = {number(KEY_LONG - 50)}"
    sharp = f"{{ {short}, front = 95, balance = 200, thick = {number(KEYS_THICK)}, stands = 12, dip = 10 }}"
    left = (lay.wide - keys * OCTAVE / 12) / 2
    at = place([left, KEYS_FRONT, lay.levels.boards[0][1] + KEYS_UP])
    return _part(
        "keys", "keyboard", at=at, keys=str(keys), lowest='"C2"', octave=number(OCTAVE), between="1.5",
        sharps_back="50", natural=natural, sharp=sharp,
    )  # fmt: skip


def _nipples(name: str, body: Piece, tips: np.ndarray, faces: str) -> list[str]:
    rows = []
    for begin in (0, 1):
        row = tips[begin::2] - body.low
        last = len(tips) - (len(tips) - 1 - begin) % 2
        rows.append(
            f'    {{ holes = "{begin + 1}..{last} step 2", first = {place(row[0])}, '
            f"last = {place(row[-1])} }},"
        )
    more = {"faces": f'"{faces}"', "outside": number(NIPPLE), "rows": "\n".join(["[", *rows, "]"])}
    return _part(name, "box", at=place(body.low), size=_size(body.high - body.low), **more)


def _piece(name: str, piece: Piece) -> list[str]:
    if piece.kind in ("box", "keep_clear"):
        more = {"why": '"a hand must reach in here"'} if piece.kind == "keep_clear" else {}
        at, size = place(piece.place + piece.low), _size(piece.high - piece.low)
        return _part(name, piece.kind, at=at, size=size, **more)
    along = piece.axes[:, 1]
    ends = {
        "at": place(piece.place + piece.low[1] * along),
        "to": place(piece.place + piece.high[1] * along),
    }
    if piece.kind == "cylinder":
        return _part(name, "cylinder", **ends, diameter=number(2 * piece.radius))
    return _part(name, "bar", **ends, wide=number(2 * piece.high[0]), thick=number(2 * piece.high[2]))
