"""Doubts of a maker's list are settled one by one, without a screen, and nothing is lost on the way."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from bench.errors import SoldersideError
from bench.kit.load import parse_kit
from bench.papers.doubts.decisions import Add, Ruling
from bench.papers.doubts.options import DoubtAnswer, answers
from bench.papers.doubts.rulings import answered, changed, left, more_parts, part_after_all
from bench.papers.doubts.settle import ResolvedList, settle
from bench.papers.doubts.typed_answers import typed_count, typed_kind
from bench.papers.lists import Doubt, ListReading, read_list
from bench.papers.to_kit import kit_file_from
from tests.support.reading_samples import SAMPLES, from_text, read

PROSE = "\nPlease solder it all with great care.\n"
TWICE = 'Ref,Qty,Value\n"R1, R2, R3",4,10k\nR3,1,10k\nR5,1,22k\nR1,1,47k\nC1,1,\nTotal,9\n'
BOARDS = "# Main board\n\nR1 10k\nR2 22k\nC1 100n\n\n# Panel board\n\nR1 1k\nRV1 B100k\n"
_ROWS = "Ref,Value\nR1,10k\nR2,{}\nR3,1k\nC1,1n\nC2,2n2\nC3,3n3\n\n"
AGAIN = _ROWS.format("22k") + _ROWS.format("27k")


def doubt_of(settled: ResolvedList, kind: str, about: str = "") -> Doubt:
    return next(each for each in settled.questions if each.kind == kind and about in each.what)


def choice(settled: ResolvedList, doubt: Doubt, words: str) -> DoubtAnswer:
    return next(each for each in answers(settled, doubt) if words in each.text)


class Sitting:
    """A list with a builder before it."""

    def __init__(self, reading: ListReading) -> None:
        self.reading = reading
        self.rulings: list[Ruling] = []

    @property
    def now(self) -> ResolvedList:
        return settle(self.reading, self.rulings)

    def say(self, kind: str, words: str, typed: str = "", about: str = "") -> None:
        doubt = doubt_of(self.now, kind, about)
        self.rulings.append(answered(doubt, choice(self.now, doubt, words), typed))

    def values(self) -> dict[str, str]:
        return {ref: part.value_text for part in self.now.reading.parts for ref in part.refs}

    def kinds(self) -> list[str]:
        return [doubt.kind for doubt in self.now.questions]


def test_without_an_answer_the_list_is_as_it_was_read() -> None:
    reading = from_text(TWICE)
    settled = settle(reading)
    assert settled.reading.parts == reading.parts
    assert settled.reading.doubts == reading.doubts
    assert [doubt.kind for doubt in settled.questions] == [
        "count",
        "twice",
        "gap",
        "two values",
        "value",
        "total",
    ]


def test_one_of_two_values_holds_and_the_other_line_loses_the_designator() -> None:
    sitting = Sitting(from_text(TWICE))
    sitting.say("two values", "47k")
    assert sitting.values()["R1"] == "47k"
    assert "two values" not in sitting.kinds()
    assert [part.refs for part in sitting.now.reading.parts][:2] == [("R2", "R3"), ("R3",)]


def test_a_designator_that_stands_twice_stays_in_the_line_that_is_named() -> None:
    sitting = Sitting(from_text(TWICE))
    sitting.say("twice", "line 3")
    lines = {ref: part.line for part in sitting.now.reading.parts for ref in part.refs}
    assert lines["R3"] == 3
    assert "twice" not in sitting.kinds()


def test_a_line_left_without_a_designator_is_told_among_those_passed_over() -> None:
    sitting = Sitting(from_text(TWICE))
    sitting.say("twice", "as in line 2")
    assert [(each.line, each.text) for each in sitting.now.reading.skipped if "elsewhere" in each.why] == [
        (3, "R3 10k")
    ]


def test_lines_from_here_on_can_be_another_board() -> None:
    sitting = Sitting(from_text(TWICE))
    sitting.say("two values", "another board", "control")
    boards = {(part.board, ref) for part in sitting.now.reading.parts for ref in part.refs}
    assert {("", "R1"), ("control", "R1"), ("control", "C1")} <= boards
    assert "two values" not in sitting.kinds()
    assert "several boards" in sitting.kinds()


def test_a_gap_is_closed_by_a_part_typed_in_or_left() -> None:
    sitting = Sitting(from_text("Ref,Value\nR1,1k\nR2,1k\nR5,1k\n"))
    sitting.say("gap", "missing", "R3 = 2k2")
    assert sitting.values()["R3"] == "2k2"
    assert doubt_of(sitting.now, "gap").refs == ("R4",)
    sitting.rulings.append(left(doubt_of(sitting.now, "gap")))
    assert sitting.kinds() == []


Said = tuple[str, ...]
"""The kind of a doubt, words of the answer, what is typed with it."""


@pytest.mark.parametrize(
    ("text", "said", "values", "settled"),
    [
        (TWICE, [("two values", "other designators", "R4")], "R4 47k, R1 10k", "gap"),
        (TWICE, [("count", "designators are right")], "", "count"),
        (TWICE, [("count", "count is right", "R1-R4")], "R4 10k", "count, gap"),
        ("R1,1k\nR2,banana\nR3,\n", [("value", "type", "4k7"), ("value", "as above")], "R1 1k, R2 4k7, R3 4k7",
         "value"),
        ('"LED1, LED2","red, green"\nR1,10k\nR2,22k\n', [("value", "one each")], "LED1 red, LED2 green",
         "value"),
        ("R1 or R2,0R\nR3,10k\n", [("either", "only R2")], "R2 0R, R3 10k, R1", "either"),
        (AGAIN, [("two values", "27k")], "R2 27k, R1 10k, C3 3n3", "two values"),
        ("R9,1k\nR8,1k\nC1,100\n", [("value", "100 pF")], "C1 100 pF", "value"),
        ("R9,1k\nR8,1k\nC1,0.1\n", [("value", "0.1 uF")], "C1 0.1 uF", "value"),
        ("R9,1k\nR8,1k\nR1,2m2\n", [("value", "2M2")], "R1 2M2", "value"),
        ("R9,1k\nR8,1k\nC1,100n / 220n\n", [("value", "220n")], "C1 220n", "value"),
    ],
)  # fmt: skip
def test_what_is_said_of_a_doubt_holds_and_is_asked_no_more(
    text: str, said: list[Said], values: str, settled: str
) -> None:
    sitting = Sitting(from_text(text if text.startswith("Ref") else f"Ref,Value\n{text}"))
    for each in said:
        sitting.say(*each)
    for ref, _, value in (each.partition(" ") for each in filter(None, values.split(", "))):
        assert sitting.values().get(ref, "") == value
    assert not {each for each in sitting.kinds() if each in settled.split(", ")}


def test_of_two_listings_either_holds_or_both_are_boards() -> None:
    reading = from_text(AGAIN)
    first = Sitting(reading)
    assert first.values()["R2"] == "22k"
    first.say("repeated", "instead")
    assert first.values()["R2"] == "27k"
    both = Sitting(reading)
    both.say("repeated", "two boards", "right half")
    assert len(both.now.reading.parts) == 12
    assert both.now.reading.boards == ("", "right half")


def test_of_several_boards_one_is_taken_and_the_rest_is_told() -> None:
    sitting = Sitting(read_list(BOARDS.encode(), "boards.md"))
    sitting.say("several boards", "take Panel board only")
    assert {part.board for part in sitting.now.reading.parts} == {"Panel board"}
    assert sum("another board" in each.why for each in sitting.now.reading.skipped) == 3
    joined = Sitting(read_list(BOARDS.encode(), "boards.md"))
    joined.say("several boards", "one board")
    assert len(joined.now.reading.boards) == 1
    assert "two values" in joined.kinds()


def test_a_part_that_is_not_fitted_stays_out_or_goes_in() -> None:
    sitting = Sitting(from_text("Ref,Value\nR1,10k\nR2,DNP\n"))
    assert sitting.kinds() == ["not fitted"]
    sitting.say("not fitted", "is fitted")
    assert sitting.kinds() == ["value"]
    sitting.say("value", "type", "22k")
    assert sitting.values()["R2"] == "22k"
    assert sitting.now.reading.parts[1].fitted


def test_an_unknown_kind_is_chosen_and_stands_in_the_kit_file() -> None:
    sitting = Sitting(from_text("Ref,Value\nR1,10k\nR2,1k\nXQ1,thing\n"))
    sitting.say("kind", "type", "relay")
    kit = parse_kit(kit_file_from(sitting.now.reading).encode(), "x")
    assert [part.kind for part in kit.boards[0].parts] == ["resistor", "resistor", "relay"]
    assert sitting.kinds() == []


def test_a_line_passed_over_becomes_a_part() -> None:
    reading = from_text("Ref,Value\nR1,10k\nR2,1k\nthe odd one: R3 with 4k7 please\n")
    skipped = next(each for each in reading.skipped if "odd one" in each.text)
    settled = settle(reading, [part_after_all(skipped, "R3 = 4k7")])
    assert settled.reading.parts[-1].refs == ("R3",)
    assert skipped not in settled.reading.skipped


def test_a_line_is_changed_in_all_its_fields_and_what_is_wrong_is_refused() -> None:
    settled = settle(from_text("Ref,Value\nR1,10k\nR2,1k\n"))
    entry = settled.entries[1]
    part = settle(settled.reading, [changed(entry, "R2, R3", "2k2", "Resistor", "")]).reading.parts[1]
    assert (part.refs, part.value_text, part.kind, part.quantity) == (("R2", "R3"), "2k2", "resistor", 2)
    screws = settle(settled.reading, [changed(entry, "", "M3 screw", "screw", "4")]).reading.parts[1]
    assert (screws.refs, screws.quantity) == ((), 4)
    for wrong in (
        ("10k?", "1k", "", ""),
        ("R2", " ", "", ""),
        ("R2", "1k", "flux capacitor", ""),
        ("", "x", "", ""),
    ):
        with pytest.raises(SoldersideError) as caught:
            changed(entry, *wrong)
        assert caught.value.hint


def test_a_part_typed_in_may_not_stand_in_the_list_already() -> None:
    settled = settle(from_text("Ref,Value\nR1,10k\nR2,1k\n"))
    with pytest.raises(SoldersideError, match="already"):
        more_parts(settled, "R2 = 1k")
    assert more_parts(settled, "4 x M3 screw").decisions[0] == Add(
        line=3, refs=(), value="M3 screw", quantity=4
    )


def test_an_answer_is_taken_back_by_leaving_it_out() -> None:
    sitting = Sitting(from_text(TWICE))
    before = sitting.now
    sitting.say("two values", "47k")
    sitting.say("count", "designators are right")
    sitting.rulings.pop()
    sitting.rulings.pop()
    assert sitting.now == before


def test_an_answer_that_fits_nothing_any_more_is_told() -> None:
    sitting = Sitting(from_text(TWICE))
    sitting.say("two values", "47k")
    other = settle(from_text("Ref,Value\nR8,1k\nR9,1k\n"), sitting.rulings)
    assert other.idle == tuple(sitting.rulings)
    assert any("no longer matches" in doubt.what for doubt in other.reading.doubts)


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("R1,10k\nR3,1k\n", "gap", "R2 is not used"),
        ("R1,10k\nR4,1k\n", "gap", "R2, R3 are not used"),
        ("R1,10k\nC1,220\n", "value", "code? all right as it stands"),
    ],
)
def test_a_question_left_as_read_is_told_as_an_answer(text: str, kind: str, said: str) -> None:
    settled = settle(from_text(f"Ref,Value\n{text}"), [])
    assert left(doubt_of(settled, kind)).said.endswith(said)


def test_lines_that_are_not_parts_are_counted_in_the_kit_file() -> None:
    one, two = (kit_file_from(from_text(f"Ref,Value\nR1,10k\n{more}")) for more in (PROSE, PROSE + "Total,1\n"))
    assert "1 designator in 1 line;" in one
    assert "# 1 line of the list is not a part:" in one, one
    assert "# 2 lines of the list are not parts:" in two, two


def test_what_is_settled_and_what_is_open_stands_in_the_kit_file_beside_its_line() -> None:
    sitting = Sitting(from_text(TWICE))
    sitting.say("two values", "47k")
    rows = [row.strip() for row in kit_file_from(sitting.now.reading).splitlines()]
    at = rows.index("- {refs: R1, value: 47k}")
    assert rows[at - 1] == "# line 5 of the list: answered: R1 is 47k, as in line 5"
    assert any(row.startswith("# ? line 2 of the list: the count is 4") for row in rows)


_TYPED = {"value": "4k7", "refs": "R977", "part": "R978 = 1k", "board": "other", "kind": "resistor"}


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name)
def test_whatever_is_answered_no_designator_is_lost_and_the_kit_file_loads(sample: Path) -> None:
    chance = random.Random(sample.name)
    reading = read(sample)
    sitting = Sitting(reading)
    for _ in range(25):
        settled = sitting.now
        if not settled.questions:
            break
        doubt = chance.choice(settled.questions)
        offered = answers(settled, doubt)
        if not offered or chance.random() < 0.2:
            sitting.rulings.append(left(doubt))
        else:
            answer = chance.choice(offered)
            sitting.rulings.append(answered(doubt, answer, _TYPED.get(answer.typed, "")))
    settled = sitting.now
    told = " ".join(each.text for each in settled.reading.skipped)
    told += " ".join(ruling.said for ruling in sitting.rulings)
    still = {ref for part in settled.reading.parts for ref in part.refs}
    retyped = {
        ref
        for ruling in sitting.rulings
        if "the designators are" in ruling.said or "only" in ruling.said or "is no" in ruling.said
        for ref in (ruling.doubt.refs if ruling.doubt else ())
    }
    lost = [
        ref
        for part in reading.parts
        for ref in part.refs
        if ref not in still and ref not in told and ref not in retyped
    ]
    assert lost == []
    if settled.reading.parts:
        text = kit_file_from(settled.reading)
        parse_kit(text.encode(), "kit.yaml")
        flat = " ".join(text.split())
        for each in settled.reading.doubts:
            assert " ".join(each.what.split()) in flat
    assert settle(reading, ()) == Sitting(reading).now


def test_what_the_builder_leaves_out_is_not_asked_about_as_if_the_list_had_said_it() -> None:
    sitting = Sitting(from_text("Ref,Value\nR1,10k\nR2,banana\nR3,DNP\n"))
    assert sitting.kinds().count("not fitted") == 1
    sitting.say("value", "leave it out")
    assert [part.fitted for part in sitting.now.reading.parts] == [True, False, False]
    assert [doubt.refs for doubt in sitting.now.questions if doubt.kind == "not fitted"] == [("R3",)]


@pytest.mark.parametrize(
    ("value", "offered"),
    [
        ("4.7", ["4.7 uF", "4.7 pF", "4.7 nF"]),
        ("47", ["47 pF", "47 nF", "47 uF"]),
        ("100", ["100 pF", "10 pF", "100 nF", "100 uF"]),  # as a three-digit code 10 and no noughts
        ("1000", ["1000 pF", "1000 nF", "1000 uF"]),
    ],
)
def test_a_capacitance_without_a_unit_is_offered_in_each_the_likeliest_first(
    value: str, offered: list[str]
) -> None:
    settled = settle(from_text(f"Ref,Value\nR1,10k\nR2,1k\nC1,{value}\n"))
    texts = [answer.text for answer in answers(settled, doubt_of(settled, "value"))]
    assert texts == [*(f"it is {each}" for each in offered), "type the value", "leave it out"]


def test_a_value_typed_in_leaves_the_rest_of_its_line_as_it_was() -> None:
    sitting = Sitting(from_text("Ref,Value,Package\nR1,optional,0805\nR2,10k,0805\nR3,1k,0805\n"))
    sitting.say("value", "type the value", "4k7")
    part = sitting.now.reading.parts[0]
    assert (part.refs, part.value_text, part.package) == (("R1",), "4k7", "0805")
    assert part.optional
    assert part.fitted


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name)
def test_a_list_about_which_nothing_was_said_stays_as_it_was_read(sample: Path) -> None:
    reading = read(sample)
    settled = settle(reading)
    assert settled.reading.shopping_list == reading.shopping_list == (not settled.designators)
    assert settled.reading.skipped == tuple(sorted(reading.skipped, key=lambda each: each.line))
    assert [part.refs for part in settled.reading.parts] == [part.refs for part in reading.parts]
    assert settled.reading.again == reading.again
    assert settled.idle == ()


@pytest.mark.parametrize(
    ("text", "near"), [("resitor", "resistor"), ("Elektrolytic", "electrolytic capacitor")]
)
def test_a_kind_that_there_is_none_of_is_refused_with_the_nearest(text: str, near: str) -> None:
    with pytest.raises(SoldersideError) as caught:
        typed_kind(text)
    assert caught.value.hint.startswith("nearest: ")
    assert near in caught.value.hint
    with pytest.raises(SoldersideError) as caught:
        typed_kind("qqq")
    assert caught.value.hint.startswith("such as ")


@pytest.mark.parametrize(
    ("text", "count"), [("1", 1), ("2000", 2000), ("0", 0), ("2001", 0), ("-1", 0), ("x", 0)]
)
def test_a_count_is_a_number_from_one_to_two_thousand(text: str, count: int) -> None:
    if count:
        assert typed_count(text) == count
    else:
        with pytest.raises(SoldersideError):
            typed_count(text)


@pytest.mark.parametrize(
    ("text", "kind", "offered"),
    [
        (TWICE, "count", "the designators are right: 3 parts | the count is right: type the designators"),
        (TWICE, "twice", "R3 is 10k, as in line 2 | R3 is 10k, as in line 3 | line 3 has other designators: "
                         "type them | another board begins at line 3: type its name"),
        (TWICE, "gap", "a part is missing from the list: type it"),
        (TWICE, "value", "type the value | leave it out"),  # nothing "as above": 47k is no capacitance
        (TWICE, "total", "a part is missing from the list: type it"),
        ("R1,10k\nR2,\n", "value", "it is 10k, as above | type the value | leave it out"),
        ("R1,10k\nR2,DNP\n", "not fitted", "it is fitted | it is left to the builder"),
        ("R1,10k\nR2,1k\nXQ1,thing\n", "kind",
         "its kind is 'hardware' | type the kind | it is not a part: take it out"),
        ("R1 or R2,0R\nR3,10k\n", "either", "only R1 | only R2"),
        ("R1,1M to 2M2\nR2,10k\n", "value", "it is 1M | it is 2M2 | type the value | leave it out"),
        ("R1,2m2\nR2,10k\n", "value", "it is 2M2 | type the value | leave it out"),
        (AGAIN, "repeated",
         "the other listing counts instead | both count, on two boards: type the other's name"),
        (AGAIN, "two values", "R2 is 22k, as in line 3 | R2 is 27k, as in line 11 | "
                              "another board begins at line 11: type its name"),
    ],
)  # fmt: skip
def test_every_doubt_offers_its_answers(text: str, kind: str, offered: str) -> None:
    settled = settle(from_text(text if text.startswith("Ref") else f"Ref,Value\n{text}"))
    assert " | ".join(answer.text for answer in answers(settled, doubt_of(settled, kind))) == offered


def test_a_part_left_to_the_builder_is_fitted_and_optional() -> None:
    sitting = Sitting(from_text("Ref,Value\nR1,10k\nR2,DNP\n"))
    sitting.say("not fitted", "left to the builder")
    part = sitting.now.reading.parts[1]
    assert (part.fitted, part.optional) == (True, True)


def test_parts_typed_in_one_after_the_other_have_keys_of_their_own() -> None:
    sitting = Sitting(from_text("Ref,Value\nR1,10k\nR2,1k\nR6,4k7\n"))
    sitting.say("gap", "type it", "R3 = 22k")
    sitting.say("gap", "type it", "R4 = 33k")
    sitting.say("gap", "type it", "R5 = 47k")
    keys = [entry.key for entry in sitting.now.entries]
    assert len(set(keys)) == len(keys) == 6
    assert sitting.values() == {"R1": "10k", "R2": "1k", "R3": "22k", "R4": "33k", "R5": "47k", "R6": "4k7"}
    assert sitting.kinds() == []


@pytest.mark.parametrize("text", ["R3", "R3 =", "R3 = ", "= 10k", ""])
def test_a_part_typed_in_needs_a_designator_and_a_value(text: str) -> None:
    settled = settle(from_text("Ref,Value\nR1,10k\nR2,1k\n"))
    with pytest.raises(SoldersideError):
        more_parts(settled, text)


def test_boards_that_are_in_doubt_are_asked_about_once() -> None:
    reading = from_text("R2,1\nRef,Value\nR1,10k\nR2,1k\n")
    assert len(reading.boards) == 2
    assert [doubt.kind for doubt in settle(reading).questions if "board" in doubt.kind] == ["boards"]


def test_a_doubt_about_one_line_offers_its_designators_and_to_take_it_out() -> None:
    settled = settle(from_text("Ref,Value\nR1,10k\nR9-R5,1k\n"))
    doubt = next(each for each in settled.questions if "runs backwards" in each.what)
    assert [answer.text for answer in answers(settled, doubt)] == [
        "type the designators of this line",
        "it is not a part: take it out",
    ]


def test_the_second_line_of_a_designator_stays_out_of_the_kit_file_with_the_reason() -> None:
    written = kit_file_from(from_text("Ref,Value\nR1,10k\nR2,22k\nR1,47k\n"))
    assert "R1 stands here again and is left out; line 2 had it first" in written
    (board,) = parse_kit(written.encode(), "kit.yaml").boards
    assert [(part.refs, part.value) for part in board.parts] == [(("R1",), "10k"), (("R2",), "22k")]


@pytest.mark.parametrize(("refs", "count"), [("R1", "1 part"), ('"R1, R2"', "2 parts")])
def test_one_designator_is_one_part_and_two_are_two(refs: str, count: str) -> None:
    now = Sitting(from_text(f"Ref,Qty,Value\n{refs},3,10k\nR3,1,22k\nC1,1,100n\n")).now
    assert choice(now, doubt_of(now, "count"), "designators are right").text.endswith(f": {count}")
