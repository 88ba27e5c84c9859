"""How the package is cut: small modules, each with one home, a name that says what it is, and a docstring."""

import ast
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted((ROOT / "routeviz").rglob("*.py"))
NAMED = [module for module in MODULES if module.name != "__init__.py"]
MOST_LINES = 400
VAGUE = {"utils", "util", "helpers", "helper", "common", "core", "base", "misc", "types", "tools", "stuff"}


def within_root(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_there_are_modules_to_look_at() -> None:
    assert len(NAMED) > 5


@pytest.mark.parametrize("module", MODULES, ids=within_root)
def test_a_module_is_short_enough_to_be_read_at_once(module: Path) -> None:
    assert len(module.read_text(encoding="utf-8").splitlines()) <= MOST_LINES


@pytest.mark.parametrize("module", MODULES, ids=within_root)
def test_a_module_says_what_it_is_for(module: Path) -> None:
    assert ast.get_docstring(ast.parse(module.read_text(encoding="utf-8")))


# The top one may look its public names up late, so that the command line starts without numpy.
@pytest.mark.parametrize("package", sorted((ROOT / "routeviz").glob("*/**/__init__.py")), ids=within_root)
def test_a_package_file_holds_names_and_no_code(package: Path) -> None:
    body = ast.parse(package.read_text(encoding="utf-8")).body
    assert all(
        isinstance(statement, ast.Expr | ast.Import | ast.ImportFrom | ast.Assign | ast.AnnAssign)
        for statement in body
    )


@pytest.mark.parametrize("module", NAMED, ids=within_root)
def test_a_name_says_what_is_inside(module: Path) -> None:
    assert module.stem not in VAGUE
    assert module.parent.name not in VAGUE
    assert module.stem == "__main__" or not module.stem.startswith("_")


@pytest.mark.parametrize("module", NAMED, ids=within_root)
def test_a_module_does_not_repeat_the_name_of_its_folder(module: Path) -> None:
    assert module.stem != module.parent.name


def test_no_two_modules_have_one_name() -> None:
    twice = [name for name, count in Counter(module.stem for module in NAMED).items() if count > 1]
    assert not twice


def test_every_test_file_is_found_by_pytest() -> None:
    aside = {"experiments", "benchmarks", "mutants"}
    holding = [
        path
        for path in (ROOT / "tests").rglob("*.py")
        if not aside & set(path.relative_to(ROOT / "tests").parts)
        and any(
            isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        )
    ]
    assert holding
    assert not [within_root(path) for path in holding if not path.name.startswith("test_")]
