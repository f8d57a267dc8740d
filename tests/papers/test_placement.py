"""Placement files give the parts of a kit their positions."""

from __future__ import annotations

import pytest

from bench.errors import SoldersideError
from bench.kit.kit import Kit
from bench.kit.load import parse_kit
from bench.papers.placement import add_positions, read_placement

KIT = b"""
kit: 1
name: Small
boards:
  - name: main
    parts:
      - {refs: "R1, R2", value: 10k}
      - {refs: C1, value: 100n}
      - {value: M3x6 screw, quantity: 2}
"""
TWO = (
    KIT
    + b"""
  - name: panel
    parts:
      - {refs: "R1, R2", value: 47k}
      - {refs: C1, value: 10n}
"""
)


def kit(data: bytes = KIT) -> Kit:
    return parse_kit(data, "kit.yaml")


CSV = b"""\xef\xbb\xbfDesignator,Mid X,Mid Y,Rotation,Layer
R1,121.0,-62.0,0.0,top
R2,140.2,-77.25,90,bottom
C1,1,2,180,top
"""
SPACED = b"""### Module positions - created on a Tuesday ###
## Unit = mm, Angle = deg.
# Ref     Val       Package         PosX       PosY       Rot  Side
R1        10k       R_0207       121.0000   -62.0000    0.0000  top
R2        10k       R_0207       140.2000   -77.2500   90.0000  bottom
C1        100n      C_5mm          1.0000     2.0000  180.0000  top
## End
"""
UNITS = b"""Designator Footprint        Mid X         Mid Y         Ref X         Ref Y TB      Rotation Comment

R1         RES         1000mil      -2000mil        0mil        0mil  T          0.00 10k
R2         RES         25.4mm        12.7mm        0mm        0mm  B         90.00 10k
C1         CAP         1in           2in           0in        0in  T        180.00 100n
"""


@pytest.mark.parametrize(
    "data", [CSV, SPACED, CSV.replace(b",", b";").replace(b".", b","), CSV.replace(b",", b"\t")]
)
def test_positions_are_read_from_every_common_form(data: bytes) -> None:
    places = {place.ref: place for place in read_placement(data, "places").places}
    assert (places["R1"].x, places["R1"].y, places["R1"].side) == (121.0, -62.0, "top")
    assert (places["R2"].x, places["R2"].y, places["R2"].rotation, places["R2"].side) == (
        140.2,
        -77.25,
        90.0,
        "bottom",
    )


def test_units_are_turned_into_millimetres() -> None:
    """1 inch is 25.4 mm exactly (international inch, ISO 31-1); a mil is its thousandth."""
    places = {place.ref: (place.x, place.y) for place in read_placement(UNITS, "places").places}
    assert places == {"R1": (25.4, -50.8), "R2": (25.4, 12.7), "C1": (25.4, 50.8)}
    headed = read_placement(b"Ref,X (mil),Y (mil)\nR1,100,200\n", "places")
    assert (headed.places[0].x, headed.unit) == (2.54, "mil")


def test_a_file_without_a_unit_is_read_as_millimetres_and_that_is_a_doubt() -> None:
    assert any("millimetres" in doubt.what for doubt in read_placement(CSV, "places").doubts)
    assert read_placement(SPACED, "places").doubts == ()


def test_positions_are_added_in_the_order_of_the_designators() -> None:
    placed, doubts = add_positions(kit(), read_placement(CSV, "places"))
    parts = placed.boards[0].parts
    assert parts[0].positions == ((121.0, -62.0), (140.2, -77.25))
    assert parts[1].positions == ((1.0, 2.0),)
    assert parts[2].positions == ()
    assert doubts == ()


def test_the_side_of_each_part_goes_along_where_the_file_has_it() -> None:
    placed, _ = add_positions(kit(), read_placement(CSV, "places"))
    assert [part.sides for part in placed.boards[0].parts] == [("front", "back"), ("front",), ()]
    without, _ = add_positions(kit(), read_placement(b"Ref,X,Y\nR1,1,2\nR2,3,4\nC1,5,6\n", "places"))
    assert all(part.sides == () for part in without.boards[0].parts)


def test_what_has_no_position_and_what_is_not_in_the_kit_is_told() -> None:
    data = b"Ref,X,Y\nR1,1,2\nC1,3,4\nX9,5,6\n"
    placed, doubts = add_positions(kit(), read_placement(data, "places"))
    assert placed.boards[0].parts[0].positions == ()
    assert [doubt.what for doubt in doubts] == ["without a position: R2", "not in the kit's board main: X9"]


def test_with_several_boards_the_board_is_named_or_plain() -> None:
    placement = read_placement(CSV, "places")
    with pytest.raises(SoldersideError, match="two boards"):
        add_positions(kit(TWO), placement)
    placed, _ = add_positions(kit(TWO), placement, "Panel")
    assert placed.boards[0].parts[0].positions == ()
    assert placed.boards[1].parts[0].positions != ()
    with pytest.raises(SoldersideError, match="no board 'lid'"):
        add_positions(kit(TWO), placement, "lid")


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"Ref,Value\nR1,10k\n", "no columns of designators, x and y"),
        (b"Ref,X,Y\nR1,here,there\n", "no line gives"),
        (b"Ref,X,Y\nR1,1e99,2\n", "no line gives"),
        (b"%PDF", "PDF"),
        (b"", "no columns"),
    ],
)
def test_what_is_no_placement_file_is_refused_with_a_hint(data: bytes, what: str) -> None:
    with pytest.raises(SoldersideError, match=what) as caught:
        read_placement(data, "places.csv")
    assert caught.value.hint


def test_a_designator_twice_and_a_line_out_of_bounds_are_told() -> None:
    placement = read_placement(b"Ref,X,Y\nR1,1,2\nR1,3,4\nR2,99999,1\n", "places.csv")
    assert [(doubt.line, doubt.what) for doubt in placement.doubts if doubt.line] == [
        (3, "R1 is listed twice; the first position counts"),
        (4, "R2 lies more than 10000 mm away"),
    ]
    with pytest.raises(SoldersideError, match="none of the file's designators"):
        add_positions(kit(), read_placement(b"Ref,X,Y\nQ1,1,2\n", "places.csv"))
