"""Pictures in files: small ones, drawn off screen. What they show is tested as values elsewhere."""

import io
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from builders import a_scene, written
from PIL import Image
from small_lay import a_lay

from routeviz.geometry.arrays import Floats
from routeviz.pipeline import check_scene
from routeviz.views.cameras import projected
from routeviz.views.graphics import why_no_picture, why_no_window
from routeviz.views.lettering import FINE, whole_page
from routeviz.views.picture import drawn_pictures, write_pictures
from routeviz.views.stepping import Lay
from routeviz.writing import WritingError

SIZE = (480, 300)


@pytest.fixture(scope="module")
def lay(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return a_lay(tmp_path_factory.mktemp("lay"))


@pytest.fixture(scope="module")
def pictures(lay: Lay) -> dict[str, bytes]:
    return dict(drawn_pictures(lay.cabinet, lay.tubes, lay.measured, lay.findings, SIZE))


def pixels(content: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(content)))


def on_picture(lay: Lay, view: int, point: Floats) -> tuple[int, int]:
    """Column and row of the pixel at which a point of a view of the whole stands."""
    page = whole_page(SIZE, with_column=True)
    ((x, y),), _ = projected(lay.shown.views[view], np.asarray(point)[None], page.seen)
    return int(x) + page.area[0] // FINE, int(y) + page.area[1] // FINE


def test_the_whole_is_drawn_from_four_sides_and_each_placed_fault_from_near_by(
    pictures: dict[str, bytes],
) -> None:
    assert list(pictures) == ["overview", "front", "top", "side", "fault-01", "fault-02", "fault-04"]
    assert {Image.open(io.BytesIO(content)).size for content in pictures.values()} == {SIZE}


def test_the_same_lay_gives_the_same_bytes(lay: Lay, pictures: dict[str, bytes]) -> None:
    assert dict(drawn_pictures(lay.cabinet, lay.tubes, lay.measured, lay.findings, SIZE)) == pictures


def test_wood_that_is_seen_through_is_drawn(lay: Lay) -> None:
    # Multisampling together with depth peeling loses everything translucent, and says nothing.
    page = whole_page(SIZE, with_column=False)
    sound = dict(drawn_pictures(lay.cabinet, lay.tubes, lay.measured, (), SIZE))
    front = lay.shown.views[1]
    from routeviz.views.display import display

    shown = display(lay.cabinet, lay.tubes, lay.measured, (), aspect=page.seen[0] / page.seen[1])
    ((x, y),), _ = projected(shown.views[1], np.array([(-50.0, 0.0, 380.0)]), page.seen)
    panel = pixels(sound["front"])[int(y) + page.area[1] // FINE, int(x)]
    assert front.parallel
    assert panel.min() < 245
    assert panel[0] > panel[2] + 10  # wood is warmer than paper, and lighter than anything that hides
    assert panel.min() > 150


def test_the_mark_of_a_fault_is_red_near_its_place(lay: Lay, pictures: dict[str, bytes]) -> None:
    x, y = on_picture(lay, 1, lay.findings[0].point)  # type: ignore[arg-type]
    around = pixels(pictures["front"])[max(y - 20, 0) : y + 20, max(x - 20, 0) : x + 20].astype(int)
    reds = (around[..., 0] > 120) & (around[..., 1] < 60) & (around[..., 2] < 70)
    assert reds.sum() > 20


def test_a_close_up_is_drawn_about_its_place_and_says_what_it_shows(pictures: dict[str, bytes]) -> None:
    shot = pixels(pictures["fault-01"])
    middle = shot[60:200, 120:360].reshape(-1, 3)
    assert len(np.unique(middle, axis=0)) > 100
    caption = shot[-50:-18, 20:300]
    assert (caption.min(axis=2) < 140).sum() > 60  # dark letters


def test_legend_and_scale_bar_are_there(pictures: dict[str, bytes]) -> None:
    foot = pixels(pictures["front"])[-18:]
    assert (foot[:, :240].min(axis=2) < 200).sum() > 100
    bar = foot[:, 380:]
    assert (bar.max(axis=2) < 80).sum() > 30


def test_pictures_are_written_under_their_names_and_mended_faults_taken_away(
    lay: Lay, tmp_path: Path
) -> None:
    stale, other = tmp_path / "small-fault-77.png", tmp_path / "smaller-fault-77.png"
    stale.write_bytes(b"old")
    other.write_bytes(b"another scene's")
    written = write_pictures(
        lay.cabinet, lay.tubes, lay.measured, lay.findings, folder=tmp_path, name="small", size=(160, 100)
    )
    names = ["overview", "front", "top", "side", "fault-01", "fault-02", "fault-04"]
    assert [path.name for path in written] == [f"small-{name}.png" for name in names]
    assert all(path.read_bytes().startswith(b"\x89PNG") for path in written)
    assert not stale.exists()
    assert other.exists()


def test_a_case_with_nothing_in_it_is_drawn_too(tmp_path: Path) -> None:
    lay = check_scene(written(tmp_path, a_scene()))
    pictures = dict(drawn_pictures(lay.cabinet, lay.tubes, lay.measured, lay.findings, (160, 100)))
    assert list(pictures) == ["overview", "front", "top", "side"]


def test_a_folder_that_cannot_be_made_is_said_before_anything_is_drawn(lay: Lay, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(WritingError, match="cannot be written"):
        write_pictures(
            lay.cabinet, lay.tubes, lay.measured, lay.findings, folder=tmp_path / "file" / "sub", name="small"
        )


def test_a_machine_without_graphics_libraries_gets_a_sentence_and_no_crash(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Where no driver is found, what draws ends the process.
    monkeypatch.setenv("__EGL_VENDOR_LIBRARY_FILENAMES", str(tmp_path / "none"))
    monkeypatch.setenv("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
    reason = why_no_picture()
    assert reason is not None
    assert reason.startswith("no picture can be drawn: this machine lacks graphics libraries")
    assert "libegl1" in reason


def test_this_machine_can_draw() -> None:
    assert why_no_picture() is None


def test_without_a_screen_a_window_is_refused_with_the_other_way(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    reason = why_no_window()
    assert reason is not None
    assert "no screen" in reason
    assert "routeviz picture" in reason


def test_importing_the_views_does_not_import_the_drawing_library() -> None:
    code = (
        "import sys, routeviz.views.picture, routeviz.views.window;"
        "sys.exit('pyvista' in sys.modules or 'vtkmodules' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], check=False, env=os.environ | {"PYTHONWARNINGS": ""})
    assert run.returncode == 0
