"""What is not as it was, as JSON for a machine, and the schema of that."""

import json
from typing import Any, get_args

from routeviz.archive.changes import Change, Kind, OfFinding, OfThing
from routeviz.archive.changes_register import number
from routeviz.archive.columns import mm, point
from routeviz.archive.difference_report import sum_of_it
from routeviz.archive.differences import Differences, State
from routeviz.archive.finding_changes import SEVERITIES

_TEXT = {"type": ["string", "null"]}
_NUMBER = {"type": ["number", "null"]}
_COUNT = {"type": "integer", "minimum": 0}


def _table(required: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of a table in which all of it stands, and nothing else."""
    return {
        "type": "object",
        "required": list(required),
        "additionalProperties": False,
        "properties": required,
    }


_STATE = _table(
    {
        "file": {"type": "string", "description": "as named on the command line"},
        "title": {"type": "string"},
        "shows": {**_TEXT, "description": "as found, as restored and so on, as its record says"},
        "on": {**_TEXT, "description": "when it was so, as its record says"},
        "tubes": _COUNT,
        "counts": _table(dict.fromkeys(SEVERITIES, _COUNT)),
        "stale": {"type": "boolean", "description": "its plan was made for another scene"},
    }
)
CHANGES_SCHEMA: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "What routeviz compare --json prints",
    **_table(
        {
            "format": {"const": 1},
            "before": _STATE,
            "after": _STATE,
            "same_tubes": {
                "type": "array",
                "description": "which tubes both states have, and by what they are known to be the same",
                "items": _table(
                    {
                        "before": {"type": "string"},
                        "after": {"type": "string"},
                        "by": {"enum": ["name", "nipples", "tag"]},
                    }
                ),
            },
            "strangers": {"type": "boolean", "description": "both have tubes, and none in common"},
            "sum": {
                "type": "array",
                "items": {"type": "string"},
                "description": "what matters, in sentences",
            },
            "changes": {
                "type": "array",
                "description": "the worst first: newly broken, tubes, the case, settings, mended",
                "items": _table(
                    {
                        "number": {"type": "integer", "minimum": 1, "description": "as in the pictures"},
                        "about": {"enum": list(get_args(Kind))},
                        "name": {"type": "string"},
                        "what": {"enum": [*get_args(OfFinding), *get_args(OfThing)]},
                        "value": {**_TEXT, "description": "which value is altered; of a finding its rule"},
                        "before": _TEXT,
                        "after": _TEXT,
                        "low": {**_NUMBER, "description": "by how much at least; or later less earlier"},
                        "high": {**_NUMBER, "description": "by how much at most"},
                        "unit": {"type": "string"},
                        "on": {"enum": ["before", "after", None], "description": "on which course of a tube"},
                        "along_mm": {**_NUMBER, "description": "how far along that"},
                        "point_mm": {
                            "type": ["array", "null"],
                            "items": {"type": "number"},
                            "minItems": 3,
                            "maxItems": 3,
                            "description": "right, back, up in the case's frame",
                        },
                        "other": {**_TEXT, "description": "of a finding, what else it is about"},
                        "severity": {"enum": [*SEVERITIES, None]},
                        "says": {"type": "string"},
                    }
                ),
            },
            "still": {
                "type": "array",
                "description": "what was found before and is there still",
                "items": _table(
                    {
                        "rule": {"type": "string"},
                        "severity": {"enum": list(SEVERITIES)},
                        "tube": _TEXT,
                        "other": _TEXT,
                        "says": {"type": "string"},
                    }
                ),
            },
        }
    ),
}


def differences_json(found: Differences) -> str:
    """Return differences as one JSON object; numbers are rounded as in the register."""
    whole: dict[str, Any] = {
        "format": 1,
        "before": _state(found.before),
        "after": _state(found.after),
        "same_tubes": [
            {"before": before, "after": after, "by": match.by}
            for (before, after), match in zip(found.same_tubes, found.matches, strict=True)
        ],
        "strangers": found.strangers,
        "sum": list(sum_of_it(found)),
        "changes": [_entry(count, one) for count, one in enumerate(found.changes, 1)],
        "still": [
            {
                "rule": one.rule,
                "severity": one.severity,
                "tube": one.tube,
                "other": one.other,
                "says": one.says,
            }
            for one in found.still
        ],
    }
    return json.dumps(whole, indent=1, allow_nan=False, ensure_ascii=False)


def _state(state: State) -> dict[str, Any]:
    return {
        "file": state.file,
        "title": state.title,
        "shows": state.shows or None,
        "on": state.on or None,
        "tubes": state.tubes,
        "counts": dict(zip(SEVERITIES, state.counts, strict=True)),
        "stale": state.stale,
    }


def _entry(count: int, one: Change) -> dict[str, Any]:
    place = point(one.point)
    return {
        "number": count,
        "about": one.kind,
        "name": one.name,
        "what": one.what,
        "value": one.value or None,
        "before": one.before or None,
        "after": one.after or None,
        "low": number(one.low),
        "high": number(one.high),
        "unit": one.unit,
        "on": one.on,
        "along_mm": mm(one.along_mm),
        "point_mm": None if one.point is None else list(place),
        "other": one.other or None,
        "severity": one.severity,
        "says": one.says,
    }
