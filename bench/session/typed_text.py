"""Typed text on its way into an event. Pure."""

from __future__ import annotations

import math

from bench.errors import Refused
from bench.log.unit_names import LONGEST_NAME, plain_name

LONGEST_TEXT = 20_000
"""Characters of one typed text; a longer one is refused."""


def text_kept(text: str) -> str:
    """The text without space around it and without characters that cannot be written. Refused when too long."""
    if len(text) > LONGEST_TEXT:
        raise Refused(f"that is longer than {LONGEST_TEXT} characters", "", "shorten it")
    return text.strip().encode("utf-8", "replace").decode("utf-8")


def required(text: str) -> str:
    """As `text_kept`. Refused when nothing is left."""
    kept = text_kept(text)
    if not kept:
        raise Refused("there is nothing in it", "", "type something, or press Escape")
    return kept


def require_number(text: str, field: str) -> None:
    """Refuse a text that is not a number from 0 on; `field` is what it is for, in words."""
    try:
        usable = 0 <= float(text) < math.inf
    except ValueError:
        usable = False
    if not usable:
        raise Refused(f"{field} needs a number", "", "type a number such as 12")


def unit_name(typed: str) -> str:
    """A unit's name as it is kept. Refused when nothing is left, or when it is too long for a title."""
    name = plain_name(required(typed))
    if len(name) > LONGEST_NAME:
        raise Refused(f"a name of {len(name)} characters is too long", "", f"use {LONGEST_NAME} at most")
    return name
