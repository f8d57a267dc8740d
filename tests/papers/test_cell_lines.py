"""Lists whose rows go over several lines, lists with the marks of wikis and boards; all invented."""

from __future__ import annotations

import pytest

from bench.papers.lists import read_list

WIKI = """
== Parts ==
{| class="wikitable"
|+ Fog horn
! Ref !! Value !! Notes
|-
| R1, R2 || 10k || 1%
|- style="background: #eee"
| style="width: 4em" | C1 || 100n || film
|-
| IC1
| TL072
| dual op-amp,
in a socket
|}
See also the page on cases.
"""
ASCIIDOC = """
== Bill of materials

[cols="1,2,3"]
|===
|Ref |Value |Description

|R1, R2
|10k
|metal film

|C1 |100n |ceramic

a|IC1
|TL072
|in a socket
|===
"""
ASCIIDOC_ALONE = """
[cols=2*]
|===
|Designator
|Part

|R1, R2
|10k

|C1
|100n

|IC1
|TL072
|===
"""
COPIED = "\n".join(["Our parts", "", "Part", "Value", "R1, R2", "10k", "C1", "100n", "IC1", "TL072"])
BOARD = """
[b]Resistors[/b]
[list]
[*]R1, R2 - 10k
[/list]
[size=120]Rest[/size]
[list]
[*]C1 - 100n
[*][i]IC1[/i] - TL072
[/list]
"""
IN_ONE_LINE = "Resistors: R1,R2 - 10k\nCapacitors and ICs: C1 - 100n, IC1 - TL072\n"
WHERE = """
Qty  Part                    Where
---  ----------------------  -------
 2   10k resistor, 1/4 W     R1, R2
 1   100n ceramic            C1
 1   TL072 dual op-amp       IC1
"""
NARROW = """
Qty Value   Device      Package   Parts     Description
1           CONN-2      1X02      J1        plug
2   10k     R-0207      0207/10   R1, R2    resistor
1   100n    C-050       C050-025  C1        capacitor
1           JACK        JACK      J2        socket
1   TL072   DIL08       DIL08     IC1       op-amp
"""


@pytest.mark.parametrize(
    "text", [WIKI, ASCIIDOC, ASCIIDOC_ALONE, COPIED, BOARD, IN_ONE_LINE, WHERE, NARROW],
    ids=["wiki", "asciidoc", "asciidoc-alone", "copied", "board", "one-line", "where", "narrow"],
)  # fmt: skip
def test_every_part_has_its_value_and_nothing_is_invented(text: str) -> None:
    read = read_list(text.encode(), "list.txt")
    found = {ref: part.value_text.split()[0] for part in read.parts for ref in part.refs if ref[0] != "J"}
    assert found == {"R1": "10k", "R2": "10k", "C1": "100n", "IC1": "TL072"}


def test_a_row_is_told_by_the_line_of_its_first_cell() -> None:
    read = read_list(WIKI.encode(), "list.txt")
    lines = WIKI.split("\n")
    assert all(part.refs[0] in lines[part.line - 1] for part in read.parts)
    assert next(part for part in read.parts if part.refs == ("IC1",)).line == lines.index("| IC1") + 1


@pytest.mark.parametrize(
    "text", ["{|\n|-\n|}", "|===\n|===", "|===\n|R1", "{|\n! Ref", "Part\nValue", "[cols=\n|===\n\n|==="]
)
def test_a_table_without_rows_is_no_list(text: str) -> None:
    assert not [part for part in read_list(text.encode(), "list.txt").parts if part.value_text]


def test_a_count_behind_a_dash_leaves_no_dash() -> None:
    read = read_list(b"* (R1, R2) Resistor 10k 1% - 2x\n* (C1) Capacitor 100nF - 1x\n", "list.txt")
    assert [(part.refs, part.quantity) for part in read.parts] == [(("R1", "R2"), 2), (("C1",), 1)]
    assert not any(part.value_text.endswith("-") for part in read.parts)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        pytest.param(
            "Item#,Ref,Qty,By,Description / Value\n1,R1 R2,2,X,RES 10k 1%\n2,C1,1,X,CAP 100nF\n",
            {"R1": "RES 10k 1%", "R2": "RES 10k 1%", "C1": "CAP 100nF"}, id="the number of a line is no value",
        ),
        pytest.param(
            "Ref,Exact MPN/value,C-number\nJ1,KF-2P,C474881\nF1,0453003.MR,C178991\nR1,0603W2201,C4190\n",
            {"J1": "KF-2P", "F1": "0453003.MR", "R1": "0603W2201"}, id="a shop's number is no value",
        ),
        pytest.param(
            "1. R1 (input level): 10k potentiometer\n2. C1 (DC blocking): 4.7uF\n3. R2 (bias): 10k trimpot\n",
            {"R1": "10k potentiometer", "C1": "4.7uF", "R2": "10k trimpot"}, id="what a part is there for",
        ),
    ],
)  # fmt: skip
def test_the_value_is_what_the_part_is_worth(text: str, found: dict[str, str]) -> None:
    read = read_list(text.encode(), "list.txt")
    assert {ref: part.value_text for part in read.parts for ref in part.refs} == found


def test_a_turn_that_runs_into_a_value_is_taken_off() -> None:
    rows = [
        (f"R{n}", f"{n}1.25mm", "12.5mm", f"{turn:6.2f} {value}")
        for n, turn, value in ((1, 90, "2.2k"), (2, 270, "10k"), (3, 180, "100R"), (4, 0, "4.7k"))
    ]
    head = "Designator Mid X         Mid Y   Rotation Comment"
    text = "\n".join([head, "", *(f"{a:<5}  {b:>12}  {c:>12}  {d}" for a, b, c, d in rows)])
    values = {ref: part.value_text for part in read_list(text.encode(), "x.txt").parts for ref in part.refs}
    assert values == {"R1": "2.2k", "R2": "10k", "R3": "100R", "R4": "4.7k"}


def test_a_sentence_tells_several_parts() -> None:
    text = b"A small preamp. R1 is 10k and R2 is 4k7. The cap C1 is 100nF, C2 is 47uF.\nD1 is a 1N4148.\n"
    values = {ref: part.value_text for part in read_list(text, "post.txt").parts for ref in part.refs}
    assert values == {"R1": "10k", "R2": "4k7", "C1": "100nF", "C2": "47uF", "D1": "1N4148"}


def test_counts_behind_their_parts_make_a_shopping_list() -> None:
    text = b"330R x 1\n1K x 14\n100K 1% x 3*\nAll are metal film.\n14 pin IC socket x 2\nTactile switch x 2\n"
    read = read_list(text, "list.txt")
    assert [(part.value_text, part.quantity) for part in read.parts] == [
        ("330R", 1), ("1K", 14), ("100K 1%", 3), ("14 pin IC socket", 2), ("Tactile switch", 2)
    ]  # fmt: skip
