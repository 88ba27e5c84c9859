"""Findings as JSON for a machine, and how they are named and counted wherever they are told.

The same findings as a person reads them are in report.py; in 3D, in display.py.
"""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from routeviz.checks.findings import Finding
from routeviz.tubes.measured import Measured
from routeviz.tubes.plans import TakenPlan
from routeviz.tubes.routes import Tube

SHADES = {"fault": "red", "caution": "yellow", "note": "cyan"}
ENDINGS = ("found", "time", "stopped", "nothing")
_NUMBER = {"type": ["number", "null"]}
_TEXT = {"type": ["string", "null"]}
_COUNT_OR_NULL = {"type": ["integer", "null"], "minimum": 0}
FINDINGS_SCHEMA: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "What routeviz check --json and plan --json print",
    "type": "object",
    "required": ["format", "scene", "title", "plan", "tubes", "counts", "findings", "proved"],
    "additionalProperties": False,
    "properties": {
        "format": {"const": 1},
        "scene": {"type": "string", "description": "the file, as named on the command line"},
        "title": {"type": "string"},
        "plan": {
            "type": ["object", "null"],
            "description": "the plan beside the scene; null where there is none",
            "required": ["file", "stale", "laid", "runs", "places"],
            "additionalProperties": False,
            "properties": {
                "file": {"type": "string"},
                "stale": {"type": "boolean", "description": "the scene was changed after it was made"},
                "laid": {"type": "integer", "minimum": 0, "description": "tubes that lie as it says"},
                "runs": {
                    "type": "array",
                    "items": {
                        "type": "object",
                        "required": ["says", "through", "tubes"],
                        "additionalProperties": False,
                        "properties": {
                            "says": {"type": "string"},
                            "through": {"type": "array", "items": {"type": "string"}},
                            "tubes": {"type": "array", "items": {"type": "string"}},
                        },
                    },
                },
                "places": {
                    "type": "array",
                    "description": "where tees and couplers lie to which the scene gives no place",
                    "items": {
                        "type": "object",
                        "required": ["name", "point_mm", "runs", "branches"],
                        "additionalProperties": False,
                        "properties": {
                            "name": {"type": "string"},
                            "point_mm": {
                                "type": "array",
                                "items": {"type": "number"},
                                "minItems": 3,
                                "maxItems": 3,
                                "description": "right, back, up in the case's frame",
                            },
                            "runs": {"type": "string"},
                            "branches": _TEXT,
                        },
                    },
                },
            },
        },
        "tubes": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["name", "tag", "tubing", "planned", "length_mm", "tightest_bend_mm"],
                "additionalProperties": False,
                "properties": {
                    "name": {"type": "string"},
                    "tag": {"type": "string"},
                    "tubing": {"type": "string"},
                    "planned": {"type": "boolean", "description": "whether its route is the plan's"},
                    "length_mm": {**_NUMBER, "description": "of the centreline; null without one"},
                    "tightest_bend_mm": {**_NUMBER, "description": "null where it is straight"},
                },
            },
        },
        "counts": {
            "type": "object",
            "required": ["fault", "caution", "note"],
            "additionalProperties": False,
            "properties": {s: {"type": "integer", "minimum": 0} for s in SHADES},
        },
        "findings": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["number", "rule", "severity", "says", "remedy"],
                "additionalProperties": False,
                "properties": {
                    "number": {"type": "integer", "minimum": 1, "description": "as in the pictures"},
                    "rule": {"type": "string"},
                    "severity": {"enum": list(SHADES)},
                    "tube": _TEXT,
                    "other": _TEXT,
                    "says": {"type": "string"},
                    "remedy": {"type": "string"},
                    "low": {**_NUMBER, "description": "the measured value lies between low and high"},
                    "high": _NUMBER,
                    "limit": _NUMBER,
                    "unit": {"type": "string"},
                    "point_mm": {
                        "type": ["array", "null"],
                        "items": {"type": "number"},
                        "minItems": 3,
                        "maxItems": 3,
                        "description": "right, back, up in the case's frame",
                    },
                    "along_mm": _NUMBER,
                    "travel": {**_NUMBER, "description": "0 at rest to 1 at full travel"},
                    "stage": _TEXT,
                    "tubes": {"type": "array", "items": {"type": "string"}},
                    "file": {**_TEXT, "description": "where it can be mended: the scene or its wiring table"},
                    "line": {"type": ["integer", "null"], "minimum": 1},
                },
            },
        },
        "proved": {"type": "array", "items": {"type": "string"}},
        "planning": {
            "type": "object",
            "description": "of plan --json alone: how it ended, how many plans were checked, and how many "
            "tubes lie as in an earlier plan",
            "required": ["ended", "checked", "kept", "anew"],
            "additionalProperties": False,
            "properties": {
                "ended": {
                    "enum": list(ENDINGS),
                    "description": "found: by itself; time: it was up; stopped: by Ctrl-C; nothing: to plan",
                },
                "checked": {"type": "integer", "minimum": 0},
                "kept": {**_COUNT_OR_NULL, "description": "tubes that lie as in an earlier plan"},
                "anew": {**_COUNT_OR_NULL, "description": "tubes that do not; null without one, as kept"},
            },
        },
    },
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A finding with its number and places.

    Parameters
    ----------
    number : int
        As in the pictures.
    finding : Finding
        What was found.
    places : tuple of tuple
        File and line where it can be mended, one for each of its tubes.
    """

    number: int
    finding: Finding
    places: tuple[tuple[str, int | None], ...]


def counted(findings: Sequence[Finding]) -> dict[str, int]:
    """Return how many findings there are of each severity."""
    return {severity: sum(f.severity == severity for f in findings) for severity in SHADES}


def subject(finding: Finding) -> str:
    """Return what a finding is about: the tube, else the other thing."""
    return finding.tube or finding.other or "the scene"


def summary(findings: Sequence[Finding], tubes: int) -> str:
    """Return the closing line: how many of each severity, in how many tubes; faults are always counted."""
    counts = counted(findings)
    words = [_count(n, severity) for severity, n in counts.items() if n or severity == "fault"]
    return f"{', '.join(words)} in {counted_tubes(tubes)}"


def counted_tubes(number: int) -> str:
    """Return a number of tubes in words."""
    return _count(number, "tube")


def _count(number: int, noun: str) -> str:
    return f"{number or 'no'} {noun}{'' if number == 1 else 's'}"


def findings_json(
    scene: str,
    title: str,
    tubes: Sequence[dict[str, Any]],
    told: Sequence[Told],
    proved: Sequence[str],
    taken: TakenPlan | None = None,
) -> str:
    """Return the JSON text of a check; the tables are as ``FINDINGS_SCHEMA`` says.

    Parameters
    ----------
    scene, title : str
        The file and its title.
    tubes : sequence of dict
        See ``tube_entries``.
    told : sequence of Told
        Worst first.
    proved : sequence of str
        What was proved and what was left out.
    taken : TakenPlan or None
        What became of the plan beside the scene.

    Returns
    -------
    text : str
        One JSON object; never ``NaN`` or ``Infinity``.
    """
    whole = {
        "format": 1,
        "scene": scene,
        "title": title,
        "plan": None if taken is None else _plan_entry(taken),
        "tubes": list(tubes),
        "counts": counted([one.finding for one in told]),
        "findings": [finding_entry(one) for one in told],
        "proved": list(proved),
    }
    return json.dumps(whole, indent=1, allow_nan=False, ensure_ascii=False)


def with_planning(text: str, ended: str, rounds: int, kept: tuple[int, int] | None) -> str:
    """Return the JSON text of a check, with how planning ended and how many plans were checked.

    Where there was an earlier plan, with how many tubes lie as in it, and how many do not.
    """  # noqa: DOC201
    lie, anew = (None, None) if kept is None else kept
    planning = {"ended": ended, "checked": rounds, "kept": lie, "anew": anew}
    whole = {**json.loads(text), "planning": planning}
    return json.dumps(whole, indent=1, allow_nan=False, ensure_ascii=False)


def _plan_entry(taken: TakenPlan) -> dict[str, Any]:
    return {
        "file": taken.file,
        "stale": taken.stale,
        "laid": len(taken.laid),
        "runs": [
            {"says": run.says, "through": list(run.through), "tubes": list(run.tubes)}
            for run in taken.plan.runs
        ],
        "places": [
            {"name": one.name, "point_mm": one.at.tolist(), "runs": one.runs, "branches": one.branches}
            for one in taken.plan.places
        ],
    }


def tube_entries(tubes: Sequence[Tube], measured: Measured) -> list[dict[str, Any]]:
    """Return tubes as JSON tables.

    Parameters
    ----------
    tubes : sequence of Tube
        The lay.
    measured : Measured
        Its numbers.

    Returns
    -------
    entries : list of dict
        As ``FINDINGS_SCHEMA`` says.
    """
    return [
        {
            "name": tube.name,
            "tag": tube.tag,
            "tubing": tube.kind.name,
            "planned": tube.planned,
            "length_mm": None if tube.curve is None else _rounded(float(length)),
            "tightest_bend_mm": None if bend is None else _rounded(float(bend.radius_mm)),
        }
        for tube, length, bend in zip(tubes, measured.lengths_mm, measured.bends, strict=True)
    ]


def finding_entry(told: Told) -> dict[str, Any]:
    """Return a finding as a JSON table.

    Parameters
    ----------
    told : Told
        The finding.

    Returns
    -------
    entry : dict
        As ``FINDINGS_SCHEMA`` says; of several places the first.
    """
    finding, (file, line) = told.finding, told.places[0]
    return {
        "number": told.number,
        "rule": finding.rule,
        "severity": finding.severity,
        "tube": finding.tube,
        "other": finding.other,
        "says": finding.says,
        "remedy": finding.remedy,
        "low": _rounded(finding.low),
        "high": _rounded(finding.high),
        "limit": _rounded(finding.limit),
        "unit": finding.unit,
        "point_mm": None if finding.point is None else [_rounded(float(c)) for c in finding.point],
        "along_mm": _rounded(finding.along_mm),
        "travel": _rounded(finding.travel),
        "stage": finding.stage,
        "tubes": list(finding.tubes),
        "file": file,
        "line": line,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(value, 4)
