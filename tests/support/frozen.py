"""Whether all records of a room are values: they cannot be changed, and fields are named."""

from __future__ import annotations

import importlib
import inspect
import pkgutil

from msgspec import Struct

BY_PLACE = {"Cause", "LogEntry"}
"""Records that are written in code often enough to be told by the place of their fields."""


def loose(room: str) -> set[str]:
    """Records of `bench.ROOM` that can be changed, or whose fields can be given without their names."""
    package = importlib.import_module(f"bench.{room}")
    names = [each.name for each in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")]
    things = [thing for name in names for thing in vars(importlib.import_module(name)).values()]
    own = {
        each for each in things
        if inspect.isclass(each) and issubclass(each, Struct) and each.__module__ in names
    }  # fmt: skip
    return {each.__name__ for each in own if not each.__struct_config__.frozen or _by_place(each)}


def _by_place(kind: type[Struct]) -> bool:
    fields = inspect.signature(kind).parameters.values()
    return kind.__name__ not in BY_PLACE and any(field.kind is not field.KEYWORD_ONLY for field in fields)
