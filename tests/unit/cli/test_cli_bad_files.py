"""Files that cannot be imported: one sentence says where and what to do, and nothing is saved."""

from __future__ import annotations

import pytest

from rimwise.store.opening import open_store
from tiny_season import DEMO, contents

HEAD = "disc,mold,speed,glide,turn,fade,plastic,weight\n"
DISC = "x1,XX 1,7,5,-1,2,base,172\n"
TEE = '<node id="1" lat="45" lon="-35"><tag k="disc_golf" v="tee"/><tag k="ref" v="1"/></node>'
BASKET = TEE.replace('id="1"', 'id="2"').replace("tee", "basket").replace('"45"', '"45.001"')
DAY = "name,weight,metar\nday,1,METAR ZZZZ 141150Z {} 9999 03/02 Q0998\n"

#: File name, content, and what the sentence has to say.
BAD = {
    "pounds": ("d.csv", f"{HEAD}x1,XX 1,7,5,-1,2,base,6 lb\n", ["line 2", "6 lb", "g or oz"]),
    "two columns missing": ("d.csv", "disc,mold\nx1,XX 1\n", ["'plastic'", "'weight'", "line 1"]),
    "no column of molds": ("d.csv", "disc,speed\nx1,7\n", ["line 1", "'mold'"]),
    "one disc twice": ("d.csv", HEAD + DISC + DISC, ["line 3", "line 2", "x1"]),
    "a disc of no weight": ("d.csv", f"{HEAD}x1,XX 1,7,5,-1,2,base,0\n", ["line 2", "60 to 200 g"]),
    "900 grams": ("d.csv", f"{HEAD}x1,XX 1,7,5,-1,2,base,900\n", ["line 2", "900", "60 to 200 g"]),
    "a speed of 40": ("d.csv", f"{HEAD}x1,XX 1,40,5,-1,2,base,172\n", ["line 2", "40", "1 to 15"]),
    "one bad row of two": ("d.csv", f"{HEAD}{DISC}x2,XX 2,7,5,-1,2,base,0\n", ["line 3"]),
    "nothing in the file": ("d.csv", "", ["d.csv", "empty"]),
    "no text": ("d.csv", "\0\1\2", ["d.csv", "not a text file"]),
    "broken XML": ("c.osm", "<osm>\n<node id='1'", ["c.osm", "line 2", "XML"]),
    "entity bomb": (
        "c.osm",
        (
            '<?xml version="1.0"?><!DOCTYPE o [<!ENTITY a "aa"><!ENTITY b "&a;&a;">]>'
            f'<osm version="0.6">{TEE}{BASKET.replace("basket", "&b;")}</osm>'
        ),
        ["c.osm", "entities"],
    ),
    "a tee without a basket": ("c.osm", f'<osm version="0.6">{TEE}</osm>', ["c.osm", "baskets"]),
    "latitude 145": (
        "c.osm",
        f'<osm version="0.6">{TEE.replace("45", "145")}{BASKET}</osm>',
        ["c.osm", "node 1", "145", "-90 and 90"],
    ),
    "longitude 500": (
        "c.geojson",
        (
            '{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": '
            '{"disc_golf": "tee", "ref": "1"}, "geometry": {"type": "Point", "coordinates": '
            "[500, 45]}}]}"
        ),
        ["c.geojson", "feature 1", "500", "-180 and 180"],
    ),
    "broken JSON": ("c.geojson", '{"type": "FeatureCollection", [', ["c.geojson", "line 1"]),
    "a hole of −5": ("c.csv", "hole,length (m)\n1,-5\n", ["c.csv", "line 2", "-5"]),
    "a hole without length": ("c.csv", "hole,length (m)\n1,80\n2,\n", ["c.csv", "line 3"]),
    "METAR without wind": ("w.csv", DAY.format(""), ["line 2", "no wind", "22015G25KT"]),
    "METAR that is none": ("w.txt", "METAR rubbish\n", ["w.txt", "line 1", "weather report"]),
    "no pressure": (
        "w.csv",
        "name,temperature_c,relative_humidity,wind_speed_m_s,wind_from_deg\na,3,0.5,3,0\n",
        ["line 1", "pressure_hpa"],
    ),
    "thrower without hand": ("t.json", '{"name": "T"}', ["t.json", "'hand'"]),
    "cart without name": ("c.json", '{"pockets": []}', ["c.json", "'name'"]),
    "could be anything": ("notes.bin", "hello", ["notes.bin", "--kind"]),
}


@pytest.mark.parametrize("case", BAD)
def test_a_bad_file_saves_nothing(cli, unplanned, tmp_path, case):
    name, content, told = BAD[case]
    file = tmp_path / name
    file.write_text(content, encoding="utf-8")
    before = contents(unplanned)
    said = cli("--data", unplanned, "import", file)
    assert_refused(said, told)
    assert contents(unplanned) == before


def test_a_bad_file_keeps_the_good_one_out(cli, unplanned, tmp_path):
    (tmp_path / "good.csv").write_text(HEAD + DISC)
    (tmp_path / "wrong.csv").write_text(HEAD + DISC.replace("172", "0"))
    before = contents(unplanned)
    said = cli("--data", unplanned, "import", tmp_path / "good.csv", tmp_path / "wrong.csv")
    assert_refused(said, ["wrong.csv", "line 2"])
    assert contents(unplanned) == before


OTHER_KIND = [
    ("discs.csv", "course", "table of discs"),
    ("discs.csv", "conditions", "table of discs"),
    ("discs.csv", "thrower", "table of discs"),
    ("course.osm", "discs", "a map"),
    ("course.osm", "conditions", "a map"),
    ("cart.json", "thrower", "'hand' is missing"),
    ("thrower.json", "cart", "'mass_kg' is missing"),
    ("winter.csv", "plastics", "no column 'grip cold dry'"),
    ("plastics.csv", "course", "no hole column"),
    ("discs.csv", "luggage", "choose one of"),
    ("throws.csv", "discs", "holds throws; import it with --kind throws"),
    ("rounds.csv", "discs", "holds rounds; import it with --kind rounds"),
    ("putts.csv", "throws", "these are no throws"),
    ("rounds.csv", None, "no course is called 'Invented Heath'"),
]


@pytest.mark.parametrize(("name", "kind", "told"), OTHER_KIND)
def test_a_file_of_another_kind(cli, unplanned, name, kind, told):
    before = contents(unplanned)
    words = [] if kind is None else ["--kind", kind]
    said = cli("--data", unplanned, "import", DEMO / name, *words)
    assert_refused(said, [told])
    assert contents(unplanned) == before


def test_what_is_no_file(cli, unplanned, tmp_path):
    assert_refused(cli("--data", unplanned, "import", tmp_path / "no.csv"), ["no file", "no.csv"])
    assert_refused(cli("--data", unplanned, "import", tmp_path), ["is a folder"])
    said = cli("--data", unplanned, "import", DEMO / "winter.csv", "--elevation", "high")
    assert_refused(said, ["--elevation", "120m or 400ft"])
    two = (DEMO / "winter.csv", DEMO / "summer.csv")
    assert_refused(cli("--data", unplanned, "import", *two, "--name", "x"), ["one file only"])


@pytest.mark.parametrize(
    ("text", "weight_g"),
    [
        ("\ufeff" + HEAD + DISC, 172.0),
        (HEAD.replace(",", ";") + "x1;XX 1;7;5;-1;2;base;172,5\n", 172.5),
        # 28.349523125 g to the avoirdupois ounce (international yard and pound agreement, 1959)
        (HEAD + DISC.replace("172", "6 oz"), 6 * 28.349523125),
    ],
    ids=["byte order mark", "semicolons and decimal commas", "ounces"],
)
def test_tables_as_spreadsheets_write_them(cli, unplanned, tmp_path, text, weight_g):
    (tmp_path / "d.csv").write_text(text, encoding="utf-8")
    said = cli("--data", unplanned, "import", tmp_path / "d.csv")
    assert (said.code, said.out, said.err) == (0, "1 disc from d.csv.\n", "")
    with open_store(unplanned) as store:
        assert store.discs.get("x1").weight.grams == pytest.approx(weight_g, abs=0.01)


def test_good_rows_are_kept_when_asked(cli, unplanned, tmp_path):
    (tmp_path / "d.csv").write_text(f"{HEAD}{DISC}x2,XX 2,7,5,-1,2,base,0\n")
    said = cli("--data", unplanned, "import", tmp_path / "d.csv", "--keep-good")
    assert said.code == 0
    assert "1 disc from" in said.out
    assert "line 3" in said.out
    with open_store(unplanned) as store:
        assert "x1" in store.discs
        assert "x2" not in store.discs


def assert_refused(said, told):
    assert said.code == 1
    assert said.out == ""
    assert said.err.startswith("rimwise: ")
    assert said.err.endswith(".\n")
    assert "Traceback" not in said.err
    assert not [words for words in told if words not in said.err]
