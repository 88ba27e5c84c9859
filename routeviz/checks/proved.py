"""What the checks proved, to what tolerance, and what they did not look at."""

from collections.abc import Sequence

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import SLACK_MM
from routeviz.checks.words import named
from routeviz.tubes.hanging import SMALL
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube


def proved(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> tuple[str, ...]:
    """Return, in plain sentences, what was proved of a lay, by which limits, and what was left out.

    Parameters
    ----------
    cabinet, tubes, measured
        As every check takes them.

    Returns
    -------
    lines : tuple of str
        The first says what holds; then what each tubing stands; the others what was not checked.
    """
    drawn = [t for t in tubes if t.curve is not None]
    moving = [s for s in cabinet.solids if not isinstance(s.movement, Fixed)]
    text = [
        f"{len(drawn)} of {len(tubes)} tubes were measured along their whole centrelines against "
        f"{len(cabinet.solids) - len(moving)} fixed and {len(moving)} moving solids, these through their "
        f"whole travel, and against each other; every clearance is proved to within {SLACK_MM} mm"
        f"{_but_for(measured)}. {_of_what(cabinet.limits.survey_mm)}",
        "Tubes were taken as drawn, not as they hang; hanging is an estimate by itself.",
    ]
    for kind, least in measured.least_bends.items():
        if least.radius_mm is not None:
            text.append(f'Tubing "{kind}" may bend to {least.words}.')
    open_meshes = [s.name for s in cabinet.solids if not s.tested_inside]
    if open_meshes:
        text.append(f"Not tested inside, because the mesh is open: {named(open_meshes)}.")
    carriers = {n.carrier for n in cabinet.nipples.values() if n.carrier is not None}
    if carriers:
        text.append(
            "Next to its nipple a tube was tested only for entering what carries the nipple, over one "
            f"outside diameter or {cabinet.limits.fixed_mm:g} mm more than its radius, whichever is more."
        )
    unknown = [kind for kind, least in measured.least_bends.items() if least.radius_mm is None]
    if unknown:
        text.append(f"Bends were not tested for {named(unknown)}: no least bend radius is known.")
    stiff = sorted({t.kind.name for t in drawn if t.kind.modulus_mpa is None or t.kind.density_g_cm3 is None})
    if stiff:
        text.append(f"Hanging was not tested for {named(stiff)}: stiffness or weight is not known.")
    text += _not_estimated(measured)
    hidden = len(tubes) - len(drawn)
    if hidden:
        of_them = "one tube" if hidden == 1 else f"{hidden} tubes"
        text.append(f"Nothing was tested of the {of_them} without a centreline.")
    return tuple(text)


def _of_what(survey_mm: float) -> str:
    """Return of what clearances are proved: not of the instrument, whatever the tape did."""
    tape = f", where the tape may be off by {survey_mm:g} mm either way" if survey_mm else ""
    return f"That is of tubes and parts as they are drawn, not of the instrument{tape}."


def _but_for(measured: Measured) -> str:
    """Return how many clearances are proved less narrowly, and how narrowly; nothing where none is."""
    widths = [n.high_mm - n.low_mm for n in (*measured.solids, *measured.keep_clear, *measured.tubes)]
    wide = [width for width in widths if width > SLACK_MM]
    return f", but for {len(wide)}, proved to within {max(wide):.2f} mm" if wide else ""


def _not_estimated(measured: Measured) -> list[str]:
    """Return of how many spans no sag is claimed; nothing where all are estimated."""
    loosely = sum(span.sag_high_mm is None for span in measured.spans)
    if not loosely:
        return []
    stiffly = sum(span.sag_low_mm is None for span in measured.spans)
    return [
        f"Of {len(measured.spans)} spans that sag, no sag is claimed for {loosely} held loosely and "
        f"{stiffly} held stiffly: it is over {SMALL:g} of the span, where the beam formulas end, or more "
        "than the length allows. These were looked at hanging as the formulas say, but no lower than their "
        "length allows."
    ]
