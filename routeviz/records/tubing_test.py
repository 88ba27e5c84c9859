"""How tight one's own tubing bends, and how stiff it is: what no maker publishes, read off at true size.

Bends: half circles, the tube's middle laid along the line. Stiffness: a ledge over which the tube droops;
what its droop says stands in tables, by the heavy cantilever (droop.py).
"""

import math
from collections.abc import Sequence

from routeviz.lay import Lay
from routeviz.records.droop import LEAST, MOST, modulus_mpa, shapes
from routeviz.records.flow import Flow
from routeviz.records.paper import Page, Path, Point, line, new_page
from routeviz.records.plate_pages import TRUE_SIZE, check_line
from routeviz.records.settings import Settings
from routeviz.records.table_pages import put_table
from routeviz.records.tables import Cell, Column, Table
from routeviz.records.typefaces import lines_of
from routeviz.scene.description import Tubing

RADII = (
    6.0,
    8.0,
    10.0,
    12.0,
    14.0,
    16.0,
    18.0,
    20.0,
    22.0,
    25.0,
    28.0,
    32.0,
    36.0,
    40.0,
    45.0,
    50.0,
    56.0,
    63.0,
    71.0,
    80.0,
)
LEGS = 22.0  # straight, below each half circle
STEP_DEG = 1.0  # of a half circle: a chord of 80 mm then misses it by 0.003 mm
OVERHANGS = (100.0, 200.0)
DEEPEST = 128.0  # of the scale beside the droop
SHOWN = (0.1, 0.2, 0.4, 0.6, 0.8)  # drops of which the shape is drawn
EVERY = 4.0  # of the tables, in millimetres
UNKNOWN = 1.0  # g/cm3, where the scene has none
BENDS, DROOPS = "Tubing test: bends", "Tubing test: droop"
BEND_WORDS = (
    "Bend a piece of your tube round, its middle along a line, and hold it there: the widest first, "
    "then tighter. "
    "Straight legs count as well: leave the tube free to roll. Stop where it goes flat, its narrow "
    "side under nine "
    "tenths of its outside, or where it creases.",
    "The last line on which it stayed round is its least bend, to the centreline. Use a tube as old "
    "and as warm as it "
    "will be in the case; if you reckon with vacuum in it, take the next line up.",
)
DROOP_WORDS = (
    "Pin this sheet to an upright board, the heavy line level. Lay the tube along that line, its "
    "middle on it, up to the "
    "ledge at 0; clamp it there. Hold it straight and cut it at 100 (soft tube) or at 200 (stiff "
    "tube). Let go, wait a "
    "minute, and read how far the middle of its end is below the heavy line. Turn it over, read "
    "again, take the mean: "
    "that takes out its curl. Grey: how a tube without curl lies.",
)
DROOP_NOTES = (
    "Heavy cantilever, exact for any droop: Rohde, Quarterly of Applied Mathematics 11 (1953); E = "
    "16 rho g L^3 / "
    "(beta (OD^2 + ID^2)).",
    "A drop of less than a tenth of what hangs over is hard to read: take 200 mm. One of more than "
    "80 mm of 100 says "
    "little: take a shorter piece of another way, or believe no digit after the first.",
)


def tubing_pages(lay: Lay, settings: Settings) -> list[Page]:
    """Return the pages on which one's own tubing is tried, with tables for that of the scene."""
    kinds = {name: kind for name, kind in lay.reading.scene.tubing.items() if kind.material != "wire"}
    return [_bends(settings, kinds), _droop(settings), *_tables(settings, kinds)]


def _bends(settings: Settings, kinds: dict[str, Tubing]) -> Page:
    flow = Flow(settings.paper, BENDS, scale=TRUE_SIZE)
    for text in BEND_WORDS:
        flow.paragraph(text, 8.5)
    centre = flow.left + flow.wide / 2, flow.y + RADII[-1] + 4.0
    for radius in RADII:
        flow.page.draw(half_circle(centre, radius))
    _radii_told(flow.page, centre)
    flow.page.draw(line((centre[0] - 2, centre[1]), (centre[0] + 2, centre[1]), 0.13))
    told = "radius to the middle of the tube, in mm"
    flow.page.write((centre[0], centre[1] + LEGS + 8.5), told, 8.0, anchor="middle")
    flow.y = centre[1] + LEGS + 14.0
    check_line(flow.page, flow.left + 1.0, flow.y)
    flow.y += 9.0
    _to_fill_in(flow, kinds)
    return flow.page


def half_circle(centre: Point, radius: float) -> Path:
    """Return the upper half of a circle with straight legs below."""
    turns = [math.radians(180.0 + STEP_DEG * k) for k in range(round(180 / STEP_DEG) + 1)]
    bow = [(centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)) for turn in turns]
    feet = [(centre[0] + side * radius, centre[1] + LEGS) for side in (-1, 1)]
    return Path(points=(feet[0], *bow, feet[1]), wide=0.18)


def _radii_told(page: Page, centre: Point) -> None:
    """Put each radius at the foot of its legs, close ones in turn at the left and at the right."""
    for k, radius in enumerate(RADII):
        for side in (-1, 1) if radius > 24 else ((-1) ** k,):
            at = centre[0] + side * radius + 0.8, centre[1] + LEGS + 1.0
            page.write(at, f"{radius:g}", 6.5, anchor="end", turn_deg=90.0)


def _to_fill_in(flow: Flow, kinds: dict[str, Tubing]) -> None:
    flow.paragraph(
        'Into the scene, without reckoning:  [tubing.NAME]  least_bend = "20 mm"  (radius in mm as read)', 8.5
    )
    for name, kind in kinds.items():
        told = f"{kind.least_bend_mm:.1f} mm" if kind.least_bend_mm is not None else "nothing"
        if kind.least_bend_inner_mm is not None:
            told = f"{kind.least_bend_inner_mm:.1f} mm to the inner side"
        says = lines_of(f"{name}: the scene has {told};", 8.5, 100.0)
        if flow.room < 4.2 * len(says):
            return  # the droop's tables have all of them once more
        for text in says[:-1]:
            flow.paragraph(text, 8.5, after=0.0)
        end = flow.to_fill_in(says[-1] + " stays round at", 16.0, flow.left, 8.5)
        flow.to_fill_in("flat at", 16.0, end + 3.0, 8.5)
        flow.skip(6.0)


def _droop(settings: Settings) -> Page:
    page = new_page(settings.paper, DROOPS, lying=True, scale=TRUE_SIZE)
    body = page.body
    y = body.top
    page.write((body.left, y + 4.5), DROOPS, 14.0, bold=True)
    y += 8.0
    for text in DROOP_WORDS:
        for one in lines_of(text, 8.0, body.right - body.left):
            page.write((body.left, y + 2.2), one, 8.0)
            y += 3.6
    zero = body.left + 26.0, y + 9.0
    _ledge(page, zero, body.left)
    _scale(page, zero)
    lying = shapes(SHOWN).tolist()
    for over in OVERHANGS:
        for drop, lies in zip(SHOWN, lying, strict=True):
            if drop * over <= DEEPEST:
                points = tuple((zero[0] + over * x, zero[1] + over * down) for x, down in lies)
                page.draw(Path(points=points, wide=0.13, grey=0.6))
    check_line(page, body.left + 1.0, body.bottom - 6.0)
    return page


def _ledge(page: Page, zero: Point, left: float) -> None:
    x, y = zero
    far = x + OVERHANGS[-1] + 6.0
    page.draw(line((left, y), (far, y), 0.5))
    page.draw(Path(points=((left, y + 5.0), (x, y + 5.0), (x, y + 16.0), (left, y + 16.0)), wide=0.35))
    page.draw(
        *(
            line((at, y + 16.0), (min(at + 8.0, x), y + 16.0 - min(8.0, x - at)), 0.13)
            for at in (left, left + 6, left + 12, left + 18)
        )
    )
    page.write((left + 1.0, y + 21.0), "ledge", 8.0)
    for over in (0.0, *OVERHANGS):
        page.draw(line((x + over, y - 3.0), (x + over, y + 3.0), 0.5))
        page.write((x + over, y - 4.0), f"{over:g}", 9.0, bold=True, anchor="middle")


def _scale(page: Page, zero: Point) -> None:
    """Put level lines each 2 mm below the heavy one, longer and numbered each 10."""
    x, y = zero
    for k in range(1, int(DEEPEST / 2) + 1):
        drop, tenth = 2.0 * k, k % 5 == 0
        page.draw(
            line(
                (x + (2.0 if tenth else 20.0), y + drop),
                (x + OVERHANGS[-1], y + drop),
                0.18 if tenth else 0.08,
                grey=0.3 if tenth else 0.7,
            )
        )
        if tenth:
            page.write((x + OVERHANGS[-1] + 2.0, y + drop + 1.0), f"{drop:g} mm", 7.5)


def _tables(settings: Settings, kinds: dict[str, Tubing]) -> list[Page]:
    if not kinds:
        return []
    flow = Flow(settings.paper, "Tubing test: what its droop says")
    flow.paragraph(
        "Into the scene, without reckoning:  [tubing.NAME]  modulus = 1.2  (the number below, in MPa)", 9.0
    )
    for name in kinds:
        at = flow.to_fill_in(f"{name}: drop", 14.0, flow.left, 9.0) if len(name) < 40 else flow.left
        at = flow.to_fill_in("mm, with", 14.0, at + 2.0, 9.0)
        flow.to_fill_in("mm over the ledge: modulus", 16.0, at + 2.0, 9.0)
        flow.skip(6.5)
        flow.need(8.0)
    for over in OVERHANGS:
        flow.heading(f"{over:g} mm over the ledge", 40.0)
        put_table(flow, droop_table(kinds, over), pt=8.0)
    return flow.pages


def droop_table(kinds: dict[str, Tubing], over_mm: float) -> Table:
    """Return Young's modulus for each kind of tubing, by how far its tip is below the ledge."""
    columns = [Column(name="drop", title="drop", unit="mm", share=0.6, align="right")]
    columns += [Column(name=f"kind {name}", title=name, unit="MPa", align="right") for name in kinds]
    drops = [
        EVERY * k
        for k in range(1, int(DEEPEST / EVERY) + 1)
        if max(LEAST, 0.04) <= EVERY * k / over_mm <= MOST
    ]
    rows = [(f"{drop:g}", *(_modulus(kind, drop, over_mm) for kind in kinds.values())) for drop in drops]
    notes = [_density(name, kind) for name, kind in kinds.items()] if over_mm == OVERHANGS[-1] else []
    return Table(
        name=f"droop-{over_mm:.0f}",
        title=f"Droop of {over_mm:.0f} mm",
        columns=tuple(columns),
        rows=tuple(rows),
        notes=tuple([*notes, *DROOP_NOTES] if notes else ()),
    )


def _modulus(kind: Tubing, drop: float, over_mm: float) -> Cell:
    density = kind.density_g_cm3 or UNKNOWN
    return _digits(modulus_mpa(drop / over_mm, over_mm, _section(kind), density))


def _digits(value: float) -> str:
    """Return a number with three digits, or as many as stand before the point."""
    return f"{value:.{max(2 - math.floor(math.log10(value)), 0)}f}"


def _section(kind: Tubing) -> tuple[float, float]:
    outside = kind.outside_mm if kind.outside_mm is not None else kind.bore_mm + 2 * (kind.wall_mm or 0.0)
    return outside, kind.bore_mm


def _density(name: str, kind: Tubing) -> str:
    outside, bore = _section(kind)
    area = math.pi / 4 * (outside**2 - bore**2)
    weights = ", ".join(f"{density * area:.1f} g: {density:g}" for density in _densities(kind))
    has = (
        f"{kind.density_g_cm3:g} g/cm³" if kind.density_g_cm3 else f"nothing; reckoned with {UNKNOWN:g} g/cm³"
    )
    return (
        f"{name}: outside {outside:.2f} mm, bore {bore:.2f} mm; for its density the scene has {has}. "
        f"Weigh 1 m of it: "
        f"{weights} g/cm³. Write density anew if yours differs, and print this page again."
    )


def _densities(kind: Tubing) -> Sequence[float]:
    about = kind.density_g_cm3 or UNKNOWN
    return tuple(round(about * share, 2) for share in (0.9, 0.95, 1.0, 1.05, 1.1, 1.2))
