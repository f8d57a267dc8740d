"""What identification and verdicts tell, case by case, as it was read through and found good.

Values and codes of parts are those that other tests of this room hold against their published sources; here the
order, the reasons and the remarks of whole answers are held.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from bench.errors import SoldersideError
from bench.kit.kit import Kit
from bench.measure.identify.ahead import judge_part, what_it_says
from bench.measure.identify.match_kit import identify
from bench.measure.verdict.meter import CLASSES, DEFAULT_METER, choose_range
from bench.measure.verdict.verdict import judge_text
from bench.parts.quantity import parse_quantity
from bench.plan.bag import bag_lines
from tests.support.frozen import loose
from tests.support.identified import kit
from tests.support.samples import part
from tests.support.told import held

BENCH = kit(
    (
        part("R1 R2", "4k7", tolerance="5 %"),
        part("R3", "4k64", tolerance="1 %"),
        part("R4", "47R", tolerance="1 %"),
        part("R5", "0R", "wire link"),
        part("R6", "100M"),
        part("C1", "100n", "film capacitor", voltage="63 V"),
        part("C2", "100n", "film capacitor", voltage="250 V"),
        part("C3", "10u", "electrolytic capacitor", voltage="25 V", tolerance="+80/-20 %"),
        part("C4", "22n", "film capacitor"),
        part("L1", "10mH", "inductor"),
        part("D1 D2", "1N4148", "diode"),
        part("D3", "1N5817", "Schottky diode"),
        part("D4", "red", "LED"),
        part("D5", "BZX55C5V1", "Zener diode"),
        part("Q1", "BC547B", "transistor"),
        part("Q2", "2N3904", "transistor"),
        part("Q3", "2N3819", "transistor"),
    ),
    (
        part("R1", "4k7", tolerance="5 %"),
        part("R2", "100k", tolerance="1 %"),
        part("RV1", "100k", "trimmer", 3),
        part("F1", "500mA", "fuse"),
        part("Y1", "4.000 MHz", "crystal"),
        part("U1", "TL072", "IC", 8),
    ),
)


def _answer(said: Callable[[], Iterator[str]]) -> str:
    """What is said, in one line; an error as it is told."""
    try:
        return " | ".join(said())
    except SoldersideError as error:
        return f"? {error.what} ({error.hint})"


def _asked(text: str, of: Kit | None) -> Iterator[str]:
    found = identify(text, of, DEFAULT_METER)
    for each in found.candidates:
        refs = " ".join(f"{board}/{ref}" for board, ref in each.refs)
        yield f"{each.text} [{refs}] {each.kind}; {each.source}: {'; '.join(each.why)}"
    yield from (f"not {each.text}: {each.why}" for each in found.ruled_out[:3])
    yield from found.remarks


def _ahead(ref: str, typed: str) -> Iterator[str]:
    place = ("front" if ref in ("U1", "Y1") else "main"), ref
    line = next(each for each in bag_lines(BENCH) if place in {(b, r) for b, rs in each.places for r in rs})
    yield what_it_says(BENCH, line, typed)
    verdict = judge_part(BENCH, {place}, typed)
    yield "nothing" if verdict is None else f"{verdict.answer}: {verdict.words} {verdict.expect}"


def _identified(case: str) -> str:
    """`4k7 in a kit`, `4k7 alone`, or `R1 reads 4k7`: the part of that kit, measured."""
    ref, reads, typed = case.partition(" reads ")
    if reads:
        return _answer(lambda: _ahead(ref, typed))
    text, kit_to_ask = (case.removesuffix(" in a kit"), BENCH) if case.endswith(" kit") else (case[:-6], None)
    return _answer(lambda: _asked(text, kit_to_ask))


def test_what_a_part_can_be_is_told_as_it_was() -> None:
    held(__file__, "identified", _identified)


def _judged(case: str) -> Iterator[str]:
    """`12 V ± 5 %: 12.03`."""
    limit, _, typed = case.partition(": ")
    said = judge_text(limit, typed)
    yield f"{said.answer}{'' if said.probability is None else f' {said.probability:.4f}'}"
    yield from filter(None, (said.words, said.guard_words, *said.notes))


def test_verdicts_are_told_as_they_were() -> None:
    held(__file__, "verdicts", lambda case: _answer(lambda: _judged(case)))


METERS = {each.name: each for each in (DEFAULT_METER, *CLASSES.values())}
AMOUNTS = "2mV 59V 61V 700V 3ohm 5k9 61M 3uA 5.9mA 9A 4nF 1mF 9Hz"


def _errors(name: str) -> str:
    """The range that takes an amount, one count of it, and how far off it may be: direct, alternating."""
    out = []
    for amount in map(parse_quantity, AMOUNTS.split()):
        used = [choose_range(METERS[name], amount.amount, amount.unit, way) for way in (False, True)]
        said = [
            f"{each.full_scale:g}/{each.resolution:g}/{each.accuracy(amount.amount):g}" for each in used if each
        ]
        out.append(" ".join(dict.fromkeys(said)))
    return ", ".join(out)


def test_errors_of_the_meters_are_told_as_they_were() -> None:
    held(__file__, "meters", _errors, METERS)


def test_records_of_this_room_are_values() -> None:
    assert not loose("measure")
