"""The page's list of looks, into which things point, and its signs: badges, bands, and what fades how far.

What they mean is decided in shades.py.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from routeviz.views.display import Entry
from routeviz.views.items import Blame, edged
from routeviz.views.shades import (
    ABOUT_OPACITY,
    ALONE_OPACITY,
    BADGES,
    BANDS,
    GHOST_OPACITY,
    KEEP_CLEAR,
    MANNERS,
    MARKED,
    MEASURED,
    NEAR_WOOD_OPACITY,
    NIPPLE,
    OPAQUE,
    PASSAGE,
    REST_OPACITY,
    SOLIDS,
    STICK,
    TIE,
    TUBES,
    WALL_OPACITY,
    Look,
)

_EDGED_WITH_A_FAULT = (
    *SOLIDS.values(),
    *(replace(look, second=STICK) for look in SOLIDS.values()),  # keys
    KEEP_CLEAR,
    PASSAGE,
)
LOOKS: tuple[Look, ...] = (
    *_EDGED_WITH_A_FAULT,
    *(one for look in _EDGED_WITH_A_FAULT if (one := edged(look, Blame(severity="fault"))) is not None),
    *TUBES.values(),
    *MARKED.values(),
    NIPPLE,
    TIE,
    MEASURED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What decides how things look: the page's looks, and what each thing is blamed with, by name."""

    looks: "Looks"
    blames: Mapping[str, Blame]


class Looks:
    """The looks that a page's things point into: those that all pages have, then what else one asks for."""

    def __init__(self) -> None:
        self._listed = list(LOOKS)
        self._numbers = {look: number for number, look in reversed(list(enumerate(LOOKS)))}

    def number(self, look: Look) -> int:
        """Return which of the page's looks this is."""
        if look not in self._numbers:
            self._numbers[look] = len(self._listed)
            self._listed.append(look)
        return self._numbers[look]

    def marked(self, look: Look | None) -> int | None:
        """Return which look a thing has where its findings are to be seen; None where that is no other."""
        return None if look is None else self.number(look)

    def entries(self) -> list[dict[str, Any]]:
        """Return all looks that were asked for so far as the page's data lists them."""
        return [{**asdict(look), "dashes": list(look.dashes)} for look in self._listed]


def sign_entries() -> dict[str, Any]:
    """Return what tells severities apart, and how faint things become, as the page's data has it."""
    return {
        "badges": {severity: asdict(badge) for severity, badge in BADGES.items()},
        "bands": {severity: asdict(bands) for severity, bands in BANDS.items()},
        "doubts": {
            status: {"says": manner.says, **asdict(manner.bands)} for status, manner in MANNERS.items()
        },
        "opacities": {
            "opaque": OPAQUE,
            "wall": WALL_OPACITY,
            "ghost": GHOST_OPACITY,
            "near_wood": NEAR_WOOD_OPACITY,
            "about": ABOUT_OPACITY,
            "alone": ALONE_OPACITY,
            "rest": REST_OPACITY,
        },
    }


def legend_entries(legend: Sequence[Entry], looks: Looks) -> list[dict[str, Any]]:
    """Return the lines of a legend as the page's data lists them."""
    return [
        {
            "text": one.text,
            "form": one.form,
            "look": looks.number(one.look),
            "severity": one.severity,
        }
        for one in legend
    ]
