"""A kit file to begin with, written by hand: a few parts that show how, and every other field as a comment."""

from __future__ import annotations

import json
from pathlib import Path

from bench.errors import SoldersideError
from bench.files import make_folder

_TEXT = """\
# A kit file. Replace what stands here with what your kit's papers say; a line that begins with # does nothing
# yet. Save it, and open the kit on the shelf, or list its faults with: solderside check THIS-FILE
kit: 1
name: {name}
# maker: Who makes it
# revision: A
# about: What the module is, in a sentence.
# hazards: [stored charge]  # or mains, non-isolated supply, high voltage; `none`: nothing above 50 V
# errata: ["What the papers have wrong."]
# supply: {{"+12 V": 20 mA, "-12 V": 20 mA}}
boards:
  - name: main
    # count: 10                        # how many parts the maker says are on it: a difference is a fault
    parts:
      # One line for each value: designators, value, and what cannot be told from these.
      - {{refs: "R1-R4", value: 10k, tolerance: 1 %}}
      - {{refs: C1, value: 10u, voltage: 25 V, kind: electrolytic capacitor}}
      - {{refs: D1, value: 1N4148}}
      - {{refs: U1, value: TL072, socket: DIP-8}}
      # - {{refs: RV1, value: 10k, kind: trimmer}}
      # - {{refs: U2, value: LM317, package: TO-220}}
      # - {{refs: HS1, value: 6 K/W, with: U2}}               # joined to U2: both go in together
      # - {{value: M3x11 spacer, kind: spacer, quantity: 4}}
# hold_points:                         # where work stops until the readings are taken
#   - name: Before power
#     checks:
#       - {{between: "+12 V and 0 V", expect: "> 200 ohm", unplug: ICs}}
#       - {{at: TP1, expect: 5 V ± 4 %, how: Black probe to 0 V.}}
# trims:
#   - {{name: Scale, kind: volts per octave, trimmer: RV1, target: 1 V per octave}}
"""


def skeleton(name: str) -> str:
    """The text of a kit file for a kit of this name: without a fault, and ready to be changed."""
    return _TEXT.format(name=json.dumps(name, ensure_ascii=False))


def write_skeleton(path: Path, name: str, *, own_folder: Path) -> None:
    """Write it to a path; `own_folder` is made when it is not there yet.

    Raises Refused when something is there already, SoldersideError when it cannot be written or has no
    good name.
    """
    from bench.kit.load import parse_kit
    from bench.kit.write import write_text

    text = skeleton(name)
    parse_kit(text.encode("utf-8", "replace"), str(path))
    if path.parent == own_folder:
        try:
            make_folder(path.parent)
        except OSError as error:
            raise SoldersideError(
                f"the folder cannot be made ({error.strerror})", str(path.parent), ""
            ) from None
    write_text(text, path)
