"""Which colour, line and pattern means what; the one place where it is decided, for every kind of view.

A fault or a caution never rests on hue alone: bands, rings and outlines tell them in grey, and to everyone.
What nobody measured is told by the pattern of its lines, too.
"""

from dataclasses import dataclass, replace
from typing import Literal

from routeviz.checks.findings import Severity
from routeviz.scene.doubts import Status

Form = Literal["fault tube", "caution tube", "tube", "solid", "lines", "hatched", "dots", "badge", "doubt"]

PAPER = "#ffffff"
INK = "#20242a"
PALE_INK = "#6a717b"


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a thing is drawn.

    Parameters
    ----------
    colour : str
        Six hex digits after ``#``; of its faces.
    opacity : float
        Of its faces, 0 to 1.
    second : str
        Of every other band along it.
    line : str
        Of its edges and lines.
    line_px : float
        Their width on the picture.
    outline : str
        Of the line round its silhouette.
    outline_px : float
        Width of that; 0 for none.
    dashes : tuple of float
        Of its edges and lines, drawn and left out in turn, in pixels of the picture; empty for whole lines.
    """

    colour: str
    opacity: float = 1.0
    second: str = ""
    line: str = INK
    line_px: float = 1.0
    outline: str = INK
    outline_px: float = 0.0
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bands:
    """A pattern along a tube: every so many outside diameters the second colour, for a share of them."""

    every: float
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Badge:
    """The mark that carries a finding's number.

    Parameters
    ----------
    shape : str
        ``disc`` for a fault, ``triangle`` for a caution, ``square`` for a note.
    fill, text, rim : str
        Colours.
    """

    shape: Literal["disc", "triangle", "square"]
    fill: str
    text: str
    rim: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """How a thing is drawn that was neither measured nor documented.

    Parameters
    ----------
    says : str
        What its status means.
    dashes : tuple of float
        As of ``Look``; two numbers or four, so that every view can draw them.
    paler : float
        How much paper is mixed into its colours, 0 to 1.
    opacity : float
        The most that its faces have.
    bands : Bands
        Of a tube; its second colour is pale.
    """

    says: str
    dashes: tuple[float, ...]
    paler: float = 0.0
    opacity: float = 1.0
    bands: Bands = Bands(every=5.0, share=0.35)


SOLIDS: dict[str, Look] = {
    "wood": Look(colour="#e0c396", opacity=0.3, line="#8a6a3c"),
    "metal": Look(colour="#aab2bb", opacity=0.85, line="#5d656e"),
    "felt": Look(colour="#8c9c88", opacity=0.9, line="#566353"),
    "rubber": Look(colour="#5c5a58", opacity=0.9, line="#2c2b2a"),
    "ivory": Look(colour="#f7f1de", line="#a39b83"),
    "ebony": Look(colour="#37322f", line="#14110f"),
}
# Blue, green and violet, all lighter than a fault: a fault is told by its lightness too.
TUBES: dict[str, Look] = {
    "signal": Look(colour="#7fb6e6", outline="#274a68", outline_px=0.7),
    "switched vacuum": Look(colour="#63c6ab", outline="#1b5546", outline_px=0.7),
    "always-on vacuum": Look(colour="#b7a2e6", outline="#463075", outline_px=0.7),
    "wire": Look(colour="#b2b2b2", outline="#4a4a4a", outline_px=0.7),
}
MARKED: dict[Severity, Look] = {
    "fault": Look(colour="#a0001b", second="#ffffff", outline="#000000", outline_px=2.6),
    "caution": Look(colour="#ffb81c", second="#4a2c00", outline="#4a2c00", outline_px=1.6),
}
BANDS: dict[Severity, Bands] = {
    "fault": Bands(every=5.0, share=0.5),  # broad, as wide as the gaps
    "caution": Bands(every=6.5, share=0.16),  # narrow rings, far apart
}
MANNERS: dict[Status, Manner] = {  # what is measured or documented is drawn as what nobody speaks of
    "inferred": Manner(says="it follows from something else", dashes=(8, 5), paler=0.4),
    "analogous": Manner(says="taken from a like instrument", dashes=(14, 4, 4, 4), paler=0.4),
    "assumed": Manner(
        says="nobody measured it", dashes=(2, 4), opacity=0.12, bands=Bands(every=1.6, share=0.5)
    ),
    "designed": Manner(says="chosen, not found", dashes=(12, 4, 2, 4), bands=Bands(every=8.0, share=0.12)),
}
BADGES: dict[Severity, Badge] = {
    "fault": Badge(shape="disc", fill="#a0001b", text="#ffffff", rim="#ffffff"),
    "caution": Badge(shape="triangle", fill="#ffb81c", text="#2b1a00", rim="#2b1a00"),
    "note": Badge(shape="square", fill="#ffffff", text="#20242a", rim="#5a6470"),
}
FAULT_EDGE = "#a0001b"
DASHED_PX = 1.4  # least width of broken lines: thinner ones look like faint whole ones
GAP = 0.85  # of paper in the pale bands of a tube that was not measured
STICK = "#dcc7a0"
NIPPLE = Look(colour="#c9a227", line="#6b5510")
TIE = Look(colour="#2e2e2e")
KEEP_CLEAR = Look(colour="#8e3b8a", opacity=0.05, line="#8e3b8a", line_px=1.1)
PASSAGE = Look(colour="#0b6e4f", line="#0b6e4f", line_px=2.0)
MEASURED = Look(colour="#111111", line="#111111")
# Two states in one picture: now dark, before pale and broken, what is as it was grey; told apart in grey too.
LIES_NOW = Look(colour="#123f8c", outline="#071b3f", outline_px=1.2)
LAY_BEFORE = Look(colour="#f2a65a", second="#ffffff", outline="#8a4b00", outline_px=0.9)
LIES_SAME = Look(colour="#d4d7da", outline="#8e949b", outline_px=0.5)
STANDS_NOW = Look(colour="#9fb6dc", opacity=0.45, second="#9fb6dc", line="#123f8c", line_px=1.8)
STOOD_BEFORE = Look(colour="#f2a65a", opacity=0.15, line="#8a4b00", line_px=1.8, dashes=(14.0, 9.0))
LABEL_INKS = {"tube": INK, "part": "#7a5c30", "passage": "#0b6e4f", "keep clear": "#8e3b8a"}
OPAQUE = 0.8  # opacity from which on a thing hides what is behind it
WALL_OPACITY = 0.07  # of a wall between the eye and everything worth seeing
GHOST_OPACITY = 0.1  # of what would hide the place that is shown
NEAR_WOOD_OPACITY = 0.55  # of wood in a close-up that hides nothing
ABOUT_OPACITY = 0.3  # of what a finding is about, where it hides the place
ALONE_OPACITY = 0.22  # of the case about a tube that is shown by itself
REST_OPACITY = 0.16  # of a moving part at rest, where it is shown further on in its travel


def as_known(look: Look, status: Status | None) -> Look:
    """Return how a thing is drawn whose status is this; as ever where it was measured or nobody said.

    Parameters
    ----------
    look : Look
        Of what was measured.
    status : str or None
        How it is known.

    Returns
    -------
    look : Look
        Told by its lines and faces, not by another hue.
    """
    manner = MANNERS.get(status) if status is not None else None
    if manner is None:
        return look
    return replace(
        look,
        colour=paler(look.colour, manner.paler),
        second=paler(look.second, manner.paler) if look.second else "",
        opacity=min(look.opacity, manner.opacity),
        line_px=max(look.line_px, DASHED_PX),
        dashes=manner.dashes,
    )


def tube_as_known(look: Look, status: Status | None) -> Look:
    """Return how a tube is drawn whose status is this: banded with a paler colour, if it was not measured."""
    return replace(look, second=paler(look.colour, GAP)) if status in MANNERS else look


def paler(colour: str, share: float) -> str:
    """Return a colour with a share of paper mixed in."""
    pairs = [(int(colour[k : k + 2], 16), int(PAPER[k : k + 2], 16)) for k in (1, 3, 5)]
    return "#" + "".join(f"{round(own + share * (paper - own)):02x}" for own, paper in pairs)


def linear(colour: str) -> tuple[float, float, float]:
    """Return red, green and blue as light, 0 to 1 (the sRGB transfer curve of IEC 61966-2-1, from memory)."""
    values = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    red, green, blue = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in values)
    return red, green, blue


def luminance(colour: str) -> float:
    """Return how light a colour is to the eye, 0 black to 1 white (WCAG 2, from memory)."""
    red, green, blue = linear(colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours, 1 to 21 (WCAG 2's ratio, from memory)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)
