"""Keyboards of pianos: width, octave, and what a key's front and rear do.

Sources:

[width] Pianotech mailing list, January 2000, message 058578 (archive at moypiano.com): overall widths of the
    keyboard 47 7/8 in (American), 48 1/8 in (Asian), 48 3/8 in (European). One technician's figures.
[length] "How key length affects you", shusterpiano.com: a full upright's natural is 15 1/4 in long with its
    fulcrum 9 1/4 in from the front, the sharp 13 1/2 in and 8 in. It calls the travel about 1/2 in.
[dip] Mechanical Music Digest, 15 February 2010, article 07
    (mmdigest.com/Archives/Digests/201002/2010.02.15.07.html): key dip 10.0 to 10.5 mm.
"""

from itertools import pairwise

import pytest
from builders import with_part
from placed import a_cabinet, corners

INCH = 25.4


def with_upright(
    octave: object = 164.6, between: object = "1/16 in", dip: tuple[float, float] = (10, 10)
) -> str:
    """Eighty-eight keys; lengths and fulcrums from [length], heads and heights common practice, no source."""
    return with_part(
        "keys",
        kind="keyboard",
        keys=88,
        lowest="A0",
        octave=octave,
        between=between,
        sharps_back=50,
        natural={"long": "15 1/4 in", "front": 48, "balance": "9 1/4 in", "thick": 22, "dip": dip[0]},
        sharp={"long": "13 1/2 in", "front": 95, "balance": "8 in", "thick": 22, "stands": 12, "dip": dip[1]},
        dip_doubt=0,
    )


@pytest.mark.parametrize(
    ("width_in", "octave_mm"), [(47 + 7 / 8, 163.7), (48 + 1 / 8, 164.6), (48 + 3 / 8, 165.4)]
)
def test_an_octave_as_wide_as_published_gives_the_published_keyboard(
    width_in: float, octave_mm: float
) -> None:
    """[width]; the octave, seven of fifty-two naturals, rounded to 0.1 mm: 52/7 * 0.05 mm, so within 0.4 mm.

    The published widths are taken over the naturals' wood and the room beside one of them.
    """
    cabinet = a_cabinet(with_upright(octave=octave_mm, between=1.5))
    ends = [corners(cabinet, name)[:, 0] for name in ("keys 1", "keys 88")]
    assert max(ends[1]) - min(ends[0]) + 1.5 == pytest.approx(width_in * INCH, abs=0.4)


def test_eighty_eight_keys_from_a_are_fifty_two_naturals_and_thirty_six_sharps() -> None:
    """Common practice, no source."""
    looks = [solid.look for solid in a_cabinet(with_upright()).solids]
    assert (looks.count("ivory"), looks.count("ebony")) == (52, 36)


def test_naturals_of_an_octave_of_164_6_lie_23_51_apart() -> None:
    """[width], 48 1/8 in over 52 naturals: 23.507 mm."""
    cabinet = a_cabinet(with_upright())
    lefts = sorted(
        corners(cabinet, solid.name)[:, 0].min() for solid in cabinet.solids if solid.look == "ivory"
    )
    steps = [after - before for before, after in pairwise(lefts)]
    assert steps == pytest.approx([48.125 * INCH / 52] * 51, abs=0.01)


@pytest.mark.parametrize(
    ("key", "dips", "rise_mm"),
    [
        # [length], [dip]: 10 * (15.25 - 9.25) / 9.25 and 10.5 * (13.5 - 8) / 8, by similar triangles.
        ("keys 1", (10, 10), 6.49),
        ("keys 2", (10, 10.5), 7.22),
        # [length]'s own half inch of travel: 12.7 * 6 / 9.25.
        ("keys 1", (12.7, 10), 8.24),
    ],
)
def test_the_rear_of_a_key_rises_by_the_published_lengths(
    key: str, dips: tuple[float, float], rise_mm: float
) -> None:
    cabinet = a_cabinet(with_upright(dip=dips))
    rest, down = corners(cabinet, key), corners(cabinet, key, 1.0)
    rear = int(rest[:, 1].argmax())
    front = int(rest[:, 1].argmin())
    underside = [i for i in (rear, front) if rest[i, 2] == rest[:, 2].min()]
    assert len(underside) == 2
    assert down[rear, 2] - rest[rear, 2] == pytest.approx(rise_mm, abs=0.005)
    assert rest[front, 2] - down[front, 2] == pytest.approx(dips[int(key == "keys 2")], abs=1e-9)
