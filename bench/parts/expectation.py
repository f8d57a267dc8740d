"""Limits as people write them: `5 V ± 4 %`, `> 200 ohm`, `11.4..12.6 V`, `OL`.

Forms: a nominal value with a symmetric or two-sided tolerance, per cent or in the unit; one or two bounds
(`<`, `at most`, `40 mA max`); a span (`..`, `to`, `between A and B`, an en dash); `about` a value, which
means within ABOUT_PERCENT; `open` or `OL` for no connection. `AC` or `DC` may stand behind volts.
"""

from __future__ import annotations

import contextlib
import re
from decimal import Decimal
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.parts.quantity import Quantity, QuantityError, parse_quantity, show

ABOUT_PERCENT = Decimal(25)
"""`about 38 mA` is met within this, our own convention: supply currents spread by about that."""
OPEN_WORDS = (
    "ol", "o.l", "o.l.", ".ol", "0l", "0.l", "0l.", ".0l", "o l", "0.ol", "ovld", "ovl", "ovr", "over",
    "over range", "overrange", "over load", "overload", "overflow", "open", "open circuit", "infinite",
    "infinity", "inf", "∞", "no connection",
)  # fmt: skip
"""What people write for a meter that shows overload."""
_HINT = "write it like 5 V ± 4 %, 11.4..12.6 V, > 200 ohm, about 38 mA or OL"


NO_SIGN = ("ohm", "farad", "henry", "hertz", "watt")
"""Units of what cannot be below zero; alternating volts and amperes cannot either, as a meter reads them."""
MOST = {"volt": Decimal(100_000), "ampere": Decimal(1000), "farad": Decimal(100)}
"""More than this nobody reads at a bench: a slip of the prefix, `160M` for `160m`."""


class ExpectationError(SoldersideError):
    """A text does not say what should be measured."""


class Expectation(Struct, frozen=True, kw_only=True):
    """What a reading should be."""

    text: str
    """As written."""
    unit: str
    """As in `parts.quantity`; empty when the circuit should be open."""
    low: Decimal | None = None
    """Lower limit in base units, itself allowed; None without one."""
    high: Decimal | None = None
    """Upper limit in base units, itself allowed; None without one."""
    nominal: Decimal | None = None
    """The value aimed at, in base units, when one is written."""
    scale: Decimal = Decimal(1)
    """Worth of the prefix it is written with: 0.001 for `40 mA`."""
    scales: tuple[Decimal, ...] = ()
    """Worth of every prefix written in it, each once: 1 and 0.001 for `0 V ± 10 mV`."""
    open: bool = False
    """True when the meter should show overload."""
    alternating: bool = False
    """True for AC volts or amperes."""

    @property
    def words(self) -> str:
        """The limits for people: `4.8 V to 5.2 V`."""
        if self.open:
            return "open circuit (OL)"
        low, high = (None if x is None else show_amount(x, self.unit) for x in (self.low, self.high))
        kind = " AC" if self.alternating else ""
        if low is None:
            return f"at most {high}{kind}"
        return f"at least {low}{kind}" if high is None else f"{low} to {high}{kind}"


def show_amount(amount: Decimal, unit: str, digits: int = 6) -> str:
    """Format an amount with unit and prefix.

    >>> show_amount(Decimal("-0.0435"), "volt")
    '-43.5 mV'
    """
    return show(Quantity(amount=amount, unit=unit), digits)


def plural(unit: str) -> str:
    """Return the plural of a unit's name.

    >>> plural("volt"), plural("henry"), plural("hertz")
    ('volts', 'henries', 'hertz')
    """
    return {"hertz": "hertz", "henry": "henries", "": "anything"}.get(unit, f"{unit}s")


_COMPARE = {
    "<": "high", "<=": "high", "≤": "high", "at most": "high", "no more than": "high",
    "not more than": "high",
    "less than": "high", "below": "high", "under": "high", "up to": "high", "max": "high", "maximum": "high",
    ">": "low", ">=": "low", "≥": "low", "at least": "low", "no less than": "low", "not less than": "low",
    "more than": "low", "above": "low", "over": "low", "min": "low", "minimum": "low",
}  # fmt: skip
_AHEAD = re.compile(
    "(" + "|".join(sorted(map(re.escape, _COMPARE), key=len, reverse=True)) + r")(?![a-z])\.?\s*(.+)",
    re.IGNORECASE,
)
_BEHIND = re.compile(r"(.+?)[\s,]+(max(?:imum)?|min(?:imum)?|or less|or more)\.?", re.IGNORECASE)
_ABOUT = re.compile(r"(?:about|approximately|approx\.?|around|roughly|circa|ca\.?|~|≈)\s*(.+)", re.IGNORECASE)
_SPAN = re.compile(r"(.*?\d.*?)\s*(?:\.{2,3}|…|–|\bto\b|\s-\s|\band\b)\s*(.*\d.*)", re.IGNORECASE)
_CURRENT_KIND = re.compile(r"(?<=[va])\s*(ac|dc)\b|\b(ac|dc)\b", re.IGNORECASE)
_TWO_SIDED = re.compile(r"(.+?)\s*\+\s*([^+\-/]+?)\s*/?\s*-\s*([^+\-/]+)")
_NUMBER = re.compile(r"\d+(?:[.,]\d*)?|[.,]\d+")
_WITH_UNIT = re.compile(r"\d+(?:[.,]\d*)?\s*[A-Za-zµμΩ\u2126]+")
_THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2},\d{3}(?![\d,])")


def parse_expectation(text: str) -> Expectation:
    """Parse one expectation; raises ExpectationError, which says what is missing.

    >>> parse_expectation("5 V ± 4 %").words, parse_expectation("> 200 ohm").words
    ('4.8 V to 5.2 V', 'at least 200 Ω')
    """
    plain = " ".join(text.replace("−", "-").split())
    for spelling in ("+/-", "+-", "-/+", "plus or minus", "+ / -", "+/−"):
        plain = plain.replace(spelling, "±")
    if plain.casefold() in OPEN_WORDS:
        return Expectation(text=text, unit="", open=True)
    thousands = _THOUSANDS.search(plain)
    if thousands:
        raise ExpectationError(
            f"'{thousands[0]}' can be read in two ways", hint="write 1.5 with a point, 1500 without a separator"
        )
    kinds = {(m[1] or m[2]).casefold() for m in _CURRENT_KIND.finditer(plain)}
    plain = " ".join(_CURRENT_KIND.sub("", plain).replace("(", " ").replace(")", " ").split())
    if not plain or len(plain) > 80:
        what = "this is too long to be limits" if plain else "nothing is expected"
        raise ExpectationError(what, hint=_HINT)
    try:
        found = _read(plain, text)
    except QuantityError as error:
        raise ExpectationError(f"'{text.strip()[:60]}': {error.what}", hint=_HINT) from error
    alternating = "ac" in kinds
    if alternating and found.unit not in ("volt", "ampere"):
        raise ExpectationError(f"'{text.strip()}': AC goes with volts and amperes", hint=_HINT)
    if found.unit in NO_SIGN and found.low is not None and found.low < 0 and (found.high or 0) > 0:
        found = replace(found, low=None)  # 0 ohm ± 1 ohm
    found = replace(found, text=text, alternating=alternating, scales=_scales(plain, found))
    _refuse_what_nothing_meets(found)
    return found


@lru_cache(maxsize=512)
def limit_in(text: str) -> Expectation | None:
    """As `parse_expectation`; None for what is no limit."""
    try:
        return parse_expectation(text)
    except SoldersideError:
        return None


def _scales(plain: str, found: Expectation) -> tuple[Decimal, ...]:
    """Worth of each prefix in a text that was understood, that of the value first."""
    scales = [found.scale]
    for said in _WITH_UNIT.findall(plain):
        with contextlib.suppress(SoldersideError):
            scales.append(_quantity(said, found.unit)[2])
    return tuple(dict.fromkeys(scales))


def _refuse_what_nothing_meets(found: Expectation) -> None:
    """Raise ExpectationError for limits that every reading meets, or none."""
    said, low, high = f"'{found.text.strip()[:60]}'", found.low, found.high
    if found.unit in NO_SIGN or found.alternating:
        what = f"{plural(found.unit)} AC" if found.alternating else plural(found.unit)
        if high is not None and (high < 0 or (high == 0 and low is None)):
            raise ExpectationError(f"{said}: nothing can meet it, {what} do not go below zero", hint=_HINT)
        if low is not None and low <= 0 and high is None:
            raise ExpectationError(f"{said}: every reading meets it, {what} do not go below zero", hint=_HINT)
    most = MOST.get(found.unit)
    ends = [abs(end) for end in (low, high) if end is not None]
    if most is not None and min(ends) > most:
        raise ExpectationError(f"{said}: nobody measures that at a bench", hint="check the prefix: m, k, M")


_REFERENCE = re.compile(r"\b[A-Z]{1,4}\d{1,4}\b(?!\s*[<>=±])")
_LIMIT_SIGN = re.compile(r"[<>≤≥±≈]|\.\.|\d")
_UNIT_WORD = re.compile(
    r"(?<![\w.])(?:[munpkMGµμ]?(?:V|Hz|Ω|\u2126)|[munpµμ](?:A|F|H)|[kM]?ohms?|(?:milli|kilo)?volts?|"
    r"(?:milli)?amp(?:ere)?s?|hertz|[kM]\u03a9)(?!\w)"
)


def meant_as_limit(text: str) -> bool:
    """Return whether an expectation is something to be measured, even where it cannot be parsed.

    Words alone (`steady light`, `LED1 shines`) are for eye and ear. Anything with a figure, a sign of
    comparison or an electrical unit is a limit, and one that cannot be read must not pass for words.

    >>> [meant_as_limit(text) for text in ("> 1O kohm", "5 bananas", "nan V", "steady light", "LED1 shines")]
    [True, True, True, False, False]
    """
    said = _REFERENCE.sub("", text)
    return bool(_LIMIT_SIGN.search(said) or _UNIT_WORD.search(said)) or said.strip().casefold() in OPEN_WORDS


def _read(plain: str, text: str) -> Expectation:
    bounds = re.split(r"\s*(?:,|;|\band\b)\s*(?=[<>≤≥]|at |max|min|below|above)", plain, flags=re.IGNORECASE)
    if len(bounds) == 2 and all(_bound(part) for part in bounds):
        return _both(bounds[0], bounds[1], text)
    bound = _bound(plain)
    if bound:
        side, value = bound
        amount, unit, scale = _quantity(value)
        low, high = (amount, None) if side == "low" else (None, amount)
        return Expectation(text=text, unit=unit, low=low, high=high, scale=scale)
    about = _ABOUT.fullmatch(plain)
    if about:
        return _around(about[1], f"{ABOUT_PERCENT} %", f"{ABOUT_PERCENT} %", text)
    if "±" in plain:
        value, _, tolerance = plain.partition("±")
        return _around(value, tolerance, tolerance, text)
    two_sided = _TWO_SIDED.fullmatch(plain)
    if two_sided:
        return _around(two_sided[1], two_sided[2], two_sided[3], text)
    span = _SPAN.fullmatch(re.sub(r"^(between|from)\s+", "", plain, flags=re.IGNORECASE))
    if span:
        return _span(span[1], span[2], text)
    amount, unit, _ = _quantity(plain)
    raise ExpectationError(
        f"'{plain}' has no tolerance", hint=f"write how far it may be off: {show_amount(amount, unit)} ± 5 %"
    )


def _bound(plain: str) -> tuple[str, str] | None:
    """`low` or `high` and the value that bounds, or None when it is no bound."""
    ahead = _AHEAD.fullmatch(plain)
    if ahead:
        return _COMPARE[ahead[1].casefold()], ahead[2]
    behind = _BEHIND.fullmatch(plain)
    if behind:
        return ("high" if behind[2].casefold() in ("max", "maximum", "or less") else "low"), behind[1]
    return None


def _both(first: str, second: str, text: str) -> Expectation:
    one, other = _read(first, text), _read(second, text)
    lows = [e.low for e in (one, other) if e.low is not None]
    highs = [e.high for e in (one, other) if e.high is not None]
    if len(lows) != 1 or len(highs) != 1 or one.unit != other.unit:
        raise ExpectationError(f"'{text.strip()}' does not give one lower and one upper limit", hint=_HINT)
    return _ordered(lows[0], highs[0], one.unit, one.scale, text)


def _span(first: str, second: str, text: str) -> Expectation:
    high, unit, scale = _quantity(second)
    tail = _tail(second)
    if _NUMBER.fullmatch(first.lstrip("+-").strip()):
        first = f"{first.strip()} {tail}"
    low, first_unit, _ = _quantity(first, unit)
    if first_unit != unit:
        raise ExpectationError(f"'{text.strip()}' mixes two units", hint=_HINT)
    if low > high and low < 0:
        low, high = high, low
    return _ordered(low, high, unit, scale, text)


def _ordered(low: Decimal, high: Decimal, unit: str, scale: Decimal, text: str) -> Expectation:
    if low >= high:
        raise ExpectationError(f"'{text.strip()}': the lower limit is not below the upper", hint=_HINT)
    return Expectation(text=text, unit=unit, low=low, high=high, scale=scale)


def _around(value: str, above: str, below: str, text: str) -> Expectation:
    """A nominal value with its tolerance upwards and downwards."""
    nominal, unit, scale = _quantity(value.strip().rstrip(",").strip())
    if "%" in below and "%" not in above:
        above += " %"
    up, down = (_tolerance(part, nominal, unit, text) for part in (above, below))
    if nominal < 0 and "%" in above:
        up, down = down, up
    return Expectation(
        text=text, unit=unit, low=nominal - down, high=nominal + up, nominal=nominal, scale=scale
    )


def _tolerance(tolerance: str, nominal: Decimal, unit: str, text: str) -> Decimal:
    said = tolerance.strip()
    if said.endswith("%"):
        percent = _decimal(said[:-1].strip(), text)
        size = abs(nominal) * percent / 100
        if not size:
            raise ExpectationError(
                f"'{text.strip()}': a percentage of zero is zero",
                hint="give the tolerance in the unit: 0 V ± 10 mV",
            )
        return size
    if _NUMBER.fullmatch(said):
        raise ExpectationError(f"'{text.strip()}': ± {said} of what?", hint="write % or the unit behind it")
    size, tolerance_unit, _ = _quantity(said, unit)
    if tolerance_unit != unit or size <= 0:
        raise ExpectationError(f"'{tolerance.strip()}' is no tolerance in {plural(unit)}", hint=_HINT)
    return size


def _decimal(said: str, text: str) -> Decimal:
    if not _NUMBER.fullmatch(said) or not Decimal(said.replace(",", ".")):
        raise ExpectationError(f"'{text.strip()}': '{said}' is no tolerance in per cent", hint=_HINT)
    return Decimal(said.replace(",", "."))


def _quantity(said: str, unit: str = "") -> tuple[Decimal, str, Decimal]:
    """Amount, unit, and what the prefix is worth."""
    said = said.strip()
    sign = -1 if said.startswith("-") else 1
    bare = said.lstrip("+-").strip()
    if not bare or not any(character.isdigit() for character in bare):
        raise ExpectationError(f"'{said}' is no quantity", hint=_HINT)
    found = parse_quantity(bare, unit)
    numbers = iter(["1"])
    one = _NUMBER.sub(lambda _: next(numbers, "0"), bare)
    return sign * found.amount, found.unit, abs(parse_quantity(one, found.unit).amount)


def _tail(said: str) -> str:
    """What stands behind the number: unit and prefix."""
    return _NUMBER.sub("", said.strip().lstrip("+-"), count=1).strip()
