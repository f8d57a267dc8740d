"""HTML from templates: everything that is filled in is escaped, and a name that is missing is an error."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment


@cache
def _templates() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("bench.retro", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def render(template: str, **values: object) -> str:
    """A template of `retro/templates/` with these values; Jinja2 is loaded at the first call."""
    return _templates().get_template(template).render(**values)
