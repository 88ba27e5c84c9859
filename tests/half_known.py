"""A small case of which some was measured and some was not, and its twin that says nothing of it."""

from typing import Any

from builders import (
    corners_of,
    extent,
    place,
    with_board,
    with_box,
    with_nipple,
    with_part,
    with_tube,
)

SAID = {"status": "assumed", "why": "behind the plinth", "by": "Ann", "on": "2026-01-02", "spread": 3}


def pieces(*, said: bool) -> list[str]:
    """A shelf with an opening, four boxes, a space, tubes up through the opening; of each how it is known."""

    def known(status: str, **more: Any) -> dict[str, Any]:
        return {"doubt": {"status": status, **more}} if said else {}

    hand = extent(50, 50, 50)
    up = {"through": ["shelf hole"], "corners": corners_of((130, 80, 250))}
    high = {"is": 40, "status": "assumed", "recorded": "4 cm"} if said else 40
    return [
        with_board(
            "shelf",
            (0, 0, 200),
            (400, 200, 20),
            opening={"hole": {"at": place(100, 60, 0), "size": {"wide": 60, "deep": 40}}},
            **known("assumed", **{k: v for k, v in SAID.items() if k != "status"}),
        ),
        with_box("sure", (0, 0, 0), (60, 60, 100), **known("measured")),
        with_box("listed", (80, 0, 0), (60, 60, 100), **known("documented", source="list 3")),
        with_box("guess", (300, 0, 20), (60, 60, 100), **known("assumed")),
        with_box("seen", (220, 100, 0), (60, 60, 100), **known("inferred", why="a shadow on the wood")),
        with_part("like", kind="box", at=place(300, 120, 0), size={"wide": 60, "deep": 60, "high": high}),
        with_part(
            "hand", kind="keep_clear", why="a hand", at=place(0, 120, 0), size=hand, **known("designed")
        ),
        with_nipple("low", (130, 80, 50), "up", outside=4.8),
        with_nipple("high", (130, 80, 400), "down", outside=4.8),
        with_nipple("left", (160, 100, 300), "right", outside=4.8),
        with_nipple("right", (380, 100, 300), "left", outside=4.8),
        with_tube("low 1", "high 1", **up, **known("assumed")),
        with_tube("left 1", "right 1", corners=corners_of((270, 100, 300))),
    ]
