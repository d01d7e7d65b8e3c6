"""Commands that the documents and the tool's own sentences name exist, with their options."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
import typer

from rimwise.cli import main

ROOT = Path(__file__).parents[2]
TOP = typer.main.get_command(main.app)


def commands_in(group, before=""):
    """Yield (name, command), those of a group as "log throw"."""
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from commands_in(command, f"{before}{name} ")
        else:
            yield before + name, command


COMMANDS = dict(commands_in(TOP))
GROUPS = {name.split()[0] for name in COMMANDS if " " in name}
OPTIONS = {
    name: {word for one in command.params for word in one.opts}
    for name, command in COMMANDS.items()
}
EVERYWHERE = {word for one in TOP.params for word in one.opts} | {"--help"}
#: `rimwise plan winter` in running text, or rimwise-env/bin/rimwise demo … in a block.
NAMED = re.compile(r"`rimwise ([^`]+)`|^\S*[/\\]rimwise (.+)$", re.MULTILINE)


def named_in(text: str) -> list[str]:
    return [re.sub(r"\s+", " ", a or b) for a, b in NAMED.findall(text)]


def sentences(path: Path) -> str:
    """Return the strings of a module; what a sentence fills in becomes "…"."""
    found = []
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.JoinedStr):
            parts = [
                str(part.value) if isinstance(part, ast.Constant) else "…" for part in node.values
            ]
            found.append("".join(parts))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            found.append(node.value)
    return "\n".join(found)


PLACES = {
    path.relative_to(ROOT).as_posix(): path.read_text("utf-8")
    for path in [*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md")]
} | {
    path.relative_to(ROOT).as_posix(): sentences(path)
    for path in sorted((ROOT / "src").rglob("*.py"))
}
TOLD = [(place, told) for place, text in PLACES.items() for told in named_in(text)]


def fault(told: str) -> str:
    """Return what is wrong with a command line as it is written somewhere, or nothing."""
    words = [word for word in told.split(" ") if word not in ("…", "FILE")]
    while words and words[0].startswith("--"):  # options of the top command
        if words.pop(0) not in EVERYWHERE:
            return "unknown option of the top command"
    if not words or words[0] == "COMMAND":
        return ""
    name = " ".join(words[:2]) if words[0] in GROUPS else words[0]
    if name in GROUPS:
        return ""
    if name not in OPTIONS:
        return f"no command {name}"
    given = {word.split("=")[0] for word in words if word.startswith("--")}
    unknown = given - OPTIONS[name] - {"--help"}
    return f"no option {', '.join(sorted(unknown))}" if unknown else ""


@pytest.mark.parametrize(("place", "told"), sorted(set(TOLD)))
def test_what_is_named_exists(place, told):
    assert not fault(told)


def test_the_search_finds_both_documents_and_sentences():
    assert len([place for place, _ in TOLD if place == "README.md"]) >= len(TOP.commands)
    assert len({place for place, _ in TOLD if place.endswith(".py")}) >= 3


def test_faults_are_seen():
    assert fault("polish nh27-red") == "no command polish"
    assert fault("plan winter --sharpness 3") == "no option --sharpness"
    assert fault("log sleep") == "no command log sleep"
    assert fault("log grip x --light") == "no option --light"
    assert not fault("log")
    assert fault("--dta x plan")
    assert not fault("--data FILE …")


@pytest.mark.parametrize("name", OPTIONS)
def test_every_command_explains_itself(cli, name):
    said = cli(*name.split(), "--help")
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith(f"Usage: rimwise {name}")
    assert [word for word in OPTIONS[name] if word.startswith("--") and word not in said.out] == []
    assert "--json" in said.out
    assert "<" not in said.out.partition("Usage")[2].splitlines()[0]
    silent = [p.name for p in COMMANDS[name].params if not p.help]
    assert not silent
