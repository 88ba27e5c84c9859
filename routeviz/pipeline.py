"""The stages in order; the only place where they meet."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from routeviz.cabinet.placing import place
from routeviz.cabinet.solids import Cabinet
from routeviz.checks.checking import check, in_order
from routeviz.checks.findings import Finding
from routeviz.checks.proved import proved
from routeviz.scene.positions import Key, Place
from routeviz.scene.reading import Reading, read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.measured import Measured
from routeviz.tubes.measures import measure
from routeviz.tubes.routes import Tube


@dataclass(frozen=True, slots=True, kw_only=True)
class Lay:
    """A scene with everything that is known of it, as it stands in its last stage.

    Parameters
    ----------
    reading : Reading
        The scene as read.
    cabinet, tubes, measured
        Each stage's value.
    findings : tuple of Finding
        Of all stages of the work, worst first; a finding that lasts is told with its first stage.
    proved : tuple of str
        What was proved and what was not looked at.
    """

    reading: Reading
    cabinet: Cabinet
    tubes: tuple[Tube, ...]
    measured: Measured
    findings: tuple[Finding, ...]
    proved: tuple[str, ...]

    def places_of(self, finding: Finding) -> tuple[Place, ...]:
        """Return where a finding can be mended: at its tubes, else at the part, passage or tubing."""
        places = self.reading.positions.places
        wires = {wire.name: wire.key for wire in self.reading.wires}
        tubes = [wires[name] for name in (finding.tube, finding.other) if name in wires]
        others = [key for key in _keys_of(finding.other or "") if key in places][:1]
        keys = tubes or others or [wires[name] for name in finding.tubes if name in wires]
        return tuple(dict.fromkeys(places[key] for key in keys if key in places))


def _keys_of(name: str) -> list[Key]:
    """Return the keys in one of which a thing is said, likeliest first: ``keys 30`` is one of ``keys``."""
    keys: list[Key] = []
    words = name.split(" ")
    for count in range(len(words), 0, -1):
        first, rest = " ".join(words[:count]), " ".join(words[count:])
        keys += [
            ("part", first, "opening", rest),
            *((group, first) for group in ("part", "passage", "tubing")),
        ]
    return keys


def check_scene(path: Path | str) -> Lay:
    """Return a scene read, placed, measured and checked.

    Parameters
    ----------
    path : Path or str
        The scene file.

    Returns
    -------
    lay : Lay
        Everything that is known of it.

    Raises
    ------
    SceneError
        The file cannot be used; carries every problem found.
    """
    return check_reading(read_scene(path))


def check_reading(reading: Reading) -> Lay:
    """Return a scene that has been read already, placed, measured and checked in each of its stages.

    Parameters
    ----------
    reading : Reading
        The scene as read.

    Returns
    -------
    lay : Lay
        Everything that is known of it.

    Raises
    ------
    SceneError
        The scene cannot be placed; carries every problem found.
    """
    stages: Sequence[str | None] = [stage.name for stage in reading.scene.stages] or [None]
    told: list[Finding] = []
    known: set[tuple[str, str, str | None, str | None]] = set()  # what an earlier stage has told
    for stage in stages:
        cabinet = place(reading, stage)
        tubes = shape(reading, cabinet)
        measured = measure(cabinet, tubes)
        found = [
            replace(finding, stage=stage)
            for finding in check(cabinet, tubes, measured)
            # what a later stage joins is not missing
            if finding.rule != "unconnected" or stage == stages[-1]
        ]
        told += [finding for finding in found if _key(finding) not in known]
        known |= {_key(finding) for finding in found}
    return Lay(
        reading=reading,
        cabinet=cabinet,
        tubes=tubes,
        measured=measured,
        findings=in_order(told),
        proved=proved(cabinet, tubes, measured),
    )


def _key(finding: Finding) -> tuple[str, str, str | None, str | None]:
    """Return what a finding is about; within a stage several may be about the same."""
    return finding.rule, finding.severity, finding.tube, finding.other
