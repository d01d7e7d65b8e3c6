"""The house around the code: names, imports, sizes, requirements, and what must not be in it."""

from __future__ import annotations

import ast
import io
import re
import subprocess
import sys
import tokenize
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement

import rimwise

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
FOLDERS = ("src", "tests", "tools", "docs", "requirements", ".ci")
SOURCES = sorted(
    path for folder in ("src", "tests", "tools") for path in ROOT.glob(f"{folder}/**/*.py")
)
#: Packages whose import costs more than a command may take to start.
HEAVY = {"fastapi", "highspy", "numba", "scipy", "shapely", "uvicorn"}


def everything() -> Iterator[Path]:
    """Return every file of the project, without what tools leave behind."""
    for path in [*ROOT.iterdir(), *(p for name in FOLDERS for p in (ROOT / name).rglob("*"))]:
        if path.is_file() and "__pycache__" not in path.parts and path.name != ".coverage":
            yield path


def pins(name: str) -> dict[str, list[Requirement]]:
    """Return the requirements of a locked file by package, and check that each has a hash."""
    text = (ROOT / "requirements" / name).read_text("utf-8").replace("\\\n", " ")
    found: dict[str, list[Requirement]] = {}
    for line in filter(None, text.splitlines()):
        pinned, *hashes = re.split(r"\s+--hash=", line)
        assert hashes, f"{name}: {pinned} has no hash"
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}\s*", one) for one in hashes), pinned
        requirement = Requirement(pinned)
        assert re.match(r"==[\w.]+$", str(requirement.specifier)), pinned
        found.setdefault(requirement.name, []).append(requirement)
    return found


def declared(*groups: str, parts: tuple[str, ...] = ("web", "print")) -> list[Requirement]:
    """Return what pyproject.toml asks for: for the tool, its optional parts and some groups."""
    lines = list(PROJECT["project"]["dependencies"])
    for part in parts:
        lines += PROJECT["project"]["optional-dependencies"][part]
    for group in groups:
        lines += [one for one in PROJECT["dependency-groups"][group] if isinstance(one, str)]
    return [Requirement(line) for line in lines]


# -- names ---------------------------------------------------------------------------------


def test_public_names_are_sorted() -> None:
    assert rimwise.__all__ == sorted(set(rimwise.__all__))


@pytest.mark.parametrize("name", rimwise.__all__)
def test_public_name_is_there_and_listed(name: str) -> None:
    assert getattr(rimwise, name) is not None
    assert name in dir(rimwise)


def test_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'wade'"):
        rimwise.wade  # type: ignore[attr-defined]  # noqa: B018


def test_version_is_the_same_everywhere() -> None:
    version = PROJECT["project"]["version"]
    assert rimwise.__version__ == version
    assert f"## [{version}]" in (ROOT / "CHANGELOG.md").read_text("utf-8")


# -- imports -------------------------------------------------------------------------------


@pytest.mark.parametrize("module", ["rimwise", "rimwise.cli.main"])
def test_import_is_light(module: str) -> None:
    code = f"import sys, {module}; print(*{{name.partition('.')[0] for name in sys.modules}})"
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    loaded = set(result.stdout.split())
    assert "rimwise" in loaded
    assert not loaded & HEAVY


def test_every_imported_package_is_declared() -> None:
    """A package that only comes along with another one may stay away any day."""
    names = {requirement.name.lower() for requirement in declared()}
    undeclared = {
        f"{path.relative_to(ROOT)}: {name}"
        for path in SOURCES
        if path.is_relative_to(ROOT / "src")
        for name in imported(path)
        if name not in sys.stdlib_module_names | {"rimwise"} and name.lower() not in names
    }
    assert not undeclared


def imported(path: Path) -> set[str]:
    """Return the top-level packages that a file imports."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module.partition(".")[0])
    return names


# -- files ---------------------------------------------------------------------------------


def test_no_file_is_too_long_to_read() -> None:
    assert len(SOURCES) > 100
    long = {str(p): n for p in SOURCES if (n := p.read_text("utf-8").count("\n")) > 600}
    assert not long


def test_every_silenced_check_is_named() -> None:
    """``noqa`` and ``type: ignore`` say which rule they silence, so they silence no other."""
    bare = re.compile(
        r"#\s*(?:ruff:\s*|flake8:\s*)?noqa(?!:\s*[A-Z]+\d)|#\s*type:\s*ignore(?!\[\w)"
    )
    assert bare.search("x = 1  # noqa")
    assert bare.search("x = 1  # type: ignore")
    assert not bare.search("x = 1  # noqa: S608")
    found = [
        f"{path.relative_to(ROOT)}:{token.start[0]}: {token.string}"
        for path in SOURCES
        for token in tokenize.tokenize(io.BytesIO(path.read_bytes()).readline)
        if token.type == tokenize.COMMENT and bare.search(token.string)
    ]
    assert not found


def test_no_path_of_one_machine_and_no_package_index() -> None:
    machine = re.compile(rb"(?<![\w.*)])/(?:root|work|home|Users)/\w")
    index = re.compile(
        rb"\bpypi\.|pythonhosted|registry\.npm|proxy\.golang|index-url", re.IGNORECASE
    )
    assert machine.search(b'open("' + b"/" + b'root/data.csv")')
    assert index.search(b"https://py" + b"pi.org/simple")
    files = [path for path in everything() if path.name not in ("test_house.py", "lock.sh")]
    assert {"pyproject.toml", "README.md", "Makefile", "run"} <= {path.name for path in files}
    found = [
        f"{path.relative_to(ROOT)}: {hit[0]!r}"
        for path in files
        for pattern in (machine, index)
        if (hit := pattern.search(path.read_bytes()))
    ]
    assert not found


# -- requirements --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "groups"), [("run.txt", ["build"]), ("dev.txt", ["build", "dev"])]
)
def test_requirements_lock_what_the_project_asks_for(name: str, groups: list[str]) -> None:
    text = (ROOT / "requirements" / name).read_text("utf-8")
    assert "://" not in text
    assert not re.search(r"^\s*-", text.replace("    --hash=", ""), re.MULTILINE), "an option"
    locked = pins(name)
    parts = ("web",) if name == "run.txt" else ("web", "print")
    for wanted in declared(*groups, parts=parts):
        assert wanted.name.lower() in locked, f"run `make lock`: {wanted} is not in {name}"
        for pin in locked[wanted.name.lower()]:
            version = str(pin.specifier).removeprefix("==")
            assert wanted.specifier.contains(version), f"run `make lock`: {wanted}, but {pin}"


def test_both_requirement_files_lock_the_same_versions() -> None:
    run, dev = pins("run.txt"), pins("dev.txt")
    assert {name: list(map(str, dev.get(name, []))) for name in run} == {
        name: list(map(str, pinned)) for name, pinned in run.items()
    }


def test_build_backend_is_the_locked_one() -> None:
    """Installing without build isolation works only with the backend in the locked files."""
    assert PROJECT["build-system"]["requires"] == PROJECT["dependency-groups"]["build"]
