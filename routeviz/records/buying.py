"""How much tubing is to be bought, by kind and size; and what the trade's own estimate would say."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.records.cut_lengths import expected_lengths
from routeviz.records.marks import ALL_WELL, marks_of
from routeviz.records.settings import TRADE, Settings
from routeviz.records.tables import NEARLY_MM, Cell, Column, Table, size_text
from routeviz.scene.lengths import UNITS
from routeviz.views.work_left import LEAVE, left_of

MM_PER_FT = float(UNITS["ft"])
TENTHS = 10  # what is bought is told in tenths of a metre and of a foot, rounded up
COLUMNS = (
    Column(name="tubing", title="tubing", share=1.4),
    Column(name="describes", title="what it is", share=2.2),
    Column(name="bore", title="bore", share=1.3),
    Column(name="outside", title="outside", share=1.3),
    Column(name="tubes", title="tubes", share=0.6, align="right"),
    Column(name="sum_m", title="sum", unit="m", share=0.7, align="right"),
    Column(name="sum_ft", title="sum", unit="ft", share=0.7, align="right"),
    Column(name="buy_m", title="to buy", unit="m", share=0.7, align="right"),
    Column(name="buy_ft", title="to buy", unit="ft", share=0.7, align="right"),
    Column(name="trade_m", title="trade's estimate", unit="m", share=0.8, align="right"),
    Column(name="trade_ft", title="trade's estimate", unit="ft", share=0.8, align="right"),
    Column(name="marked", title="tags marked", share=1.2),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What is needed of one kind of tubing.

    Parameters
    ----------
    tubing : str
        The scene's name for it.
    tubes : tuple of int
        Indices of all tubes of it, but for those that stay as they lie.
    lengths_mm : tuple of float
        To be expected of those that have a length.
    """

    tubing: str
    tubes: tuple[int, ...]
    lengths_mm: tuple[float, ...]

    @property
    def sum_mm(self) -> float | None:
        """Return the length of all that have one; None where none has."""
        return math.fsum(self.lengths_mm) if self.lengths_mm else None


def needs_of(lay: Lay, settings: Settings) -> tuple[Need, ...]:
    """Return what is needed of each kind of tubing in use, in the order in which tubes first ask for it.

    Of what stays as it lies, as all lead does, nothing is needed.
    """  # noqa: DOC201
    lengths, kept = expected_lengths(lay, settings), set(_kept(lay))
    wanted = [k for k in range(len(lay.tubes)) if k not in kept]
    kinds = dict.fromkeys(lay.tubes[k].kind.name for k in wanted)
    tubes = {kind: tuple(k for k in wanted if lay.tubes[k].kind.name == kind) for kind in kinds}
    return tuple(
        Need(
            tubing=kind,
            tubes=tubes[kind],
            lengths_mm=tuple(length for k in tubes[kind] if (length := lengths[k]) is not None),
        )
        for kind in kinds
    )


def trade_estimate_mm(lengths_mm: Sequence[float], count: int) -> float | None:
    """Return what the trade reckons before allowances: half of shortest and longest, times how many.

    Parameters
    ----------
    lengths_mm : sequence of float
        Those that are known.
    count : int
        How many tubes there are.

    Returns
    -------
    estimate_mm : float or None
        None where no length is known.

    References
    ----------
    mmdigest.com, 2004.12.20.08 and 2004.12.21.13.
    """
    return (min(lengths_mm) + max(lengths_mm)) * count / 2 if lengths_mm else None


def with_allowance(mm: float, settings: Settings) -> float:
    """Return a length with what is bought beyond it."""
    return mm * (1 + settings.allowance_percent / 100)


def rounded_up(mm: float) -> tuple[float, float]:
    """Return a length in metres and in feet, rounded up to a tenth of each."""
    metres, feet = ((mm - NEARLY_MM) / one for one in (1000.0, MM_PER_FT))
    return max(math.ceil(metres * TENTHS), 0) / TENTHS, max(math.ceil(feet * TENTHS), 0) / TENTHS


def buying(lay: Lay, settings: Settings) -> Table:
    """Return what is to be bought, a row a kind of tubing.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        The allowances.

    Returns
    -------
    table : Table
        Amounts rounded up to a tenth of a metre and of a foot.
    """
    marks, kept = marks_of(lay), [lay.tubes[k].tag for k in _kept(lay)]
    rows = tuple(_row(lay, need, settings, marks) for need in needs_of(lay, settings))
    allowance = f"{settings.error_percent:g} % for error and {settings.waste_percent:g} % for waste"
    notes = (
        f"To buy: the sum of the expected lengths and {allowance}, added (the defaults, 10 % and 10 %: "
        f"{TRADE}). Every tube is reckoned as if it were made new; what is kept need not be bought.",
        f"Trade's estimate: (shortest + longest) × number / 2, and {allowance} "
        f"({TRADE}); to be held beside what is to be bought.",
        "A tube without a length is in the number and in the trade's estimate, and not in the sum; its tag "
        "stands in the last column, with those at fault.",
        *([f"Nothing is bought for what stays as it lies: tags {', '.join(kept)}."] if kept else []),
    )
    return Table(name="what-to-buy", title="What to buy", columns=COLUMNS, rows=rows, notes=notes)


def _kept(lay: Lay) -> list[int]:
    """Return the tubes that stay as they lie."""
    return [k for k, one in enumerate(left_of(lay)) if one is not None and one.what == LEAVE]


def _row(lay: Lay, need: Need, settings: Settings, marks: Sequence[str]) -> tuple[Cell, ...]:
    kind = lay.tubes[need.tubes[0]].kind
    estimate = trade_estimate_mm(need.lengths_mm, len(need.tubes))
    return (
        kind.name,
        kind.describes or kind.name,
        size_text(kind.bore_mm),
        size_text(kind.outside_mm),
        len(need.tubes),
        *_told(need.sum_mm),
        *_told(None if need.sum_mm is None else with_allowance(need.sum_mm, settings)),
        *_told(None if estimate is None else with_allowance(estimate, settings)),
        ", ".join(lay.tubes[k].tag for k in need.tubes if marks[k] != ALL_WELL),
    )


def _told(mm: float | None) -> tuple[Cell, Cell]:
    return (None, None) if mm is None else rounded_up(mm)
