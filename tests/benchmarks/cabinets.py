"""Invented cabinets by seed, each with a lay that is known to be legal: what laying all tubes is held to.

The lay, the witness, is made first (ribbons.py). Boards with openings (openings.py), keys, bars, posts, boxes
and spaces to be kept clear are put about it until it is half a millimetre beyond a limit (woodwork.py). The
scene says nothing of it (scene_text.py): tubes have opaque names in shuffled order, and no routes.

A cabinet counts only if for half the tubes the straight way through the nearest passage fails, and if three
in ten cannot have their nearest passage, by what the passages hold (straight.py). Every cabinet has an
impossible twin: one passage is narrowed until it is proven to hold fewer tubes than all others together leave
to it. The case is closed and its boards go from wall to wall: there is no way but through their openings.

    PYTHONPATH=tests python -m benchmarks.cabinets [TUBES] [SEEDS]     a table of the cabinets
"""

import sys
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from benchmarks.openings import openings_of, packing_bound, packing_found
from benchmarks.ribbons import NoSuch, a_lay
from benchmarks.scene_text import BOARDS, Built, length_of, number, place, text_of, witness_of
from benchmarks.straight import crowded_out, failing, nearest
from benchmarks.woodwork import bar_body, keys_body, pieces_about, stack_body

TRIES = 60  # draws for one cabinet, in order, until one counts
LEAST_FAILING, LEAST_CROWDED_OUT = 0.5, 0.3


@dataclass(frozen=True)
class Figures:
    """What a cabinet is like: shares of the tubes, fill of each used passage, mean length of the witness."""

    tubes: int
    passages: int
    openings: int
    fills: tuple[float, ...]
    failing: float
    crowded_out: float
    mean_length: float
    pieces: int
    turn: int


@dataclass(frozen=True)
class Cabinet:
    """A scene's text; and apart from it the witness: corners, radii, through and ties by the tube's name."""

    text: str
    witness: dict[str, dict[str, Any]]
    figures: Figures

    def laid(self) -> str:
        """The scene with the witness drawn into it."""
        text = self.text
        for name, way in self.witness.items():
            corners = [
                f"{place(corner)[:-2]}, radius = {number(radius)} }}"
                for corner, radius in zip(way["corners"], way["radii"], strict=True)
            ]
            ties = [f'{{ along = {number(along)}, to = "bundle" }}' for along in way["ties"]]
            through = ", ".join(f'"{passage}"' for passage in way["through"])
            more = f"through = [{through}]\ncorners = [{', '.join(corners)}]\nties = [{', '.join(ties)}]\n"
            text = text.replace(f'name = "{name}"\n', f'name = "{name}"\n{more}')
        return text


@dataclass(frozen=True)
class Impossible:
    """Why a twin cannot be laid: how many must go through a passage, and how many it holds at most, by proof.

    Elsewhere: what all other openings of the same board hold together, by their own marks.
    """

    passage: str
    must: int
    at_most: int
    tubes: int
    elsewhere: int


def a_cabinet(seed: int, tubes: int = 120) -> Cabinet:
    """Return the cabinet of a seed and a size; raises NoSuch if no draw counts."""
    built, figures = _built(seed, tubes)
    return Cabinet(text_of(built, built.openings), witness_of(built), figures)


def an_impossible_twin(seed: int, tubes: int = 120) -> tuple[str, Impossible]:
    """Return the text of the same cabinet with a passage too narrow, and what must be said of it.

    On the upper board every other opening is marked with the number that the witness sends through it, or 1.
    """
    built, _ = _built(seed, tubes)
    tight = max((one for one in built.openings if one.board == 0), key=lambda one: one.count)
    others = {one.name: max(one.count, 1) for one in built.openings if one.board == 0 and one is not tight}
    elsewhere = sum(others.values())
    must, size = tubes - elsewhere, tight.size.copy()
    while packing_bound(*size) >= must > 0:
        size[0] -= 0.5
    if packing_bound(*size) < 1:
        raise NoSuch(f"no twin of seed {seed} with {tubes} tubes: the other openings leave {must} tubes")
    openings = []
    for one in built.openings:
        if one is tight:
            low = one.low + np.array([np.floor(one.size[0] - size[0]) / 2, 0])
            openings.append(replace(one, low=low, size=size, most=None))
        else:
            openings.append(replace(one, most=others[one.name]) if one.board == 0 else one)
    told = Impossible(f"{BOARDS[0]} {tight.name}", must, packing_bound(*size), tubes, elsewhere)
    return text_of(built, openings), told


def _built(seed: int, tubes: int) -> tuple[Built, Figures]:
    why = NoSuch("")
    for turn in range(TRIES):
        try:
            return _drawn(np.random.default_rng([seed, tubes, turn]), tubes, turn)
        except NoSuch as error:
            why = error
    raise NoSuch(f"no cabinet of seed {seed} with {tubes} tubes counts: {why}")


def _drawn(draw: np.random.Generator, tubes: int, turn: int) -> tuple[Built, Figures]:
    lay = a_lay(draw, tubes)
    openings = openings_of(draw, lay)
    crowded = crowded_out(nearest(lay, openings, 0), openings)
    if crowded < LEAST_CROWDED_OUT:
        raise NoSuch("too many tubes can have their nearest passage")
    behind = max(float((one.low + one.size)[1]) for one in openings) + 6
    deep = max(behind, lay.stack[:, 1].max() + 95)
    room = np.round([lay.wide, deep, lay.levels.bar + lay.levels.rows + draw.uniform(25, 60)], 1)
    taboo = [bar_body(lay), stack_body(lay), keys_body(lay, 12.0)]
    pieces = pieces_about(draw, lay, round(tubes * draw.uniform(0.2, 0.6)), taboo, (np.ones(3), room - 1))
    fails = failing(lay, openings, pieces)
    if fails < LEAST_FAILING:
        raise NoSuch("too many straight ways are free")
    fills = tuple(one.count / packing_found(*one.size) for one in openings if one.ribbon is not None)
    lengths = [length_of(c, r) for c, r in zip(lay.corners, lay.radii, strict=True)]
    figures = Figures(
        tubes, len(lay.ribbons), len(openings), fills, fails, crowded, float(np.mean(lengths)),
        len(pieces), turn,
    )  # fmt: skip
    return Built(lay, openings, pieces, room, _names(draw, tubes), draw.permutation(tubes)), figures


def _names(draw: np.random.Generator, count: int) -> list[str]:
    """Names that say nothing."""
    names: list[str] = []
    while len(names) < count:
        name = "".join(draw.choice(list("BCDFGHJKLMNPRSTVWXZ23456789"), 4))
        names += [name] if name not in names else []
    return names


def table(tubes: int, seeds: int) -> str:
    """A line for each seed."""
    heads = (
        "seed",
        "tubes",
        "passages",
        "openings",
        "fill",
        "straight fails",
        "crowded out",
        "length",
        "pieces",
    )
    rows = [heads]
    for seed in range(seeds):
        _, one = _built(seed, tubes)
        fill = f"{min(one.fills):.2f}-{max(one.fills):.2f}"
        shares = f"{one.failing:.0%}", f"{one.crowded_out:.0%}", f"{one.mean_length:.0f} mm"
        rows.append(
            (str(seed), str(tubes), str(one.passages), str(one.openings), fill, *shares, str(one.pieces))
        )
    return (
        "\n".join(
            "  ".join(word.rjust(len(head)) for word, head in zip(row, heads, strict=True)) for row in rows
        )
        + "\n"
    )


if __name__ == "__main__":
    sys.stdout.write(table(*(int(word) for word in [*sys.argv[1:], "120", "20"][:2])))
