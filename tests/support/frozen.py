"""Whether all records of a room are values: they cannot be changed, and fields are named."""

from __future__ import annotations

import importlib
import inspect
import pkgutil

from msgspec import Struct

BY_PLACE = {"Cause"}
"""Records that are written in code often enough to be told by the place of their fields."""


def loose(room: str) -> set[str]:
    """Records of `bench.ROOM` that can be changed, or whose fields can be given without their names."""
    package = importlib.import_module(f"bench.{room}")
    modules = [
        importlib.import_module(each.name)
        for each in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
    ]
    found = {
        kind
        for module in modules
        for kind in vars(module).values()
        if inspect.isclass(kind) and issubclass(kind, Struct)
    }
    own = [kind for kind in found if kind.__module__.startswith(package.__name__)]
    return {
        kind.__name__
        for kind in own
        if not kind.__struct_config__.frozen
        or (
            kind.__name__ not in BY_PLACE
            and any(p.kind is not p.KEYWORD_ONLY for p in inspect.signature(kind).parameters.values())
        )
    }
