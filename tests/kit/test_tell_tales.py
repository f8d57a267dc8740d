"""Parts lists that speak of the mains or of high voltage in no tidy words, and what only looks like it.

Types of tubes, relays and modules and what they are fed with: common practice, no source; the limits are those
of `test_danger`.
"""

from __future__ import annotations

import pytest

from tests.kit.test_danger import found


@pytest.mark.parametrize(
    ("part", "hazard"),
    [
        ("{refs: TR1, value: 230V 2x12V}", "mains"),
        ("{refs: TR1, value: 240/110}", "mains"),
        ('{refs: TR1, value: "230:12"}', "mains"),
        ("{refs: TR1, value: 6.3V 2A}", "mains"),
        ("{refs: TR1, value: EI30 2x15V}", "mains"),
        ("{refs: TR1, value: '?', note: mains transformer}", "mains"),
        ("{refs: VT1, value: autotransformer 0-260}", "mains"),
        ("{refs: T1, value: variac, kind: transformer}", "mains"),
        ("{refs: T1, value: 0-110-220-240 / 0-15, kind: transformer}", "mains"),
        ("{refs: T1, value: 'sec 12 V, pri 230 V', kind: transformer}", "mains"),
        ("{refs: T1, value: '250-0-250 V 100 mA, 6.3 V 3 A', kind: transformer}", "mains"),
        # What a part is used for, or what is not fitted, takes nothing away.
        ("{refs: T1, value: 230 V / 18 V 30 VA, note: charger transformer}", "mains"),
        ("{refs: T1, value: 230 V / 9 V 5 VA, note: replaces the wall wart}", "mains"),
        ("{refs: T1, value: 230 V / 9 V 5 VA, note: for the USB supply}", "mains"),
        ("{refs: CN1, value: IEC C14 inlet, note: charger input}", "mains"),
        ("{refs: CN1, value: snap-in, kind: mains inlet}", "mains"),
        ("{refs: CN1, value: mains inlet, note: no mains switch is fitted}", "mains"),
        ("{value: There is no mains fuse, kind: hardware, quantity: 1}", "mains"),
        # Nets and terminals as board programs and panels name them.
        ("{refs: R2, value: 1M, nets: MAINS_L}", "mains"),
        ("{refs: R2, value: 1M, nets: [AC_L, AC_N]}", "mains"),
        ("{refs: R2, value: 1M, nets: [L, N]}", "mains"),
        ("{refs: R2, value: 1M, nets: HV_OUT}", "high voltage"),
        ("{refs: R2, value: 1M, nets: VPLATE}", "high voltage"),
        ("{refs: R2, value: 1M, nets: '+250'}", "high voltage"),
        ("{refs: J1, value: terminal block, note: L N}", "mains"),
        ("{refs: J1, value: terminal block, note: 'L, N, PE'}", "mains"),
        ("{refs: J1, value: terminal block, note: LINE NEUTRAL EARTH}", "mains"),
        ("{refs: J1, value: terminal block, note: AC IN 230}", "mains"),
        ("{refs: J1, value: terminal block, note: '~230V'}", "mains"),
        ("{value: 3-core flex, kind: cable, quantity: 1}", "mains"),
        ("{value: H05VV-F 3G0.75, kind: cable, quantity: 1}", "mains"),
        ("{refs: K1, value: SSR-25DA, kind: relay}", "mains"),
        ("{refs: K1, value: 230VAC, kind: relay}", "mains"),
        ("{refs: LA1, value: E27 60 W, kind: lamp}", "mains"),
        ("{refs: Q1, value: TIC226}", "mains"),
        ("{refs: X1, value: L1 N PE, kind: terminal block}", "mains"),
        ("{refs: PS1, value: SMPS 24V 2A, kind: module}", "mains"),
        ("{refs: U2, value: phase-angle control, kind: module}", "mains"),
        ("{refs: LA1, value: 230V 40W, kind: lamp}", "mains"),
        ("{refs: U1, value: AC-DC 5V, kind: module}", "mains"),
        # Tubes by their types.
        ("{refs: VT1, value: variac 2 A, kind: transformer}", "non-isolated supply"),
        ("{refs: V1, value: UCL82, kind: valve}", "mains"),
        ("{refs: V1-V4, value: IN-14}", "high voltage"),
        ("{refs: DS1, value: ZM1040, kind: display}", "high voltage"),
        ("{refs: GM1, value: J305, kind: module}", "high voltage"),
        ("{refs: GM1, value: STS-5, kind: module}", "high voltage"),
        ("{refs: U1, value: 6N2P}", "high voltage"),
        ("{refs: CRT1, value: D7-201GH, kind: display}", "high voltage"),
        ("{refs: LA1, value: NE-2, kind: lamp}", "high voltage"),
        ("{refs: U1, value: NCH6100HV, kind: module}", "high voltage"),
        ("{refs: U1, value: HV module, kind: module}", "high voltage"),
        ("{refs: T1, value: ignition coil, kind: transformer}", "high voltage"),
        ("{refs: T1, value: EL inverter, kind: module}", "high voltage"),
        # Capacitors whose volts have no V, or a W before it.
        ("{refs: C1, value: 120u, voltage: 330}", "stored charge"),
        ("{refs: C1, value: 120u 330WV}", "stored charge"),
        ("{refs: C1, value: 100u 400}", "stored charge"),
        ("{refs: BT1-BT14, value: 9 V, kind: battery holder, note: in series}", "high voltage"),
    ],
)  # fmt: skip
def test_it_is_seen_without_tidy_words(part: str, hazard: str) -> None:
    danger = found(part)
    assert danger.deadly
    assert hazard in danger.kills


@pytest.mark.parametrize(
    "part",
    [
        "{refs: R2, value: 0E27}",
        "{refs: U1, value: UC3842, kind: IC}",
        "{refs: J1, value: 6.35 mm, kind: jack socket, note: IN-1}",
        "{refs: J1, value: 6.35 mm, kind: jack socket, note: LINE IN}",
        "{refs: R2, value: 10k, nets: LINE_OUT}",
        "{refs: R2, value: 10k, nets: [L, R]}",
        "{refs: R2, value: 10k, nets: VCC_3V3}",
        "{refs: R2, value: 10k, nets: LED_ANODE}",
        "{refs: Q1, value: J305, kind: JFET}",
        "{refs: U1, value: CD4011, kind: IC}",
        "{refs: DS1, value: OLED 0.96 in, kind: display}",
        "{refs: S1, value: SPDT, kind: toggle switch, note: AC/DC}",
        "{refs: K1, value: 5 V, kind: relay, note: contacts 250 VAC 10 A}",
        "{refs: T1, value: 'ratio 120:1', kind: transformer}",
        "{refs: TR1, value: BC109C 45V}",
        "{refs: J1, value: DC socket, note: for a 12 V mains adapter}",
        "{refs: J1, value: DC socket, note: a mains charger plugs in here}",
        "{refs: BT1, value: 18650 3.7 V, kind: battery holder}",
    ],
)
def test_what_only_looks_like_it_is_left_alone(part: str) -> None:
    assert not found(part).deadly


def test_a_chain_of_high_capacitors_and_rectifiers_is_taken_for_a_multiplier() -> None:
    capacitors = "{{refs: C1-C{}, value: 10n 1kV}}"
    diodes = "{refs: D1-D5, value: 1N4007}"
    assert found(capacitors.format(5), diodes).kills == ("high voltage",)
    assert not found(capacitors.format(2), diodes).deadly
    assert not found(capacitors.format(5), diodes, top="hazards: none").deadly


_DROPPED = ("{refs: C1, value: 470n}", "{refs: D1-D4, value: 1N4007}", "{refs: ZD1, value: 24V 1.3W}")
_LN = "{refs: J1, value: terminal block, note: L N}"


@pytest.mark.parametrize(
    ("parts", "unisolated"),
    [
        ((*_DROPPED, _LN), True),
        ((*_DROPPED, _LN, "{refs: T1, value: 230 V to 18 V}"), False),
        ((*_DROPPED, _LN, "{refs: U1, value: HLK-PM01, kind: module}"), False),
        ((*_DROPPED, _LN, "{refs: J2, value: DC socket}"), False),
        ((*_DROPPED, _LN, "{refs: J2, value: terminal block, note: 5 V IN}"), False),
        ((_LN,), False),
    ],
)
def test_low_rails_that_only_the_mains_can_feed_are_not_isolated(
    parts: tuple[str, ...], unisolated: bool
) -> None:
    """A capacitor in series with the mains isolates nothing: common practice, no source."""
    assert ("non-isolated supply" in found(*parts, supply='{"24 V": 15 mA}').kills) is unisolated


def test_a_low_rail_on_a_module_or_a_valve_explains_nothing_but_a_capacitor() -> None:
    """Heaters and outputs hang on low rails, whatever else is in the part."""
    for part in ("{refs: U1, value: HLK-PM01, kind: module", "{refs: V1, value: ECC83, kind: valve"):
        assert found(part + ', nets: "+9 V"}').deadly
    assert not found('{refs: C1, value: 47u 400 V, nets: "+9 V"}').deadly


@pytest.mark.parametrize(("battery", "hands_off"), [
    ("{refs: BT1, value: 48 V pack, kind: battery holder}", False),
    ("{refs: BT1, value: 90 V, kind: battery holder}", True),
    ("{refs: BT1, value: 16S LiFePO4, kind: battery holder}", True),
    ("{refs: BT1-BT7, value: 9 V, kind: battery holder, note: in series}", True),
    ("{refs: BT1-BT7, value: 9 V, kind: battery holder}", False),
])  # fmt: skip
def test_batteries_above_50_v_keep_hands_off(battery: str, hands_off: bool) -> None:
    assert found(battery).hands_off is hands_off


@pytest.mark.parametrize(
    ("said", "hazards"),
    [
        ("about: Makes 320 V out of a battery.", ("high voltage",)),
        ("about: A lamp that plugs into the wall.", ("mains",)),
        ("notes: [The board runs straight off the mains.]", ("mains",)),
        ("notes: ['About 230 V AC are on J1.']", ("mains",)),
        ("notes: [Set the meter to its 600 V range.]", ()),
        ("notes: [C1 is rated 400 V.]", ()),
        ("notes: [Never connect it to 230 V.]", ()),
        ("about: A receiver that is quiet beside mains hum.", ()),
        ("about: Runs from a 230 V to 12 V plug-in adapter.", ()),
        ("scenario: Beside an old 300 V amplifier.", ()),
        ("about: 'Rails: +12 V and -12 V.'", ()),
    ],
)
def test_what_a_kit_tells_of_itself_counts_until_its_author_denies_it(
    said: str, hazards: tuple[str, ...]
) -> None:
    assert found(top=said).kills == hazards
    assert found(top=f"{said}\nhazards: none").kills == ()


def test_a_check_whose_words_name_high_voltage_counts() -> None:
    point = (
        'hold_points: [{name: First power, checks: [{at: TP1, how: "Turn RV1 until about 180 V are reached"}]}]'
    )
    assert found(after=point).kills == ("high voltage",)


@pytest.mark.parametrize("part", [
    "{refs: TR1, value: Netztrafo 2x12V}", "{refs: T1, value: transfo 230V / 12V}",
    "{refs: J1, value: Kaltgerätebuchse, kind: connector}",
    "{refs: J1, value: Schuko-Steckdose, kind: connector}",
    "{refs: J1, value: prise secteur, kind: connector}",
])  # fmt: skip
def test_other_languages_name_the_mains_too(part: str) -> None:
    assert "mains" in found(part).kills
