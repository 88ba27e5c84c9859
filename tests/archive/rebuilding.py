"""Cut list and least clearances of an archive, rebuilt from its tables by somebody who has only README.txt.

Nothing of the program is imported: csv, math and numpy alone, and plain_distances.py beside this file.

    PYTHONPATH=tests python -m archive.rebuilding FOLDER [TUBE ...]
"""

import csv
import math
import sys
from collections import defaultdict
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from archive.plain_distances import Line, Motion, Piece, Thing, line_to_line, to_thing

TIE_MM = 10.0  # how wide a tie is


@dataclass(frozen=True)
class Tube:
    """A tube with a centreline; its sleeves, each with its axis, its rod and who carries the nipple."""

    name: str
    line: Line
    carriers: tuple[str, str]  # at its start and end; empty for none
    ties: list[tuple[float, str]]
    sleeves: list[tuple[str, Line, Piece]] = field(default_factory=list)


def tables_of(folder):
    """Every table of an archive as rows by column, by the table's name."""
    tables = {}
    for file in sorted(Path(folder).glob("**/tables/*.csv")):
        with file.open(encoding="utf-8", newline="") as rows:
            tables[file.stem] = list(csv.DictReader(rows))
    return tables


def cut_list(tables):
    """Length to cut of every tube that is to be cut, from its corners, nipples and what is left over."""
    over = {row["nipple"]: float(row["on_nipple_mm"]) for row in tables["nipples"]}
    corners = _grouped(tables["corners"], "tube")
    cut = {}
    for row in tables["tubes"]:
        if row["tube"] in corners and row["step_mm"]:
            rows = corners[row["tube"]]
            nipples = sum(over[row[end]] for end in ("from_nipple", "to_nipple") if row[end])
            cut[row["tube"]] = _length(rows) + nipples + float(row["spare_mm"]) + float(row["step_mm"])
    return cut


def _length(rows):
    """Legs of the polyline, less twice the tangent and plus the arc at each corner with a radius."""
    places = np.array([_xyz(row, "") for row in rows])
    legs = np.diff(places, axis=0)
    total = float(np.linalg.norm(legs, axis=1).sum())
    for before, after, row in zip(legs[:-1], legs[1:], rows[1:-1], strict=True):
        if row["radius_mm"]:
            angle = math.atan2(float(np.linalg.norm(np.cross(before, after))), float(before @ after))
            total += float(row["radius_mm"]) * (angle - 2 * math.tan(angle / 2))
    return total


class Case:
    """What the tables say of a case: tubes with their centrelines, and what they must keep off."""

    def __init__(self, tables):
        self.reach = next(float(row["value"]) for row in tables["limits"] if row["limit"] == "looked to")
        pieces, motions = _pieces(tables), {row["solid"]: _motion(row) for row in tables["motions"]}
        self.things = [
            Thing(
                name=row["name"],
                part=row["part"],
                sort=_sort(row),
                asks=float(row["asks_mm"]),
                pieces=pieces[row["name"]],
                motion=motions.get(row["name"]),
            )
            for row in tables["parts"]
        ]
        nipples = {row["nipple"]: row for row in tables["nipples"]}
        lines, ties = _grouped(tables["centreline-pieces"], "tube"), _grouped(tables["ties"], "tube")
        self.tubes = {
            row["tube"]: _tube(row, lines[row["tube"]], ties[row["tube"]], nipples)
            for row in tables["tubes"]
            if row["tube"] in lines
        }

    def least(self, name, sort):
        """Least distance from a tube's wall to anything of a sort, and to what; infinite beyond reach."""
        tube, best, nearest = self.tubes[name], math.inf, ""
        if sort == "tube":
            for other in self.tubes.values():
                if other is not tube:
                    found = self.between(tube, other, min(best, self.reach))
                    best, nearest = min((best, nearest), (found, other.name))
            return best, nearest
        for thing in self.things:
            if thing.sort == sort:
                for line in _lines(tube, thing):
                    found = to_thing(line, thing, min(best, self.reach))
                    best, nearest = min((best, nearest), (found, thing.name))
        return best, nearest

    def between(self, one, other, up_to):
        """Least distance between the walls of two tubes, sleeves included; infinite beyond ``up_to``."""
        best = line_to_line(one.line, other.line, up_to)
        for first, second in ((one, other), (other, one)):
            for _, _, rod in second.sleeves:
                sleeve = Thing(name="", part="", sort="", asks=0.0, pieces=[rod])
                lines = [first.line]
                if first is one:  # each two sleeves once
                    lines += [its for _, its, _ in first.sleeves]
                for line in lines:
                    best = min(best, to_thing(line, sleeve, min(best, up_to)))
        return best


def _lines(tube, thing):
    """What of a tube must keep off a thing: its free lengths, and its sleeves but on what carries them."""
    excused, end, wide = [], tube.line.end, 2 * tube.line.radius
    near = max(wide, thing.asks + wide / 2)
    if thing.name == tube.carriers[0]:
        excused.append((0.0, near))
    if thing.name == tube.carriers[1]:
        excused.append((end - near, end))
    if thing.sort == "fixed":
        reach = TIE_MM / 2 + wide
        excused += [(at - reach, at + reach) for at, to in tube.ties if to in (thing.name, thing.part)]
    begin = 0.0
    for low, high in [*sorted(excused), (end, end)]:
        if min(low, end) - begin > 1e-3:
            yield replace(tube.line, low=begin, high=min(low, end))
        begin = max(begin, high)
    for carrier, axis, _ in tube.sleeves:
        if carrier != thing.name:
            yield axis


def _tube(row, rows, ties, nipples):
    radius, bore = float(row["outside_mm"]) / 2, float(row["bore_mm"])
    arcs = [float(r["radius_mm"] or 0) for r in rows]
    line = Line(
        starts=np.array([_xyz(r, "start_") for r in rows]),
        tangents=np.array([_unit(r, "tangent_") for r in rows]),
        normals=np.array([_unit(r, "normal_") for r in rows]),
        bends=np.array([1 / arc if arc else 0.0 for arc in arcs]),
        lengths=np.array([float(r["length_mm"]) for r in rows]),
        alongs=np.array([float(r["along_mm"]) for r in rows]),
        radius=radius,
    )
    ends = [nipples.get(row[end]) for end in ("from_nipple", "to_nipple")]
    sleeves = [_sleeve(nipple, 2 * radius, bore) for nipple in ends if nipple is not None]
    carriers = tuple("" if nipple is None else nipple["carrier"] for nipple in ends)
    held = [(float(tie["along_mm"]), tie["to"]) for tie in ties]
    return Tube(name=row["tube"], line=line, carriers=carriers, ties=held, sleeves=sleeves)


def _sleeve(nipple, outside, bore):
    """A tube over a nipple: its wall's section stays what it was, so it is wider by the nipple's."""
    wide = math.sqrt(outside**2 - bore**2 + max(float(nipple["outside_mm"]), bore) ** 2)
    long, tip, way = float(nipple["on_nipple_mm"]), _xyz(nipple, "tip_"), _unit(nipple, "way_")
    axis = Line(
        starts=tip[None],
        tangents=-way[None],
        normals=np.zeros((1, 3)),
        bends=np.zeros(1),
        lengths=np.array([long]),
        alongs=np.zeros(1),
        radius=wide / 2,
    )
    across = np.cross(way, np.eye(3)[np.argmin(np.abs(way))])
    across /= np.linalg.norm(across)
    rod = Piece(
        origin=tip - way * long / 2,
        axes=np.array([across, np.cross(way, across), way]),
        half=long / 2,
        radius=wide / 2,
        corners=np.zeros((0, 2)),
        reach=math.hypot(wide, long) / 2,
    )
    return nipple["carrier"], axis, rod


def _pieces(tables):
    corners = defaultdict(list)
    for row in tables["solid-corners"]:
        corners[row["solid"], row["piece"]].append((float(row["u_mm"]), float(row["v_mm"])))
    pieces = defaultdict(list)
    for row in tables["solids"]:
        outline = np.array(corners[row["solid"], row["piece"]]).reshape(-1, 2)
        half, radius = float(row["half_mm"]), float(row["radius_mm"] or 0)
        wide = max([radius, *np.linalg.norm(outline, axis=1).tolist()])
        axes = np.array([_unit(row, f"{axis}_") for axis in ("first", "second", "third")])
        pieces[row["solid"]].append(
            Piece(_xyz(row, "origin_"), axes, half, radius, outline, math.hypot(wide, half))
        )
    return pieces


def _motion(row):
    way = _unit(row, "way_")
    if row["kind"] == "slide":
        return Motion(None, way, float(row["full_mm"]))
    return Motion(_xyz(row, "axis_"), way, math.radians(float(row["full_deg"])))


def _sort(row):
    if row["kind"] == "keep_clear":
        return "keep clear"
    return "moving" if row["moves"] == "true" else "fixed"


def _grouped(rows, column):
    groups = defaultdict(list)
    for row in rows:
        groups[row[column]].append(row)
    return groups


def _xyz(row, prefix):
    return np.array([float(row[f"{prefix}{axis}_mm"]) for axis in "xyz"])


def _unit(row, prefix):
    return np.array([float(row[f"{prefix}{axis}"] or 0) for axis in "xyz"])


def main(folder, *names):
    """Print the cut list, and the least clearances of some tubes."""
    tables = tables_of(folder)
    for name, length in cut_list(tables).items():
        sys.stdout.write(f"{name}: cut {length:.2f} mm\n")
    case = Case(tables)
    for name in names:
        for sort in ("tube", "fixed", "moving", "keep clear"):
            distance, other = case.least(name, sort)
            sys.stdout.write(f"{name}: {distance:.2f} mm to {sort} {other}\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
