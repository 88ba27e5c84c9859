"""Which models are there, and what do they say? Parts and tubing, each value with its source.

Models and examples lie beside the package in a checkout, and inside it once it is installed.
"""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from routeviz.errors import Problem, RoutevizError
from routeviz.scene.positions import Key, Positions, problem_at
from routeviz.scene.spelling import likeliest, nearest_first

NO_SOURCE = "no source: "  # how the source of a plausible value begins
MOST_NAMED = 8  # names in a message

# What is given in one of several ways: if the scene gives one, the model's others fall away.
ALTERNATIVES = (
    ("outside", "wall"),
    ("least_bend", "least_bend_inner"),
    ("right", "right_end"),
    ("back", "back_end"),
    ("up", "top_end"),
    ("size", "diameter", "outline"),
    ("turns_about", "slides"),
)

INDIVISIBLE = ("at", "to", "faces", "comes_out", "turns_about", "slides", "runs", "branches")  # points, ways


def folder_of(what: str) -> Path:
    """Return the folder of ``models`` or ``scenes``, from an installed package or from a checkout.

    Parameters
    ----------
    what : str
        The folder's name.

    Returns
    -------
    folder : Path
        Where it is.

    Raises
    ------
    RoutevizError
        The installation lacks it.
    """
    package = Path(str(files("routeviz")))
    for folder in (package / what, package.parent / what):
        if folder.is_dir():
            return folder
    raise RoutevizError(
        f"the folder {what!r} is missing from this installation\n"
        "  allowed: a complete installation or checkout\n  remedy: install routeviz again"
    )


def scene_file(name: str) -> Path:
    """Return where the example scene of a name lies.

    Parameters
    ----------
    name : str
        Such as ``first_six``.

    Returns
    -------
    path : Path
        Of its TOML file.

    Raises
    ------
    RoutevizError
        No example has this name.
    """
    known = {path.stem: path for path in sorted(folder_of("scenes").glob("*.toml"))}
    if name not in known:
        near = nearest_first(name, known)
        raise RoutevizError(
            f"no example {name!r}\n  allowed: {', '.join(near) or 'none'}\n  remedy: correct the name"
        )
    return known[name]


@cache
def models_of(group: str) -> Mapping[str, Path]:
    """Return the models of a group, ``parts`` or ``tubing``, by name."""
    return {path.stem: path for path in sorted((folder_of("models") / group).glob("*.toml"))}


@cache
def _tables(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def with_models(raw: dict[str, Any], at: Positions) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    """Return a scene's tables with what the models say under what the scene says.

    Parameters
    ----------
    raw : dict
        The scene as parsed.
    at : Positions
        Of the scene.

    Returns
    -------
    merged : dict
        Like ``raw``; an entry whose model is not known is left out.
    problems : tuple of Problem
        Models that are not known, or of another kind than the scene says.
    """
    problems: list[Problem] = []
    merged = dict(raw)
    for group, folder in (("part", "parts"), ("tubing", "tubing")):
        if isinstance(raw.get(group), dict):
            merged[group] = {}
            for name, entry in raw[group].items():
                whole = _with_model(entry, folder, (group, name), at)
                if isinstance(whole, Problem):
                    problems.append(whole)
                else:
                    merged[group][name] = whole
    return merged, tuple(problems)


def _with_model(entry: Any, folder: str, key: Key, at: Positions) -> Any:
    """Return an entry with its model under it, or the problem with its model."""
    if not isinstance(entry, dict) or "model" not in entry:
        return entry
    name = entry["model"]
    known = models_of(folder)
    if not isinstance(name, str) or name not in known:
        near, meant = nearest_first(str(name)[:60], known), likeliest(str(name)[:60], known)
        more = f" and {len(near) - MOST_NAMED} more" if len(near) > MOST_NAMED else ""
        remedy = f"did you mean {meant!r}? Or leave" if meant else "correct the name, or leave"
        return problem_at(
            at,
            (*key, "model"),
            f"no model {str(name)[:60]!r}",
            ", ".join(near[:MOST_NAMED]) + more,
            f"{remedy} model out and give the sizes",
        )
    model = _tables(known[name])
    if "kind" in entry and entry["kind"] != model.get("kind"):
        return problem_at(
            at,
            (*key, "kind"),
            f"kind {str(entry['kind'])[:60]!r}, but the model {name!r} is of kind {model.get('kind')!r}",
            f"kind = {model.get('kind')!r}, or no kind",
            "leave kind to the model",
        )
    whole = _under(model, entry)
    said_here = entry.keys() | _fallen(entry)
    kept = {key: said for key, said in model.get("source", {}).items() if key not in said_here}
    sources = entry.get("source", {})
    return whole | {"source": kept | sources if isinstance(sources, dict) else sources}


def _fallen(scene: dict[str, Any]) -> set[str]:
    """Return the keys that fall away because the scene says the same in another way."""
    return {
        key for group in ALTERNATIVES if not scene.keys().isdisjoint(group) for key in group
    } - scene.keys()


def _under(model: dict[str, Any], scene: dict[str, Any]) -> dict[str, Any]:
    """Return a table with the scene's values, and the model's where the scene is silent."""
    fallen = _fallen(scene)
    whole = {key: value for key, value in model.items() if key not in fallen}
    for key, value in scene.items():
        below = whole.get(key)
        whole[key] = _under(below, value) if isinstance(below, dict) and isinstance(value, dict) else value
    return whole
