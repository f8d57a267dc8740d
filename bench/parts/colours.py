"""The colour code of resistors: IEC 60062:2016, three to six bands, both ways.

A code is a tuple of colour names. Resistance is in ohms, tolerance in per cent, temperature coefficient
in ppm/K (parts per million for each kelvin).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from bench.parts.palette import COLOURS, DIGITS, NO_BAND_PERCENT, ColourError, colour_named
from bench.parts.quantity import Quantity, show
from bench.parts.series import lean, series_of, sold_at

STANDARD = "IEC 60062:2016"
OLDER = "EN 60062:2005 and older"
HIGH_VOLTAGE = "old high-voltage parts"
MILITARY = "military parts with a failure rate"

_OLDER_TOLERANCES = {
    "grey": ((OLDER, Decimal("0.05")), (HIGH_VOLTAGE, Decimal(10))),
    "yellow": ((HIGH_VOLTAGE, Decimal(5)),),
}
_CHANGED_IN_2016 = {
    "orange": "orange stands for ±0.05 % since 2016; older editions give it no tolerance",
    "yellow": "yellow stands for ±0.02 % since 2016; older editions give it no tolerance",
    "grey": "grey stands for ±0.01 % since 2016; older editions give it ±0.05 %",
}
_FAILURE_RATES = {"brown": "1", "red": "0.1", "orange": "0.01", "yellow": "0.001"}
_MULTIPLIERS = {found.exponent: name for name, found in COLOURS.items()}
_TOLERANCES = {found.tolerance_percent: name for name, found in COLOURS.items() if found.tolerance_percent}
_TEMPCOS = {found.tempco_ppm: name for name, found in COLOURS.items() if found.tempco_ppm}
_PLACES = ("first", "second", "third", "fourth", "fifth", "sixth")


class BandReading(Struct, frozen=True, kw_only=True):
    """One way to read a row of bands, with what speaks against it."""

    bands: tuple[str, ...]
    """Colour names in the order in which this reading takes them."""
    direction: str
    """`left to right` or `right to left`, as the bands were given."""
    edition: str = STANDARD
    """The edition or practice the colours are read by."""
    ohms: Decimal | None
    """None when a band that should be a figure is none."""
    tolerance_percent: Decimal | None
    """±; None when that band stands for no tolerance, and for a link."""
    tempco_ppm: int | None = None
    """± ppm/K, None without such a band."""
    ruled_out: tuple[str, ...] = ()
    """Why it cannot be read like this, in words; empty when it can."""
    against: tuple[str, ...] = ()
    """What makes it unlikely, in words."""
    remarks: tuple[str, ...] = ()
    """What else to know before trusting it."""

    @property
    def possible(self) -> bool:
        """True unless something rules the reading out."""
        return not self.ruled_out

    @property
    def sound(self) -> bool:
        """True when nothing rules it out and nothing speaks against it."""
        return not (self.ruled_out or self.against)

    @property
    def text(self) -> str:
        """The part in words: `10 kΩ ±1 % 50 ppm/K`."""
        if self.ohms is None:
            return "no value"
        said = [_ohms(self.ohms)]
        if self.tolerance_percent is not None:
            said.append(f"±{self.tolerance_percent} %")
        if self.tempco_ppm is not None:
            said.append(f"{self.tempco_ppm} ppm/K")
        return " ".join(said)


def decode(bands: Sequence[str]) -> tuple[BandReading, ...]:
    """Decode a row of bands from both ends: every reading, best first, those ruled out last.

    A reading is better when nothing speaks against it, when it lies between 1 ohm and 10 megohms, when
    it follows the current standard, and when it starts at the left. Raises ColourError when there are
    not 1 or 3 to 6 bands, or for a word that is no colour.

    >>> [(found.text, found.direction) for found in decode(("brown", "black", "black", "brown", "brown"))]
    [('1 kΩ ±1 %', 'left to right'), ('110 Ω ±1 %', 'right to left')]
    """
    order = tuple(colour_named(band).name for band in bands)
    if len(order) == 1:
        return (_link(order),)
    if not 3 <= len(order) <= 6:
        raise ColourError(
            f"{len(order)} bands are no resistor code; understood: {', '.join(order) or 'nothing'}",
            hint="a code has 3 to 6 bands, and a single black one marks a link of 0 ohm",
        )
    found = list(_read(order, "left to right"))
    if order[::-1] != order:
        found += _read(order[::-1], "right to left")
    found.sort(key=_doubtfulness)
    return tuple(_warned(reading, found) for reading in found)


def _link(order: tuple[str, ...]) -> BandReading:
    """A single band."""
    wrong = () if order == ("black",) else (f"a single {order[0]} band has no meaning; black marks a link",)
    return BandReading(
        bands=order,
        direction="left to right",
        ohms=None if wrong else Decimal(0),
        tolerance_percent=None,
        ruled_out=wrong,
    )


def _read(order: tuple[str, ...], direction: str) -> Iterator[BandReading]:
    """The readings of bands in one order, by the standard first."""
    figures = 2 if len(order) < 5 else 3
    reading = _by_standard(order, direction, figures)
    yield reading
    if reading.possible and len(order) > 3:
        for edition, percent in _OLDER_TOLERANCES.get(order[figures + 1], ()):
            not_now = f"{order[figures + 1]} as ±{percent} % is not the current standard's"
            yield replace(
                reading,
                edition=edition,
                tolerance_percent=percent,
                remarks=(),
                against=(*_not_preferred(reading.ohms, percent), not_now),
            )
    if len(order) == 5 and order[3] in ("gold", "silver") and order[4] in _FAILURE_RATES:
        rate = f"the last band would be a failure rate, {_FAILURE_RATES[order[4]]} % in 1000 h"
        older = _by_standard(order[:4], direction, 2)
        yield replace(older, bands=order, edition=MILITARY, against=(*older.against, rate))


def _by_standard(order: tuple[str, ...], direction: str, figures: int) -> BandReading:
    """The bands in this order by the current standard."""
    colours = [COLOURS[band] for band in order]
    ruled_out = tuple(
        f"{band} stands for no figure, so it cannot be the {place} band"
        for band, place in zip(order[:figures], _PLACES, strict=False)
        if COLOURS[band].digit is None
    )
    if order[0] == "black":
        ruled_out += ("black cannot be the first band: no value begins with 0",)
    ohms = None
    if all(colour.digit is not None for colour in colours[:figures]):
        ohms = Decimal("".join(str(colour.digit) for colour in colours[:figures]))
        ohms = lean(ohms.scaleb(colours[figures].exponent))
    tolerance: Decimal | None = NO_BAND_PERCENT
    remarks: list[str] = []
    if len(order) > figures + 1:
        last, place = order[figures + 1], _PLACES[figures + 1]
        tolerance = COLOURS[last].tolerance_percent
        if tolerance is None:
            ruled_out += (f"{last} stands for no tolerance, so it cannot be the {place} band",)
        remarks += [_CHANGED_IN_2016[last]] if last in _CHANGED_IN_2016 else []
    tempco = None
    if len(order) == 6:
        last, tempco = order[5], colours[5].tempco_ppm
        if tempco is None:
            ruled_out += (f"{last} stands for no temperature coefficient, so it cannot be the sixth band",)
        if last in _FAILURE_RATES:
            rate = f"{_FAILURE_RATES[last]} % in 1000 h"
            remarks.append(f"on military parts a sixth {last} band is a failure rate, {rate}")
    return BandReading(
        bands=order,
        direction=direction,
        ohms=ohms,
        tolerance_percent=tolerance,
        tempco_ppm=tempco,
        ruled_out=ruled_out,
        remarks=tuple(remarks),
        against=_not_preferred(ohms, tolerance),
    )


def _not_preferred(ohms: Decimal | None, tolerance_percent: Decimal | None) -> tuple[str, ...]:
    """Why a value is not one to expect at that tolerance, or nothing."""
    if not ohms or tolerance_percent is None:
        return ()
    sold = sold_at(tolerance_percent)
    if not set(sold).isdisjoint(series_of(ohms)):
        return ()
    return (f"{_ohms(ohms)} is not a preferred value sold at ±{tolerance_percent} % ({' or '.join(sold)})",)


def _doubtfulness(reading: BandReading) -> tuple[int, bool, bool, bool]:
    """Sorts the likeliest reading first."""
    usual = reading.ohms is not None and 1 <= reading.ohms <= 10_000_000
    standing = 9 if reading.ruled_out else len(reading.against)
    return standing, not usual, reading.edition != STANDARD, reading.direction != "left to right"


def _warned(reading: BandReading, found: Sequence[BandReading]) -> BandReading:
    """The reading with a remark when the other end gives another sound one."""
    rivals = [
        other
        for other in found
        if other.sound and other.direction != reading.direction and other.ohms != reading.ohms
    ]
    if not (rivals and reading.sound):
        return reading
    remark = f"reads as {rivals[0].text} from the other end: look for the wider gap, or measure it"
    return replace(reading, remarks=(remark, *reading.remarks))


def _ohms(ohms: Decimal) -> str:
    """A resistance for people."""
    return show(Quantity(amount=ohms, unit="ohm"))


def encode(
    ohms: Decimal,
    tolerance_percent: Decimal | None = None,
    tempco_ppm: int | None = None,
    *,
    figures: int | None = None,
) -> tuple[str, ...]:
    """Encode ohms, ± per cent and ± ppm/K as the bands of a resistor, from the end where they begin.

    Two figures for tolerances above 2 % and three from there down, unless `figures` says otherwise (2 or
    3) or the value needs three. No tolerance means ±20 %, which has no band. Zero ohms is one black band.
    Raises ColourError when bands cannot show the value.

    >>> encode(Decimal(4700), Decimal(5)), encode(Decimal(10_000), Decimal(1))
    (('yellow', 'violet', 'red', 'gold'), ('brown', 'black', 'black', 'red', 'brown'))
    >>> encode(Decimal("0.47"), Decimal(1), 50)
    ('yellow', 'violet', 'black', 'pink', 'brown', 'red')
    """
    if ohms == 0:
        return ("black",)
    if not (ohms.is_finite() and ohms > 0):
        raise ColourError(f"{ohms} ohm has no bands", hint="give a resistance of 0 or more")
    end = _tolerance_bands(tolerance_percent, tempco_ppm)
    numerals = "".join(map(str, ohms.as_tuple().digits)).strip("0")
    if figures is None:
        fine = tolerance_percent is not None and (tolerance_percent <= 2 or tempco_ppm is not None)
        figures = 3 if fine or (end and len(numerals) == 3) else 2
    if figures not in (2, 3) or len(numerals) > figures:
        raise ColourError(
            f"{_ohms(ohms)} needs {len(numerals)} figures", hint="a code shows two figures, or three"
        )
    if (figures == 3 and not end) or (figures == 2 and len(end) == 2):
        raise ColourError(
            "these bands would be read as another code",
            hint="three figures need a tolerance, and a temperature coefficient needs three figures",
        )
    exponent = ohms.adjusted() - figures + 1
    multiplier = _MULTIPLIERS.get(exponent)
    if multiplier is None:
        raise ColourError(f"no multiplier reaches {_ohms(ohms)}", hint="there are 10^-3 to 10^9")
    return (*(DIGITS[int(numeral)] for numeral in numerals.ljust(figures, "0")), multiplier, *end)


def _tolerance_bands(tolerance_percent: Decimal | None, tempco_ppm: int | None) -> tuple[str, ...]:
    """The bands after the multiplier."""
    if tolerance_percent is None or tolerance_percent == NO_BAND_PERCENT:
        if tempco_ppm is not None:
            raise ColourError("a temperature coefficient follows a tolerance", hint="give both")
        return ()
    if tolerance_percent not in _TOLERANCES:
        known = ", ".join(map(str, sorted(_TOLERANCES)))
        raise ColourError(
            f"no band stands for ±{tolerance_percent} %", hint=f"there are {known}, and 20 without a band"
        )
    if tempco_ppm is None:
        return (_TOLERANCES[tolerance_percent],)
    if tempco_ppm not in _TEMPCOS:
        known = ", ".join(map(str, sorted(_TEMPCOS)))
        raise ColourError(f"no band stands for {tempco_ppm} ppm/K", hint=f"there are {known}")
    return (_TOLERANCES[tolerance_percent], _TEMPCOS[tempco_ppm])
