"""The command that says how worn discs are."""

from __future__ import annotations

import json

import pytest


@pytest.mark.parametrize("columns", [80, 120])
def test_it_tells_what_needs_doing_first_and_fits(cli, unplanned, columns):
    cli("--data", unplanned, "discs", "--set", "nh27-blue", "condition=cracked")
    said = cli("--data", unplanned, "wear", columns=columns)
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("nh27-blue ")
    assert "do not throw it" in said.out.replace("\n", " ")
    assert "Nothing needs doing for the other" in said.out
    assert max(len(line) for line in said.out.splitlines()) <= columns


def test_one_disc_in_json(cli, unplanned):
    (life,) = json.loads(cli("--data", unplanned, "wear", "gold", "--json").out)["discs"]
    assert life["disc"] == "nh27-gold"
    assert 0.0 <= life["wear"] <= 1.0
    assert life["throws_left_low"] <= life["throws_left"] <= life["throws_left_high"]
    assert life["advice"] in ("keep", "replace soon", "new job", "retire", "check")


def test_an_unknown_disc_is_refused_in_one_sentence(cli, unplanned):
    said = cli("--data", unplanned, "wear", "nothing like it")
    assert said.code == 1
    assert said.err.count("\n") <= 2
    assert "no disc" in said.err
