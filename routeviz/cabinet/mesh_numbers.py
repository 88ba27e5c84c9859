"""Numbers in a mesh file: text is read strictly, every word a decimal number; binary ones become doubles."""

import re
from typing import Any

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.mesh_refusals import WRITE_ANEW, MeshError, shown
from routeviz.geometry.arrays import Floats

# Possessive, hence linear in the text; digits are counted, as the time to convert grows with their square.
NUMBERS = re.compile(
    rb"\s*+(?:[-+]?+(?:\d{1,40}+(?:\.\d{0,40}+)?+|\.\d{1,40}+)(?:[eE][-+]?+\d{1,4}+)?+(?:\s++|\Z))*+"
)


def numbers(text: bytes, *, row: str) -> Floats:
    """Return all numbers of a text that holds nothing else.

    Parameters
    ----------
    text : bytes
        Decimal numbers between white space.
    row : str
        What a line of the text is, for the message.

    Returns
    -------
    numbers : array, shape (n,)
        In order; finite unless the exponent is too large for a float.

    Raises
    ------
    MeshError
        A word is no decimal number; ``nan`` and ``inf`` are none.
    """
    match = NUMBERS.match(text)
    end = match.end() if match else 0
    if end != len(text):
        line = text.count(b"\n", 0, end) + 1
        raise MeshError(
            found=f"{row} {line:,}: '{shown(text[end : end + 80])}' where a number belongs",
            allowed="finite decimal numbers of at most 40 digits",
            remedy=WRITE_ANEW,
        )
    # Every word has the form of a number by now, so this cannot stop half way.
    return np.fromstring(text, dtype=np.float64, sep=" ")


def doubles(values: NDArray[Any]) -> Floats:
    """Return numbers as doubles; a signalling NaN becomes a quiet one without a warning."""
    with np.errstate(invalid="ignore"):
        return values.astype(np.float64)
