"""EAGLE boards and schematics as XML, from version 6 on. Pure.

Names of the format are those of its published DTD (`eagle.dtd`). Lengths are mm, y grows upwards.
"""

from __future__ import annotations

import math
import re
from xml.parsers import expat

from bench.errors import SoldersideError
from bench.papers.boards.drawn import (
    BoardFile,
    DrawnPart,
    Outline,
    Pad,
    pads_centre,
    put_together,
    turned,
)
from bench.papers.lists.draft import Doubt
from bench.parts.designators import shorten

_EDGE = "20"
_ROTATION = re.compile(r"(S?)(M?)R([0-9.]+)")
_MOST_PARTS = 20_000
Key = tuple[str, str, str]


class _Package:
    def __init__(self) -> None:
        self.pads: list[Pad] = []
        self.edge: list[dict[str, str]] = []


class _Element:
    def __init__(self, given: dict[str, str], line: int) -> None:
        self.given = given
        self.line = line
        self.variants: dict[str, dict[str, str]] = {}
        """What each assembly variant says otherwise."""

    def as_built(self, variant: str) -> tuple[bool, str]:
        """Whether it is fitted in an assembly variant (empty: the one without a name), and its value there."""
        given = self.given | self.variants.get(variant, {})
        return given.get("populate", "yes") != "no", given.get("value", "").strip()


def read_eagle(data: bytes, name: str) -> BoardFile:
    """The board in an EAGLE XML file.

    A schematic gives its parts and nets, without places. Raises SoldersideError for XML that is not well
    formed, and for a file with neither.
    """
    found = _Found(name)
    try:
        found.parser.Parse(data, True)
    except expat.ExpatError as error:
        what = f"the XML is damaged: {expat.ErrorString(error.code)}"
        raise SoldersideError(what, f"{name}:{error.lineno}", "get the file anew") from None
    if not found.board and not found.elements:
        hint = "name the board (.brd) or the schematic (.sch) of the project"
        raise SoldersideError("this is EAGLE's XML, but neither a board nor a schematic", name, hint)
    return found.told()


class _Found:
    """What is gathered while the XML goes by."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.board = False
        self.version = ""
        self.packages: dict[Key, _Package] = {}
        self.elements: dict[str, _Element] = {}
        self.doubled: list[_Element] = []
        self.nets: dict[tuple[str, str], str] = {}
        self.outline = Outline()
        self.variants: dict[str, bool] = {}
        """The named assembly variants, and whether the file was last shown as this one."""
        self.devices: dict[Key, tuple[str, bool]] = {}
        """The package of each device in a library, and whether its parts have values of their own."""
        self.pads: dict[tuple[Key, str, str], list[str]] = {}
        """The pads at each pin of each gate of a device."""
        self.pinned: list[tuple[str, dict[str, str]]] = []
        self._set = ("", False)
        self._device: Key = ("", "", "")
        self._path: list[str] = []
        self._library = ("", "")
        self._package: _Package | None = None
        self._element: _Element | None = None
        self._signal = ""
        self.parser = expat.ParserCreate()
        self.parser.StartElementHandler = self._opened
        self.parser.EndElementHandler = self._closed
        self.parser.EntityDeclHandler = self._entity

    def _entity(self, *_: object) -> None:
        hint = "no board needs them: get the file anew"
        raise SoldersideError("the file declares entities of its own", self.name, hint)

    def _opened(self, tag: str, given: dict[str, str]) -> None:
        self._path.append(tag)
        if len(self._path) > 40:
            raise SoldersideError("elements lie too deep for a board file", self.name, "is it a board file?")
        act = _AT.get(tag)
        if act is not None:
            act(self, given)

    def _closed(self, tag: str) -> None:
        self._path.pop()
        if tag == "package":
            self._package = None
        elif tag in ("element", "part"):
            self._element = None

    def _eagle(self, given: dict[str, str]) -> None:
        self.version = given.get("version", "")

    def _board(self, _: dict[str, str]) -> None:
        self.board = True

    def _library_opened(self, given: dict[str, str]) -> None:
        self._library = given.get("name", ""), given.get("urn", "")

    def _package_opened(self, given: dict[str, str]) -> None:
        self._package = self.packages.setdefault((*self._library, given.get("name", "")), _Package())

    def _pad(self, given: dict[str, str]) -> None:
        self._copper(given, through=True)

    def _smd(self, given: dict[str, str]) -> None:
        self._copper(given, through=False)

    def _copper(self, given: dict[str, str], *, through: bool) -> None:
        if self._package is not None:
            self._package.pads.append(
                Pad(name=given.get("name", ""), x=_mm(given, "x"), y=_mm(given, "y"), through=through)
            )

    def _element_opened(self, given: dict[str, str]) -> None:
        element = _Element(given, self.parser.CurrentLineNumber)
        if len(self.elements) >= _MOST_PARTS:
            raise SoldersideError(f"more than {_MOST_PARTS} parts", self.name, "is it a board file?")
        if given.get("name", "") in self.elements:
            self.doubled.append(element)
        else:
            self.elements[given.get("name", "")] = element
        self._element = element

    def _variant_named(self, given: dict[str, str]) -> None:
        self.variants[given.get("name", "")] = given.get("current") == "yes"

    def _variant(self, given: dict[str, str]) -> None:
        if self._element is not None:
            kept = {key: given[key] for key in ("populate", "value") if key in given}
            self._element.variants[given.get("name", "")] = {"populate": "yes"} | kept

    def _set_opened(self, given: dict[str, str]) -> None:
        self._set = given.get("name", ""), given.get("uservalue") == "yes"

    def _device_opened(self, given: dict[str, str]) -> None:
        self._device = "|".join(self._library), self._set[0], given.get("name", "")
        self.devices[self._device] = given.get("package", ""), self._set[1]

    def _connect(self, given: dict[str, str]) -> None:
        key = self._device, given.get("gate", ""), given.get("pin", "")
        self.pads[key] = given.get("pad", "").split()

    def _pin(self, given: dict[str, str]) -> None:
        self.pinned.append((self._signal, given))

    def _signal_opened(self, given: dict[str, str]) -> None:
        self._signal = given.get("name", "")

    def _contact(self, given: dict[str, str]) -> None:
        self.nets[given.get("element", ""), given.get("pad", "")] = self._signal

    def _drawn(self, given: dict[str, str]) -> None:
        if given.get("layer", _EDGE if self._path[-1] == "hole" else "") != _EDGE or self._path[-1] == "hole":
            return
        given = {**given, "tag": self._path[-1]}
        if self._package is not None:
            self._package.edge.append(given)
        elif "plain" in self._path:
            _edge(given, self.outline)

    def _of_part(self, given: dict[str, str]) -> tuple[Key, dict[str, str]]:
        """The device of a part on a schematic, and the part with its value as an element of a board has it."""
        library, named, device = (given.get(key, "") for key in ("library", "deviceset", "device"))
        urn = given.get("library_urn", "")
        key = next((key for key in ((f"{library}|{urn}", named, device), (f"{library}|", named, device))
                    if key in self.devices), ("", "", ""))  # fmt: skip
        package, own = self.devices.get(key, ("", True))
        whole = named if "?" in named else f"{named}?"
        otherwise = "" if own else whole.replace("*", given.get("technology", "")).replace("?", device)
        return key, {"value": otherwise, **given, "package": package}

    def _parts_on_sheets(self) -> None:
        """Make the parts of a schematic into elements with pads; what has no package is no part."""
        keys = {}
        for ref, element in list(self.elements.items()):
            keys[ref], element.given = self._of_part(element.given)
            if not element.given["package"]:
                del self.elements[ref]
        for signal, given in self.pinned:
            ref = given.get("part", "")
            for pad in self.pads.get(
                (keys.get(ref, ("", "", "")), given.get("gate", ""), given.get("pin", "")), ()
            ):
                self.nets[ref, pad] = signal

    def told(self) -> BoardFile:
        if not self.board:
            self._parts_on_sheets()
        elements = (*self.elements.values(), *self.doubled)
        chosen = next((name for name, current in self.variants.items() if current), "")
        parts = [self._part(each, *each.as_built(chosen)) for each in elements]
        doubts = []
        for other in {"", *self.variants} - {chosen}:
            refs = tuple(
                each.given.get("name", "") for each in elements if each.as_built(other) != each.as_built(chosen)
            )
            if refs:
                names = [f"variant '{name}'" if name else "the one without a name" for name in (chosen, other)]
                what = f"of the assembly variants {names[0]} is read; {names[1]} differs at {shorten(refs)}"
                doubts.append(Doubt(line=0, what=what, refs=refs))
        doubts.sort(key=lambda doubt: doubt.what)
        form, outline = ("board", self.outline) if self.board else ("schematic", None)
        return put_together(self.name, f"EAGLE {form} {self.version}".strip(), parts, outline, doubts)

    def _part(self, element: _Element, fitted: bool, value: str) -> DrawnPart:
        given = element.given
        key = given.get("library", ""), given.get("library_urn", ""), given.get("package", "")
        package = self.packages.get(key) or self.packages.get((key[0], "", key[2])) or _Package()
        spun = _ROTATION.fullmatch(given.get("rot", "R0"))
        mirrored, rotation = bool(spun and spun[2]), float(spun[3]) if spun else 0.0
        x, y, ref = _mm(given, "x"), _mm(given, "y"), given.get("name", "").strip()

        def place(at: tuple[float, float]) -> tuple[float, float]:
            right, up = turned(*at, rotation)
            return x - right if mirrored else x + right, y + up  # turned first, then seen from behind

        pads = []
        for pad in package.pads:
            at = place((pad.x, pad.y))
            net = self.nets.get((given.get("name", ""), pad.name), "")
            pads.append(Pad(name=pad.name, x=at[0], y=at[1], through=pad.through, net=net))
        for drawn in package.edge:
            moved = dict(drawn)
            for right, up in (("x1", "y1"), ("x2", "y2"), ("x", "y")):
                if right in drawn:
                    moved[right], moved[up] = map(str, place((_mm(drawn, right), _mm(drawn, up))))
            _edge(moved, self.outline)
        centre = pads_centre(pads, (x, y))
        return DrawnPart(
            ref=ref, value=value, package=given.get("package", ""),
            library=given.get("library", ""), side="back" if mirrored else "front", x=centre[0], y=centre[1],
            rotation=rotation, pads=tuple(pads), fitted=fitted, drawn_only=not pads, line=element.line,
        )  # fmt: skip


_AT = {
    "eagle": _Found._eagle, "board": _Found._board, "library": _Found._library_opened,
    "package": _Found._package_opened, "pad": _Found._pad, "smd": _Found._smd,
    "element": _Found._element_opened, "part": _Found._element_opened,
    "deviceset": _Found._set_opened, "device": _Found._device_opened, "connect": _Found._connect,
    "net": _Found._signal_opened, "pinref": _Found._pin,
    "variantdef": _Found._variant_named, "variant": _Found._variant,
    "signal": _Found._signal_opened, "contactref": _Found._contact,
    "wire": _Found._drawn, "circle": _Found._drawn, "rectangle": _Found._drawn,
}  # fmt: skip


def _edge(given: dict[str, str], outline: Outline) -> None:
    """Take a wire or circle of the edge into the outline."""
    if given["tag"] == "circle":
        centre, radius = (_mm(given, "x"), _mm(given, "y")), _mm(given, "radius")
        outline.add_arc(centre, (centre[0] + radius, centre[1]), 360.0)
        return
    begin, end = (_mm(given, "x1"), _mm(given, "y1")), (_mm(given, "x2"), _mm(given, "y2"))
    outline.add(begin, end)
    curve = _mm(given, "curve")
    if abs(curve) > 0.01:
        chord = math.dist(begin, end)
        height = chord / 2 / math.tan(math.radians(curve) / 2)
        if chord > 1e-6:
            across = (begin[1] - end[1]) / chord, (end[0] - begin[0]) / chord
            middle = (begin[0] + end[0]) / 2, (begin[1] + end[1]) / 2
            centre = middle[0] + across[0] * height, middle[1] + across[1] * height
            outline.add_arc(centre, begin, curve)


def _mm(given: dict[str, str], key: str) -> float:
    try:
        number = float(given.get(key, "0"))
    except ValueError:
        return 0.0
    return number if abs(number) < 1e6 else 0.0
