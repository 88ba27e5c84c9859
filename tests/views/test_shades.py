"""Whether a fault can be told from what is sound in colour, in grey, and by eyes that lack one kind of cone.

Colour-blind sight is reckoned after F. Viénot, H. Brettel, J. D. Mollon, "Digital video colourmaps for
checking the legibility of displays by dichromats", Color Research and Application 24 (1999), 243-252; the
matrices are from memory. The ratio of luminances and its least value of 3 for what is not text are those of
WCAG 2.1, success criterion 1.4.11, from memory too.
"""

import numpy as np
import pytest

from routeviz.views.shades import (
    BADGES,
    BANDS,
    LAY_BEFORE,
    LIES_NOW,
    LIES_SAME,
    MARKED,
    PAPER,
    SOLIDS,
    TUBES,
    contrast,
    linear,
    luminance,
)

LMS_FROM_RGB = np.array(
    [[17.8824, 43.5161, 4.11935], [3.45565, 27.1554, 3.86714], [0.0299566, 0.184309, 1.46709]]
)
DICHROMATS = {
    "protanope": np.array([[0, 2.02344, -2.52581], [0, 1, 0], [0, 0, 1]]),
    "deuteranope": np.array([[1, 0, 0], [0.494207, 0, 1.24827], [0, 0, 1]]),
}
LEAST = 3.0


def as_seen_by(kind: str, colour: str) -> str:
    """The colour that a dichromat sees, as one that everybody sees so."""
    if kind == "everyone":
        return colour
    reduced = np.array([0.992052, 0.992052, 0.992052]) * linear(colour) + 0.003974
    rgb = np.linalg.inv(LMS_FROM_RGB) @ DICHROMATS[kind] @ LMS_FROM_RGB @ reduced
    shades = np.clip(rgb, 0.0, 1.0)
    coded = np.where(shades <= 0.0031308, 12.92 * shades, 1.055 * shades ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(255 * c):02x}" for c in coded.tolist())


@pytest.mark.parametrize("kind", ["everyone", "protanope", "deuteranope"])
@pytest.mark.parametrize("severity", ["fault", "caution"])
def test_the_two_bands_of_a_marked_tube_differ_in_lightness_for_everybody(severity: str, kind: str) -> None:
    look = MARKED[severity]  # type: ignore[index]
    assert contrast(as_seen_by(kind, look.colour), as_seen_by(kind, look.second)) >= LEAST


@pytest.mark.parametrize("kind", ["everyone", "protanope", "deuteranope"])
@pytest.mark.parametrize("carries", sorted(TUBES))
def test_the_dark_band_and_the_outline_of_a_fault_differ_in_lightness_from_every_sound_tube(
    carries: str, kind: str
) -> None:
    sound = as_seen_by(kind, TUBES[carries].colour)
    fault = MARKED["fault"]
    assert contrast(as_seen_by(kind, fault.colour), sound) >= LEAST
    assert contrast(as_seen_by(kind, fault.outline), sound) >= LEAST


def test_a_fault_and_a_caution_differ_in_more_than_colour() -> None:
    fault, caution = BANDS["fault"], BANDS["caution"]
    assert fault.share >= 2 * caution.share
    assert (
        MARKED["fault"].outline_px > MARKED["caution"].outline_px > max(t.outline_px for t in TUBES.values())
    )
    assert len({badge.shape for badge in BADGES.values()}) == len(BADGES)


def test_sound_tubes_have_no_bands() -> None:
    assert not any(look.second for look in TUBES.values())


@pytest.mark.parametrize("badge", BADGES.values(), ids=BADGES)
def test_a_number_can_be_read_on_its_badge(badge: object) -> None:
    assert contrast(badge.fill, badge.text) >= 4.5  # type: ignore[attr-defined]  # WCAG 2's least for text


def test_wood_is_light_and_seen_through_and_keys_are_not() -> None:
    assert SOLIDS["wood"].opacity < 0.5
    assert luminance(SOLIDS["wood"].colour) > 0.5
    assert SOLIDS["ivory"].opacity == SOLIDS["ebony"].opacity == 1.0
    assert luminance(SOLIDS["ivory"].colour) > 0.8
    assert luminance(SOLIDS["ebony"].colour) < 0.05


def test_luminance_and_contrast_are_those_of_black_and_white() -> None:
    assert luminance("#ffffff") == pytest.approx(1.0)
    assert contrast("#000000", PAPER) == pytest.approx(21.0)


def test_what_a_dichromat_sees_of_grey_is_the_same_grey() -> None:
    for kind in DICHROMATS:
        assert contrast(as_seen_by(kind, "#808080"), "#808080") == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize("kind", ["everyone", "protanope", "deuteranope"])
def test_how_a_tube_lies_now_is_told_from_how_it_lay_and_from_what_lies_as_it_did(kind: str) -> None:
    now, before, same = (as_seen_by(kind, look.colour) for look in (LIES_NOW, LAY_BEFORE, LIES_SAME))
    assert contrast(now, before) >= LEAST
    assert contrast(now, same) >= LEAST
    # Before and the same are both light: before is drawn in bands, with a darker outline.
    assert LAY_BEFORE.second
    assert not LIES_SAME.second
    assert luminance(LAY_BEFORE.outline) < luminance(LIES_SAME.outline)
