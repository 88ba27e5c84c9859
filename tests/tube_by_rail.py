"""Small scenes of one tube: with a fault, without one, of no use at all, and drawn by nobody."""

from builders import a_scene, with_box, with_nipple, with_tube
from verdicts import a_tube_up

# A tube straight up, 5.56 outside, so its wall is 2.78 from its centreline; the rail begins 3.78 from it:
# 1 mm is free, and 2 mm are wanted to what stands still. Held at both ends over 100 mm it hardly hangs.
RAIL = with_box("rail", (3.78, -20, 40), (10, 40, 20))
ASIDE = with_box("rail", (33.78, -20, 40), (10, 40, 20))
FAULT = a_scene(a_tube_up(long=100), RAIL)
CLEAN = a_scene(a_tube_up(long=100), ASIDE)
BROKEN = a_scene(a_tube_up(long=100), with_box("rail", (0, 0, 0), (-1, 1, 1)))
UNDRAWN = a_scene(
    with_nipple("low", (0, 0, 0), outside=4.5),
    with_nipple("high", (0, 0, 300), "down", outside=4.5),
    with_tube("low 1", "high 1"),
)
