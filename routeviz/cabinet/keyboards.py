"""Keys where their naturals and sharps truly lie, each in a few boxes on a hinge of its own.

    front                          balance          rear
      ┌────────┬──────────────────────┬───────┬───────┐    a natural from above: its head at full width,
      │  head  │         tail         │       │       │    the rest in a slot beside those of the sharps
      └────────┴──────────────────────┴───────┴───────┘

Simplified, and true where tubes pass: from C to E five slots share the room of three naturals, from F to B
seven that of four. Each key turns about the line across its balance pin at the height of its stick's
underside, where it rests on the balance rail: the front goes down, the rear goes up.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from routeviz.cabinet.messages import Where
from routeviz.cabinet.motions import Fixed, Hinge, Movement
from routeviz.cabinet.solids import Solid
from routeviz.cabinet.standing import Standing
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.blocks import alike
from routeviz.geometry.frames import rigid
from routeviz.scene.lengths import as_mm
from routeviz.scene.parts import KeyboardPart, Lever
from routeviz.scene.ranges import in_short, numbers_in

NATURALS = {0: 0, 2: 1, 4: 2, 5: 3, 7: 4, 9: 5, 11: 6}  # semitone above C: which natural of the octave it is
LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
SIGNS = {"#": 1, "b": -1}


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The wood of a key across the keyboard, from the lowest natural's left side.

    Parameters
    ----------
    number : int
        From 1.
    sharp : bool
        Whether it is a sharp.
    head : tuple of float
        Left and right of its front part.
    stick : tuple of float
        Left and right of the rest.
    """

    number: int
    sharp: bool
    head: tuple[float, float]
    stick: tuple[float, float]


def rooms_of(part: KeyboardPart, where: Where) -> tuple[Room, ...]:
    """Return the room of every key, the absent ones too.

    Parameters
    ----------
    part : KeyboardPart
        As in the scene.
    where : Where
        Its place in the file.

    Returns
    -------
    rooms : tuple of Room
        In the order of the keys.

    Raises
    ------
    SceneError
        No sharp of this name, no natural, a gap after a key that is not there, or no width left for a key.
    """
    lowest = semitone(part.lowest, where.at("lowest"))
    first_natural = lowest if lowest in NATURALS else lowest + 1
    if part.keys == 1 and lowest not in NATURALS:
        raise where.at("keys").wrong(
            "a keyboard of one sharp", "a natural at least", "correct keys or lowest"
        )
    begins = _span(first_natural, part.octave_mm)[0][0]
    rooms = []
    for number in range(1, part.keys + 1):
        head, (left, right) = _span(lowest + number - 1, part.octave_mm)
        # Beside the keyboard's ends there is no sharp that takes room from a natural.
        left = head[0] if number == 1 else left
        right = head[1] if number == part.keys else right
        moved = _gaps_before(part, number) - begins
        cut = moved - part.between_mm
        rooms.append(
            Room(
                number=number,
                sharp=(lowest + number - 1) % 12 not in NATURALS,
                head=(head[0] + moved, head[1] + cut),
                stick=(left + moved, right + cut),
            )
        )
    _check_rooms(part, rooms, where)
    return tuple(rooms)


def size_of_keyboard(part: KeyboardPart, rooms: tuple[Room, ...]) -> tuple[float, float, float]:
    """Return how wide and deep a keyboard is, and how high its naturals' sticks are."""
    wide = max(room.head[1] for room in rooms)
    return wide, max(part.natural.long_mm, part.sharps_back_mm + part.sharp.long_mm), part.natural.thick_mm


def keys_of(part: KeyboardPart, rooms: tuple[Room, ...], stands: Standing, where: Where) -> tuple[Solid, ...]:
    """Return every key that is there as a solid, at rest.

    Parameters
    ----------
    part : KeyboardPart
        As in the scene.
    rooms : tuple of Room
        Its keys' rooms.
    stands : Standing
        How the keyboard stands.
    where : Where
        Its place in the file.

    Returns
    -------
    keys : tuple of Solid
        ``keys 34`` and so on, ``ivory`` or ``ebony``; a locked one is ``Fixed``.

    Raises
    ------
    SceneError
        Measures that cannot be a key's, or numbers beyond the keyboard.
    """
    _check_lever(part, part.natural, where.at("natural"))
    _check_lever(part, part.sharp, where.at("sharp"))
    if part.natural.front_mm > part.sharps_back_mm:
        raise where.at("natural", "front").wrong(
            f"heads of {as_mm(part.natural.front_mm)}, but sharps that begin at {as_mm(part.sharps_back_mm)}",
            "heads that end where the sharps begin, or before",
            "correct natural.front or sharps_back",
        )
    locked, absent = _numbers(part, "locked", where), _numbers(part, "absent", where)
    keys = []
    for room in rooms:
        if room.number in absent:
            continue
        key = _key(part, room, stands)
        keys.append(replace(key, movement=Fixed()) if room.number in locked else key)
    return tuple(keys)


def semitone(note: str, where: Where) -> int:
    """Return how many semitones a note is above the C at or below it.

    Parameters
    ----------
    note : str
        ``A0``, ``C2``, ``F#1`` or ``Bb1``.
    where : Where
        Its place in the file.

    Returns
    -------
    semitone : int
        0 to 11.

    Raises
    ------
    SceneError
        Its sign leads to a natural.
    """
    signed = note[1] in SIGNS
    above = LETTERS[note[0]] + SIGNS.get(note[1], 0)
    # A sign must lead to a sharp: the key E# is F, and is called that.
    if signed and (above in NATURALS or not 0 <= above <= 11):
        raise where.wrong(
            f"{note!r}, which is a natural's key",
            "a sharp's note, such as 'F#1' or 'Bb1', or a natural's without a sign",
            "write the note of key 1 as its key is called",
        )
    return above


def full_angle_deg(lever: Lever, doubt_mm: float) -> float:
    """Return by how much a key has turned when its front is down by dip and doubt: asin(both / arm)."""
    return math.degrees(math.asin((lever.dip_mm + doubt_mm) / lever.balance_mm))


def _span(semitones: int, octave_mm: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return left and right of a key's head and of its slot, from a C; a sharp's head is in its slot."""
    octave, note = divmod(semitones, 12)
    pitch = octave_mm / 7
    begin, slot, index = (0.0, 3 * pitch / 5, note) if note < 5 else (3 * pitch, 4 * pitch / 7, note - 5)
    begin += octave * octave_mm
    stick = (begin + index * slot, begin + (index + 1) * slot)
    if note not in NATURALS:
        return stick, stick
    left = octave * octave_mm + NATURALS[note] * pitch
    return (left, left + pitch), stick


def _gaps_before(part: KeyboardPart, number: int) -> float:
    return sum(gap.wide_mm for gap in part.gaps if gap.after < number)


def _check_rooms(part: KeyboardPart, rooms: list[Room], where: Where) -> None:
    for index, gap in enumerate(part.gaps):
        if not 1 <= gap.after < part.keys:
            raise where.at("gaps", index, "after").wrong(
                f"a gap after key {gap.after} of {part.keys}",
                f"keys 1 to {part.keys - 1}",
                "correct the number, or leave the gap out",
            )
    narrowest = min(right - left for room in rooms for left, right in (room.head, room.stick))
    if narrowest <= 0:
        raise where.at("between").wrong(
            f"keys {as_mm(part.between_mm)} apart, no wood left in an octave of {as_mm(part.octave_mm)}",
            f"less than {as_mm(narrowest + part.between_mm)}",
            "correct between or octave",
        )


def _check_lever(part: KeyboardPart, lever: Lever, where: Where) -> None:
    if not lever.front_mm < lever.balance_mm < lever.long_mm:
        raise where.at("balance").wrong(
            f"front {as_mm(lever.front_mm)}, balance {as_mm(lever.balance_mm)}, long {as_mm(lever.long_mm)}",
            "front less than balance less than long, each from the key's own front end",
            "correct what was taped",
        )
    if lever.dip_mm + part.dip_doubt_mm >= lever.balance_mm:
        raise where.at("dip").wrong(
            f"a dip of {as_mm(lever.dip_mm)} and a doubt of {as_mm(part.dip_doubt_mm)}",
            f"less than the {as_mm(lever.balance_mm)} from the front to the balance pin",
            "correct dip, dip_doubt or balance",
        )


def _numbers(part: KeyboardPart, key: str, where: Where) -> frozenset[int]:
    text = getattr(part, key)
    numbers = numbers_in(text) if text is not None else ()
    beyond = tuple(number for number in numbers if number > part.keys)
    if beyond:
        raise where.at(key).wrong(
            f"keys {in_short(beyond)} of a keyboard of {part.keys}",
            f"keys 1 to {part.keys}",
            f"correct {key} or keys",
        )
    return frozenset(numbers)


def _key(part: KeyboardPart, room: Room, stands: Standing) -> Solid:
    """Return one key: head, tail, and two boxes behind the balance, so that each stays near to its hinge."""
    lever, begin = (part.sharp, part.sharps_back_mm) if room.sharp else (part.natural, 0.0)
    half_way = (lever.balance_mm + lever.long_mm) / 2
    ends = begin + np.array([0.0, lever.front_mm, lever.balance_mm, half_way, lever.long_mm])
    lows = np.zeros((4, 3))
    highs = np.full((4, 3), lever.thick_mm)
    lows[:, 0], highs[:, 0] = room.stick
    lows[0, 0], highs[0, 0] = room.head
    lows[:, 1], highs[:, 1] = ends[:-1], ends[1:]
    highs[0, 2] += lever.stands_mm
    hinge = Hinge(
        point=stands.in_case((room.stick[0], begin + lever.balance_mm, 0.0)),
        axis=frozen(stands.turn[:, 0]),
        full_deg=full_angle_deg(lever, part.dip_doubt_mm),
    )
    return _solid(f"{stands.name} {room.number}", room.sharp, (lows, highs), stands, hinge)


def _solid(
    name: str, sharp: bool, boxes: tuple[Floats, Floats], stands: Standing, movement: Movement
) -> Solid:
    lows, highs = boxes
    x, y, z = ((highs - lows) / 2).T
    frames = np.repeat(rigid(stands.turn, stands.at)[None], len(lows), axis=0)
    frames[:, :3, 3] = stands.in_case((lows + highs) / 2)
    outlines = [
        np.array([(-a, -b), (a, -b), (a, b), (-a, b)]) for a, b in zip(x.tolist(), y.tolist(), strict=True)
    ]
    return Solid(
        name=name,
        part=stands.name,
        kind="keyboard",
        look="ebony" if sharp else "ivory",
        pieces=alike(frames, z, outlines),
        movement=movement,
    )
