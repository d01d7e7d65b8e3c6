"""Discs from tables as owners save them, and one sentence for each thing that can be wrong."""

from __future__ import annotations

import pytest
import store_examples as ex

from rimwise.errors import InputError
from rimwise.flight.printed import Printed
from rimwise.records.discs import Disc, Mold, OwnGrip, Status, Weight, WeightRelativeTo
from rimwise.store.exchange.discs import read_discs, read_discs_csv
from rimwise.store.exchange.known import Known
from rimwise.store.exchange.save import known_in, save_discs
from rimwise.store.opening import open_store

KNOWN = Known.of([ex.MOLD], [ex.PLASTIC])
HEADER = "disc,mold,speed,glide,turn,fade,plastic,weight,colour"


def sentences(read):
    return [str(problem) for problem in read.problems]


def one_bad(text, known=KNOWN):
    """Return the sentence of a file with exactly one problem."""
    read = read_discs_csv(text, "discs.csv", known)
    assert len(read.problems) == 1, sentences(read)
    return sentences(read)[0]


def one_cell(column, cell):
    """Return the sentence about a single bad cell of an otherwise good row."""
    return one_bad(f"mold,plastic,weight,{column}\nNH 27,soft base,170,{cell}\n")


def test_a_full_table():
    text = (
        "Maker,Mould,Speed,Glide,Turn,Fade,Material,Wt (g),Color,Mark,Run,Wear,Where,Price,"
        "Cold-Dry,cold wet,grip warm-dry,Grip_Hot_Sweaty,Means,Notes,Floats\n"
        "NH,NH 27,7,5,-2,1,soft base,172.5,red,two dots,second,40%,in the car,€14.50,"
        "4.5,poor,SURE,,first ace,rolls,yes\n"
    )
    read = read_discs_csv(text, "discs.csv")
    assert read.problems == ()
    assert read.molds == (Mold("NH 27", Printed(7, 5, -2, 1), "NH"),)
    assert [(plastic.name, plastic.floats) for plastic in read.plastics] == [("soft base", True)]
    assert read.discs == (
        Disc(
            "nh27-red",
            "NH 27",
            "soft base",
            Weight(172.5, 1.0),
            run="second",
            colour="red",
            mark="two dots",
            wear=0.4,
            status=Status.CAR,
            cost=14.5,
            meaning="first ace",
            own_grip=OwnGrip(4.5, 2.0, 5.0, None),
            note="rolls",
        ),
    )


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_any_delimiter_order_and_line_ending(delimiter, ending):
    rows = [["weight", "plastic", "mold"], ["170", "soft base", "NH 27"]]
    text = ending.join(delimiter.join(row) for row in rows)
    read = read_discs_csv(text, "discs.csv", KNOWN)
    assert [(disc.id, disc.weight) for disc in read.discs] == [("nh27", Weight(170.0))]
    assert read.problems == ()


@pytest.mark.parametrize("text", ["speed;fade\n6,5;1,5", 'speed,fade\n"6,5","1,5"'])
def test_decimal_commas(text):
    header, row = text.split("\n")
    mark = ";" if ";" in text else ","
    text = f"{header}{mark}glide{mark}turn{mark}mold{mark}plastic{mark}weight\n"
    text += row + mark + mark.join(["5", "−1", "OL 9", "soft base", "170"])
    read = read_discs_csv(text, "discs.csv", KNOWN)
    assert read.problems == ()
    assert read.molds[0].printed == Printed(6.5, 5.0, -1.0, 1.5)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
def test_encodings(encoding):
    text = "mold,plastic,weight,colour\nNH 27,soft base,170,grün\n"
    read = read_discs_csv(text.encode(encoding), "discs.csv", KNOWN)
    assert read.discs[0].colour == "grün"
    assert read.discs[0].id == "nh27-grün"
    guessed = [str(notice) for notice in read.notices]
    assert guessed == (
        [
            (
                "discs.csv: the file is not UTF-8 and was read as Latin-1; "
                "check the accented letters, and save it as UTF-8 if they look wrong."
            )
        ]
        if encoding == "latin-1"
        else []
    )


@pytest.mark.parametrize(
    ("header", "cell", "expected"),
    [
        ("weight", "170", Weight(170.0, 1.0)),
        ("weight", "171,5 g", Weight(171.5, 1.0)),
        ("wt (g)", "170g", Weight(170.0, 1.0)),
        ("weight_oz", "6", Weight(6 * 28.349523125, 1.0)),
        ("oz", "6", Weight(6 * 28.349523125, 1.0)),
        ("weight", "6.2 oz", Weight(6.2 * 28.349523125, 1.0)),
        ("weight [oz]", "170 g", Weight(170.0, 1.0)),
        ("weight", "170ish", Weight(170.0, 3.0)),
        ("weight", "~170", Weight(170.0, 3.0)),
        ("weight", "about 170 g", Weight(170.0, 3.0)),
        ("weight", "170-174", Weight(172.0, 2.0)),
        ("weight", "5 g lighter than nh27-red", WeightRelativeTo("nh27-red", -5.0, 2.0)),
        ("weight", "About 5 g heavier than NH27-RED", WeightRelativeTo("nh27-red", 5.0, 3.0)),
        ("weight", "same as nh27-red", WeightRelativeTo("nh27-red", 0.0, 2.0)),
    ],
)
def test_weights(header, cell, expected):
    known = Known.of([ex.MOLD], [ex.PLASTIC], [ex.RED])
    text = f'mold,plastic,{header},colour\nNH 27,soft base,"{cell}",blue\n'
    read = read_discs_csv(text, "discs.csv", known)
    assert sentences(read) == []
    assert read.discs[0].weight == expected


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("", 0.0),
        ("new", 0.0),
        ("Good", 0.2),
        ("worn", 0.6),
        ("beaten", 0.9),
        ("0,3", 0.3),
        ("30 %", 0.3),
    ],
)
def test_wear(cell, expected):
    text = f"mold;plastic;weight;wear\nNH 27;soft base;170;{cell}"
    assert read_discs_csv(text, "discs.csv", KNOWN).discs[0].wear == pytest.approx(expected)


def test_a_percent_sign_in_the_header_of_wear():
    text = "mold,plastic,weight,wear %\nNH 27,soft base,170,30\nNH 27,soft base,171,new\n"
    assert [disc.wear for disc in read_discs_csv(text, "d.csv", KNOWN).discs] == [0.3, 0.0]


def test_condition_speaks_for_wear_only_when_wear_is_not_given():
    text = (
        "mold,plastic,weight,condition,wear\n"
        "NH 27,soft base,170,worn,\nNH 27,soft base,171,worn,0.1"
    )
    read = read_discs_csv(text, "discs.csv", KNOWN)
    assert [(disc.condition, disc.wear) for disc in read.discs] == [("worn", 0.6), ("worn", 0.1)]


def test_names_are_made_from_mold_and_colour_and_stay_unique():
    text = HEADER + (
        "\n,NH 27,,,,,soft base,170,Deep Red\n,NH 27,,,,,soft base,171,deep red\n"
        "nh27-deep-red-3,NH 27,,,,,soft base,172,\n,NH 27,,,,,soft base,173,deep red\n"
    )
    read = read_discs_csv(text, "discs.csv", KNOWN)
    assert [disc.id for disc in read.discs] == [
        "nh27-deep-red",
        "nh27-deep-red-2",
        "nh27-deep-red-3",
        "nh27-deep-red-4",
    ]


def test_numbers_of_a_mold_need_to_stand_only_once():
    text = HEADER + "\n,OL 9,,,,,soft base,170,\n,ol9,9,5,-1,2,soft base,171,\n"
    read = read_discs_csv(text, "discs.csv", KNOWN)
    assert sentences(read) == []
    assert [disc.mold for disc in read.discs] == ["ol9", "ol9"]


def test_an_unknown_plastic_is_made_with_middle_grades_and_a_notice():
    text = "mold,plastic,weight\nNH 27,Soft  Base,170\nNH 27,tin,171\nNH 27,Tin,172\n"
    read = read_discs_csv(text, "discs.csv", KNOWN)
    assert [disc.plastic for disc in read.discs] == ["soft base", "tin", "tin"]
    assert [plastic.grip.cold_wet for plastic in read.plastics] == [3.0]
    assert [str(notice) for notice in read.notices] == [
        (
            "discs.csv, line 3: plastic 'tin' is new and gets middle grip grades (3 of 5); "
            "grade its grip when you have held it in cold and wet."
        )
    ]


def test_several_new_plastics_are_told_in_one_sentence():
    read = read_discs("NH 27, base, 170\nNH 27, tin, 171\nNH 27, base, 900", "pasted", KNOWN)
    assert [str(notice) for notice in read.notices] == [
        (
            "pasted, line 1: plastics 'base' and 'tin' are new and get middle grip grades "
            "(3 of 5); grade their grip when you have held them in cold and wet."
        )
    ]
    none = read_discs("NH 27, base, 900", "pasted", KNOWN)
    assert none.notices == ()


def test_an_unused_column_is_named():
    read = read_discs_csv("mold,plastic,weight,owner\nNH 27,soft base,170,me", "d.csv", KNOWN)
    assert str(read.notices[0]) == (
        "d.csv, line 1: the column 'owner' is not used; rename it if it matters."
    )


@pytest.mark.parametrize(
    ("column", "cell", "sentence"),
    [
        ("wear", "50", "wear is 50; write 0.3, 30 % or a word: new, good, worn, beaten."),
        (
            "wear",
            "crisp",
            (
                "wear is 'crisp', which is no number; "
                "write a number such as 0.3, 30 % or a word: new, good, worn, beaten."
            ),
        ),
        (
            "status",
            "on the moon",
            (
                "status is 'on the moon'; write one of carried, at home, in the car, lent, lost, "
                "found, retired, practice stack."
            ),
        ),
        ("cost", "a lot", "cost is 'a lot', which is no number; write a number such as 12.50."),
        ("cost", "-3", "cost is -3; write what it cost, as in 12.50."),
        (
            "grip cold-wet",
            "7",
            "grip cold-wet is 7; write 1 to 5 or a word: slips, poor, fair, good, sure.",
        ),
        ("floats", "maybe", "floats is 'maybe'; write yes or no."),
        (
            "floats",
            "no",
            (
                "plastic soft base sinks here, but floats elsewhere; "
                "correct one of them, or give the floating plastic another name."
            ),
        ),
        (
            "weight_sd_g",
            "30",
            "weight uncertainty must be between 0 and 20 g, but is 30 g; correct it.",
        ),
    ],
)
def test_one_bad_cell_one_sentence(column, cell, sentence):
    assert one_cell(column, cell) == f"discs.csv, line 2: {sentence}"


@pytest.mark.parametrize(
    ("header", "cell", "sentence"),
    [
        ("weight", "0 g", "weight is 0 g; a disc weighs 60 to 200 g: write 170, 170ish or"),
        ("weight", "900", "weight is 900 g; a disc weighs 60 to 200 g: write 170, 170ish or"),
        ("weight_g", "6.2", "weight is 6.2 g; that looks like ounces: write 6.2 oz."),
        ("weight", "6.2", "weight is 6.2 g; that looks like ounces: write 6.2 oz."),
        ("weight_oz", "170", "weight is 170 oz; that looks like grams: write 170 g."),
        (
            "weight",
            "",
            "weight is empty; write 170, 170ish or 5 g lighter than another disc's name.",
        ),
        ("weight", "heavy", "weight is 'heavy'; write 170, 170ish or"),
        ("weight", "-170", "weight is '-170'; write 170, 170ish or"),
        ("weight", "170 kg", "weight is '170 kg'; write it in g or oz, as in 170 g or 6 oz."),
        ("weight", "5 kg lighter than x", "weight has the unit 'kg'; write the difference in g"),
        (
            "weight",
            "500 g lighter than x",
            "weight differs by 500 g; write a difference of at most",
        ),
        (
            "weight",
            "5 g lighter than ghost",
            (
                "the weight of 'nh27' is given against 'ghost', which is not on file; "
                "write the name of a disc whose weight is given in g."
            ),
        ),
        (
            "weight",
            "same as nh27",
            "the weights go in a circle: 'nh27' against 'nh27'; write the name of a disc",
        ),
    ],
)
def test_a_bad_weight(header, cell, sentence):
    text = f'mold,plastic,{header}\nNH 27,soft base,"{cell}"\n'
    assert one_bad(text).startswith(f"discs.csv, line 2: {sentence}")


@pytest.mark.parametrize(
    ("numbers", "sentence"),
    [
        ("40,5,0,1", "speed is 40; printed speeds go from 1 to 15."),
        ("7,5,-9,1", "turn is -9; printed turns go from -5 to 1."),
        ("7,5,0,", "fade is empty; write a number such as 0 to 5."),
        ("7,five,0,1", "glide is 'five', which is no number; write a number such as 1 to 7."),
        (
            ",,,",
            (
                "mold 'OL 9' is not on file and has no printed numbers here; "
                "write its speed, glide, turn and fade in columns of these names, once."
            ),
        ),
    ],
)
def test_bad_printed_numbers_in_line_7(numbers, sentence):
    good = "\nNH 27,7,5,-2,1,soft base,170" * 5
    text = f"mold,speed,glide,turn,fade,plastic,weight{good}\nOL 9,{numbers},soft base,170\n"
    assert one_bad(text) == f"discs.csv, line 7: {sentence}"


def test_one_mold_two_sets_of_numbers():
    text = HEADER + "\n,OL 9,9,5,-1,2,soft base,170,\n,OL 9,9,5,-2,2,soft base,170,\n"
    assert one_bad(text) == (
        "discs.csv, line 3: mold OL 9 is 9/5/-2/2 here, but 9/5/-1/2 in line 2; "
        "correct one of them, or give one of the molds another name."
    )
    text = HEADER + "\n,NH 27,9,5,-1,2,soft base,170,\n"
    assert one_bad(text).startswith(
        "discs.csv, line 2: mold NH 27 is 9/5/-1/2 here, but 7/5/-2/1 on file;"
    )


def test_one_mold_two_makers():
    text = "maker,mold,speed,glide,turn,fade,plastic,weight\nOL,NH 27,7,5,-2,1,soft base,170\n"
    assert one_bad(text) == (
        "discs.csv, line 2: mold NH 27 is by OL here, but by NH on file; "
        "call one of them by its maker too, such as 'OL NH 27'."
    )


def test_missing_columns_are_named_with_what_they_need():
    read = read_discs_csv("disc,speed\nred,7\n", "discs.csv", KNOWN)
    assert sentences(read) == [
        (
            "discs.csv, line 1: there is no column 'mold'; "
            "add a column 'mold' with the name of the mold "
            "(or rename the column of disc names, if molds stand in it)."
        ),
        (
            "discs.csv, line 1: there is no column 'plastic'; "
            "add a column 'plastic' with the plastic in plain words, such as soft base."
        ),
        (
            "discs.csv, line 1: there is no column 'weight'; "
            "add a column 'weight' with the weight in g or oz, such as 170 or 170ish."
        ),
    ]
    assert read.discs == ()


def test_empty_mold_or_plastic():
    text = "mold,plastic,weight,colour\n,soft base,170,red\nNH 27,,170,red\n"
    assert sentences(read_discs_csv(text, "discs.csv", KNOWN)) == [
        "discs.csv, line 2: mold is empty; write the name of the mold.",
        "discs.csv, line 3: plastic is empty; write it in plain words, as in soft base.",
    ]


def test_a_name_twice():
    text = (
        HEADER
        + "\na,NH 27,,,,,soft base,170,\nb,NH 27,,,,,soft base,170,\na,NH 27,,,,,soft base,172,"
    )
    assert one_bad(text) == (
        "discs.csv, line 4: the disc 'a' is in line 2 already; give each disc a name of its own."
    )


def test_a_row_with_too_many_cells():
    text = "mold,plastic,weight\nNH 27,soft base,170,5\n"
    assert one_bad(text) == (
        "discs.csv, line 2: the row has 4 cells, but the header 3; "
        'put cells that hold the delimiter between double quotes, as in "1,5".'
    )


def test_lines_are_counted_in_the_file_across_quoted_line_breaks():
    text = 'mold,plastic,weight,note\nNH 27,soft base,170,"a\nb\nc"\n\nNH 27,soft base,0,\n'
    assert one_bad(text).startswith("discs.csv, line 6: weight is 0 g")


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ("", "discs.csv is empty; give a file with at least one row."),
        (b"\xff\xfe", "discs.csv is empty; give a file with at least one row."),
        (b"PK\x03\x04rest", "discs.csv looks like a spreadsheet or zip file; in the spreadsheet"),
        (b"\x89PNG\r\n\x1a\n\x00", "discs.csv is not a text file; save the table as CSV (UTF-8)"),
        (b"mold\x00plastic", "discs.csv is not a text file; save the table as CSV (UTF-8)"),
        (",,\n , ,\n", "discs.csv has no row; give a file with a header and at least one row."),
        ("mold,plastic,weight\n", "discs.csv has no row; give a file with a header and at least"),
        ("x" * 5_000_001, "discs.csv is larger than 5 MB; give a file with only the rows you"),
        ('mold,plastic,weight\n"NH 27,soft', "discs.csv, line 2: a double quote is not closed"),
        ("mold,plastic,mould\na,b,c", "discs.csv has the column 'mold' twice; delete or rename"),
    ],
)
def test_a_file_that_cannot_be_read_at_all(data, sentence):
    with pytest.raises(InputError) as caught:
        read_discs_csv(data, "discs.csv", KNOWN)
    assert str(caught.value).startswith(sentence)


def test_good_rows_do_not_lean_on_bad_ones():
    text = HEADER + (
        "\na,NH 27,,,,,soft base,0,\nb,NH 27,,,,,soft base,same as a,\n"
        "c,NH 27,,,,,soft base,same as b,\nd,NH 27,,,,,soft base,170,\n"
    )
    read = read_discs_csv(text, "discs.csv", KNOWN)
    assert [disc.id for disc in read.discs] == ["d"]
    assert [problem.line for problem in read.problems] == [2, 3, 4]


def test_a_header_tells_a_table_from_plain_lines():
    table = read_discs("mold;plastic;weight\nNH 27;soft base;170", "pasted", KNOWN)
    lines = read_discs("NH 27; soft base; 170", "pasted", KNOWN)
    assert table.discs == lines.discs == (Disc("nh27", "NH 27", "soft base", Weight(170.0)),)


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "data.sqlite") as opened:
        yield opened


MIXED = HEADER + "\na,NH 27,7,5,-2,1,soft base,170,red\nb,NH 27,,,,,tin,900,red\n"


def test_one_problem_keeps_all_rows_out(store):
    read = read_discs_csv(MIXED, "discs.csv", known_in(store))
    with pytest.raises(InputError) as caught:
        save_discs(store, read)
    first, last = str(caught.value).split("\n")
    assert first.startswith("discs.csv, line 3: weight is 900 g")
    assert last == "Nothing was saved."
    assert len(store.discs) == len(store.molds) == len(store.plastics) == 0


def test_many_problems_are_counted_not_listed():
    text = HEADER + "\n,NH 27,,,,,soft base,0,red" * 50
    read = read_discs_csv(text, "discs.csv", KNOWN)
    assert len(read.problems) == 50
    with pytest.raises(InputError) as caught:
        save_discs(None, read)
    assert str(caught.value).split("\n")[-2:] == ["… and 42 more.", "Nothing was saved."]


def test_the_good_rows_are_saved_when_asked(store):
    read = read_discs_csv(MIXED, "discs.csv", known_in(store))
    assert save_discs(store, read, keep_good=True) == 1
    assert store.discs.keys() == ["a"]
    assert store.plastics.keys() == ["soft base"]


def test_importing_a_file_again_doubles_nothing(store):
    text = HEADER + "\n,NH 27,7,5,-2,1,soft base,170,red" * 2 + "\n,NH 27,,,,,soft base,171,red"
    save_discs(store, read_discs_csv(text, "discs.csv", known_in(store)))
    before = store.discs.all()
    again = read_discs_csv(text, "discs.csv", known_in(store))
    assert [notice.wrong for notice in again.notices] == [
        "this is taken for 'nh27-red' on file",
        "this is taken for 'nh27-red-2' on file",
        "this is taken for 'nh27-red-3' on file",
    ]
    save_discs(store, again)
    assert store.discs.all() == before


def test_a_named_disc_on_file_is_replaced_with_a_notice(store):
    save_discs(store, read_discs_csv(MIXED, "d.csv", known_in(store)), keep_good=True)
    text = "disc,mold,plastic,weight\na,NH 27,soft base,171\n"
    read = read_discs_csv(text, "d.csv", known_in(store))
    assert [str(notice) for notice in read.notices] == [
        (
            "d.csv, line 2: 'a' is on file and will be replaced; "
            "give this one another name to keep both."
        )
    ]
    save_discs(store, read)
    assert [disc.weight.grams for disc in store.discs.all()] == [171.0]
