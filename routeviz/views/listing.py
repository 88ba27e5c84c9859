"""Findings as text for a person and as JSON for a machine; the same findings in 3D are in picture.py."""

import json
from collections.abc import Sequence
from typing import Any

from routeviz.checks.findings import Finding

SHADES = {"fault": "red", "caution": "yellow", "note": "cyan"}
_NUMBER = {"type": ["number", "null"]}
_TEXT = {"type": ["string", "null"]}
FINDINGS_SCHEMA: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "What routeviz check --json prints",
    "type": "object",
    "required": ["format", "scene", "title", "tubes", "counts", "findings", "proved"],
    "additionalProperties": False,
    "properties": {
        "format": {"const": 1},
        "scene": {"type": "string", "description": "the file, as named on the command line"},
        "title": {"type": "string"},
        "tubes": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["name", "tag", "tubing", "length_mm", "tightest_bend_mm"],
                "additionalProperties": False,
                "properties": {
                    "name": {"type": "string"},
                    "tag": {"type": "string"},
                    "tubing": {"type": "string"},
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
                    "line": {"type": ["integer", "null"], "description": "of the tube in the scene file"},
                },
            },
        },
        "proved": {"type": "array", "items": {"type": "string"}},
    },
}


def counted(findings: Sequence[Finding]) -> dict[str, int]:
    """Return how many findings there are of each severity."""
    return {severity: sum(f.severity == severity for f in findings) for severity in SHADES}


def subject(finding: Finding) -> str:
    """Return what a finding is about: the tube, else the other thing."""
    return finding.tube or finding.other or "the scene"


def summary(findings: Sequence[Finding], tubes: int) -> str:
    """Return the closing line: how many of each severity, in how many tubes."""
    words = [
        f"{count} {severity}{'' if count == 1 else 's'}"
        for severity, count in counted(findings).items()
        if count
    ]
    found = ", ".join(words) if words else "nothing to tell"
    return f"{found}; {tubes} tube{'' if tubes == 1 else 's'} in the scene"


def findings_json(
    scene: str,
    title: str,
    tubes: Sequence[dict[str, Any]],
    findings: Sequence[dict[str, Any]],
    proved: Sequence[str],
) -> str:
    """Return the JSON text of a check; the tables are as ``FINDINGS_SCHEMA`` says.

    Parameters
    ----------
    scene, title : str
        The file and its title.
    tubes, findings : sequence of dict
        See ``finding_entry``.
    proved : sequence of str
        What was proved and what was left out.

    Returns
    -------
    text : str
        One JSON object; never ``NaN`` or ``Infinity``.
    """
    counts = {severity: sum(f["severity"] == severity for f in findings) for severity in SHADES}
    whole = {
        "format": 1,
        "scene": scene,
        "title": title,
        "tubes": list(tubes),
        "counts": counts,
        "findings": list(findings),
        "proved": list(proved),
    }
    return json.dumps(whole, indent=1, allow_nan=False, ensure_ascii=False)


def finding_entry(number: int, finding: Finding, line: int | None) -> dict[str, Any]:
    """Return a finding as a JSON table.

    Parameters
    ----------
    number : int
        As printed and as on the pictures' markers.
    finding : Finding
        The finding.
    line : int or None
        Where its tube stands in the scene file.

    Returns
    -------
    entry : dict
        As ``FINDINGS_SCHEMA`` says.
    """
    return {
        "number": number,
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
        "line": line,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)
