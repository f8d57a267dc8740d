"""Makers' lists in every form: each designator is found, none is invented, each value stays as written."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bench.papers.lists import as_json, read_list
from tests.support.reading_samples import LISTS, SAMPLES, found_in, from_text, plain, read, told, wanted

SHARED = Path(__file__).resolve().parents[3] / "shared" / "lists"


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name)
def test_every_designator_and_value_of_a_list_is_read(sample: Path) -> None:
    want = wanted(sample)
    assert found_in(read(sample), boards=any(board for board, _ in want)) == want


WHOLE = dict(
    (block.partition("\n")[0], block.strip().splitlines()[1:])
    for block in Path(__file__).with_name("whole-lists.txt").read_text(encoding="utf-8").split("\n# ")[1:]
)
"""All that a person reads in a list: what each column and each line is, beside designators and values."""


@pytest.mark.parametrize("name", WHOLE)
def test_a_list_is_read_whole_as_a_person_reads_it(name: str) -> None:
    assert told(read(LISTS / name)) == WHOLE[name]


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name)
def test_every_filled_line_is_a_part_or_is_said_to_be_none(sample: Path) -> None:
    reading = read(sample)
    lines = sample.read_text(encoding="utf-8").split("\n")
    told = {part.line for part in reading.parts} | {skipped.line for skipped in reading.skipped}
    told |= {doubt.line for doubt in reading.doubts}
    if sample.suffix == ".html" or "<table" in sample.read_text(encoding="utf-8"):
        return  # a table of tags has one entry in many lines
    lost = [at for at, line in enumerate(lines, 1) if any(map(str.isalnum, line)) and at not in told]
    following = {at + 1 for at in told} | {at + 2 for at in told}
    assert [at for at in lost if at not in following] == []


@pytest.mark.parametrize("codec", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
@pytest.mark.parametrize(
    "name", ["german.csv", "wrapped-with-tabs.txt", "several-tables.md", "colon-lines.txt"]
)
def test_the_encoding_of_a_list_does_not_matter(name: str, codec: str) -> None:
    sample = next(path for path in SAMPLES if path.name == name)
    data = sample.read_text(encoding="utf-8").encode(codec)
    assert found_in(read_list(data, name)) == wanted(sample)


@pytest.mark.parametrize(
    "name", ["german.csv", "cell-over-lines.csv", "item-ref-qty.txt", "no-outer-strokes.md"]
)
def test_line_ends_and_a_missing_last_one_do_not_matter(name: str) -> None:
    sample = next(path for path in SAMPLES if path.name == name)
    text = sample.read_text(encoding="utf-8").rstrip("\n")
    for ending in ("\r\n", "\r"):
        assert found_in(read_list(text.replace("\n", ending).encode(), name)) == wanted(sample)


def test_old_encodings_of_micro_and_ohm_are_told_apart() -> None:
    text = "Ref,Value\nC1,10µF\nC2,4µ7\nR1,10\nR2,22\n"
    for codec in ("cp1252", "cp437"):
        assert found_in(read_list(text.encode(codec), "old.csv"))["", "C1"] == "10µF"


def test_japanese_text_in_its_old_encoding_is_read() -> None:
    sample = next(path for path in SAMPLES if path.name == "japanese.csv")
    reading = read_list(sample.read_text(encoding="utf-8").encode("cp932"), "list.csv")
    assert found_in(reading) == wanted(sample)
    assert reading.encoding == "Shift JIS"


def test_a_part_tells_its_line_quantity_and_what_stands_beside_it() -> None:
    reading = from_text('Ref,Qty,Value,Footprint,Notes\n"R1, R2",2,10k,0207,matched\nC1,1,100n,RM5,\n')
    part = reading.parts[0]
    assert (part.refs, part.value_text, part.quantity, part.line) == (("R1", "R2"), "10k", 2, 2)
    assert (part.package, part.note, part.understood) == ("0207", "matched", "10 kΩ")


def test_the_json_has_the_promised_shape() -> None:
    reading = from_text("Ref,Value\nR1,10k\nR1,22k\nTotal,2\n")
    shape = json.loads(json.dumps(as_json(reading)))
    assert shape["parts"][0]["refs"] == ["R1"]
    assert {"refs", "value_text", "quantity", "line"} <= shape["parts"][0].keys()
    assert {"line", "what"} <= shape["doubts"][0].keys()
    assert shape["skipped"][0]["line"] == 1


def test_values_keep_their_text_and_are_understood_beside_it() -> None:
    reading = from_text('Ref,Value\nC1,"47uF 6,3V ±20%"\nRV1,B100k\nR1,Resistor 4k7 1 %\nR2,10 Meg\n')
    assert [(part.value_text, part.understood) for part in reading.parts] == [
        ("47uF 6,3V ±20%", "47 µF"),
        ("B100k", "100 kΩ"),
        ("Resistor 4k7 1 %", "4.7 kΩ"),
        ("10 Meg", "10 MΩ"),
    ]


def test_bare_numbers_take_the_unit_that_the_list_states() -> None:
    reading = from_text("All capacitor values in pF\n\nC1 100\nC2 47\nR1 390\n", "list.txt")
    assert [part.understood for part in reading.parts] == ["100 pF", "47 pF", "390 Ω"]
    headed = from_text("Ref,Value (nF)\nC1,100\nC2,4.7\nC3,10\n")
    assert [part.understood for part in headed.parts] == ["100 nF", "4.7 nF", "10 nF"]


def test_what_stays_out_and_what_is_optional_is_marked() -> None:
    reading = from_text("Ref,Value,DNP\nR1,10k,\nR2,10k,DNP\nR3,DNP,\nR4,27k / (omit),\nR5,1k optional,\n")
    assert [(part.fitted, part.optional) for part in reading.parts] == [
        (True, False), (False, False), (False, False), (True, True), (True, True),
    ]  # fmt: skip


def test_the_reading_says_how_and_why() -> None:
    reading = from_text("Value,Comment,Part\nR1,10k,Resistor\nR2,4k7,Resistor\nC1,100n,Capacitor\n")
    assert "'Value' holds the designators" in reading.why
    assert "'Comment' holds the values" in reading.why
    assert "3 designators" in reading.why


def test_a_settled_column_overrules_its_heading() -> None:
    text = "Ref,First,Second\nJ1,in,left\nJ2,out,right\nJ3,cv,middle\n"
    assert [part.value_text for part in read_list(text.encode(), "x.csv", {"second": "value"}).parts] == [
        "left", "right", "middle",
    ]  # fmt: skip


def test_hardware_is_a_part_without_a_designator() -> None:
    reading = from_text("Ref,Qty,Value\nR1,1,10k\nScrew,4,M3x6\n,2,knob\n")
    assert [(part.refs, part.value_text, part.quantity) for part in reading.parts[1:]] == [
        ((), "M3x6", 4), ((), "knob", 2),
    ]  # fmt: skip


@pytest.mark.parametrize("name", ["shopping.csv", "shopping.md", "shopping-table.md"])
def test_a_list_without_designators_is_a_shopping_list_and_says_so(name: str) -> None:
    reading = read(next(path for path in SAMPLES if path.name == name))
    assert reading.shopping_list
    assert any("shopping list" in doubt.what for doubt in reading.doubts)
    assert len(reading.parts) >= 3
    assert reading.parts[0].quantity >= 10


@pytest.mark.skipif(not SHARED.is_dir(), reason="the makers' own lists are not beside this checkout")
def test_the_makers_own_lists_are_read_whole() -> None:
    wrong = []
    for truth in sorted(SHARED.glob("*.truth.json")):
        sample = truth.with_name(truth.name.removesuffix(".truth.json"))
        entries = json.loads(truth.read_text(encoding="utf-8"))
        want = {("", ref): plain(entry["value"]) for entry in entries for ref in entry["refs"]}
        got = found_in(read(sample))
        wrong += [
            (sample.name, ref, want.get(ref), got.get(ref))
            for ref in want.keys() | got.keys()
            if want.get(ref) != got.get(ref)
        ]
    assert wrong == []


@pytest.mark.parametrize(
    "text",
    [
        "Ref,Value,Ref,Value\nR1,10k,C1,100n\nR2,22k,C2,10n\n",
        "Ref,Value,,\nR1,10k,C1,100n\nR2,22k,C2,10n\n",
        "Part,Value,Part,Value\nR1,10k,C1,100n\nR2,22k,C2,10n\n",
    ],
)
def test_entries_side_by_side_are_read_whether_or_not_their_columns_are_named_twice(text: str) -> None:
    assert found_in(from_text(text)) == {
        ("", "R1"): "10k", ("", "R2"): "22k", ("", "C1"): "100n", ("", "C2"): "10n",
    }  # fmt: skip


def test_a_column_without_a_heading_is_known_by_what_stands_in_it() -> None:
    reading = from_text(
        "Ref,Value,,\nR1,10k,R_0805,between both of the pots\nR2,22k,R_0805,right beside the first IC\n"
    )
    assert [part.package for part in reading.parts] == ["R_0805", "R_0805"]
    assert [part.description for part in reading.parts] == [
        "between both of the pots", "right beside the first IC",
    ]  # fmt: skip


def test_a_count_before_a_value_is_one_only_where_as_many_designators_follow() -> None:
    reading = from_text("3 10k R1 R2 R3\n2 22k R4 R5\n1 100n C1\n4 47k R6 R7 R8 R9\n", "list.txt")
    assert [(part.value_text, part.quantity) for part in reading.parts] == [
        ("10k", 3), ("22k", 2), ("100n", 1), ("47k", 4),
    ]  # fmt: skip


def test_a_heading_right_under_a_table_ends_it_and_names_the_next() -> None:
    table = "| Ref | Value |\n|---|---|\n| {} | 10k |\n"
    reading = from_text(table.format("R1") + "## Upper board\n\n" + table.format("R2"), "list.md")
    assert [(part.refs, part.board or part.section) for part in reading.parts] == [
        (("R1",), ""), (("R2",), "Upper board"),
    ]  # fmt: skip
    assert (4, "heading") in [(each.line, each.why) for each in reading.skipped]


def entries(text: str, name: str = "list.txt") -> dict[str, str]:
    """Designators and values of a small list."""
    return {ref: part.value_text for part in from_text(text, name).parts for ref in part.refs}


def test_a_cell_protected_from_a_spreadsheet_is_read_without_its_signs() -> None:
    reading = from_text('Ref,Value,Package\nR1,10k,="0603"\nR2,="22k","=""0805"""\n')
    assert [(part.value_text, part.package) for part in reading.parts] == [("10k", "0603"), ("22k", "0805")]


@pytest.mark.parametrize(
    ("said", "units"),
    [
        ("All inductors in uH unless marked", {"henry": "uH"}),
        ("Inductors are in mH\nResistors in kohm", {"henry": "mH", "ohm": "kohm"}),
        ("All capacitor values in nF", {"farad": "nF"}),
        ("Fit the tall parts last", {}),
    ],
)
def test_the_unit_that_a_list_states_is_that_of_its_family(said: str, units: dict[str, str]) -> None:
    reading = from_text(f"{said}\nL1 10\nL2 47\nR1 39\nR2 10k\n", "list.txt")
    assert dict(reading.units) == units
    shown = {ref: part.understood for part in reading.parts for ref in part.refs}
    assert shown["R1"] == ("39 kΩ" if "ohm" in units else "39 Ω")
    assert shown["L1"] == {"uH": "10 µH", "mH": "10 mH"}.get(units.get("henry", ""), "")


def test_a_remark_in_brackets_stands_for_a_value_and_a_sentence_about_a_part_does_not() -> None:
    start = "R1 10k\nR2 22k\n"
    noted = "R5 (select on test, please)\nR6 [left out by default, mostly]\n"
    assert set(entries(start + noted)) == {"R1", "R2", "R5", "R6"}
    prose = "R5 is soldered in last of all\nC3 goes near the chip below\nL2 should be wound very tightly\n"
    assert set(entries(start + prose)) == {"R1", "R2"}


def test_columns_may_be_headed_by_name_value_and_description() -> None:
    reading = from_text("Name Value Description\nR1 10k resistor\nC1 100n ceramic\n", "list.txt")
    assert [(part.value_text, part.description) for part in reading.parts] == [
        ("10k", "resistor"), ("100n", "ceramic"),
    ]  # fmt: skip


def test_signs_that_could_not_be_read_are_told_with_the_first_line_and_how_many_more() -> None:
    def said(*values: str) -> list[tuple[int, str]]:
        text = "".join(f"R{at},{value}\n" for at, value in enumerate(values, 1))
        return [
            (each.line, each.what) for each in from_text(text).doubts if "could not be read as" in each.what
        ]

    assert said("1k", "2k") == []
    assert said("1k", "2\ufffd") == [(2, "some characters of this line could not be read as UTF-8")]
    assert said("1\ufffd", "2k", "3\ufffd") == [
        (1, "some characters of this line could not be read as UTF-8, nor in 1 more")
    ]


def test_brackets_around_designators_are_no_part_of_them() -> None:
    assert entries("R1 10k\n(C1) 100n\n[C2] 10n\n") == {"R1": "10k", "C1": "100n", "C2": "10n"}


def test_a_second_table_without_a_heading_loses_no_row_to_one() -> None:
    def row(cell: str, *texts: str) -> str:
        return "<tr>" + "".join(f"<{cell}>{text}</{cell}>" for text in texts) + "</tr>\n"

    first = row("th", "Ref", "Value") + row("td", "R1", "10k") + row("td", "R2", "22k")
    second = row("td", "C1", "100n") + row("td", "C2", "10n") + row("td", "C3", "1u")
    text = f"<table>\n{first}</table>\n<table>\n{second}</table>\n"
    assert entries(text, "list.html") == {"R1": "10k", "R2": "22k", "C1": "100n", "C2": "10n", "C3": "1u"}


def test_a_cell_over_several_columns_keeps_those_behind_it_in_their_places() -> None:
    head = "<tr><th>Ref</th><th>Value</th><th>Package</th><th>Note</th></tr>"
    rows = '<tr><td>R1</td><td>10k</td><td>0805</td><td>first</td></tr><tr><td>R2</td><td colspan="2">22k</td>'
    rows += "<td>second</td></tr><tr><td>R3</td><td>1k</td><td>0805</td><td>third</td></tr>"
    reading = from_text(f"<table>{head}{rows}</table>", "list.html")
    assert [(part.value_text, part.package, part.note) for part in reading.parts] == [
        ("10k", "0805", "first"), ("22k", "", "second"), ("1k", "0805", "third"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        # a column of designators for each board, and a count of both together
        (
            'Kind,Value,Qty,Designators Lower Board,Designators Upper Board\nResistor,10k,4,"R1, R2",R101\n'
            "Resistor,22k,2,R3,R102\nCapacitor,100n,1,C1,\n",
            [
                "2: R1 R2 = 10k | understood 10 kΩ | board Lower Board | description Resistor",
                "2: R101 = 10k | understood 10 kΩ | board Upper Board | description Resistor",
                "3: R3 = 22k | understood 22 kΩ | board Lower Board | description Resistor",
                "3: R102 = 22k | understood 22 kΩ | board Upper Board | description Resistor",
                "4: C1 = 100n | understood 100 nF | board Lower Board | description Capacitor",
                "2: doubt count R1 R2",
            ],
        ),
        # designators unquoted between commas
        (
            "Ref,Value,Qty\nR1,R2,R3,10k,3\nC1,100n,1\nD1,1N4148,1\n",
            ["2: R1 R2 R3 = 10k | understood 10 kΩ", "3: C1 = 100n | understood 100 nF", "4: D1 = 1N4148"],
        ),
        # designators that go on in the next row
        (
            'Qty,Value,Ref\n3,10k,"R1, R2,"\n,,R3\n1,100n,C1\n2,22k,"R4, R5"\n',
            [
                "2: R1 R2 R3 = 10k | understood 10 kΩ",
                "4: C1 = 100n | understood 100 nF",
                "5: R4 R5 = 22k | understood 22 kΩ",
            ],
        ),
        # a column that says what stays out
        (
            "Ref,Value,DNP\nR1,10k,\nR2,22k,x\nR3,1k,1\nR4,1k,0\nR5,2k,no\n",
            [
                "2: R1 = 10k | understood 10 kΩ", "3: R2 = 22k | understood 22 kΩ | not fitted",
                "4: R3 = 1k | understood 1 kΩ | not fitted", "5: R4 = 1k | understood 1 kΩ",
                "6: R5 = 2k | understood 2 kΩ",
            ],
        ),
        # hardware, totals and what is paid beside the parts
        (
            "Ref,Qty,Value\nR1,1,10k\n,4,M3 screw\nknob,2,black\n,,\nPCB,1,\nTotal,8,\nShipping,,4.50\n",
            [
                "2: R1 = 10k | understood 10 kΩ", "3: - = M3 screw | x4",
                "4: - = black | x2 | description knob",
                "6: - = PCB | x1", "7: total", "8: paid beside the parts", "7: total 8",
            ],
        ),
        (
            "Qty,Value\n4,M3 screw\n10,10k resistor\n\nTotal,14\n",
            [
                "2: - = M3 screw | x4", "3: - = 10k resistor | x10 | understood 10 kΩ", "5: total", "0: doubt",
                "5: total 14",
            ],
        ),
        (
            "Ref,Qty,Value\nR1,1,10k (see note 1)\nR2,1,22k*\nR3,1,1k\n\n* only for the long version\n",
            [
                "2: R1 = 10k (see note 1) | understood 10 kΩ",
                "3: R2 = 22k | understood 22 kΩ | note only for the long version",
                "4: R3 = 1k | understood 1 kΩ", "6: footnote",
            ],
        ),
    ],
)  # fmt: skip
def test_a_row_is_read_as_a_person_reads_it(text: str, lines: list[str]) -> None:
    read = [line for line in told(from_text(text))[1:] if not line.startswith("column ")]
    assert [line for line in read if "heading of the columns" not in line] == lines


@pytest.mark.parametrize(
    ("text", "roles"),
    [
        ("No,Ref,Value,Qty\n1,R1,10k,1\n2,R2,22k,1\n3,C1,100n,1\n4,C2,10n,1\n", "- ref value quantity"),
        ("1,R1,10k\n2,R2,22k\n3,C1,100n\n4,C2,10n\n", "- ref value"),
        ('Pos,Package,Part,Comment,Count\n1,R0805,"R1, R2",10k,2\n2,C0805,C1,100n,1\n3,SOT23,Q1,BC847,1\n',
         "- package ref value quantity"),
        ("Designator,Footprint,Mid X,Mid Y,Rotation,Layer,Value\nR1,0805,10.5,20.1,90,top,10k\n"
         "C1,0805,11.5,22.1,0,bottom,100n\nU1,SOIC8,15,25,180,top,TL072\n",
         "ref package x y rotation side value"),
        ("Ref,Tolerance,Voltage,Value\nR1,1%,,10k\nC1,10%,50V,100n\nC2,20%,25V,10u\n",
         "ref tolerance voltage value"),
        ('Item,Quantity,Reference,Part,Order code,Price\n1,2,"R1,R2",10k,AB-1234,0.10\n'
         "2,1,C1,100n,CD-5678,0.20\n3,1,U1,TL072,EF-9999,1.50\n", "- quantity ref value order number -"),
        ("Value,Description,Ref\n10k,metal film resistor,R1\n100n,ceramic capacitor,C1\nTL072,dual op-amp,U1\n",
         "value description ref"),
        ("Quantity,Name\n2,R1 R2\n1,C1\n", "quantity ref"),
        ("R1,10k,0805,yes\nR2,22k,0805,no\nC1,100n,0805,yes\n", "ref value package -"),
        ("Ref,Value,Link\nR1,10k,https://example.org/a\nC1,100n,https://example.org/b\n", "ref value -"),
        ("Section,Ref,Value\nInput,R1,10k\nInput,C1,100n\nOutput,R2,22k\n", "section ref value"),
        ("Ref,Unit value,Qty total\nR1 R2 R3,10k,3\nC1,100n,1\nC2 C3,10n,2\n", "ref value quantity"),
        ("Ref,Qty,Value\nR1-R4,4,10k\nC1-C3,3,100n\nD1,2,1N4148\n", "ref quantity value"),
    ],
)  # fmt: skip
def test_columns_are_known_by_heading_and_content_together(text: str, roles: str) -> None:
    assert " ".join(column.role or "-" for column in from_text(text).table) == roles


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        # designators that go on in the next line
        (
            "10k R1,\nR2\n100n C1\n",
            ["1: R1 R2 = 10k | x1 | understood 10 kΩ", "3: C1 = 100n | understood 100 nF"],
        ),
        # what a part is, with a colon
        (
            "R1 resistor: 10k\nC1 capacitor: 100n\n",
            [
                "1: R1 = 10k | understood 10 kΩ | description resistor",
                "2: C1 = 100n | understood 100 nF | description capacitor",
            ],
        ),
    ],
)
def test_loose_lines_are_read_as_a_person_reads_them(text: str, lines: list[str]) -> None:
    assert told(from_text(text, "list.txt"))[1:] == lines


def test_a_line_of_up_to_eight_words_names_a_section_and_a_longer_one_is_prose() -> None:
    rows = "Ref,Value\nParts for the left half of the {}\nR1,10k\n"
    assert from_text(rows.format("board")).parts[0].section == "Parts for the left half of the board"
    assert from_text(rows.format("main board")).parts[0].section == ""
