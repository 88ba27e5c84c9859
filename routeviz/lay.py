"""A lay: a scene with all that is known of it, as pipeline.py makes it and views show it."""

from dataclasses import dataclass

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.scene.positions import Key, Place
from routeviz.scene.reading import Reading
from routeviz.tubes.measured import Measured
from routeviz.tubes.plans import TakenPlan
from routeviz.tubes.routes import Tube


@dataclass(frozen=True, eq=False, kw_only=True)
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
    taken : TakenPlan or None
        What became of the plan beside the scene, where there is one.
    """

    reading: Reading
    cabinet: Cabinet
    tubes: tuple[Tube, ...]
    measured: Measured
    findings: tuple[Finding, ...]
    proved: tuple[str, ...]
    taken: TakenPlan | None = None

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
