"""Typical lines of parts lists of kits, and the kind of part that each one is.

Common practice, no source, but for what a comment names: varistor codes (`07D471K`: disc of 7 mm, 470 V,
10 %), inrush thermistors (`5D-9`: 5 ohm cold, disc of 9 mm), safety classes X1, X2, Y1, Y2 (IEC 60384-14,
from memory).
"""

from __future__ import annotations

import pytest

from bench.parts.guessing import guess_kind
from bench.parts.kinds import KINDS

LINES = """
BT7   | 18650 Li-ion 3000mAh   |                                | battery cell
BT8   | LiPo 500 mAh           |                                | battery cell
BT9   | 18650 Li-ion holder    |                                | battery holder
F21   | 3.15A T                |                                | fuse
F22   | 1A                     |                                | fuse
F23   | 2 A slow               |                                | fuse
C91   | 22u                    | 0805                           | ceramic capacitor
C92   | 4u7 16V                | 1206                           | ceramic capacitor
C93   | 22n                    | SMD 0603                       | ceramic capacitor
C94   | 100n 630V              |                                | film capacitor
Q91   | J310                   |                                | JFET
Q92   | FS8205A                | TSSOP-8                        | MOSFET
TR1   | 230V 2x12V             |                                | transformer
TR2   | 240/110                |                                | transformer
TR3   | "230:12"               |                                | transformer
TR4   | 6.3V 2A                |                                | transformer
TR5   | EI30 2x15V             |                                | transformer
TR6   | 5k/8R                  |                                | transformer
TR7   | BC109C 45V             |                                | transistor
TR8   | NPN 45V 100mA          |                                | transistor
TR9   | 10k                    |                                | trimmer
VT1   | autotransformer 0-260  |                                | transformer
VT2   | KT315                  |                                | transistor
R1    | 4k7                    |                                | resistor
R2    | 100R 1%                | metal film                     | resistor
R3    | 0R22 5W                | wirewound                      | resistor
R4    | 10k                    | SMD 0805                       | resistor
R5    | 1206 4k7               |                                | resistor
R6    | 10k 3296W              |                                | trimmer
R7    | 100R                   | trimmer, 25 turns              | trimmer
R8    | NTC 10D-11             |                                | thermistor
R9    | 5D-9                   |                                | thermistor
R10   | 14D471K                |                                | varistor
R11   | 470V MOV               |                                | varistor
R12   | 1k tempco 3300ppm      |                                | thermistor
R13   | GL5528                 | LDR                            | photoresistor
R14   | 0R                     | jumper                         | wire link
RN1   | 8x10k                  | SIP-9 bussed                   | resistor network
RV1   | 07D471K                |                                | varistor
RV2   | S14K275                |                                | varistor
RV3   | V275LA20               |                                | varistor
RV4   | 10D431K                |                                | varistor
RV5   | 275V varistor          |                                | varistor
RV6   | B100k                  |                                | potentiometer
RV7   | 10k                    | multiturn trimmer              | trimmer
RV8   | 3362P-1-103            |                                | trimmer
RV9   | 3296W-1-103            |                                | trimmer
RV10  | EC11                   |                                | rotary encoder
RV11  | 10k                    | 9 mm pot, vertical             | potentiometer
RV12  | A50k slide             |                                | slide potentiometer
RV13  | MOV 10D471K            |                                | varistor
VR1   | 7D391K                 |                                | varistor
VR2   | S10K275                |                                | varistor
VR3   | 2k 25T                 |                                | trimmer
VR4   | 5k                     | Trimmer                        | trimmer
VR5   | LM317T                 |                                | voltage regulator
VR6   | 3386P 10k              |                                | trimmer
T1    | 2k 25T                 | Trimmer                        | trimmer
T2    | 3296W-1-103            |                                | trimmer
T3    | 10k                    | Trimmer                        | trimmer
TR1   | 2k 25T                 | Trimmer                        | trimmer
T4    | 2x15V 10VA             | toroidal mains transformer     | transformer
T5    | 42TL019                | audio transformer              | transformer
T6    | BC547                  |                                | transistor
T7    | 455 kHz yellow         | IF transformer                 | transformer
T8    | FT50-43                |                                | toroid inductor
T9    | 230V/12V               |                                | transformer
TR2   | BC337-40               |                                | transistor
TR3   | 600:600                | transformer                    | transformer
TRIM1 | 20k                    |                                | trimmer
P1    | 10k log                |                                | potentiometer
P2    | 47k                    | trimmer                        | trimmer
P3    | 2x5                    | box header, power              | box header
C1    | 100n                   |                                | ceramic capacitor
C2    | 100n X2                |                                | film capacitor
C3    | 2n2 Y2                 |                                | ceramic capacitor
C4    | MKP X2 220n 275VAC     |                                | film capacitor
C5    | 100n                   | X2 275VAC                      | film capacitor
C6    | 4n7 Y1                 |                                | ceramic capacitor
C7    | 100n 275~              |                                | film capacitor
C8    | 10u                    |                                | electrolytic capacitor
C9    | 10u/50V tant           |                                | tantalum capacitor
C10   | 10u                    | bipolar                        | bipolar electrolytic capacitor
C11   | 47u NP                 |                                | bipolar electrolytic capacitor
C12   | 22p C0G                |                                | ceramic capacitor
C13   | 5-30pF                 | trimmer                        | trimmer capacitor
C14   | 365p                   | air variable                   | variable capacitor
C15   | 223P polyvaricon       |                                | variable capacitor
C16   | 1u MKT                 |                                | film capacitor
C17   | 100u 16V SMD           |                                | electrolytic capacitor
C18   | 1u X7R 0805            |                                | ceramic capacitor
C19   | 220p                   | silver mica                    | film capacitor
C20   | 100n X1                |                                | film capacitor
VC1   | 140p+82p               |                                | variable capacitor
L1    | 100uH                  | axial choke                    | inductor
L2    | T50-2                  |                                | toroid inductor
L3    | FT37-43                | toroid core                    | toroid inductor
L4    | T68-6                  | 20 turns                       | toroid inductor
L5    | ferrite bead           |                                | ferrite bead
L6    | BLM18 600R@100MHz      | ferrite bead                   | ferrite bead
L7    | 10mH common mode choke |                                | inductor
L8    | ferrite rod aerial     |                                | inductor
FB1   | bead                   |                                | ferrite bead
F1    | 500 mA slow            |                                | fuse
F2    | T1A 250V               |                                | fuse
F3    | RXEF050                |                                | resettable fuse
F4    | MF-R050                |                                | resettable fuse
F5    | 60R050                 |                                | resettable fuse
F6    | PPTC 0.5A              |                                | resettable fuse
F7    | 5x20 mm holder         |                                | fuse holder
F8    | PTC 500 mA             |                                | resettable fuse
XF1   | fuse holder 5x20       |                                | fuse holder
RT1   | 5D-9                   |                                | thermistor
RT2   | NTC 10D-11             |                                | thermistor
RT3   | SCK-055                |                                | thermistor
RT4   | B57236S0509M000        |                                | thermistor
RT5   | RXEF050                |                                | resettable fuse
RT6   | 10k                    |                                | thermistor
RT7   | 5R inrush limiter      |                                | thermistor
RT8   | RUEF110                |                                | resettable fuse
NTC1  | 10D-9                  |                                | thermistor
TH1   | SL10 5R0               | inrush                         | thermistor
PTC1  | 60R110                 |                                | resettable fuse
D1    | 1N4148                 |                                | diode
D2    | 1N4007                 |                                | diode
D3    | 1N5819                 |                                | Schottky diode
D4    | 5V6 500mW              | zener                          | Zener diode
D5    | red 3 mm               |                                | LED
D6    | yellow                 |                                | LED
D7    | warm white 5 mm        |                                | LED
D8    | blue/red bicolour      | 3 mm                           | LED
D9    | P6KE15A                |                                | Zener diode
D10   | 1.5KE15CA              |                                | Zener diode
D11   | DB3                    | diac                           | diode
D12   | BB112                  | varicap                        | diode
D13   | SS14                   |                                | Schottky diode
D14   | M7                     | SMD                            | diode
D15   | KBP206                 |                                | bridge rectifier
D16   | IR LED 940nm           |                                | LED
D17   | BPW34                  | photodiode                     | diode
D18   | RGB                    | common cathode                 | LED
D19   | 1A bridge              |                                | bridge rectifier
BR1   | 2W10                   |                                | bridge rectifier
BR2   | KBPC2510               |                                | bridge rectifier
BR3   | GBU4J                  |                                | bridge rectifier
LED1  | 3 mm green             |                                | LED
DS1   | NE-2                   | neon lamp                      | lamp
DS2   | IN-14                  | nixie tube                     | display
DS3   | 6.3V 150mA             | pilot lamp                     | lamp
LA1   | 12V bulb               |                                | lamp
Q1    | 2N3904                 |                                | transistor
Q2    | S9018                  |                                | transistor
Q3    | MPF102                 |                                | JFET
Q4    | IRF510                 |                                | MOSFET
Q5    | BT136                  | triac                          | thyristor
Q6    | MMBT3904               | SOT-23                         | transistor
Q7    | 16 MHz                 |                                | crystal
Q8    | L14G1                  | phototransistor                | transistor
Q9    | AO3400                 | SOT-23 mosfet                  | MOSFET
U1    | TL072                  | DIP-8                          | IC
U1    | TL074                  | Quad Low-Noise JFET-Input Operational Amplifiers | IC
U2    | 78L05                  |                                | voltage regulator
U3    | AMS1117-3.3            |                                | voltage regulator
U4    | H21A1                  | slotted photointerrupter       | optocoupler
U5    | PC817                  |                                | optocoupler
U6    | TSOP38238              | IR receiver                    | IC
U7    | LM35DZ                 | TO-92                          | IC
U8    | ITR9608                |                                | optocoupler
U9    | LM4040DIZ-5.0          |                                | voltage reference
X1    | 8.000 MHz              | HC-49/S                        | crystal
X2    | 10 MHz TCXO            |                                | crystal
X3    | 455 kHz                | ceramic resonator              | ceramic resonator
Y1    | 20 MHz oscillator      | DIP-14                         | crystal
Y2    | CSB455E                |                                | ceramic resonator
Y3    | 10.7 MHz ceramic filter|                                | ceramic resonator
K1    | 12V DPDT               |                                | relay
K2    | reed relay 5V          |                                | relay
K3    | G5V-2                  |                                | relay
RLY1  | 5V SPDT                |                                | relay
S1    | SPDT on-on             |                                | toggle switch
S2    | EC11                   |                                | rotary encoder
S3    | PEC11R-4215F           |                                | rotary encoder
S4    | encoder 24 detents     |                                | rotary encoder
SW1   | tactile 6x6            |                                | push button
SW2   | DPDT slide             |                                | slide switch
SW3   | 3P4T rotary            |                                | rotary switch
SW4   | mains switch           | illuminated rocker             | toggle switch
SW5   | rotary encoder         | 24 ppr with push switch        | rotary encoder
SW6   | 8-way DIP switch       |                                | slide switch
SW7   | 3PDT footswitch        |                                | push button
J1    | 2x5                    |                                | pin header
J2    | 2x8                    | shrouded                       | box header
J3    | 1x4                    |                                | pin header
J4    | 10 pin                 |                                | pin header
J5    | IEC C14 inlet          |                                | mains inlet
J6    | DC 2.1 mm              |                                | DC socket
J7    | 3-way 5.08 mm          | screw terminal                 | terminal block
J8    | 6.35 mm stereo         |                                | jack socket
J9    | DIN 5 pin              | MIDI socket                    | connector
J10   | JST XH 3 pin           |                                | connector
J11   | RCA                    | phono socket                   | connector
J12   | BNC                    |                                | connector
J13   | XLR 3 pin female       |                                | connector
J14   | USB-C                  | power only                     | connector
J15   | 3.5 mm headphone jack  |                                | jack socket
K4    | 2x5                    |                                | pin header
K5    | 2x8                    | box header                     | box header
CN1   | 2x3                    | ICSP                           | pin header
JP1   | 2x3                    |                                | pin header
JP2   | 1x3                    | jumper                         | pin header
P4    | 1x6                    | female header                  | pin socket
CON1  | 10 pin                 | IDC                            | box header
TB1   | 3-way                  |                                | terminal block
BT1   | CR2032                 | holder                         | battery holder
BT2   | 9V                     | battery clip                   | battery holder
BT3   | 18650                  | Li-ion cell                    | battery cell
LS1   | 8R 0.5W                | speaker                        | loudspeaker
LS2   | piezo                  | disc                           | loudspeaker
BZ1   | 5V buzzer              |                                | loudspeaker
MK1   | electret               |                                | microphone
MIC1  | CMA-4544               |                                | microphone
TP1   | test point             | red                            | test point
HS1   | TO-220                 | heatsink                       | heatsink
W1    | ribbon cable 10-way    |                                | cable
V1    | ECC83                  |                                | valve
V2    | IN-12                  | nixie                          | display
ANT1  | telescopic aerial      |                                | hardware
      | IEC inlet with fuse    |                                | mains inlet
      | TO-220 mica insulator  |                                | hardware
      | 1 mm red wire          |                                | cable
      | EC11 encoder           |                                | rotary encoder
      | 5x20 fuse holder       |                                | fuse holder
      | 14D471K                |                                | varistor
      | 100n X2                |                                | film capacitor
      | 10-pin header          |                                | pin header
      | 18650 holder           |                                | battery holder
"""


def _letters(ref: str) -> str:
    return ref.rstrip("0123456789")


TABLE = [tuple(cell.strip() for cell in line.split("|")) for line in LINES.strip("\n").splitlines()]


def test_the_table_is_as_long_as_it_claims() -> None:
    assert len(TABLE) >= 150
    assert {kind for *_, kind in TABLE} <= set(KINDS)


@pytest.mark.parametrize(("ref", "value", "words", "kind"), TABLE)
def test_a_line_of_a_parts_list_is_the_part_that_a_builder_would_take_it_for(
    ref: str, value: str, words: str, kind: str
) -> None:
    """As a kit file gives it (value, package) and as a reader of lists gives it (words behind the value)."""
    assert guess_kind(_letters(ref), value, words) == kind
    assert guess_kind(_letters(ref), f"{value} {words}".strip()) == kind
