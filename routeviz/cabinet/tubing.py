"""What a kind of tube is, with its least bend radius and where that comes from."""

from dataclasses import dataclass


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
