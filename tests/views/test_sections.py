"""What a plane cuts out of a board is as long around as the board and its holes are, and nothing parts it."""

from pathlib import Path

import pytest
import shapely

from routeviz.pipeline import check_scene
from routeviz.views.aspects import ASPECTS
from routeviz.views.sections import cut_faces, plane_of

SCENES = Path(__file__).parents[2] / "scenes"
BED = 2 * (1400 + 420)  # mm around the key bed of the case as found, as its scene says


@pytest.mark.parametrize("hole", ["bass", "treble", "rod", "soft"])
def test_a_board_with_holes_has_the_rims_of_both_and_no_line_where_its_pieces_meet(hole: str) -> None:
    cabinet = check_scene(SCENES / "as_found.toml").cabinet
    holes = [one for one in cabinet.passages.values() if one.name.startswith("key bed ")]
    plane = plane_of(cabinet.passages[f"key bed {hole}"], [side.axes for side in ASPECTS])
    window = shapely.box(-2000, -2000, 2000, 2000)
    (face,) = (face for i, face in cut_faces(cabinet, plane, window) if cabinet.solids[i].name == "key bed")
    rims = [shapely.Polygon(one.outline).length for one in holes]
    assert len(face.interiors) == len(holes) == 4
    assert face.length == pytest.approx(BED + sum(rims), abs=0.001)
    assert face.area == pytest.approx(
        1400 * 420 - sum(shapely.Polygon(one.outline).area for one in holes), abs=0.01
    )
