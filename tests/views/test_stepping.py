"""What the keys of the window do."""

import numpy as np
import pytest
from small_lay import a_lay

from routeviz.views.stepping import PRESSES, Lay, Looking, scene, stepped


@pytest.fixture(scope="module")
def lay(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return a_lay(tmp_path_factory.mktemp("lay"))


def after(keys: str, lay: Lay) -> Looking:
    looking = Looking()
    for key in keys:
        looking = stepped(looking, key, lay)
    return looking


def test_n_and_b_go_through_the_tubes_and_round_again(lay: Lay) -> None:
    assert [after("n" * k, lay).tube for k in (1, 2, 4, 5)] == [0, 1, 3, 0]
    assert after("b", lay).tube == 3
    assert after("nb", lay).tube == 3


def test_f_and_g_go_through_the_findings_and_leave_the_tubes(lay: Lay) -> None:
    looking = after("nnff", lay)
    assert (looking.tube, looking.finding) == (None, 1)
    assert after("g", lay).finding == len(lay.findings) - 1


def test_without_findings_f_changes_nothing(tmp_path_factory: pytest.TempPathFactory) -> None:
    sound = a_lay(tmp_path_factory.mktemp("sound"), findings=False)
    assert after("ff", sound).finding is None


def test_k_presses_all_that_moves_a_quarter_further_and_lets_go_at_the_end(lay: Lay) -> None:
    assert [after("k" * k, lay).pressed for k in (1, 4, 5)] == [1, 4, 0]
    pressed = scene(after("k" * PRESSES, lay), None, lay).drawn
    moved = {d.item.name for d in pressed if not np.array_equal(d.frame, np.eye(4))}
    assert moved == {f"keys {n}" for n in range(1, 13)}
    fronts = [
        (d.item.points @ d.frame[:3, :3].T + d.frame[:3, 3])[:, 2].min() - d.item.points[:, 2].min()
        for d in pressed
        if d.item.name == "keys 1"
    ]
    # Dip 10.2 mm and doubt 0.5 mm, at the lower edge of the key's front.
    assert fronts == [pytest.approx(-10.7, abs=0.1)]


def test_r_goes_back_to_the_whole_and_to_its_eye(lay: Lay) -> None:
    before = after("nfk", lay)
    looking = stepped(before, "r", lay)
    assert (looking.tube, looking.finding, looking.pressed) == (None, None, 0)
    assert scene(looking, before, lay).view is lay.shown.views[0]


def test_a_finding_is_seen_from_its_eye_and_pressing_leaves_the_eye_alone(lay: Lay) -> None:
    before = after("", lay)
    looking = stepped(before, "f", lay)
    view = scene(looking, before, lay).view
    assert view is not None
    assert (view.eye == lay.shown.closeups[0].view.eye).all()
    assert scene(stepped(looking, "k", lay), looking, lay).view is None
    assert scene(stepped(looking, "h", lay), looking, lay).view is None


def test_the_words_say_what_is_looked_at(lay: Lay) -> None:
    assert scene(after("n", lay), None, lay).words.startswith("tube 1 of 4: t 1, tag T1")
    words = scene(after("f", lay), None, lay).words
    assert words.startswith("fault 1 of 6: rub: t 1 – keys 5")
    assert "something about t 1" in words
    assert "remedy: mend it" in words


def test_a_finding_without_a_place_is_told_over_the_whole(lay: Lay) -> None:
    seen = scene(after("fff", lay), after("ff", lay), lay)
    assert seen.words.startswith("fault 3 of 6: fit: t 3")
    assert seen.view is None
    assert len(seen.drawn) == len(lay.shown.items)


def test_any_other_key_changes_nothing(lay: Lay) -> None:
    assert stepped(Looking(), "x", lay) == Looking()
