"""Sentences of the use cases in the words of the pages."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import rimwise
from rimwise.web.wording import PAGES, examples_in, in_page_words

SOURCE = Path(rimwise.__file__).parent
#: No page does these, so that their sentences keep the command.
COMMANDS_ALONE = {"backup", "course", "records", "restore", "serve"}


def sentences() -> list[str]:
    """Return every text in the code below the command line that names a command."""
    found = []
    for folder in ("app", "beliefs", "course", "decide", "packing", "records", "store"):
        for path in sorted((SOURCE / folder).rglob("*.py")):
            tree = ast.parse(path.read_text("utf-8"))
            told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
            found += [
                node.value
                for node in ast.walk(tree)
                if isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and id(node) not in told
                and "`rimwise " in node.value
            ]
    return found


def test_every_command_that_a_sentence_names_has_a_page():
    named = {name for text in sentences() for name in re.findall("`rimwise ([a-z-]+)", text)}
    assert {"plan", "discs", "import", "log"} <= named
    assert named - set(PAGES) <= COMMANDS_ALONE


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        (
            "nothing is planned yet; run `rimwise plan` first.",
            "Nothing is planned yet; open the page Plan first.",
        ),
        (
            "nh27 is in the plan but not available; run `rimwise plan` again.",
            "nh27 is in the plan but not available; plan again.",
        ),
        ("there is no 'x'; `rimwise discs` lists.", "There is no 'x'; the page Discs lists."),
        ("Known. `rimwise wish` ranks discs.", "Known. The page Wished-for discs ranks discs."),
        ("change it with `rimwise discs --set a status=home` first.",
         "Change it on the page Discs first."),
        ("`rimwise course --undo` brings it back.", "`rimwise course --undo` brings it back."),
    ],
)  # fmt: skip
def test_a_sentence_in_the_words_of_the_pages(said, meant):
    assert in_page_words(said) == meant


@pytest.mark.parametrize(
    ("told", "in_feet"),
    [
        ("write it as in 64m 5L bh.", "write it as in 210ft 15L bh."),
        ("'64m 5L nicely'; write 6m 13/20.", "'64m 5L nicely'; write 20ft 13/20."),
        ("as in 5mL or 5mR, or straight", "as in 15ftL or 15ftR, or straight"),
        ("write it as in '4C wet wind 5m/s'", "write it as in '40F wet wind 15mph'"),
        ("add 25m to go, 10m short or 4m past.", "add 80ft to go, 30ft short or 12ft past."),
        ("the throw is 64m long", "the throw is 64m long"),
    ],
)
def test_examples_are_what_the_owner_would_type(told, in_feet):
    assert examples_in(told, "ft") == in_feet
    assert examples_in(told, "m") == told
