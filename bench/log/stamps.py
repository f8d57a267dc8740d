"""Fields that events have in common, by name and type."""

from __future__ import annotations

from typing import TypedDict

from bench.log.clock import Moment


class Stamp(TypedDict):
    """The fields that all events carry, to be spread into one: `Noted(**stamp, text="...")`.

    The type checker still sees every field: one that is misspelt, missing or of another type is an error.
    """

    n: int
    at: str
    mono: float
    run: str
    stage: str
    board: str
    step: str
    turn: int
    after: Moment | None


class Edition(TypedDict):
    """Which kit file and procedure are in use: fields of `events.Started` and of `events.Revised`."""

    kit: str
    name: str
    maker: str
    revision: str
    kit_file: str
    kit_digest: str
    procedure: str
    procedure_digest: str
