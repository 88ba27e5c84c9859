"""Pictures of a lay in files: the whole from four sides, and every fault from near by.

What is shown is decided in display.py and shots.py, the lettering comes from lettering.py; here it is drawn.
"""

import io
import re
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.dashes import dashed
from routeviz.lay import Lay
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube
from routeviz.views.batches import Batch, batches
from routeviz.views.cameras import ANGLE_DEG, View, axes_of
from routeviz.views.display import Display, display, legend_of
from routeviz.views.graphics import choose_graphics
from routeviz.views.lettering import (
    Near,
    Page,
    Whole,
    legend_rows,
    near_page,
    near_picture,
    whole_page,
    whole_picture,
)
from routeviz.views.listing import summary
from routeviz.views.shades import PAPER
from routeviz.views.shots import Drawn, near, whole
from routeviz.views.surroundings import Surroundings, surroundings
from routeviz.writing import made_folder, write_whole

MOST_CLOSEUPS = 24  # more faults than these nobody looks through; the worst come first
LINES = 2.0  # how much wider a line must be drawn: it is measured on the finer picture that is averaged
NEARER = 8e-4  # share of the way to the eye by which lines stand before the faces that they bound
PEELS = 4  # translucent layers kept apart; deeper ones change nothing that can be seen


def write_pictures(  # noqa: PLR0913  as every view, and where to
    cabinet: Cabinet,
    tubes: Sequence[Tube],
    measured: Measured,
    findings: Sequence[Finding],
    *,
    folder: Path,
    name: str,
    size: tuple[int, int] = (1600, 1000),
) -> tuple[Path, ...]:
    """Write pictures of a lay as PNG files.

    They are ``NAME-overview.png``, ``NAME-front.png``, ``NAME-top.png``, ``NAME-side.png`` and, for the worst
    24 faults that have a place, ``NAME-fault-01.png`` and so on under the findings' own numbers. Close-ups
    that an earlier lay left in the folder under the same name are taken away.

    Parameters
    ----------
    cabinet, tubes, measured, findings
        The lay; findings in the order in which they are printed.
    folder : Path
        Made where it is missing.
    name : str
        What the files' names begin with.
    size : tuple of int
        Width and height of each in pixels.

    Returns
    -------
    paths : tuple of Path
        What was written, in that order.

    Raises
    ------
    WritingError
        The folder cannot be written; what stood there before still stands.
    """
    made_folder(folder)
    written = []
    # All are drawn before the first is written, so that no folder holds pictures of two lays.
    for picture, content in list(drawn_pictures(cabinet, tubes, measured, findings, size)):
        path = folder / f"{name}-{picture}.png"
        write_whole(path, content)
        written.append(path)
    _take_away_old(folder, name, written)
    return tuple(written)


def drawn_pictures(
    cabinet: Cabinet,
    tubes: Sequence[Tube],
    measured: Measured,
    findings: Sequence[Finding],
    size: tuple[int, int],
) -> Iterator[tuple[str, bytes]]:
    """Yield the name and the PNG of each picture, as ``write_pictures`` writes them."""
    rows = legend_rows(size, legend_of(cabinet, tubes, findings))
    page = whole_page(size, with_column=bool(findings), rows=rows)
    shown = display(cabinet, tubes, measured, findings, aspect=page.seen[0] / page.seen[1])
    closeups = shown.closeups[:MOST_CLOSEUPS]
    left_out = len(shown.closeups) - len(closeups)
    note = f"close-ups of the {MOST_CLOSEUPS} worst faults; {left_out} faults more" if left_out else ""
    words = (summary(findings, len(tubes)), note)
    at_rest = surroundings(cabinet, tubes, None)
    yield from _wholes(page, shown, at_rest, words)
    page = near_page(size, rows=rows)
    with _stage(page.seen) as plotter:
        for closeup in closeups:
            around = surroundings(cabinet, tubes, closeup.moved)
            about = Near(closeup=closeup, finding=findings[closeup.number - 1], around=around)
            image = _render(plotter, near(shown, closeup, cabinet), closeup.view)
            yield closeup.view.name, _png(near_picture(page, image, shown, about))


def whole_pictures(lay: Lay, sides: Collection[str], size: tuple[int, int]) -> Iterator[tuple[str, bytes]]:
    """Yield the name and the PNG of each picture of the whole from some sides.

    Parameters
    ----------
    lay : Lay
        With its findings.
    sides : collection of str
        Names of views: ``overview``, ``front``, ``top``, ``side``.
    size : tuple of int
        Width and height of each in pixels.

    Yields
    ------
    name, content : str, bytes
        In the order of the views.
    """
    rows = legend_rows(size, legend_of(lay.cabinet, lay.tubes, lay.findings))
    page = whole_page(size, with_column=bool(lay.findings), rows=rows)
    aspect = page.seen[0] / page.seen[1]
    shown = display(lay.cabinet, lay.tubes, lay.measured, lay.findings, aspect=aspect)
    shown = replace(shown, views=tuple(view for view in shown.views if view.name in sides))
    words = (summary(lay.findings, len(lay.tubes)), "")
    yield from _wholes(page, shown, surroundings(lay.cabinet, lay.tubes, None), words)


def two_states(
    show: Callable[[float], Display], after: Lay, words: str, size: tuple[int, int]
) -> Iterator[tuple[str, bytes]]:
    """Yield the name and the PNG of each picture of two states in one.

    Parameters
    ----------
    show : function
        What is shown, for a width over a height.
    after : Lay
        The later state: what stands before something is taken from it.
    words : str
        What stands over the column of changes.
    size : tuple of int
        Width and height of each in pixels.

    Yields
    ------
    name, content : str, bytes
        From all sides.
    """
    page = whole_page(size, with_column=True)
    shown = show(page.seen[0] / page.seen[1])
    yield from _wholes(page, shown, surroundings(after.cabinet, after.tubes, None), (words, ""))


def _wholes(
    page: Page, shown: Display, around: Surroundings, words: tuple[str, str]
) -> Iterator[tuple[str, bytes]]:
    with _stage(page.seen) as plotter:
        for view in shown.views:
            seen = Whole(shown=shown, view=view, around=around, words=words)
            yield view.name, _png(whole_picture(page, _render(plotter, whole(shown, view), view), seen))


def _take_away_old(folder: Path, name: str, written: Sequence[Path]) -> None:
    """Take away close-ups of an earlier lay: they would show faults that are mended."""
    ours = re.compile(re.escape(name) + r"-fault-\d+\.png")
    for path in folder.iterdir():
        if ours.fullmatch(path.name) and path not in written:
            path.unlink()


def _png(picture: Image.Image) -> bytes:
    file = io.BytesIO()
    picture.save(file, "png", compress_level=4)
    return file.getvalue()


@contextmanager
def _stage(size: tuple[int, int]) -> Iterator[Any]:
    """Yield an empty stage off screen; one for many pictures: setting one up takes as long as a picture."""
    plotter = drawing_library().Plotter(off_screen=True, window_size=list(size), lighting="none")
    try:
        plotter.set_background(PAPER)
        # Never multisampling: with peeling it loses everything translucent.
        plotter.enable_anti_aliasing("ssaa")
        plotter.enable_depth_peeling(PEELS)
        yield plotter
    finally:
        plotter.close()


def _render(plotter: Any, drawn: Sequence[Drawn], view: View) -> Image.Image:
    """Draw things from somewhere, without any lettering."""
    plotter.clear_actors()
    put_lights(plotter, view)
    for batch in batches(drawn):
        put(plotter, batch, view, view.height_mm / plotter.window_size[1])
    aim(plotter, view)
    plotter.render()
    return Image.fromarray(np.asarray(plotter.screenshot(return_img=True)))


def drawing_library() -> Any:
    """Return pyvista, told beforehand what to draw with; imported only when something is drawn."""
    choose_graphics()
    import pyvista

    return pyvista


def put(plotter: Any, batch: Batch, view: View, mm_a_pixel: float) -> Any:
    """Put a batch on the stage and return its actor.

    Parameters
    ----------
    plotter : pyvista.Plotter
        The stage.
    batch : Batch
        What is put there.
    view : View
        From where it is seen.
    mm_a_pixel : float
        What a pixel is in the case, for what must be some pixels wide.

    Returns
    -------
    actor : pyvista.Actor
        Coloured.
    """
    stroke = batch.stroke
    style: dict[str, Any] = {"color": stroke.colour, "opacity": stroke.opacity}
    match stroke.form:
        case "faces":
            style |= {"smooth_shading": True, "ambient": 0.55, "diffuse": 0.55, "specular": 0.0}
        case "rims":
            style |= {"lighting": False, "culling": "front"}
        case "lines":
            style |= {"lighting": False, "line_width": stroke.wide_px * LINES}
        case _:
            style |= {"lighting": False, "point_size": stroke.wide_px * LINES, "style": "points"}
            style |= {"render_points_as_spheres": True}
    if stroke.dashes:
        batch = _broken(batch, mm_a_pixel)
    mesh = _mesh(batch, _shifted(batch, view, mm_a_pixel))
    return plotter.add_mesh(mesh, reset_camera=False, render=False, **style)


def aim(plotter: Any, view: View) -> None:
    """Let a stage be seen as a view says."""
    camera = plotter.camera
    camera.position, camera.focal_point = view.eye.tolist(), view.target.tolist()
    camera.up = view.up.tolist()
    camera.view_angle = ANGLE_DEG
    camera.parallel_projection = view.parallel
    camera.parallel_scale = 0.5 * view.height_mm
    plotter.renderer.ResetCameraClippingRange()


def put_lights(plotter: Any, view: View) -> None:
    """Light a stage from the upper left, with a weaker light beside the eye, as drawings are shaded."""
    plotter.renderer.remove_all_lights()
    right, above, out = axes_of(view)
    for aside, up, bright in ((-0.6, 0.8, 0.72), (0.3, 0.1, 0.48)):
        light = drawing_library().Light(intensity=bright, light_type="scene light")
        light.positional = False
        light.position = (view.target + 1000.0 * (out + aside * right + up * above)).tolist()
        light.focal_point = view.target.tolist()
        plotter.add_light(light)


def _shifted(batch: Batch, view: View, mm_a_pixel: float) -> Floats:
    """Return a batch's points where they are drawn: rims outwards, lines a little nearer than their faces."""
    if batch.stroke.form == "rims":
        return batch.points + batch.stroke.wide_px * mm_a_pixel * batch.normals
    if batch.stroke.form == "lines":
        ahead = view.eye - (view.target if view.parallel else batch.points)
        return np.asarray(batch.points + NEARER * ahead)
    return batch.points


def _broken(batch: Batch, mm_a_pixel: float) -> Batch:
    """Return lines as the dashes that they are drawn as."""
    pattern = mm_a_pixel * np.array(batch.stroke.dashes)
    ends = dashed(batch.points.reshape(-1, 2, 3), pattern).reshape(-1, 3)
    return replace(batch, points=ends, normals=np.zeros_like(ends))


def _mesh(batch: Batch, places: Floats) -> Any:
    library = drawing_library()
    points = np.asarray(places, dtype=np.float32)
    if batch.stroke.form == "lines":
        pairs = np.arange(len(points)).reshape(-1, 2)
        return library.PolyData(points, lines=_counted(pairs))
    if batch.stroke.form == "dots":
        return library.PolyData(points)
    mesh = library.PolyData(points, faces=_counted(batch.triangles))
    mesh.point_data.active_normals = np.asarray(batch.normals, dtype=np.float32)
    return mesh


def _counted(cells: Ints) -> Ints:
    """Return cells as the drawing library takes them: each after the number of its points."""
    return np.insert(cells, 0, cells.shape[1], axis=1).ravel()
