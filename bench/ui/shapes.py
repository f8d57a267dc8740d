"""Small drawings that show which way round a part goes; at most seven rows of thirty cells each.

Each begins with a line `@ name`. Only line drawing and blocks that every terminal font has. Seen from above,
as the part stands on the board, unless a word in it says otherwise. Common practice, no source.
"""

from __future__ import annotations

_DRAWN = """\
@ diode
      ┌──────██─┐
A ────┤      ██ ├──── K
      └──────██─┘
    stripe = cathode, K
@ LED
    ┌────┐
    │    │
  ┌─┘    │ flat of the rim
  └─┬──┬─┘ = cathode, K
    │  └── K −, short leg
    │
    └── A +, long leg
@ radial can
  ┌───────███┐
  │       ███│
  │       █−█│ stripe = minus
  │       ███│
  └──┬─────┬─┘
     │     └── −, short leg
     └── +, long leg
@ flat can
  ┌──────███┐
+ │      ███│ −
  │      ███│ dark = minus
  └──────███┘
  cut corners of base = plus
@ flat drop
  ┌─██──────┐
+ │ ██      │ −
  └─██──────┘
  bar = PLUS, not minus
@ flat diode
    ┌──────██─┐
A ──┤      ██ ├── K
    └──────██─┘
  line or ring = cathode, K
@ flat square
   ┌┴┴┴┴┴┴┐
  ─┤•     ├─ dot = pin 1
  ─┤      ├─
   └┬┬┬┬┬┬┘
  dot to the mark printed
@ axial can
      ┌──┬──────────┐
+ ────┤  │  − − − > ├──── −
      └──┴──────────┘
  groove = +, arrows to −
@ drop
   ┌───────┐
  ┌┘ +     └┐
  │  +      │ the + marks
  └──┬───┬──┘ the plus leg
     │   └── −, short leg
     └── +, mostly longer
@ bridge
  ┌───────┐
  │ +   ~ │ + to the + of
  │       │ the board
  │ ~   − │ ~ = the AC legs
  └───────┘
  read the body's marks
@ bridge in line
  ┌────────────┐
  │ +  ~  ~  − │ + to the + of
  └─┬──┬──┬──┬─┘ the board
    │  │  │  │   ~ = AC legs
  read the body's marks
@ bridge in two rows
  ┌─┴───┴─┐
  │ ~   ~ │ ~ = the AC legs
  │       │
  │ +   − │ + to the + of
  └─┬───┬─┘ the board
  read the body's marks
@ half round
     ┌─────┐
  ┌──┘     └──┐
  │  1  2  3  │ from above
  └───────────┘
    flat side: as printed
@ metal back
  █████████████ metal side:
  ┌───────────┐ as the thick
  │  1  2  3  │ printed line
  └───────────┘
    the writing's side
@ round can
     ┌───────┐
     │   3   │
     │     2 │ from above
   ┌─┤   1   │
   └─┴───────┘
  tab = leg 1, to the print
@ flat or metal
   ┌───┐     ███████
  ┌┘   └┐    ┌─────┐
  │1 2 3│    │1 2 3│
  └─────┘    └─────┘
  flat side  █ metal side
  from above, as printed
@ network
  ┌───────────────┐
  │ •             │ dot or bar
  └─┬─┬─┬─┬─┬─┬─┬─┘ = pin 1
    1
  to the mark, or square pad
@ bare coupler
      ┌──────┬──────┐
A + ──┤ LED  │ cell ├── any
K − ──┤      │      ├── way
      └──────┴──────┘
  LED's side as printed
@ transformer
    │  │  │  │
  ┌─┴──┴──┴──┴─┐ its mark, or
  │ ■          │ the side with
  └───┬────┬───┘ more pins:
      │    │     as printed
@ relay
  ┌──┬──────────┐
  │██│          │ bar = coil's
  │██│          │ side
  └──┴──────────┘
  to the bar on the board
@ connector
  ┌───────────┐
  │ 1 o o o o │ 1 = pin 1
  └─┐       ┌─┘
    └───────┘ lock or open
  side: as printed
@ terminal block
  ┌───┬───┐
  │ o │ o │ screws on top
  │┌─┐│┌─┐│
  └┘ └┴┘ └┘ wire openings
  ══════════════════════════
  to the edge of the board
@ DC socket
  ┌────────┐ ║
  │     ┌──┘ ║ opening: to
  │     │ ── ║ the edge of
  │     └──┐ ║ the board
  └────────┘ ║
  centre + or −: as printed
@ display
  ┌─────────────┐
  │  ┌──┐  ┌──┐ │
  │  ├──┤  ├──┤ │
  │  └──┘■ └──┘■│ ■ point:
  └─────────────┘ bottom
  pin 1 as printed
@ valve of 7
  ┌─────────────┐
  │      4      │
  │  3       5  │ from below,
  │  2       6  │ clockwise
  │   1 gap 7   │
  └─────────────┘
@ valve of 8
  ┌─────────────┐
  │    4   5    │
  │  3       6  │ from below,
  │  2       7  │ clockwise
  │   1 key 8   │
  └─────────────┘
@ valve of 9
  ┌─────────────┐
  │    4 5 6    │
  │  3       7  │ from below,
  │  2       8  │ clockwise
  │   1 gap 9   │
  └─────────────┘
@ valve
  ┌─────────────┐
  │    o o o    │
  │  o       o  │ from below,
  │  o       o  │ clockwise
  │   1 gap o   │ from 1
  └─────────────┘
@ battery holder
        ┌───────────┐
+ red ──┤+        −z├── −
        └───────────┘
  red wire = +, spring = −
@ loudspeaker
  ┌─────────┐
  │         ├─ + or red dot
  │         │
  │         ├─ −
  └─────────┘
  + to the + of the board
@ microphone
    ┌─────────┐
  ┌─┘         └─┐ from below
  ├───o     o   │
  └─┐ −     + ┌─┘
    └─────────┘
  pad joined to the case = −
@ module
  ┌───────────┐
  │1        ┌─┤ pin 1, or the
  │o        │ │ socket's side
  │o        └─┤
  │o          │ as printed
  └───────────┘
@ cable
  1 ███████████ coloured edge
    ─────────── = pin 1
    ───────────
    ───────────
"""

WIDEST, TALLEST = 30, 7
"""Cells, and rows."""

SHAPES: dict[str, tuple[str, ...]] = {
    name: tuple(lines) for name, *lines in (block.splitlines() for block in _DRAWN.split("@ ")[1:])
}
"""Rows of each drawing, by name."""


def two_rows_of_pins(pins: int, *, dot: bool, notch: bool) -> tuple[str, ...]:
    """A chip, its socket or an optocoupler with `pins` legs in two rows; 0 when their number is open.

    >>> print("\\n".join(two_rows_of_pins(8, dot=True, notch=True)))
           ┌──┐ ┌──┐
    pin 1 ─┤• └─┘  ├─ 8
        2 ─┤       ├─ 7
        3 ─┤       ├─ 6
        4 ─┤       ├─ 5
           └───────┘
      notch to the printed notch
    """
    side = pins // 2
    if pins == 0:
        numbers = [("pin 1", ""), ("2", ""), ("…", "…"), ("", "")]
    else:
        numbers = [("pin 1" if n == 1 else str(n), str(pins + 1 - n)) for n in range(1, side + 1)]
    if side > 4:
        numbers = [*numbers[:2], ("…", "…"), numbers[-1]]
    rows = ["       ┌──┐ ┌──┐" if notch else "       ┌───────┐"]
    for number, (left, right) in enumerate(numbers):
        inside = ("• " if dot else "  ") + ("└─┘  " if notch else "     ") if number == 0 else " " * 7
        rows.append(f"{left:>5} ─┤{inside}├─ {right}".rstrip())
    rows.append("       └───────┘")
    rows.append("  notch to the printed notch" if notch else "  dot = pin 1, as printed")
    return tuple(rows)


def box_header(pins: int) -> tuple[str, ...]:
    """A header in its box, from above, with `pins` in two rows; 0 when their number is open.

    >>> print("\\n".join(box_header(10)))
      ┌───────────┐
      │ o o o o o │
      │ 1 o o o o │
      └───┘   └───┘
          notch = key
      1 = arrow; notch as printed
    """
    columns = pins // 2 if pins else 5
    shown = ["o"] * columns if columns <= 8 else ["o"] * 3 + ["…"] + ["o"] * 3
    inside = len(shown) * 2 + 1
    wall = (inside - 3) // 2
    return (
        f"  ┌{'─' * inside}┐",
        f"  │ {' '.join(shown)} │",
        f"  │ {' '.join(['1', *shown[1:]])} │",
        f"  └{'─' * (wall - 1)}┘   └{'─' * (inside - wall - 4)}┘",
        f"  {' ' * wall}notch = key",
        "  1 = arrow; notch as printed",
    )
