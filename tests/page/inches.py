"""Lengths in inches, as a person reads them off a rule."""

from fractions import Fraction


def in_inches(mm: float) -> str:
    """A length to the nearest sixteenth of an inch, as a rule is read."""
    sixteenths = round(mm / 25.4 * 16)
    whole, rest = divmod(sixteenths, 16)
    return " ".join(
        [*([str(whole)] if whole or not rest else []), *([str(Fraction(rest, 16))] if rest else [])]
    )
