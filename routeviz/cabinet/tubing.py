"""What a kind of tube is, with its least bend radius and where that comes from."""

from dataclasses import dataclass

from routeviz.cabinet.messages import Where
from routeviz.scene.description import Tubing
from routeviz.scene.lengths import as_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeKind:
    """A kind of tube.

    Parameters
    ----------
    name : str
        The scene's name for it.
    describes : str
        In words.
    material : str
        ``gum rubber``, ``vinyl`` and so on.
    bore_mm, outside_mm : float
        Inner and outer diameter.
    least_bend_mm : float or None
        As entered or published, to the centreline; None where nothing is known, and a rule has to say.
    modulus_mpa, density_g_cm3 : float or None
        What sag and collapse are reckoned from; None where not known.
    longest_mm : float or None
        No tube of it may be longer.
    source : str
        Where the least bend radius comes from.
    """

    name: str
    describes: str
    material: str
    bore_mm: float
    outside_mm: float
    least_bend_mm: float | None
    modulus_mpa: float | None
    density_g_cm3: float | None
    longest_mm: float | None
    source: str


def tube_kind(name: str, tubing: Tubing, where: Where) -> TubeKind:
    """Return a kind of tube, its wall and its bend radius in the one form that is reckoned with.

    Parameters
    ----------
    name, tubing : str, Tubing
        As in the scene, its model's values filled in.
    where : Where
        Its place in the file.

    Returns
    -------
    kind : TubeKind
        A least bend radius to the inner side is taken to the centreline: half the outside is added.

    Raises
    ------
    SceneError
        Outside and wall both or neither, two least bend radii, or a bore that leaves no wall.
    """
    outside_mm = _outside_mm(tubing, where)
    least_bend_mm = tubing.least_bend_mm
    if tubing.least_bend_inner_mm is not None:
        if least_bend_mm is not None:
            raise where.at("least_bend_inner").wrong(
                "both least_bend and least_bend_inner",
                "one of them: to the centreline, or to the inner side",
                "keep the one that the maker gives",
            )
        least_bend_mm = tubing.least_bend_inner_mm + outside_mm / 2
    entered = "least_bend" if tubing.least_bend_inner_mm is None else "least_bend_inner"
    return TubeKind(
        name=name,
        describes=tubing.describes or name,
        material=tubing.material,
        bore_mm=tubing.bore_mm,
        outside_mm=outside_mm,
        least_bend_mm=least_bend_mm,
        modulus_mpa=tubing.modulus_mpa,
        density_g_cm3=tubing.density_g_cm3,
        longest_mm=tubing.longest_mm,
        source="" if least_bend_mm is None else tubing.source.get(entered) or _said(where.at(entered)),
    )


def _said(where: Where) -> str:
    """Return what the scene says of how a value is known, where no source stands for it."""
    doubt = where.reading.doubt_at(where.key)
    known = [doubt.status or "", f"to within {as_mm(doubt.spread_mm)}" if doubt.spread_mm is not None else ""]
    said = ", ".join(words for words in known if words)
    return (
        "; ".join(words for words in (said, doubt.source, doubt.why) if words) or "entered without a source"
    )


def _outside_mm(tubing: Tubing, where: Where) -> float:
    if tubing.outside_mm is not None and tubing.wall_mm is not None:
        raise where.at("wall").wrong(
            "both outside and wall", "one of the two", "keep the one that was measured"
        )
    if tubing.wall_mm is not None:
        return tubing.bore_mm + 2 * tubing.wall_mm
    if tubing.outside_mm is None:
        raise where.wrong(
            "neither outside nor wall", "one of the two", "add the outside diameter, or the wall"
        )
    if tubing.outside_mm <= tubing.bore_mm:
        raise where.at("outside").wrong(
            f"an outside of {as_mm(tubing.outside_mm, 2)} about a bore of {as_mm(tubing.bore_mm, 2)}",
            "an outside wider than the bore",
            "correct one of them; the outside is the bore and twice the wall",
        )
    return tubing.outside_mm
