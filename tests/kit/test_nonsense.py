"""Quantities that make no sense are faults of a kit file, each with its line; what people write stays accepted.

What a part can be worth and what it is rated in: common practice, no source; tolerance letters: IEC 60062.
"""

from __future__ import annotations

import random

import pytest

from bench.errors import FileFaults
from bench.kit.lint import kit_remarks
from bench.kit.load import parse_kit
from tests.support.kit_files import small

NONSENSE: dict[str, tuple[str, ...]] = {
    "expect": (
        "> 1O kohm", "9..1 V", "5 bananas", "nan V", "inf V", "> -200 ohm", "< -1 ohm", "< 0 ohm",
        "> 5 V < 3 V", "5 V ± -3 %", "5 V ± 0 %", "5 V ± 400 %", "5 V ± 3 A", "5 V ± 4", "5", "25 A", "0 V",
        "± 5 V", "> V", "5 V ±", "l2 V ± 5 %", "1..9", "4..9 V..A", "5 V ± red", "-3 ohm ± 1 %", "> 5 km",
        "< 3 lbs", "5 V to 3 V", "between 9 V and 2 V", "> 1e400 ohm", "at least 900 kV", "< -3 mA AC",
        "12 V ± 12 bananas", "5 V or so 3", "1,234 V ± 5 %", "> 2 ohm > 3 ohm", "5 V ± 4 % ± 3 %",
        "five V ± 1 %", "0 V ± 0 V", "0 V ± 5 %", "5 V ± 201 %", "< 1001 A",
    ),
    "rail": (
        "12 bananas", "5 V", "nan A", "inf mA", "-31 mA", "12 W", "100 ohm", "10 nF", "little", "?", "mA",
        "2O mA", "5000 A", "38", "3 mA 4 mA", "red", "1e400 A", "12 HP", "5 %", "TL072",
    ),
    "rail name": (
        "0 V", "0V", "-0 V", "nan V", "inf V", "∞ V", "12 A", "+12 mA", "12 bananas", "5 W", "9 MV",
        "100 ohm", "0.0 V AC", "10 nF", "999999 V", "100.1 kV",
    ),
    "width": (
        "12 bananas", "-4 HP", "0 HP", "nan mm", "12", "red", "5 V", "4 HP 3", "1e9 HP", "12 U", "99999 HP",
        "inf HP", "HP", "12 mA",
    ),
    "height": ("3 bananas", "-3 U", "0 U", "nan U", "500 U", "3 HP", "tall", "5 V", "inf U"),
    "depth": ("deep", "-3 mm", "0 mm", "12 HP", "5 V", "nan mm", "30", "5001 mm", "9000 mm", "3 bananas"),
    "turns": ("-3", "0", "2.5", "many", "1000", "nan", "25 turns", "inf"),
    "range": ("300 miles", "-300 cents", "0 cents", "99999 cents", "300", "nan cents", "3 V", "wide"),
    "target": (
        "banana", "12 bananas", "nan V", "inf V", "5 V ± -3 %", "9..1 V", "> 1O kohm", "5", "-3", "red",
        "5 V ± 3 A", "3 apples and a pear", "> 5 V < 3 V", "∞", "NaN Hz", "5 furlongs",
    ),
    "voltage": (
        "25 A", "-25 V", "0 V", "nan V", "inf V", "red", "25 bananas", "1e400 V", "900 kV", "4k7", "10 nF",
        "2S V", "12 HP", "5 %", "V", "10 W", "TL072", "25 V 3 A", "?", "25 Hz",
    ),
    "tolerance": (
        "red", "-3 %", "0 %", "400 %", "nan %", "inf %", "5 V", "10 A", "I", "banana", "5 % 3 %", "l %",
        "± %", "?", "5 bananas", "4k7 V", "TL072", "-1", "0", "101 %",
    ),
    "resistor": (
        "-4k7", "5 V", "10 nF", "3 A", "10 H", "nan", "inf", "-1", "4k7 0 V", "4k7 -25 V", "9 MHz",
        "900000 Gohm", "∞", "1/4 W", "- 100", "−4k7",
    ),
    "ceramic capacitor": (
        "-100n", "4k7", "5 V", "3 A", "nan", "0 pF", "100n 0 V", "100n -50 V", "10 H", "5k", "99999 F",
        "2 W",
    ),
    "inductor": ("-10u", "4k7", "5 V", "nan H", "0 uH", "10u -5 A", "3 Hz", "2 pF"),
    "crystal": ("-4 MHz", "5 V", "0 Hz", "nan MHz", "10 nF", "900 GHz"),
    "fuse": ("-1 A", "0 A", "5 ohm", "nan A", "10 nF", "250 V", "9999 A"),
    "Zener diode": ("-5 V", "0 V", "3 A", "4k7", "nan V", "10 nF"),
    "trimmer": ("0", "-10k", "5 V", "nan", "10 nF"),
    "height class": ("42", "0", "-1", "low", "nan", "2.5"),
    "joints": ("-1", "two", "2000", "nan", "2.5"),
    "quantity": ("-2", "0", "many", "99999999", "nan", "1.5"),
    "at": (
        "[61, 5]", "[5, 41]", "[-1, 5]", "[5, -0.1]", "[nan, 5]", "[left, 5]", "[1e9, 5]", "[5]", "5 V",
        "[5 V, 3]",
    ),
    "size": ("[0, 40]", "[-60, 40]", "[nan, 40]", "60 V", "[60]", "[60, 1e9]", "[10001, 40]", "[inf, 40]"),
    "package": ("5 V", "-5 mm", "nan", "4k7", "3 A"),
    "socket": ("5 V", "-8", "nan", "yes", "4k7"),
}  # fmt: skip
"""Field -> texts that no kit can mean there."""

REAL: dict[str, tuple[str, ...]] = {
    "expect": (
        "5 V ± 4 %", "> 200 ohm", "OL", "> 2 Mohm", "11.4..12.6 V", "about 38 mA", "< 0,5 A", "0 V ± 10 mV",
        "-12 V ± 5 %", "2.89 V AC ± 10 %", "3.5795 MHz ± 0.1 %", "steady light", "LED1 shines", "40 mA max",
        "at most 40 mA", "-1.4..-1.2 V", "5 V +0.2 V/-0.1 V", "open", "> 1.0 V, < 2.0 V", "a quiet click",
        "5 V ± 200 %", "< 1000 A",
    ),
    "rail": (
        "38 mA", "12 mA", "0,5 A", "0.54 A", "about 38 mA", "350 mA AC", "2 A", "max 30 mA", "0 mA",
        "500 µA",
    ),
    "rail name": (
        "+12 V", "-12 V", "12 V AC", "9 V battery", "USB 5 V", "mains", "230 V AC", "battery", "+300 V",
        "B+", "2 x 15 V AC", "12V", "±15 V", "+3,3 V", "phantom 48 V", "100 kV",
    ),
    "width": ("12 HP", "60.6 mm", "4HP", "128.5 mm", "7,5 HP"),
    "height": ("3 U", "128.5 mm", "1U", "39.6 mm"),
    "depth": ("38 mm", "3,8 cm", "25mm", "5000 mm"),
    "turns": ("1", "25", "12"),
    "range": ("300 cents", "1 cent", "40 cents per octave", "1200 cents an octave"),
    "target": (
        "659 Hz", "5 V ± 1 %", "loudest", "silence", "U2 pin 2 at 1.5 V", "104 beats in 30 s",
        "1 V makes one octave", "loudest noise with the aerial on", "twelve breaths in a minute",
        "-15.0 V at output -", "> 3 V", "440 Hz ± 1 Hz", "0 V ± 5 mV at TP1", "50 %",
        "3 mA through the lamp", "10 Vpp", "1.000 V", "9 o'clock",
    ),
    "voltage": (
        "25 V", "16V", "6.3 V", "6V3", "6,3 V", "275 V AC", "400 VDC", "1 kV", "X2 275 V AC", "25",
        "50 V min", "250 V~", "1kV", "63 volts", "35/50 V", "≥ 16 V", "2 x 15 V", "35-50 V",
    ),
    "tolerance": (
        "1 %", "±5%", "0.1 %", "20%", "5", "J", "F", "K", "Z", "-20/+80 %", "+80/-20 %", "-20 +50 %",
        "0,5 %", "100 %", "1 % metal film", "1% matched", "50 ppm", "+/- 5 %", "5 per cent",
    ),
    "resistor": (
        "4k7", "47R", "0", "0R", "R47", "4,7 kΩ", "2 Mohm", "100 metal film", "1k 1/4 W", "4R7 5W", "1k 1%",
        "1002F", "2.2M", "see text", "*", "10 ohm", "1M 0,6W", "100",
    ),
    "ceramic capacitor": (
        "100n", "0,1u", "47 pF 50 V", "10u 25V", "100n X2", "104", "0.1µF", "4u7", "100nF/50V",
    ),
    "inductor": ("100uH", "10u", "4,41uH", "1 mH", "22 µH 1 A"),
    "crystal": ("3.579545 MHz", "32.768 kHz", "16 MHz", "4MHz"),
    "fuse": ("630 mA slow", "1 A", "500 mA 250 V", "T500mA 250V", "0,8 A"),
    "Zener diode": ("5V1", "1N4742A", "5.1 V", "12 V 1 W", "BZX55C5V1", "1000 V"),
    "trimmer": ("10k", "500R", "1M", "B10k"),
    "height class": ("1", "9"),
    "joints": ("0", "8"),
    "quantity": ("1", "12"),
    "at": ("[0, 0]", "[60, 40]", "[12.5, 3]"),
    "size": ("[60, 40]", "[100.5, 80]", "[10000, 40]"),
    "package": (
        "DIP-8", "TO-92", "0805", "radial 5 mm", "1/4 W", "5 mm", "axial", "25 turns upright", "T50-2 red",
    ),
    "socket": ("DIP-8", "B9A", "5x20 mm clips", "SIP-3"),
}  # fmt: skip


def each_of(table: dict[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    return [(field, text) for field, texts in table.items() for text in texts]


def kit_of(field: str, text: str) -> tuple[str, int]:
    """A small kit file with this text in this field, and the line it stands in."""
    quoted = '"' + text.replace('"', "'") + '"'
    plain = "{refs: R1, value: 1k}"
    if field == "expect":
        top = f"hold_points:\n  - name: First\n    checks:\n      - at: TP1\n        expect: {quoted}\n"
        return small("{refs: TP1, kind: test point}", top=top), 11
    if field == "rail":
        return small(plain, top=f'supply:\n  "+12 V": {quoted}\n'), 8
    if field == "rail name":
        return small(plain, top=f"supply:\n  {quoted}: 10 mA\n"), 8
    if field in ("width", "height", "depth"):
        return small(plain, top=f"panel:\n  {field}: {quoted}\n"), 8
    if field in ("turns", "range", "target"):
        return small(plain, top=f"trims:\n  - name: Scale\n    {field}: {quoted}\n"), 9
    if field in ("voltage", "tolerance"):
        kind = "ceramic capacitor" if field == "voltage" else "resistor"
        value = "1n" if field == "voltage" else "1k"
        return small(f"{{refs: X1, value: {value}, kind: {kind}, {field}: {quoted}}}"), 6
    if field == "at":
        place = text if text.startswith("[") else quoted
        return small(f"{{refs: R1, value: 1k, at: {place}}}", board="size: [60, 40]"), 6
    if field == "size":
        return small(plain, board=f"size: {text if text.startswith('[') else quoted}"), 7
    if field in ("height class", "joints"):
        return small(f"{{refs: R1, value: 1k, {field.split()[0]}: {quoted}}}"), 6
    if field == "quantity":
        return small(f"{{value: M3 screw, kind: screw, quantity: {quoted}}}"), 6
    if field in ("package", "socket"):
        return small(f"{{refs: U1, value: TL072, kind: IC, {field}: {quoted}}}"), 6
    return small(f"{{refs: X1, value: {quoted}, kind: {field}}}"), 6


def faults_of(text: str) -> list[str]:
    try:
        parse_kit(text.encode(), "my.yaml")
    except FileFaults as error:
        return [str(fault) for fault in error.faults]
    return []


@pytest.mark.parametrize(
    ("field", "text"), [(field, text) for field, texts in NONSENSE.items() for text in texts]
)
def test_nonsense_is_a_fault_with_its_line_and_what_to_do(field: str, text: str) -> None:
    kit, line = kit_of(field, text)
    found = faults_of(kit)
    assert found
    assert any(fault.startswith(f"my.yaml:{line}: ") for fault in found)
    assert all("; " in fault and fault.split("; ", 1)[1] for fault in found)


@pytest.mark.parametrize(("field", "text"), each_of(REAL))
def test_what_people_write_is_accepted(field: str, text: str) -> None:
    assert faults_of(kit_of(field, text)[0]) == []


def test_the_table_is_large_enough_to_mean_something() -> None:
    assert sum(map(len, NONSENSE.values())) >= 200
    assert set(NONSENSE) == set(REAL)


WRONG_UNITS = {
    "expect": ("bananas", "km", "HP", "lbs", "degrees", "furlongs"),
    "rail": ("V", "W", "ohm", "nF", "HP", "bananas", "Hz"),
    "width": ("V", "U", "A", "bananas", "ohm", "kg"),
    "voltage": ("A", "mA", "W", "ohm", "nF", "uH", "Hz", "bananas", "HP"),
    "tolerance": ("V", "A", "bananas", "nF", "Hz", "HP"),
    "resistor": ("V", "A", "nF", "uH", "MHz", "mA"),
    "ceramic capacitor": ("V", "A", "kohm", "uH", "MHz", "mA"),
    "inductor": ("V", "kohm", "nF", "MHz"),
    "crystal": ("V", "kohm", "nF", "uH", "A"),
    "fuse": ("kohm", "nF", "uH", "MHz"),
    "target": ("bananas", "furlongs", "kg", "lbs"),
}


def test_numbers_in_units_of_another_sort_are_faults_whatever_the_number() -> None:
    chance = random.Random(20311)
    missed = []
    for _ in range(1500):
        field = chance.choice(list(WRONG_UNITS))
        number = chance.choice((f"{chance.randint(1, 999)}", f"{chance.uniform(0.1, 99):.2f}"))
        sign = chance.choice(("> ", "< ", "about ")) if field == "expect" else ""
        text = f"{sign}{number} {chance.choice(WRONG_UNITS[field])}"
        kit, line = kit_of(field, text)
        if not any(fault.startswith(f"my.yaml:{line}: ") for fault in faults_of(kit)):
            missed.append((field, text))
    assert missed == []


def test_limits_that_nothing_meets_are_faults_whatever_the_numbers() -> None:
    chance = random.Random(20312)
    for _ in range(500):
        low, more = chance.uniform(0.01, 900), chance.uniform(0.01, 900)
        unit = chance.choice(("V", "mA", "kohm", "Hz"))
        text = chance.choice(
            (
                f"{low + more:.3f}..{low:.3f} {unit}",
                f"> {low + more:.3f} {unit}, < {low:.3f} {unit}",
                f"{low:.3f} {unit} ± -{more:.3f} %",
                f"{low:.3f} {unit} ± {500 + more:.0f} %",
                f"< -{low:.3f} kohm",
            )
        )
        assert faults_of(kit_of("expect", text)[0]), text


def test_a_build_that_was_begun_with_nonsense_can_still_be_read() -> None:
    kit, _ = kit_of("expect", "> 1O kohm")
    assert parse_kit(kit.encode(), "my.yaml", lenient=True).hold_points[0].checks[0].expect == "> 1O kohm"


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("{refs: R1, value: 5 bananas, kind: resistor}", '"bananas" in the value "5 bananas" of R1 is no unit'),
        ("{refs: R1, value: banana, kind: resistor}", 'the value "banana" of R1 is not understood'),
        ("{refs: Q1, value: 4k7, kind: transistor}", 'Q1, transistor, has the value "4k7"'),
        ("{refs: U1, value: 100 nF, kind: IC}", 'U1, IC, has the value "100 nF"'),
    ],
)
def test_words_that_may_be_meant_are_named_with_their_line(entry: str, said: str) -> None:
    remarks = [str(remark) for remark in kit_remarks(parse_kit(small(entry).encode(), "my.yaml"))]
    assert any(remark.startswith("my.yaml:6: ") and said in remark for remark in remarks)
