"""A window in which a lay is turned, its tubes and findings are stepped through, and its keys are pressed.

What each key does is decided in stepping.py; pictures in files are in picture.py.
"""

from collections.abc import Sequence
from typing import Any

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube
from routeviz.views.batches import batches
from routeviz.views.inking import font_file
from routeviz.views.picture import aim, drawing_library, put, put_lights
from routeviz.views.shades import BADGES, INK, PAPER
from routeviz.views.stepping import HELP, Lay, Looking, lay_of, scene, stepped

SIZE = (1280, 800)
KEYS = "nbfgkrh"
PEELS = 4  # translucent layers kept apart
LETTERS = 9


class Window:
    """An open window; what is looked at changes with every key.

    Parameters
    ----------
    lay : Lay
        What it shows.
    off_screen : bool
        Whether to keep it from the screen.
    """

    def __init__(self, lay: Lay, *, off_screen: bool = False) -> None:
        self.lay = lay
        self.looking = Looking()
        self.view = lay.shown.views[0]
        self.plotter: Any = drawing_library().Plotter(
            off_screen=off_screen, window_size=list(SIZE), lighting="none", title=lay.shown.title
        )
        self.plotter.set_background(PAPER)
        # Never multisampling: with peeling it loses everything translucent.
        self.plotter.enable_anti_aliasing("ssaa")
        self.plotter.enable_depth_peeling(PEELS)
        self._bind()
        self._show(None)

    def press(self, key: str) -> None:
        """Do what a key does."""
        before = self.looking
        self.looking = stepped(before, key, self.lay)
        self._show(before)
        self.plotter.render()

    def _bind(self) -> None:
        self.plotter.reset_key_events()
        for key in KEYS:
            self.plotter.clear_events_for_key(key, raise_on_missing=False)
            self.plotter.add_key_event(key, lambda key=key: self.press(key))
        if self.plotter.iren is not None and self.plotter.iren.style is not None:
            # The drawing library gives f, r and others meanings of its own; an observer takes their place.
            self.plotter.iren.style.AddObserver("CharEvent", lambda *_: None)

    def _show(self, before: Looking | None) -> None:
        """Put on the stage what is now looked at, and fly to it where it asks for that."""
        seen = scene(self.looking, before, self.lay)
        self.plotter.clear_actors()
        self.view = seen.view or self.view
        for batch in batches(seen.drawn):
            put(self.plotter, batch, self.view, self.view.height_mm / SIZE[1])
        if seen.view is not None:
            put_lights(self.plotter, seen.view)
            aim(self.plotter, seen.view)
        self._number()
        self._words(seen.words)
        self.plotter.renderer.ResetCameraClippingRange()

    def _number(self) -> None:
        """Write the findings' numbers beside their places: all of them, or that of the one looked at."""
        markers = [
            m
            for m in self.lay.shown.markers
            if self.looking.finding is None or m.number == self.looking.finding + 1
        ]
        for severity, badge in BADGES.items():
            some = [m for m in markers if m.severity == severity]
            if some:
                actor = self.plotter.add_point_labels(
                    [m.point.tolist() for m in some],
                    [str(m.number) for m in some],
                    always_visible=True,
                    font_size=LETTERS + 2,
                    bold=True,
                    text_color=badge.text,
                    shape_color=badge.fill,
                    shape_opacity=1.0,
                    point_color=badge.rim,
                    reset_camera=False,
                    render=False,
                )
                # Without this, numbers that overlap others are dropped in silence.
                actor.GetMapper().SetPlaceAllLabels(True)

    def _words(self, words: str) -> None:
        """Write about what is seen above, and what the keys do below, each on a plate."""
        margin = 14
        keys = HELP if self.looking.helps else "h   what the keys do"
        for name, text, at, falls in (
            ("words", words, (margin, SIZE[1] - margin), "top"),
            ("keys", keys, (margin, margin), "bottom"),
        ):
            actor = self.plotter.add_text(
                text,
                position=at,
                name=name,
                color=INK,
                font_size=LETTERS,
                font_file=font_file(bold=False, even=name == "keys"),
                render=False,
            )
            actor.prop.justification_vertical = falls
            actor.prop.background_color, actor.prop.background_opacity = PAPER, 0.85


def show(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured, findings: Sequence[Finding]) -> None:
    """Show a lay in a window until it is closed.

    There must be a screen; ``graphics.why_no_window`` says whether there is.

    Parameters
    ----------
    cabinet, tubes, measured, findings
        The lay; findings in the order in which they are printed.
    """
    window = Window(lay_of(cabinet, tubes, measured, findings, SIZE[0] / SIZE[1]))
    window.plotter.show()
