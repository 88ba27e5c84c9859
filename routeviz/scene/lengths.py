"""How long is what a person wrote, and how a length is written for a person.

Exact in fractions until the last step; never guesses: what could be read in two ways is refused.
"""

import math
import re
import unicodedata
from fractions import Fraction

from routeviz.errors import Refusal
from routeviz.scene.spelling import nearest_first

# The inch is 25.4 mm exactly: international yard and pound agreement, 1959.
UNITS = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(12 * 254, 10),
}
INCHES = ("in", "ft")  # who writes a scene in one of these is told lengths in inches first, all others in mm
SPELLINGS = {unit: unit for unit in UNITS} | {
    "inch": "in",
    "inches": "in",
    '"': "in",
    "foot": "ft",
    "feet": "ft",
    "'": "ft",
}
DEGREES = ("deg", "degree", "degrees", "°")

LONGEST_MM = 1_000_000  # a kilometre: beyond any cabinet, and a float still holds 1e-9 mm there
WIDEST_DEG = 360
DECIMALS = 9  # of a millimetre or a degree: far below any tape, and equal lengths become equal floats
LONGEST_TEXT = 40  # characters; "2 ft 11 15/16 inches" has 20

LENGTH_ALLOWED = """a length with its unit, such as "12.5 mm", "5/32 in", "1 1/4 in" or "2 ft 3 1/2 in\""""
ANGLE_ALLOWED = """an angle in degrees, such as 70 or "70 deg\""""

_NUMBER = r"(?:[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]*\.[0-9]+|[0-9]+)"
_UNIT = r"[^0-9./ +-]+"
_WRITTEN = re.compile(
    rf"(?P<sign>[+-] ?)?(?P<number>{_NUMBER}) ?(?P<unit>{_UNIT})"
    rf"(?:(?: | ?- |-)?(?P<then>{_NUMBER}) ?(?P<then_unit>{_UNIT}))?"
)
_ENDS_BARE = re.compile(rf"(?:.*[^0-9./-])??[+-]?(?P<bare>{_NUMBER})")
_ONE_SIGN = str.maketrans(
    {**dict.fromkeys("⁄∕", "/"), **dict.fromkeys("″”“", '"'), **dict.fromkeys("′’‘", "'")}
    | dict.fromkeys("‐‑‒–−", "-")
)

# What looks like a number and is not taken: pattern, what is said about it, what to do.
_REFUSED = (
    (r"(?i)(?<![a-z])(?:nan|inf|infinity)(?![a-z])", "is no number", "write what the tape shows"),
    (r"[0-9.][eE][+-]?[0-9]", "has an exponent", 'write the number out, such as "1000 mm"'),
    (
        r"[0-9](?:[' _][0-9]{3}(?![0-9/])|(?:,[0-9]{3})+(?![0-9]))",
        "may have its thousands set apart",
        'write the digits of the whole number together, and a point before decimals: "1200 mm", "1.2 m"',
    ),
    (r"[0-9]?,[0-9]", "has a comma", "write {point}: decimals follow a point"),
    (r"/0+(?![0-9])", "divides by zero", "write the fraction as the tape shows it, such as 3/8"),
)


class LengthError(Refusal):
    """A length or an angle that cannot be read without guessing."""


def length_mm(value: object, units: str | None, *, negative: bool = False) -> float:
    """Return a length in millimetres, from a text with its unit or a bare number in ``units``.

    Parameters
    ----------
    value : str, int or float
        As it stands in the file. A text always names its own unit.
    units : str or None
        A key of ``UNITS``: what bare numbers are in; None where the file does not say.
    negative : bool
        Whether a length below zero may stand here, as in a position.

    Returns
    -------
    length_mm : float
        Exact, then rounded to 1e-9 mm.

    Raises
    ------
    LengthError
        Anything else: no or unknown unit, no finite number, below zero, beyond a kilometre.
    """
    if isinstance(value, str):
        exact = _from_text(value, units)
    else:
        exact = _bare_number(value, LENGTH_ALLOWED) * _scale_of_bare(value, units)
    if exact < 0 and not negative:
        raise LengthError(
            found=f"{_shown(value)} is below zero", allowed=LENGTH_ALLOWED, remedy="write zero or more here"
        )
    return _within(exact, value, LONGEST_MM, LENGTH_ALLOWED)


def angle_deg(value: object) -> float:
    """Return an angle in degrees, from a number or a text such as ``70 deg``.

    Parameters
    ----------
    value : str, int or float
        As it stands in the file; a text names degrees. Below zero turns the other way.

    Returns
    -------
    angle_deg : float
        Exact, then rounded to 1e-9 degrees; at most a full turn either way.

    Raises
    ------
    LengthError
        Anything else.
    """
    if not isinstance(value, str):
        return _within(_bare_number(value, ANGLE_ALLOWED), value, WIDEST_DEG, ANGLE_ALLOWED)
    text = _plain(value, ANGLE_ALLOWED)
    match = _WRITTEN.fullmatch(text)
    if match is None or match["then"] or match["unit"] not in DEGREES:
        raise LengthError(
            found=f"{_shown(value)} is no angle in degrees",
            allowed=ANGLE_ALLOWED,
            remedy='write the number alone, or the number and "deg"',
        )
    exact = _fraction(match["number"], value, ANGLE_ALLOWED) * _sign(match)
    return _within(exact, value, WIDEST_DEG, ANGLE_ALLOWED)


def as_mm(mm: float, digits: int = 1) -> str:
    """Return a length as a person reads it, such as ``12.5 mm``; never ``-0.0``."""
    text = f"{_finite(mm):.{digits}f}"
    return f"{text.lstrip('-') if float(text) == 0 else text} mm"


def as_inches(mm: float, nearest: int = 16) -> str:
    """Return a length as an inch tape shows it, such as ``12 3/8 in``.

    Parameters
    ----------
    mm : float
        Any finite length.
    nearest : int
        The tape's divisions of an inch, from 1; a length half-way goes away from zero.

    Returns
    -------
    text : str
        In lowest terms, readable by ``length_mm`` with ``negative``.

    Raises
    ------
    ValueError
        Not finite, or fewer than one division.
    """
    if nearest < 1:
        raise ValueError(f"nearest: at least 1 wanted, {nearest} given")
    exact = Fraction(repr(_finite(mm))) / UNITS["in"]
    marks = math.floor(abs(exact) * nearest + Fraction(1, 2))
    whole, rest = divmod(Fraction(marks, nearest), 1)
    words = [str(whole)] if whole or not rest else []
    words += [str(rest)] if rest else []
    sign = "-" if exact < 0 and marks else ""
    return f"{sign}{' '.join(words)} in"


def _from_text(value: str, units: str | None) -> Fraction:
    """Return the millimetres of a text with its own unit; other units are only proposed."""
    text = _plain(value, LENGTH_ALLOWED)
    match = _WRITTEN.fullmatch(text)
    if match is None:
        raise _without_unit(value, text, units)
    first = _fraction(match["number"], value, LENGTH_ALLOWED)
    unit = _unit(match["unit"], value)
    if match["then"] is None:
        return _sign(match) * first * UNITS[unit]
    then = _fraction(match["then"], value, LENGTH_ALLOWED)
    _check_feet_and_inches(value, (first, unit), (then, _unit(match["then_unit"], value)))
    return _sign(match) * (first * UNITS["ft"] + then * UNITS["in"])


def _plain(value: str, allowed: str) -> str:
    """Return the text with one kind of space, slash, dash and quote; refuse what cannot be a number."""
    if len(value) > LONGEST_TEXT:
        raise LengthError(
            found=f"{_shown(value)} has {len(value)} characters",
            allowed=f"{allowed}, in at most {LONGEST_TEXT} characters",
            remedy="write it shorter",
        )
    text = " ".join(_spelled_out(value).translate(_ONE_SIGN).replace("''", '"').split())
    if not text:
        raise LengthError(found="an empty text", allowed=allowed, remedy="write the value")
    for pattern, said, remedy in _REFUSED:
        if re.search(pattern, text):
            point = text.replace(",", ".")
            raise LengthError(
                found=f"{_shown(value)} {said}", allowed=allowed, remedy=remedy.format(point=point)
            )
    return text


def _spelled_out(text: str) -> str:
    """Return the text with ¼ as 1/4, and with 1¼ as 1 1/4."""
    pieces: list[str] = []
    for before, sign, after in zip(" " + text, text, text[1:] + " ", strict=False):
        fraction = unicodedata.decomposition(sign).startswith("<fraction>")
        if not fraction:
            pieces.append(sign)
            continue
        spelled = unicodedata.normalize("NFKC", sign)
        pieces.append(f"{' ' * before.isnumeric()}{spelled}{' ' * after.isnumeric()}")
    return "".join(pieces)


def _fraction(number: str, value: str, allowed: str) -> Fraction:
    """Return a number as written: whole, decimal, fraction, or whole and fraction."""
    *whole, last = re.split("[ -]", number)
    rest = Fraction(last)
    if whole and rest >= 1:
        raise LengthError(
            found=f"{_shown(value)} has a whole number and then {last}, which is one or more",
            allowed=allowed,
            remedy="write a fraction less than one after a whole number, such as 1 1/4",
        )
    return rest + sum(map(Fraction, whole))


def _unit(word: str, value: str) -> str:
    """Return the unit that a word or a quote stands for."""
    if word not in SPELLINGS:
        near = dict.fromkeys(SPELLINGS[spelling] for spelling in nearest_first(word, SPELLINGS))
        raise LengthError(
            found=f"{_shown(value)} has the unknown unit {_shown(word)}",
            allowed=f"one of the units {', '.join(near)}",
            remedy=f'did you mean "{next(iter(near))}"?',
        )
    return SPELLINGS[word]


def _check_feet_and_inches(value: str, first: tuple[Fraction, str], then: tuple[Fraction, str]) -> None:
    """Refuse two measures in one text unless they are whole feet and then less than twelve inches."""
    (feet, first_unit), (inches, then_unit) = first, then
    if (first_unit, then_unit) == ("in", "ft"):
        said, remedy = "has inches before feet", 'write the feet first, such as "2 ft 3 in"'
    elif (first_unit, then_unit) != ("ft", "in"):
        said, remedy = f"has both {first_unit} and {then_unit}", "write it in one unit"
    elif feet.denominator != 1:
        said, remedy = "has part of a foot and then inches", "write whole feet before inches"
    elif inches >= 12:
        said, remedy = "has twelve inches or more after feet", "write it in inches, or carry the foot"
    else:
        return
    raise LengthError(found=f"{_shown(value)} {said}", allowed=LENGTH_ALLOWED, remedy=remedy)


def _without_unit(value: str, text: str, units: str | None) -> LengthError:
    """Return the error for a text that is not numbers with units."""
    match = _ENDS_BARE.fullmatch(text)
    if match is None:
        found, remedy = "is no length", "write a number and a unit"
    else:
        bare = match["bare"]
        found = "ends without a unit"
        remedy = f'write the unit after {bare}, such as "{bare} {_likely_unit(bare, units)}"'
    return LengthError(found=f"{_shown(value)} {found}", allowed=LENGTH_ALLOWED, remedy=remedy)


def _likely_unit(number: str, units: str | None) -> str:
    """Return the file's unit; where it has none, inches for a fraction."""
    return units if units in UNITS else "in" if "/" in number else "mm"


def _bare_number(value: object, allowed: str) -> Fraction:
    """Return a number of the file, a decimal as it was written."""
    if isinstance(value, int) and not isinstance(value, bool):
        return Fraction(int(value))
    if not isinstance(value, float):
        raise LengthError(found=f"{_shown(value)} is no number", allowed=allowed, remedy="write a number")
    if not math.isfinite(value):
        raise LengthError(
            found=f"{_shown(value)} is no number to measure with",
            allowed=allowed,
            remedy="write what the tape shows",
        )
    return Fraction(repr(float(value)))


def _scale_of_bare(value: object, units: str | None) -> Fraction:
    """Return the millimetres in one of the file's units."""
    if units is None:
        shown = _shown(value)
        raise LengthError(
            found=f"{shown} without a unit",
            allowed=LENGTH_ALLOWED,
            remedy=f'write the unit, such as "{shown} mm", or units = "mm" at the top of the file',
        )
    if units not in UNITS:
        raise LengthError(
            found=f"the unknown units {_shown(units)}",
            allowed=f"one of {', '.join(nearest_first(units, UNITS))}",
            remedy=f'write units = "{nearest_first(units, UNITS)[0]}"',
        )
    return UNITS[units]


def _within(exact: Fraction, value: object, most: int, allowed: str) -> float:
    """Return the rounded value if it lies in the range."""
    if abs(exact) > most:
        beyond = "a kilometre" if most == LONGEST_MM else "a full turn"
        raise LengthError(
            found=f"{_shown(value)} is beyond {beyond}",
            allowed=allowed,
            remedy="correct the number or the unit",
        )
    return float(round(exact, DECIMALS))


def _sign(match: re.Match[str]) -> int:
    return -1 if (match["sign"] or "").startswith("-") else 1


def _finite(mm: float) -> float:
    if not math.isfinite(mm):
        raise ValueError(f"mm: a finite length wanted, {mm} given")
    return float(mm)


def _shown(value: object) -> str:
    """Return a value for a message: short, printable, whatever it is."""
    if isinstance(value, str):
        return repr(value if len(value) <= LONGEST_TEXT else value[: LONGEST_TEXT - 1] + "…")
    if isinstance(value, int) and value.bit_length() > 64:
        return "a number of twenty digits or more"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        return repr(value)
    return f"a value of the kind {type(value).__name__}"
