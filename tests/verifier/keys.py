"""A keyboard's keys, each in four boxes, by arithmetic of its own.

From C to E five slots share the room of three naturals, from F to B seven share that of four. A natural's
head takes the whole room of the natural, the rest of it its slot; a sharp takes its slot all along.
"""

from math import asin, degrees
from typing import Any

from verifier.lengths import numbers
from verifier.scenes import Scene

SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
NATURALS = [0, 2, 4, 5, 7, 9, 11]

Boxes = list[tuple[list[float], list[float]]]  # low and high corners


def keys(scene: Scene, part: dict[str, Any]) -> dict[int, tuple[Boxes, float, float]]:
    """Each key's boxes and the place of its balance, from the keyboard's corner; its angle in degrees."""
    natural = scene.mm(part["octave"]) / 7
    between = scene.mm(part["between"])
    sharps_back = scene.mm(part["sharps_back"])
    lowest = SEMITONES[part["lowest"][0]] + {"#": 1, "b": -1}.get(part["lowest"][1], 0)
    assert lowest in NATURALS, "this reader knows keyboards that begin with a natural"
    gone = numbers(part["absent"]) if "absent" in part else []
    locked = numbers(part["locked"]) if "locked" in part else []
    zero = NATURALS.index(lowest) * natural
    found = {}
    for number in range(1, part["keys"] + 1):
        if number in gone:
            continue
        octave, note = divmod(lowest + number - 1, 12)
        moved = 7 * natural * octave - zero
        moved += sum(scene.mm(gap["wide"]) for gap in part.get("gaps", []) if gap["after"] < number)
        if note < 5:
            slot = [3 / 5 * natural * note, 3 / 5 * natural * (note + 1)]
        else:
            slot = [3 * natural + 4 / 7 * natural * (note - 5), 3 * natural + 4 / 7 * natural * (note - 4)]
        head = slot
        if note in NATURALS:
            head = [natural * NATURALS.index(note), natural * (NATURALS.index(note) + 1)]
        stick = [head[0] if number == 1 else slot[0], head[1] if number == part["keys"] else slot[1]]
        lever = part["natural" if note in NATURALS else "sharp"]
        begin = 0.0 if note in NATURALS else sharps_back
        front, balance, long = (scene.mm(lever[key]) for key in ("front", "balance", "long"))
        thick, stands = scene.mm(lever["thick"]), scene.mm(lever.get("stands", "0 mm"))
        ends = [0.0, front, balance, (balance + long) / 2, long]
        boxes = []
        for piece in range(4):
            left, right = head if piece == 0 else stick
            top = thick + stands if piece == 0 else thick
            low = [left + moved, begin + ends[piece], 0.0]
            high = [right + moved - between, begin + ends[piece + 1], top]
            boxes.append((low, high))
        dip = scene.mm(lever["dip"]) + scene.mm(part.get("dip_doubt", "0.5 mm"))
        angle = 0.0 if number in locked else degrees(asin(dip / balance))
        found[number] = (boxes, begin + balance, angle)
    return found


def size(scene: Scene, part: dict[str, Any]) -> list[float]:
    """How wide and deep a keyboard is, and how high its naturals' sticks are."""
    every = [box for boxes, _, _ in keys(scene, part).values() for box in boxes]
    return [
        max(high[0] for _, high in every),
        max(high[1] for _, high in every),
        scene.mm(part["natural"]["thick"]),
    ]
