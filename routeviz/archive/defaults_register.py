"""What the program took where the scene says nothing, as a register: figures that nobody measured.

What the scene itself says is in dimensions_register.py.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from routeviz.archive.registers import Field, Register, Value
from routeviz.lay import Lay
from routeviz.records.settings import TRADE, Settings
from routeviz.scene.parts import KeyboardPart
from routeviz.scene.positions import dotted
from routeviz.scene.quantities import Entry
from routeviz.scene.wiring import Wire

COMMON = "the program's own default, from common practice, no source: nobody measured it"
SIGNAL = "the program's own default: nobody said what goes through it"
SETTINGS = Settings()

FIELDS = (
    Field(name="default", about="Its number, from 1.", kind="whole", least=1),
    Field(
        name="key",
        about="Where the scene could say it: words and, counted from 1, items of lists; empty for what is "
        "asked for on the command line.",
        required=False,
    ),
    Field(name="thing", about="The part, or the tubes, that it is taken for; empty for all.", required=False),
    Field(name="what", about="What it is."),
    Field(name="is", about="What was taken, in words: the value with its unit."),
    Field(name="value", about="The same as a number, in that unit.", kind="number", required=False),
    Field(name="bears_on", about="Which figures of this archive hang on it."),
    Field(name="source", about="Where it comes from."),
)
# By the name of the value: its unit, and what hangs on it.
PRACTICE: Mapping[str, tuple[str, str]] = {
    "on_nipple_mm": (
        "mm",
        "on_nipple_mm in nipples where the part says nothing; so over_from_mm, over_to_mm and cut_mm in "
        "tubes, each length to be expected or bought",
    ),
    "off_square_deg": ("deg", "findings of the rule square"),
    "fit_stretch_percent": ("%", "findings of the rule fit; grip under matters in tubing"),
    "slack_percent": ("%", "findings of the rule stretch"),
    "vacuum_kpa": (
        "kPa",
        "findings of the rules collapse and kink; least bends, walls under matters in tubing",
    ),
}
CLEARANCE: Mapping[str, tuple[str, str]] = {
    "fixed_mm": ("mm", "findings of the rules touch and hang; limit_mm in clearances"),
    "moving_mm": ("mm", "findings of the rules rub and hang; limit_mm in clearances"),
    "tubes_mm": ("mm", "findings of the rule squeeze; how many tubes a passage holds"),
    "survey_mm": (
        "mm",
        "whether what is off is a fault or a caution; how closely a line is fitted to a taped tube",
    ),
}


def defaults_register(lay: Lay) -> Register:
    """Return every value that the scene leaves to the program and that figures hang on.

    Parameters
    ----------
    lay : Lay
        Of the scene.

    Returns
    -------
    register : Register
        Settings first, then parts, then tubes.
    """
    scene = lay.reading.scene
    told = [
        *_settings("practice", scene.practice, PRACTICE),
        *_settings("clearance", scene.clearance, CLEARANCE),
        *_of_sheets(),
        *_of_keyboards(scene.part),
        *_of_tubes(lay),
    ]
    return Register(
        name="defaults",
        title="Defaults",
        about="A value that the scene does not say and the program took by itself: nobody measured it on the "
        "instrument.",
        fields=FIELDS,
        rows=tuple((number, *row) for number, row in enumerate(told, 1)),
        key=("default",),
    )


def is_default(entry: Entry, name: str) -> bool:
    """Return whether neither a scene nor a model says a value."""
    return name not in entry.model_fields_set


def _settings(holder: str, entry: Entry, known: Mapping[str, tuple[str, str]]) -> Iterator[tuple[Value, ...]]:
    for name, (unit, bears_on) in known.items():
        if is_default(entry, name):
            field = type(entry).model_fields[name]
            key, value = (holder, field.alias or name), float(getattr(entry, name))
            yield dotted(key), None, field.description, _with(value, unit), value, bears_on, COMMON


def _of_sheets() -> Iterator[tuple[Value, ...]]:
    step, percent = SETTINGS.step_mm, SETTINGS.allowance_percent
    what = "by how much each further loose end that waits for one unit is longer"
    yield None, None, what, _with(step, "mm"), step, "step_mm and cut_mm in tubes", COMMON
    bought = f"the program's own default, error and waste added ({TRADE})"
    what = "how much more is bought than the lengths need"
    yield None, None, what, _with(percent, "%"), percent, "buy_m in to-buy", bought


def _of_keyboards(parts: Mapping[str, Any]) -> Iterator[tuple[Value, ...]]:
    for name, part in parts.items():
        if isinstance(part, KeyboardPart) and is_default(part, "dip_doubt_mm"):
            field = type(part).model_fields["dip_doubt_mm"]
            key, value = ("part", name, field.alias or ""), part.dip_doubt_mm
            bears_on = "clearances and findings of the rule rub at its keys; motions"
            yield dotted(key), name, field.description, _with(value, "mm"), value, bears_on, COMMON


def _of_tubes(lay: Lay) -> Iterator[tuple[Value, ...]]:
    """Yield what tubes carry, entry by entry of the scene."""
    wires = lay.reading.wires
    counts = Counter(wire.key for wire in wires)
    firsts = {wire.key: wire for wire in reversed(wires)}
    for key in dict.fromkeys(wire.key for wire in wires):
        if is_default(firsts[key].entry, "carries"):
            bears_on = "how it is tested; whether it is in the supply"
            thing, what = _named(firsts[key], counts[key]), "what goes through it"
            yield dotted((*key, "carries")), thing, what, firsts[key].entry.carries, None, bears_on, SIGNAL


def _named(first: Wire, count: int) -> str:
    return first.name if count == 1 else f"{first.name} and {count - 1} more"


def _with(value: float, unit: str) -> str:
    return f"{value:g} {unit}"
