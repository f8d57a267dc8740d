"""HTML from templates: everything that is filled in is escaped, and a name that is missing is an error."""

from __future__ import annotations

import os
import sys
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import BytecodeCache, Environment


@cache
def _templates() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("bench.writeup", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        auto_reload=False,
        bytecode_cache=_compiled(),
    )


def _compiled() -> BytecodeCache | None:
    """Where compiled templates are kept: beside their sources, as Python keeps its own, if it may."""
    folder = Path(__file__).parent / "templates" / "__pycache__"
    if sys.dont_write_bytecode:
        return None
    try:
        folder.mkdir(exist_ok=True)
    except OSError:
        return None
    if not os.access(folder, os.W_OK):
        return None
    from jinja2 import FileSystemBytecodeCache

    return FileSystemBytecodeCache(str(folder))


def render(template: str, **values: object) -> str:
    """A template of `writeup/templates/` with these values; Jinja2 is loaded at the first call."""
    return _templates().get_template(template).render(**values)
