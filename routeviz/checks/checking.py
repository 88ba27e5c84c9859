"""Which rules there are, and what they say together, worst first; what was proved is in proved.py."""

from collections.abc import Iterable, Sequence
from types import ModuleType

from routeviz.cabinet.solids import Cabinet
from routeviz.checks import (
    collapse,
    crowd,
    fit,
    hang,
    intrude,
    kink,
    miss,
    no_way,
    rub,
    square,
    squeeze,
    stretch,
    touch,
    trap,
    unconnected,
)
from routeviz.checks.findings import Finding
from routeviz.checks.words import counted_on
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube

# In the order in which a fitter would want to hear of them.
RULES: dict[str, ModuleType] = {
    "no_way": no_way,
    "rub": rub,
    "kink": kink,
    "collapse": collapse,
    "squeeze": squeeze,
    "touch": touch,
    "crowd": crowd,
    "miss": miss,
    "intrude": intrude,
    "hang": hang,
    "stretch": stretch,
    "square": square,
    "fit": fit,
    "unconnected": unconnected,
    "trap": trap,
}
ALL_CHECKS = tuple(module.check for module in RULES.values())
_SEVERITIES = ("fault", "caution", "note")


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> tuple[Finding, ...]:
    """Return what every rule has to say of a lay, worst first.

    Parameters
    ----------
    cabinet : Cabinet
        What the tubes must get past.
    tubes : sequence of Tube
        The lay.
    measured : Measured
        Its numbers.

    Returns
    -------
    findings : tuple of Finding
        Faults, then cautions, then notes; within these by rule, then by how far the limit is broken.
    """
    found: list[Finding] = []
    for rule in ALL_CHECKS:
        found += rule(cabinet, tubes, measured)
    return in_order(found)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings worst first: by severity, by rule, then by how far the limit is broken."""
    return tuple(sorted(findings, key=_how_bad))


def _how_bad(finding: Finding) -> tuple[int, int, float, tuple[str, int], tuple[str, int]]:
    short = 0.0
    if finding.low is not None and finding.limit is not None:
        short = -round(abs(finding.limit - finding.low), 2)  # alike to the eye: then by name
    return (
        _SEVERITIES.index(finding.severity),
        list(RULES).index(finding.rule),
        short,
        counted_on(finding.tube or ""),
        counted_on(finding.other or ""),
    )
