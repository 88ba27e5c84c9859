"""Is every nipple joined to one tube, and every tube to both its ends by a route?"""

from collections import defaultdict
from collections.abc import Sequence, Set

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding, Severity
from routeviz.checks.words import named
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import NO_PLACE, End, Tube, awaits_place, awaits_route

ABOUT = """\
unconnected: something is not joined as it should be.

Two tubes on one nipple is a fault. A nipple without a tube is a caution, told once for each part. An end
that waits for a later unit is a note; an end that is unknown, missing, cut or blocked is a caution. Tubes
without a route, drawn, measured or planned, are a fault, told once: nothing about them was checked; so is a
tee or coupler without a place. A run that cannot be seen, but is described in words, is a note.

Mend it: complete the wiring, plan, draw or measure the route, or cap the nipple and leave it out.
"""

_TROUBLE = {
    "unknown": "nobody knows where it ends",
    "missing": "its end is missing",
    "cut": "it has been cut",
    "blocked": "it has been blocked",
}


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return what is not joined: nipples, ends and tubes without a route."""
    told = {name for one in measured.no_ways for name in one.tubes}  # by no_way, with the reason
    return _nipples(cabinet, tubes) + _ends(tubes) + _places(cabinet, measured) + _routes(tubes, told)


def _nipples(cabinet: Cabinet, tubes: Sequence[Tube]) -> list[Finding]:
    on: dict[str, list[str]] = defaultdict(list)
    for tube in tubes:
        for end in (tube.start, tube.end):
            if end.nipple:
                on[end.nipple].append(tube.name)
    found = [
        Finding(
            rule="unconnected",
            severity="fault",
            tube=names[0],
            other=name,
            says=f"{named(names)} are all on {name}",
            remedy="one tube a nipple: put a tee between, or correct the wiring",
            low=float(len(names)),
            high=float(len(names)),
            limit=1.0,
            unit="tubes",
            point=cabinet.nipples[name].tip,
            tubes=tuple(names),
        )
        for name, names in sorted(on.items())
        if len(names) > 1
    ]
    bare: dict[str, list[int]] = defaultdict(list)
    for name, nipple in cabinet.nipples.items():
        if name not in on:
            bare[nipple.part].append(nipple.number)
    for part, numbers in bare.items():
        which = named([str(n) for n in sorted(numbers)])
        found.append(
            Finding(
                rule="unconnected",
                severity="caution",
                tube=None,
                other=part,
                says=f"no tube on {part} {which}",
                remedy="wire it, cap it, or leave the nipple out of the scene",
                low=float(len(numbers)),
                high=float(len(numbers)),
                limit=0.0,
                unit="nipples",
                point=cabinet.nipples[f"{part} {min(numbers)}"].tip,
            )
        )
    return found


def _ends(tubes: Sequence[Tube]) -> list[Finding]:
    found = []
    for tube in tubes:
        for end in (tube.start, tube.end):
            if not end.nipple and end.state != NO_PLACE:
                found.append(_end(tube, end))
    return found


def _end(tube: Tube, end: End) -> Finding:
    severity: Severity
    if end.state == "loose":
        severity = "note"
        purpose = f" for {tube.waits_for}" if tube.waits_for else ""
        says, remedy = f"its end waits loose{purpose}", "tag it, and tie it where it cannot foul"
    else:
        severity = "caution"
        says, remedy = _TROUBLE[end.state], "trace it, and write down what you find"
    return Finding(
        rule="unconnected",
        severity=severity,
        tube=tube.name,
        other=None,
        says=says,
        remedy=remedy,
        point=end.point,
    )


def _places(cabinet: Cabinet, measured: Measured) -> list[Finding]:
    told = {one.part for one in measured.no_ways}  # by no_way, with the reason
    return [
        Finding(
            rule="unconnected",
            severity="fault",
            tube=None,
            other=name,
            says=f"{name} has no place yet",
            remedy="let `routeviz plan SCENE` find one, or write `at`, and `runs`, where it lies",
        )
        for name in cabinet.without_place
        if name not in told
    ]


def _routes(tubes: Sequence[Tube], told: Set[str]) -> list[Finding]:
    bare = [t for t in tubes if t.curve is None and not t.hidden and t.name not in told]
    found = [
        Finding(
            rule="unconnected",
            severity="note",
            tube=tube.name,
            other=None,
            says=f"its run is not seen: {tube.hidden}",
            remedy="measure it when the case is open",
        )
        for tube in tubes
        if tube.curve is None and tube.hidden
    ]
    draw = "draw `corners`, or give `measured` points"
    awaits = {tube.name for tube in bare if awaits_route(tube) or awaits_place(tube)}
    found += _bare([t.name for t in bare if t.name in awaits], f"let `routeviz plan SCENE` find one, {draw}")
    found += _bare([t.name for t in bare if t.name not in awaits], f"say where it ends, {draw}")
    return found


def _bare(names: Sequence[str], remedy: str) -> list[Finding]:
    if not names:
        return []
    return [
        Finding(
            rule="unconnected",
            severity="fault",
            tube=names[0] if len(names) == 1 else None,
            other=None,
            says=f"no route, so nothing was checked of {named(names)}",
            remedy=remedy,
            low=float(len(names)),
            high=float(len(names)),
            limit=0.0,
            unit="tubes",
            tubes=tuple(names),
        )
    ]
