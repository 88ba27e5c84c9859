"""What was held against what limits, by which rules, and what was proved: told without the program's words.

Part of the reading guide; see reading_guide.py.
"""

import re

from routeviz.archive.guide_geometry import about_clearance
from routeviz.archive.plain_text import items, paragraph
from routeviz.archive.sums import Tables
from routeviz.checks.checking import RULES
from routeviz.checks.findings import SLACK_MM
from routeviz.lay import Lay

PLAINLY = {  # how rules name what a scene's author writes, and what a reader finds in its place
    "[clearance] fixed": 'the limit "fixed"',
    "[clearance] moving": 'the limit "moving"',
    "[clearance] tubes": 'the limit "tubes"',
    "[practice] vacuum_kpa": 'the limit "vacuum"',
    "[practice] fit_stretch_percent": 'the limit "stretch"',
    "[practice] off_square_deg": 'the limit "off square"',
    "`routeviz plan`": "The program",
    "A tubing's `longest`": "longest_mm in tables/tubing.csv",
    "the passage's own `most`": "most in tables/passages.csv",
}
LIMIT = re.compile(r'the limit "[^"]*"')
OF_TUBING = 'Tubing "'  # as what is told of each kind of tube begins; the table of these has it too
PLANNING = "no_way"  # is asked of planned tubes alone
REMEDY = "Mend it: "  # each finding has its own remedy


def about_checks(lay: Lay, tables: Tables) -> list[str]:
    """Return what a clearance counts, the limits, what each rule asks, and what was proved."""
    lines = [
        *about_clearance(),
        "",
        *paragraph(
            "The limits stand in tables/limits.csv, with what each means. A distance keeps its limit if "
            f"low_mm is no more than {SLACK_MM:g} mm below it. One that would keep it if the tape was off by "
            'the limit "survey" is a caution; one that would not even then is a fault.'
        ),
    ]
    lines += _about_rules(tables)
    lines += [
        "",
        *paragraph("What was proved of this lay, and what was left out; all of it: tables/proved.csv."),
    ]
    lines += items(one for one in lay.proved if not one.startswith(OF_TUBING))
    return lines


def _about_rules(tables: Tables) -> list[str]:
    """Return what each rule asks: those that found something in full, the others in a line."""
    found = {row["rule"] for row in tables["findings"]}
    is_planned = any(row["basis"] == "planned" for row in tables["tubes"])
    asked = [name for name in RULES if name in found]
    silent = [name for name in RULES if name not in found and (name != PLANNING or is_planned)]
    lines: list[str] = []
    if asked:
        lines = ["", *paragraph("The rules that found something, as tables/findings.csv names them:")]
    for name in asked:
        lines += ["", *paragraph(" ".join(_asked(name)), indent=2)]
    if silent:
        lines += ["", *paragraph("These rules found nothing:"), *items(map(_in_short, silent))]
    return lines


def _asked(name: str) -> list[str]:
    """Return what a rule asks, paragraph by paragraph, in a reader's words; how to mend it is left out."""
    text = " ".join(str(RULES[name].ABOUT).replace("\n\n", "\0").split()).replace("\0", "\n")
    for word, plainly in PLAINLY.items():
        text = text.replace(word, plainly)
    return [one.strip() for one in text.split("\n") if not one.strip().startswith(REMEDY)]


def _in_short(name: str) -> str:
    first, *others = _asked(name)
    limits = dict.fromkeys(LIMIT.findall(" ".join(others)))
    return f"{first.rstrip('.')}{''.join(f'; {limit}' for limit in limits)}"
