"""How fast a collection of 60 discs is read, saved and loaded."""

from __future__ import annotations

import pytest

from rimwise.store.exchange.discs import read_discs_csv
from rimwise.store.exchange.save import save_discs
from rimwise.store.opening import open_store

pytestmark = pytest.mark.bench

TABLE = "disc,mold,speed,glide,turn,fade,plastic,weight,colour\n" + "".join(
    f"d{number},NH {number % 20},7,5,-2,1,soft base,{160 + number % 16},red\n"
    for number in range(60)
)


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "data.sqlite") as opened:
        yield opened


def test_read_60_discs(benchmark):
    assert len(benchmark(read_discs_csv, TABLE, "discs.csv").discs) == 60


def test_save_60_discs(benchmark, store):
    read = read_discs_csv(TABLE, "discs.csv")
    assert benchmark(save_discs, store, read) == 60


def test_load_60_discs(benchmark, store):
    save_discs(store, read_discs_csv(TABLE, "discs.csv"))
    assert len(benchmark(store.discs.all)) == 60


def test_open_a_file(benchmark, tmp_path):
    path = tmp_path / "data.sqlite"
    open_store(path).close()
    benchmark(lambda: open_store(path).close())
