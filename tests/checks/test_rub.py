"""rub on both sides of its limit: levers, slides and keys whose nearest place is reckoned by hand."""

import math

import pytest
from builders import extent, place, with_box, with_part
from verdicts import RADIUS, a_tube_right, findings, limits, severity, the_one


def lever(travel=30, **more):
    """A lever backwards from its hinge, the line to the right through the case's zero; it turns upwards."""
    motion = {"turns_about": "right", "at": place(0, 0, 0), "travel": travel, **more.pop("moves", {})}
    return with_part("lever", kind="box", at=place(0, 0, 0), size=extent(10, 100, 10), motion=motion, **more)


# The lever's far upper edge: 100 back, 10 up at rest.
ARM = math.hypot(100, 10)
REST = math.degrees(math.atan2(10, 100))


def tube_before_the_edge(turned, gap, **more):
    """A tube along the hinge's direction, straight beyond the edge when the lever has turned so far."""
    angle, far = math.radians(REST + turned), ARM + gap + RADIUS
    return a_tube_right(at=(-150, far * math.cos(angle), far * math.sin(angle)), **more)


@pytest.mark.parametrize(("gap", "expected"), [(2.9, "fault"), (3.1, None)])
def test_the_nearest_place_may_lie_inside_the_travel(tmp_path, gap, expected):
    found = findings(tmp_path, "rub", tube_before_the_edge(14, gap), lever())
    assert severity(found) == expected
    if found:
        assert found[0].other == "lever"
        assert found[0].low == pytest.approx(gap, abs=0.05)
        assert found[0].low <= gap + 1e-6
        assert found[0].travel == pytest.approx(14 / 30, abs=0.05)


def test_a_lever_that_turns_the_other_way_rubs_nothing_above(tmp_path):
    assert findings(tmp_path, "rub", tube_before_the_edge(14, 1.0), lever(travel=-30)) == []
    assert findings(tmp_path, "rub", tube_before_the_edge(14, 1.0), lever()) != []


def test_the_doubt_of_the_travel_is_travelled_too(tmp_path):
    # 2.5 degrees beyond the travel the edge is some 4.4 mm short of the tube's place before it
    tube = tube_before_the_edge(32.5, 2.9)
    assert findings(tmp_path, "rub", tube, lever()) == []
    assert severity(findings(tmp_path, "rub", tube, lever(moves={"doubt": 2.5}))) == "fault"


@pytest.mark.parametrize(
    ("gap", "expected"), [(1.85, "fault"), (2.05, "caution"), (2.9, "caution"), (3.1, None)]
)
def test_what_the_tape_may_have_got_wrong_is_a_caution(tmp_path, gap, expected):
    found = findings(tmp_path, "rub", tube_before_the_edge(14, gap), lever(), top=limits(survey=1))
    assert severity(found) == expected


def test_a_tie_does_not_excuse_a_rub(tmp_path):
    tied = tube_before_the_edge(14, 1.0, ties=[{"along": 155, "to": "lever"}])
    assert severity(findings(tmp_path, "rub", tied, lever())) == "fault"


@pytest.mark.parametrize(("gap", "expected"), [(4.9, "fault"), (5.1, None)])
def test_a_moving_part_may_ask_for_more(tmp_path, gap, expected):
    assert severity(findings(tmp_path, "rub", tube_before_the_edge(14, gap), lever(clearance=5))) == expected


@pytest.mark.parametrize(("gap", "expected"), [(2.9, "fault"), (3.1, None)])
def test_a_slide_is_followed_to_its_end_and_its_doubt(tmp_path, gap, expected):
    # top at 10, slides up by 20, a doubt of 1: 31
    motion = {"slides": "up", "travel": 20, "doubt": 1}
    slide = with_box("slide", (0, 0, 0), (100, 100, 10), motion=motion)
    found = findings(tmp_path, "rub", a_tube_right(at=(-100, 50, 31 + gap + RADIUS)), slide)
    assert severity(found) == expected
    if found:
        assert found[0].travel == pytest.approx(1, abs=0.01)


# ── keys ────────────────────────────────────────────────────────────────────────────────────────────────
NATURAL = {"long": 387.35, "front": 50, "balance": 234.95, "thick": 22, "dip": 10}
SHARP = {"long": 342.9, "front": 95, "balance": 203.2, "thick": 22, "stands": 12, "dip": 10.5}


def keyboard(keys=1, **more):
    return with_part(
        "keys",
        kind="keyboard",
        at=place(0, 0, 0),
        keys=keys,
        lowest="C4",
        octave=164.5,
        between=1.5,
        sharps_back=50,
        natural=NATURAL,
        sharp=SHARP,
        dip_doubt=0.5,
        **more,
    )


def behind_the_rear(gap):
    """A tube across a natural, straight above its rear upper edge at full dip.

    The front goes down by 10.5 on an arm of 234.95, so the key turns by asin(10.5 / 234.95); the rear upper
    edge, 152.4 behind the balance and 22 above the stick's underside, turns with it, upwards.
    """
    turned = math.asin(10.5 / 234.95)
    back = 234.95 + 152.4 * math.cos(turned) - 22 * math.sin(turned)
    up = 152.4 * math.sin(turned) + 22 * math.cos(turned)
    return a_tube_right(at=(-100, back, up + gap + RADIUS))


@pytest.mark.parametrize(("gap", "expected"), [(2.9, "fault"), (3.1, None)])
def test_the_rear_of_a_key_rises_when_its_front_goes_down(tmp_path, gap, expected):
    found = findings(tmp_path, "rub", behind_the_rear(gap), keyboard())
    assert severity(found) == expected
    if found:
        assert found[0].other == "keys 1"
        assert found[0].low == pytest.approx(gap, abs=0.05)
        assert found[0].travel == pytest.approx(1, abs=0.02)


def test_a_locked_key_does_not_move(tmp_path):
    # its rear stays at 22, 6.79 lower than at full dip: 7.7 free, beyond any limit
    assert findings(tmp_path, "rub", behind_the_rear(1.0), keyboard(locked="1")) == []
    assert findings(tmp_path, "touch", behind_the_rear(1.0), keyboard(locked="1")) == []


def test_several_keys_of_a_keyboard_are_told_together(tmp_path):
    found = findings(tmp_path, "rub", behind_the_rear(1.0), keyboard(keys=5))
    assert "so with keys 1-5" in the_one(found).says


# ── moving into what stands ─────────────────────────────────────────────────────────────────────────────
@pytest.mark.parametrize(("up", "told"), [(55.0, True), (62.0, False)])
def test_a_moving_part_that_sweeps_into_another_is_a_caution(tmp_path, up, told):
    # at 30 degrees the far upper edge is at 100 sin 30 + 10 cos 30 = 58.66; half a millimetre is allowed
    found = findings(tmp_path, "rub", lever(), with_box("lid", (-50, 0, up), (100, 200, 10)))
    assert [(f.severity, f.other) for f in found] == ([("caution", "lever")] if told else [])
