"""How tightly a tube may be bent before it kinks, and at what vacuum it falls flat.

How tightly a tube is bent stands in measures.py; whether that is too tight, in checks/kink.py.

The walls of real tubing are far thicker than thin-shell theory allows (mean radius over wall 1 to 8, mostly
below 3, where the theory wants 10), and the outermost fibre stretches by 5 to 20 % at published radii. So the
theory gives a lower bound on what makers publish, and no more; the rules in use are fitted to makers' tables.
Of eighteen published rows one lies below the bound: a maker's figure stands, whatever the bound says.
"""

from dataclasses import dataclass
from math import inf, isfinite, sqrt
from typing import Literal

from routeviz.cabinet.tubing import TubeKind

# k in k OD^2 / wall. 0.71 covers all eight rows of one maker's table for polyurethane and polyamide, 1.45 all
# ten of another's for PTFE: tests/published/test_ckd_bend_radii.py, test_zeus_bend_radii.py.
RULE_FACTORS = {"polyurethane": 0.71, "polyamide": 0.71, "fluoropolymer": 1.45}

# Materials so soft that the vacuum in the tube counts; no maker's table of bend radii was found for them.
SOFT = frozenset({"gum rubber", "latex", "neoprene", "vinyl", "silicone"})

# Poisson's ratio; from memory. A rubber keeps its volume, hence the 0.5 of all that is not named.
POISSON = {"polyamide": 0.4, "fluoropolymer": 0.46, "lead": 0.44}

# No tube of the tables consulted is published below 2.5 outside diameters.
LEAST_OUTSIDES = 2.5

THIN_WALL = 10.0  # radius over wall above which the ring formula strictly holds; Roark, table 35, case 19a

Basis = Literal["given", "rule", "none"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """The section of a tube and what it is made of.

    Parameters
    ----------
    outside_mm, bore_mm : float
        Diameters; 0 <= bore < outside. A wire has bore 0.
    material : str
        A material of the tubing models.
    modulus_mpa : float or None
        Young's modulus; None where unknown.
    """

    outside_mm: float
    bore_mm: float
    material: str
    modulus_mpa: float | None = None

    def __post_init__(self) -> None:
        """Refuse a section that is no tube."""
        _thickness(self.outside_mm, self.bore_mm)
        if self.modulus_mpa is not None and not (isfinite(self.modulus_mpa) and self.modulus_mpa > 0):
            raise ValueError(f"modulus_mpa: above 0 wanted, {self.modulus_mpa} given")

    @property
    def thickness_mm(self) -> float:
        """Return the thickness of the wall."""
        return (self.outside_mm - self.bore_mm) / 2

    @property
    def collapse_kpa(self) -> float | None:
        """Return the vacuum at which the straight tube falls flat; None without a modulus or a bore."""
        if self.modulus_mpa is None or self.bore_mm == 0:
            return None
        poisson = POISSON.get(self.material, 0.5)
        return collapse_vacuum_kpa(self.outside_mm, self.bore_mm, self.modulus_mpa, poisson)


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A least bend radius that somebody states.

    Parameters
    ----------
    radius_mm : float
        To the centreline, > 0; see `to_centreline_mm`.
    source : str
        Who says so, in words, as it stands in the model's ``source`` table or "entered in the scene".
    """

    radius_mm: float
    source: str

    def __post_init__(self) -> None:
        """Refuse what is no radius, or comes from nowhere."""
        if not (isfinite(self.radius_mm) and self.radius_mm > 0):
            raise ValueError(f"radius_mm: above 0 wanted, {self.radius_mm} given")
        if not self.source.strip():
            raise ValueError("source: words wanted, none given")


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastBend:
    """How tightly a tube may be bent, and who says so.

    Parameters
    ----------
    radius_mm : float or None
        Least radius to the centreline; ``inf`` where the rule finds that the tube falls flat even when
        straight; None where nobody has published one for this material and none is entered.
    caution_mm : float or None
        Below this radius the tube, soft as it is, may flatten under its vacuum, although `radius_mm` allows
        it; ``inf`` where it falls flat when straight. None where there is nothing to add.
    floor_mm : float
        Nothing of this section was ever published or is computed to bend tighter; 0 for a wire.
    collapses : bool
        The vacuum is at or above that at which the straight tube falls flat.
    basis : {"given", "rule", "none"}
        What `radius_mm` stands on.
    words : str
        Where it comes from, with its numbers, fit for a message.
    """

    radius_mm: float | None
    caution_mm: float | None
    floor_mm: float
    collapses: bool
    basis: Basis
    words: str


def _thickness(outside_mm: float, bore_mm: float) -> float:
    """Return the wall's thickness, or raise ValueError for a section that is no tube."""
    if not (isfinite(outside_mm) and isfinite(bore_mm) and 0 <= bore_mm < outside_mm):
        raise ValueError(f"0 <= bore < outside wanted, bore {bore_mm} and outside {outside_mm} given")
    return (outside_mm - bore_mm) / 2


def brazier_radius_mm(outside_mm: float, bore_mm: float, poisson: float = 0.5) -> float:
    """Return the radius at which a thin elastic tube's bending moment passes its peak.

    ``R = (3 / sqrt 2) a^2 sqrt(1 - nu^2) / t`` with mean radius ``a`` and wall ``t``. A lower bound on what
    bends without kinking: makers' radii for real, thick tubing stand 1.4 to 5 times above it. With
    ``poisson`` at its highest, 0.5, the bound is at its lowest, hence good for every material.

    Parameters
    ----------
    outside_mm, bore_mm : float
        Diameters; 0 <= bore < outside.
    poisson : float
        Poisson's ratio, 0 to 0.5.

    Returns
    -------
    radius_mm : float
        To the centreline.

    References
    ----------
    L. G. Brazier, "On the flexure of thin cylindrical shells and other thin sections", Proc. R. Soc. A 116
    (1927) 104; in the notation of C. R. Calladine, Theory of Shell Structures (1983), ch. 16 (from memory).
    """
    wall = _thickness(outside_mm, bore_mm)
    mean_radius = (outside_mm + bore_mm) / 4
    return 3 / sqrt(2) * mean_radius**2 * sqrt(1 - poisson**2) / wall


def collapse_vacuum_kpa(outside_mm: float, bore_mm: float, modulus_mpa: float, poisson: float = 0.5) -> float:
    """Return the vacuum at which a long straight tube falls flat.

    ``p = E t^3 / (4 (1 - nu^2) a^3)``; strictly for `is_thin_wall`, indicative for thicker walls.

    Parameters
    ----------
    outside_mm, bore_mm : float
        Diameters; 0 <= bore < outside.
    modulus_mpa : float
        Young's modulus.
    poisson : float
        Poisson's ratio, 0 to 0.5.

    Returns
    -------
    vacuum_kpa : float
        Outside pressure less inside pressure.

    References
    ----------
    Roark's Formulas for Stress and Strain, table 35, case 19a (long tube, free ends).
    """
    wall = _thickness(outside_mm, bore_mm)
    mean_radius = (outside_mm + bore_mm) / 4
    return 1000 * modulus_mpa * wall**3 / (4 * (1 - poisson**2) * mean_radius**3)


def is_thin_wall(outside_mm: float, bore_mm: float) -> bool:
    """Return whether the wall is thin enough for the formulas to hold strictly: radius over wall above 10."""
    return (outside_mm + bore_mm) / 4 > THIN_WALL * _thickness(outside_mm, bore_mm)


def to_centreline_mm(inner_radius_mm: float, outside_mm: float) -> float:
    """Return the radius to the centreline of a bend whose radius is given to the inner side of the tube."""
    return inner_radius_mm + outside_mm / 2


def vacuum_factor(vacuum_kpa: float, collapse_kpa: float) -> float:
    """Return by how much a vacuum widens the least bend radius.

    ``1 / sqrt(1 - p / p_c)``. Against the whole ring, bent and under pressure, this errs to the safe side,
    by a fifth at three quarters of the collapse vacuum: tests/published/test_brazier_limit.py.

    Parameters
    ----------
    vacuum_kpa : float
        Working vacuum, >= 0.
    collapse_kpa : float
        Vacuum at which the straight tube falls flat, > 0.

    Returns
    -------
    factor : float
        At least 1; ``inf`` from ``collapse_kpa`` on.

    Raises
    ------
    ValueError
        A negative vacuum, or a collapse vacuum that is not above 0.
    """
    if vacuum_kpa < 0 or collapse_kpa <= 0:
        raise ValueError(f"vacuum >= 0 and collapse > 0 wanted, {vacuum_kpa} and {collapse_kpa} given")
    return inf if vacuum_kpa >= collapse_kpa else 1 / sqrt(1 - vacuum_kpa / collapse_kpa)


def least_bend(wall: Wall, *, given: Given | None = None, vacuum_kpa: float = 0.0) -> LeastBend:
    """Return how tightly a tube may be bent, and who says so.

    What is given (by the maker, or entered by the user) stands as it is. Else the rule, for the materials
    that have one: ``k OD^2 / t`` widened by the vacuum, not below 2.5 outside diameters.
    Else nothing, and the words say what to do. For soft tubing a vacuum adds a caution to what is given.

    Parameters
    ----------
    wall : Wall
        The tube.
    given : Given or None
        What the maker or the user states.
    vacuum_kpa : float
        Highest working vacuum in the tube, >= 0.

    Returns
    -------
    least : LeastBend
        The radius, with its words.
    """
    collapse = wall.collapse_kpa
    factor = 1.0 if collapse is None else vacuum_factor(vacuum_kpa, collapse)
    floor = _floor_mm(wall)
    if given is not None:
        radius, caution, basis, words = _from_given(wall, given, vacuum_kpa, factor)
    elif wall.material in RULE_FACTORS:
        radius, caution, basis, words = _from_rule(wall, vacuum_kpa, factor)
    else:
        radius, caution, basis, words = None, None, "none", _unknown_words(wall.material)
    return LeastBend(
        radius_mm=radius,
        caution_mm=caution,
        floor_mm=floor,
        collapses=factor == inf,
        basis=basis,
        words=words,
    )


def least_bend_of(kind: TubeKind, vacuum_kpa: float) -> LeastBend:
    """Return how tightly a kind of tube may be bent at a working vacuum, and who says so."""
    wall = Wall(
        outside_mm=kind.outside_mm,
        bore_mm=kind.bore_mm,
        material=kind.material,
        modulus_mpa=kind.modulus_mpa,
    )
    given = None
    if kind.least_bend_mm is not None:
        given = Given(radius_mm=kind.least_bend_mm, source=kind.source or "entered in the scene")
    return least_bend(wall, given=given, vacuum_kpa=vacuum_kpa)


Answer = tuple[float | None, float | None, Basis, str]


def _floor_mm(wall: Wall) -> float:
    if wall.material == "wire":
        return 0.0
    return max(brazier_radius_mm(wall.outside_mm, wall.bore_mm), LEAST_OUTSIDES * wall.outside_mm)


def _from_given(wall: Wall, given: Given, vacuum_kpa: float, factor: float) -> Answer:
    words = f"{given.radius_mm:.1f} mm to the centreline: {given.source}"
    if wall.material not in SOFT or vacuum_kpa == 0:
        return given.radius_mm, None, "given", words
    if wall.collapse_kpa is None:
        return given.radius_mm, None, "given", f"{words}; vacuum not counted: no modulus entered"
    widened = given.radius_mm * factor
    return given.radius_mm, widened, "given", f"{words}; {_vacuum_words(wall, vacuum_kpa, widened)}"


def _from_rule(wall: Wall, vacuum_kpa: float, factor: float) -> Answer:
    k = RULE_FACTORS[wall.material]
    fitted = k * wall.outside_mm**2 / wall.thickness_mm
    # Brazier's radius needs no look: it stays below 3 / sqrt 2 / 4 x sqrt 3 / 2 = 0.46 outside^2 / wall
    radius = max(fitted * factor, LEAST_OUTSIDES * wall.outside_mm)
    words = (
        f"by rule for {wall.material}, no maker's figure entered: {k:g} x outside^2 / wall = "
        f"{k:g} x {wall.outside_mm:.2f}^2 / {wall.thickness_mm:.2f} = {fitted:.1f} mm to the centreline, "
        f"not below {LEAST_OUTSIDES:g} x outside = {LEAST_OUTSIDES * wall.outside_mm:.1f} mm"
    )
    if vacuum_kpa == 0:
        return radius, None, "rule", words
    if wall.collapse_kpa is None:
        return radius, None, "rule", f"{words}; vacuum not counted: no modulus entered"
    return radius, None, "rule", f"{words}; {_vacuum_words(wall, vacuum_kpa, radius)}"


def _vacuum_words(wall: Wall, vacuum_kpa: float, widened: float) -> str:
    indicative = "" if is_thin_wall(wall.outside_mm, wall.bore_mm) else " (thick wall: indicative)"
    falls = f"this tube falls flat at {wall.collapse_kpa:.1f} kPa{indicative}"
    if widened == inf:
        return f"collapses straight: {falls}, its vacuum is {vacuum_kpa:.1f} kPa"
    return f"with {vacuum_kpa:.1f} kPa of vacuum {widened:.1f} mm: {falls}"


def _unknown_words(material: str) -> str:
    if material == "lead":
        return "no least bend for lead: it keeps the bend it has; leave old lead tube as it lies"
    return (
        f"no published least bend for {material}: bend your own tube until it begins to flatten, "
        "measure the radius to its middle, and enter it as least_bend"
    )
