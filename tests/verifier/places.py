"""Where tees and couplers lie to which a scene gives no place: where the plan beside it says, read apart."""

import json
from pathlib import Path
from typing import Any

import fcl
import numpy as np
from verifier.parts import Case, Shape, Thing
from verifier.scenes import Scene

TRAVELS = np.linspace(0.0, 1.0, 21)  # at which a moving part is looked at


def plan_of(scene: Path) -> dict[str, Any]:
    """The plan beside a scene; nothing where there is none."""
    beside = scene.with_suffix(".plan.json")
    return json.loads(beside.read_text(encoding="utf-8")) if beside.exists() else {}


def without_place(scene: Scene) -> list[str]:
    """The tees and couplers of which neither the scene nor a plan taken up says where they lie."""
    parts = scene.tables.get("part", {})
    return [name for name, part in parts.items() if part["kind"] in ("tee", "coupler") and "at" not in part]


def settle(scene: Scene, plan: dict[str, Any]) -> None:
    """Write into a scene's tables what a plan says of its tees and couplers without a place."""
    waiting = without_place(scene)
    for place in plan.get("places", []):
        assert place["name"] in waiting, f"the plan places {place['name']}, of which nobody asked it"
        waiting.remove(place["name"])
        part = scene.tables["part"][place["name"]]
        part["at"] = {way: f"{place['at'][way]} mm" for way in ("right", "back", "up")}
        part["runs"] = place["runs"]
        if place["branches"] is not None:
            part["branches"] = place["branches"]


def stands_in(whole: Case, plan: dict[str, Any]) -> list[tuple[str, str]]:
    """Which tees and couplers of a plan stand in something, anywhere in its travel; spaces count."""
    placed = [whole.things[place["name"]] for place in plan.get("places", [])]
    others = list(whole.things.values())
    return [
        (one.name, other.name) for one in placed for other in others if one is not other and _meet(one, other)
    ]


def _meet(one: Thing, other: Thing) -> bool:
    poses = [other.motion.pose(travel) for travel in TRAVELS] if other.motion else [(np.eye(3), np.zeros(3))]
    return any(
        fcl.collide(_posed(mine, np.eye(3), np.zeros(3)), _posed(theirs, turn, shift)) > 0
        for turn, shift in poses
        for mine in one.shapes
        for theirs in other.shapes
    )


def _posed(shape: Shape, turn: np.ndarray, shift: np.ndarray) -> fcl.CollisionObject:
    return fcl.CollisionObject(shape.geometry, fcl.Transform(turn @ shape.turn, turn @ shape.place + shift))
