"""From a `Kit` to a kit file that a person can go on with; and a kit file to begin with, written by hand."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from pathlib import Path

from bench.errors import Refused, SoldersideError
from bench.files import make_folder, write_whole
from bench.kit.kit import Board, Check, Kit, PartLine, Trim
from bench.kit.kit_file import KIT_FORMAT
from bench.kit.part_lines import joints_certain, likely_kind, usual_joints, usual_mount
from bench.parts.designators import DesignatorError, parse_refs, shorten
from bench.parts.kinds import KINDS, height_for

_PLAIN = re.compile(r"[^\W_](?:[\w ./%+±Ωµ()-]*[\w./%+±Ωµ()-])?")
_UNWRITABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]")


def kit_text(kit: Kit, remarks: Sequence[str] = ()) -> str:
    """The kit file of `kit`: YAML with comments, UTF-8 when saved, that loads as an equal kit.

    `remarks` become comments at the top. What the loader finds out by itself is left out. Lines, file and
    digest belong to the file, not to the kit, and are not kept. Raises SoldersideError when a text holds an
    invisible control character.
    """
    return "\n".join(_file(kit, remarks)) + "\n"


def write_text(text: str, path: Path, *, overwrite: bool = False) -> None:
    """Write a kit file's text to `path`, all of it or nothing.

    Raises Refused when the file is there and `overwrite` is false, SoldersideError when it cannot be written.
    """
    if path.exists() and not overwrite:
        raise Refused("this file is there already", str(path), "name another one, or move it away")
    try:
        write_whole(path, text.encode())
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise SoldersideError(
            f"the file cannot be written ({reason})", str(path), "check folder and disk"
        ) from None


def _file(kit: Kit, remarks: Sequence[str]) -> Iterator[str]:
    for remark in remarks:
        yield "# " + _UNWRITABLE.sub(" ", " ".join(remark.split()))
    if remarks:
        yield ""
    yield f"kit: {KIT_FORMAT}                      # version of the format"
    yield f"name: {_scalar(kit.name)}"
    for key in ("maker", "revision", "about", "scenario", "price"):
        if text := getattr(kit, key):
            yield f"{key}: {_scalar(text)}"
    if kit.hazards:
        yield f"hazards: {_list(kit.hazards)}"
    elif kit.harmless:
        yield "hazards: none"
    yield from _block("errata", kit.errata)
    panel = [("width", kit.panel_width), ("height", kit.panel_height), ("depth", kit.panel_depth)]
    panel.append(("case", "own" if kit.own_case else ""))
    if any(text for _, text in panel):
        yield f"panel: {_flow([(key, _scalar(text)) for key, text in panel if text])}"
    else:
        yield "# panel: {width: 10 HP, depth: 28 mm}"
    if kit.supply:
        yield f"supply: {_flow([(_scalar(rail.name), _scalar(rail.current)) for rail in kit.supply])}"
    elif kit.passive:
        yield "supply: none"
    else:
        yield '# supply: {"+12 V": 38 mA, "-12 V": 31 mA}'
    if kit.sections:
        yield f"sections: {_list(kit.sections)}   # in the order of the signal"
    yield from _block("tools", kit.tools)
    yield from _block("notes", kit.notes)
    trying = (("gives", kit.gives), ("needs", kit.needs))
    yield from (f"{key}: {_list(words)}" for key, words in trying if words)
    yield ""
    yield "# Where a line has no `kind`, `joints` or `mount`, they follow from designator and value;"
    yield "# `solderside check` says which kinds were guessed. Hardware has a quantity instead of refs."
    yield "boards:"
    for board in kit.boards:
        yield from _board(board)
    yield ""
    yield from _hold_points(kit)
    yield ""
    yield from _trims(kit)


def _board(board: Board) -> Iterator[str]:
    yield f"  - name: {_scalar(board.name)}"
    if board.size:
        yield f"    size: [{', '.join(map(_number, board.size))}]"
    if board.not_fitted:
        yield f"    not_fitted: {_scalar(_refs(board.not_fitted))}"
    yield "    parts:"
    for part in board.parts:
        yield f"      - {part_entry(part)}"


def part_entry(part: PartLine) -> str:
    """One line of the parts list as it stands in a kit file.

    >>> part_entry(PartLine(refs=("R1", "R2"), value="4k7", kind="resistor", quantity=2, joints=2,
    ...                     mount="flat", height=1, tolerance="1 %"))
    '{refs: "R1, R2", value: 4k7, kind: resistor, tolerance: 1 %}'
    """
    texts = ("package", "socket", "tolerance", "voltage", "marking", "section")
    several = len(part.cautions) > 1
    pairs = [
        ("refs", _scalar(_refs(part.refs)) if part.refs else ""),
        ("value", _scalar(part.value) if part.value else ""),
        ("quantity", "" if part.refs else str(part.quantity)),
        *_not_as_usual(part),
        *((key, _scalar(text)) for key in texts if (text := getattr(part, key))),
        ("caution", _list(part.cautions) if several else "".join(map(_scalar, part.cautions))),
        ("note", _scalar(part.note) if part.note else ""),
        ("optional", "yes" if part.optional else ""),
        ("at", _places(part.positions)),
        ("side", part.sides[0] if len(set(part.sides)) == 1 else _list(part.sides) if part.sides else ""),
        ("nets", _list(part.nets) if part.nets else ""),
        ("with", _scalar(_refs(part.joined_with)) if part.joined_with else ""),
    ]
    return _flow([(key, text) for key, text in pairs if text])


def _not_as_usual(part: PartLine) -> Iterator[tuple[str, str]]:
    """Kind, mount, height and joints where they do not follow from the rest of the line."""
    if not (part.kind_guessed and likely_kind(part.refs, part.value, part.package, part.note) == part.kind):
        yield "kind", _scalar(part.kind)
    kind = KINDS.get(part.kind)
    if kind is None or part.mount != usual_mount(part.kind, part.value, part.package):
        yield "mount", _scalar(part.mount)
    if kind is None or part.height != height_for(part.kind, part.mount):
        yield "height", str(part.height)
    joints = part.socket_joints if part.socket else part.joints
    about = (part.kind, part.package, part.value, part.socket)
    if kind is None or joints != usual_joints(*about) or not (part.joints_guessed or joints_certain(*about)):
        yield "joints", str(joints)


def _places(positions: Sequence[tuple[float, float]]) -> str:
    places = ", ".join(f"[{_number(x)}, {_number(y)}]" for x, y in positions)
    return f"[{places}]" if places else ""


def _hold_points(kit: Kit) -> Iterator[str]:
    if not kit.hold_points:
        yield "# Points that the work may not pass before their checks are done:"
        yield "# hold_points:"
        yield "#   - name: Before power"
        yield "#     checks:"
        yield '#       - {between: "+12 V and 0 V", expect: "> 200 ohm", unplug: ICs}'
        return
    yield "hold_points:"
    for point in kit.hold_points:
        yield f"  - name: {_scalar(point.name)}"
        yield "    checks:"
        for check in point.checks:
            yield f"      - {_check(check)}"


def _check(check: Check) -> str:
    key = "look" if not check.expect else "between" if " and " in check.where else "at"
    texts = ((key, check.where), ("expect", check.expect), ("how", check.how), ("unplug", check.unplug))
    pairs = [(key, _scalar(text)) for key, text in texts if text]
    return _flow([*pairs, *([("nets", _list(check.nets))] if check.nets else [])])


def _trims(kit: Kit) -> Iterator[str]:
    if not kit.trims:
        yield "# trims:"
        yield "#   - {name: Scale, kind: volts per octave, trimmer: RV4, turns: 25}"
        return
    yield "trims:"
    for trim in kit.trims:
        yield f"  - {_trim(trim)}"


def _trim(trim: Trim) -> str:
    texts = {"name": trim.name, "kind": "" if trim.kind == "general" else trim.kind, "trimmer": trim.trimmer}
    texts |= {"turns": str(trim.turns or ""), "role": trim.role}
    texts |= {"range": f"{trim.range_cents} cents" if trim.range_cents else "", "clockwise": trim.clockwise}
    texts |= {"target": trim.target, "how": trim.how}
    return _flow([(key, _scalar(text)) for key, text in texts.items() if text or key == "name"])


def _refs(refs: Sequence[str]) -> str:
    """Designators as short as they can be read back."""
    short = shorten(refs)
    try:
        same = parse_refs(short) == tuple(refs)
    except DesignatorError:
        same = False
    return short if same else ", ".join(refs)


def _block(key: str, texts: Sequence[str]) -> Iterator[str]:
    """A list with one text a line; nothing when it is empty."""
    if texts:
        yield f"{key}:"
        yield from (f"  - {_scalar(text)}" for text in texts)


def _list(texts: Sequence[str]) -> str:
    return f"[{', '.join(map(_scalar, texts))}]"


def _flow(pairs: Sequence[tuple[str, str]]) -> str:
    return "{" + ", ".join(f"{key}: {text}" for key, text in pairs) + "}"


def _number(mm: float) -> str:
    """A position in mm without exponent, exactly."""
    text = f"{Decimal(repr(mm)):f}"
    return text.removesuffix(".0")


def _scalar(text: str) -> str:
    """A text as YAML: plain where that is safe, otherwise in double quotes."""
    if found := _UNWRITABLE.search(text):
        what = f"a text holds an invisible control character (U+{ord(found[0]):04X})"
        raise SoldersideError(what, "", "take it out before writing a kit file")
    if _PLAIN.fullmatch(text):
        return text
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    return f'"{escaped}"'


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

    text = skeleton(name)
    parse_kit(text.encode("utf-8", "replace"), str(path))
    make_kits_folder(path, own_folder)
    write_text(text, path)


def make_kits_folder(path: Path, own_folder: Path) -> None:
    """Make the folder for kits of one's own where `path` lies in it; raises SoldersideError."""
    if path.parent == own_folder:
        try:
            make_folder(own_folder)
        except OSError as error:
            what = f"the folder cannot be made ({error.strerror})"
            raise SoldersideError(what, str(own_folder), "") from None
