"""The documents: links lead somewhere, and what the code has is written down."""

from __future__ import annotations

import ast
import re
import runpy
from pathlib import Path
from typing import Any

import pytest
import typer

from rimwise.cli import main
from rimwise.records.assumptions import Assumptions, assumption_table

ROOT = Path(__file__).parents[2]
PAGES = sorted([*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md")])
README = (ROOT / "README.md").read_text("utf-8")
BIBLIOGRAPHY = (ROOT / "docs" / "bibliography.md").read_text("utf-8")
SOURCES = sorted(
    path for folder in ("src", "tests", "tools") for path in ROOT.glob(f"{folder}/**/*.py")
)

MONTHS = {
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
}
#: A surname or office, perhaps others, and a year: "Gelman & Nolan (2002", "Immonen 2022".
WORK = re.compile(
    r"\b([A-Z][a-zéäöü][\w-]+)(?:,? (?:&|and) [A-Z][\w-]+| [A-Z]{1,2}\b)*,? \(?((?:19|20)\d\d)\b"
)
STANDARD = re.compile(
    r"\b(ISO \d{4,5}|EN \d{4}-\d-\d|RFC \d{4}|NIST SP \d+|WMO[- ]No\. ?\d+|FM-\d+)"
)


def prose(path: Path) -> str:
    """Return the docstrings and comments of a file, as running text."""
    text = path.read_text("utf-8")
    docs = [
        ast.get_docstring(node) or ""
        for node in ast.walk(ast.parse(text))
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef))
    ]
    comments = re.findall(r"#:? ?(.*)", text)
    return re.sub(r"\s+", " ", " ".join([*docs, " ", *comments]))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_relative_links_lead_to_files(page: Path) -> None:
    links = re.findall(r"\]\(([^)\s]+)\)|src=\"([^\"]+)\"", page.read_text("utf-8"))
    targets = [a or b for a, b in links if not re.match(r"https?:|mailto:|#", a or b)]
    missing = [to for to in targets if not (page.parent / to.partition("#")[0]).exists()]
    assert not missing
    assert targets or page.name not in ("README.md", "CONTRIBUTING.md")


def test_every_command_is_in_the_readme() -> None:
    commands: dict[str, Any] = typer.main.get_command(main.app).commands  # type: ignore[attr-defined]
    assert len(commands) >= 10
    in_table = set(re.findall(r"^\| `rimwise ([\w-]+)", README, re.MULTILINE))
    assert in_table == set(commands)


def test_every_environment_variable_is_documented() -> None:
    """Names that begin with RIMWISE_ anywhere, and any other that is read by its plain name."""
    found: set[str] = set()
    for path in SOURCES:
        if path != Path(__file__):
            found |= environment_names(ast.parse(path.read_text("utf-8")))
    assert "RIMWISE_DATA" in found
    documented = README + (ROOT / "CONTRIBUTING.md").read_text("utf-8")
    assert not {name for name in found if f"`{name}`" not in documented}


def environment_names(tree: ast.AST) -> set[str]:
    """Return the names of environment variables that a file reads."""
    names = set()
    for node in ast.walk(tree):
        key: ast.AST | None = None
        if isinstance(node, ast.Constant) and re.fullmatch(r"RIMWISE_[A-Z_]+", str(node.value)):
            key = node
        elif isinstance(node, ast.Subscript) and ast.unparse(node.value).endswith("environ"):
            key = node.slice
        elif isinstance(node, ast.Call) and re.search(
            r"environ\.get$|getenv$", ast.unparse(node.func)
        ):
            key = node.args[0]
        if isinstance(key, ast.Constant):
            names.add(str(key.value))
    return names


def test_environment_names_are_found() -> None:
    code = "os.environ['A_B']; os.getenv('C_D'); environ.get('E_F', 1); X = 'RIMWISE_G'"
    assert environment_names(ast.parse(code)) == {"A_B", "C_D", "E_F", "RIMWISE_G"}


def test_tested_pythons_are_those_of_the_classifiers() -> None:
    project = (ROOT / "pyproject.toml").read_text("utf-8")
    versions = re.findall(r"Python :: (3\.\d+)", project)
    assert versions
    assert all(version in README for version in versions)


def test_assumptions_page_is_up_to_date() -> None:
    """Run `make docs` when this fails."""
    page = runpy.run_path(str(ROOT / "tools" / "write_assumptions.py"))["page"]()
    assert (ROOT / "docs" / "assumptions.md").read_text("utf-8") == page
    rows = [line.split(" | ") for line in page.splitlines() if line.startswith("| `")]
    for row, item in zip(rows, assumption_table(Assumptions()), strict=True):
        assert row[0] == f"| `{item['name']}`"
        assert row[1].startswith(f"{item['default']:g}")


def test_every_cited_work_is_in_the_bibliography() -> None:
    entries = [line for line in BIBLIOGRAPHY.splitlines() if line.startswith("| ")]
    cited = set()
    for path in SOURCES:
        if path != Path(__file__):
            cited |= {pair for pair in WORK.findall(prose(path)) if pair[0] not in MONTHS}
    assert {("Hakimi", "1964"), ("Hummel", "2003"), ("Vehtari", "2026")} <= cited
    assert not {
        (name, year) for name, year in cited if not any(name in e and year in e for e in entries)
    }


def test_every_cited_standard_is_in_the_bibliography() -> None:
    cited = {plain(name) for path in SOURCES for name in STANDARD.findall(prose(path))}
    assert {"ISO 2533", "RFC 7946", "WMO No. 306"} <= cited
    assert not cited - {plain(name) for name in STANDARD.findall(BIBLIOGRAPHY)}


def plain(name: str) -> str:
    """Write a standard's number in one way."""
    return name.replace("WMO-", "WMO ")


@pytest.mark.parametrize(
    "page", sorted(ROOT.glob("docs/decisions/*.md")), ids=lambda page: page.stem
)
def test_decision_says_why_and_what_would_change_it(page: Path) -> None:
    text = page.read_text("utf-8")
    assert text.startswith(f"# {int(page.name[:4])}. ")
    for part in ("**Context.** ", "**Choice.** ", "**What would change our mind.** "):
        assert len(text.split(part)[1].split("\n\n")[0]) > 80
