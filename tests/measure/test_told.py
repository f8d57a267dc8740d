"""What identification and verdicts tell, case by case, as it was read through and found good.

Values and codes of parts are those that other tests of this room hold against their published sources; here the
order, the reasons and the remarks of whole answers are held.
"""

from __future__ import annotations

from collections.abc import Iterator

from bench.errors import SoldersideError
from bench.kit.kit import Kit
from bench.measure.identify.ahead import judge_part, what_it_says
from bench.measure.identify.match_kit import identify
from bench.measure.verdict.meter import CLASSES, DEFAULT_METER, Meter, choose_range
from bench.measure.verdict.verdict import judge_text
from bench.parts.quantity import parse_quantity
from bench.plan.bag import bag_lines
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
TYPED = (
    "4k69", "4.7k", "4k7", "470", "47.3", "46.4", "0.3 ohm", "0", "0.9 ohm", "0.05", "100k", "104", "100.0",
    "223", "0.022", ".022", "2A104J", "104K250", "100 nF", "97n", "12 uF", "7.9u", "25u", "10.2 mH",
    "0.000 mH", "-0.62 V", "0.61", "0.61 V", "0.2 V", "1.8 V", "3.6 V", "3.61 V", "0 V", "0.000 nF", "OL",
    "-OL", "-4k7", "hFE 300", "hFE 500", "beta 90", "gain 1000", "4.000", "4.0 MHz", "500mA", "TL072",
    "TL071", "BC547C", "1N4148", "1N5817", "5V1", "yellow violet red gold",
    "yellow violet black brown brown", "orange violet red gold", "black", "brown black yellow gold", "4M7",
    "1E5 ohm", "50k", "250k", "5 V AC", "12 kHz", "473",
)  # fmt: skip
MEASURED_AHEAD = (
    ("R1", "4k69"), ("R1", "4.69"), ("R4", "47"), ("R4", "4k7"), ("R4", "60"), ("R4", "OL"),
    ("C1", "99 nF"), ("C4", "22.4 nF"), ("C4", "104"), ("L1", "9.9 mH"), ("L1", "99 mH"), ("D1", "0.62"),
    ("D1", "0.2 V"), ("D1", "0.05"), ("D1", "0.051"), ("D1", "-0.05"), ("D1", "-0.06"), ("D1", "3.6"),
    ("D1", "3.7"), ("D1", "OL"), ("D4", "1.8"), ("D4", "0.7"), ("Q1", "0.65"), ("Q1", "hFE 250"),
    ("U1", "12"), ("R6", "99 M"), ("Y1", "4 MHz"),
)  # fmt: skip


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


def _line(what: str, said: Iterator[str]) -> str:
    """One case in one line, an error as it is told."""
    try:
        return f"{what}: {' | '.join(said)}"
    except SoldersideError as error:
        return f"{what}: ? {error.what} ({error.hint})"


def test_what_a_part_can_be_is_told_as_it_was() -> None:
    held(
        __file__,
        "identified",
        [
            *(_line(f"{text!r} in a kit", _asked(text, BENCH)) for text in TYPED),
            *(_line(f"{text!r} alone", _asked(text, None)) for text in TYPED[:46]),
            *(_line(f"{ref} reads {typed!r}", _ahead(ref, typed)) for ref, typed in MEASURED_AHEAD),
        ],
    )


LIMITS = {
    "12 V ± 5 %": "12.03 11.40 11.37 11.43 12.6 12.63 12.57 -12 -13 0.5 0 OL -OL 600 601 12.0001 12mV 13 12~",
    "-12 V ± 5 %": "-12 -11.4 12 -OL OL -20 -0.1",
    "0 V ± 10 mV": "0 0.004 0.02 -0.02 1.001 31 OL 5 5m",
    "< 5 V": "0 4.9 5.00 5.2 -4.9 -6 OL -OL",
    "> 5 V": "5.2 4 0.1 OL -OL -6",
    "12.6 V AC ± 10 %": "12.6 14 11 0.1 OL 12.6Vdc -12",
    "< 40 mA": "0 39 40 41 0.04 -20m -60m OL -OL",
    "2 mA ± 20 %": "2 2m 0.0020 1.59m 1.6m 0.05m -2m -1m OL 15u",
    "> 200 ohm": "250 1k 199 200 0 OL 1.2 -50 0.5",
    "< 1 ohm": "0.3 0.9 1.1 30 OL 1 -0.1 -0.001",
    "4k7 ± 5 %": "4.7k 4k7 4.7 4.44k 4.465k 4.4 5k OL 4700 1",
    "47 kohm ± 0.01 %": "47.0k 47.2k",
    "OL": "OL 1M 999k 5 1.",
    "100 nF ± 10 %": "100n 100 98.3n 89n OL 0",
    "680 Hz ± 30 %": "680 900 0.68 680k",
    "10 mH ± 10 %": "10m 10 9.5m",
}


def _judged(limit: str, typed: str, named: str = "") -> Iterator[str]:
    said = judge_text(limit, typed, DEFAULT_METER, named)
    yield f"{said.answer} {'' if said.probability is None else f'{said.probability:.4f}'}"
    yield from (said.words, said.guard_words, *said.notes)


def _errors(meter: Meter, amount: str) -> str:
    """The range that takes an amount and how far off the meter may be, direct and alternating."""
    found = parse_quantity(amount)
    used = (choose_range(meter, found.amount, found.unit, alternating) for alternating in (False, True))
    return " ".join(
        f"{each.full_scale:g}/{each.resolution:g}/{each.accuracy(found.amount):g}" for each in used if each
    )


def test_verdicts_are_told_as_they_were() -> None:
    cases = [(limit, typed, "") for limit, readings in LIMITS.items() for typed in readings.split()]
    cases += [("12 V ± 5 %", typed, named) for named in ("600 V", "60 V", "6 V") for typed in ("12", "OL", "6")]
    amounts = (
        "2 mV",
        "59 V",
        "61 V",
        "700 V",
        "3 ohm",
        "5k9",
        "61M",
        "3 uA",
        "5.9 mA",
        "9 A",
        "4 nF",
        "1 mF",
        "9 Hz",
    )
    held(
        __file__,
        "verdicts",
        [
            *(
                _line(f"{limit}, {typed} {named}", _judged(limit, typed, named))
                for limit, typed, named in cases
            ),
            *(
                _line(each.name, (_errors(each, said) for said in amounts))
                for each in (DEFAULT_METER, *CLASSES.values())
            ),
        ],
    )
