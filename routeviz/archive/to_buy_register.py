"""How much tubing is needed and bought, kind by kind, as a register.

What is reckoned, and how, is in records/buying.py: as on the sheets.
"""

from routeviz.archive.columns import joined_names, mm, size_field
from routeviz.archive.registers import Field, Register, Value
from routeviz.lay import Lay
from routeviz.records.buying import Need, needs_of, rounded_up, with_allowance
from routeviz.records.settings import TRADE, Settings

SETTINGS = Settings()  # what the sheets take where nobody asks for anything else
OF_KINDS = ("kink", "fit", "collapse")  # rules that hold a tube's own tubing against what is asked of it

FIELDS = (
    Field(name="tubing", about="The kind of tube, in tubing."),
    Field(name="describes", about="What it is, in words."),
    size_field("bore", "Its inner diameter."),
    size_field("outside", "Its outside diameter."),
    Field(
        name="tubes",
        about="How many tubes are to be made of it: all but those that stay as they lie, see order-of-work.",
        kind="whole",
        least=1,
    ),
    Field(
        name="without_length",
        about="How many of these have no length to cut yet; they are not in the sum, and what is bought must "
        "do for them besides.",
        kind="whole",
        least=0,
    ),
    size_field(
        "sum",
        "The sum of cut_mm of the others, in tubes; empty where none has a length.",
        required=False,
    ),
    Field(
        name="buy_m",
        about=f"What to buy: the sum and {SETTINGS.allowance_percent:g} % for error and waste ({TRADE}), "
        "rounded up to a tenth of a metre. Every tube is reckoned as if it were made new.",
        kind="number",
        unit="m",
        required=False,
        least=0,
    ),
    Field(
        name="unfit",
        about="Numbers of findings by which this kind does not do for a tube of it as that lies: too tight a "
        "bend, a nipple that does not fit, a vacuum under which it falls flat. Another kind may be needed.",
        required=False,
    ),
)


def to_buy_register(lay: Lay) -> Register:
    """Return what is to be bought of each kind of tube.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    register : Register
        In the order in which tubes first ask for a kind; nothing of what stays as it lies, as lead does.
    """
    return Register(
        name="to-buy",
        title="What to buy",
        about="A kind of tube that is needed, and how much of it.",
        fields=FIELDS,
        rows=tuple(_row(lay, need) for need in needs_of(lay, SETTINGS)),
        key=("tubing",),
        refers={"tubing": ("tubing", "tubing")},
    )


def _row(lay: Lay, need: Need) -> tuple[Value, ...]:
    kind, total = lay.cabinet.tubing[need.tubing], need.sum_mm
    metres = None if total is None else rounded_up(with_allowance(total, SETTINGS))[0]
    return (
        kind.name,
        kind.describes,
        mm(kind.bore_mm),
        mm(kind.outside_mm),
        len(need.tubes),
        len(need.tubes) - len(need.lengths_mm),
        mm(total),
        metres,
        joined_names(_unfit(lay, need), ", "),
    )


def _unfit(lay: Lay, need: Need) -> list[str]:
    """Return the numbers of findings that are faults of a kind of tube where it lies."""
    about = {need.tubing, *(lay.tubes[k].name for k in need.tubes)}
    return [
        str(number)
        for number, one in enumerate(lay.findings, 1)
        if one.rule in OF_KINDS and one.severity == "fault" and about & {one.tube, one.other}
    ]
