"""The YAML parser's complaints in plain words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import yaml

_COMPARE = "compare with the example in solderside help kit"
_QUOTE = "put texts with , : [ ] { } in quotes"
_HINTS: tuple[tuple[str, str, str], ...] = (
    (
        "block scalar",
        "a text that starts with > or | means something else in YAML",
        "put the text in quotes",
    ),
    ("unknown escape", "a backslash inside double quotes", "use single quotes, or two backslashes"),
    ("escape code", "a backslash inside double quotes", "use single quotes, or two backslashes"),
    ("hexdecimal", "a backslash inside double quotes", "use single quotes, or two backslashes"),
    ("quoted scalar", "a quotation mark that is never closed", "close it, or leave quotation marks out"),
    ("cannot start any token", "a text may not start with this sign", "put the text in quotes"),
    (
        "mapping values",
        "a second colon in one entry, or a line that is set in too far",
        "put a text with a colon in quotes, line entries up, and look at the line above",
    ),
    ("',' or", "a comma or closing bracket is missing", f"close the bracket, and {_QUOTE}"),
    ("flow node", "a comma too many, or a sign that needs quotes", f"take the comma out, or {_QUOTE}"),
    ("flow", "a bracket that is never closed", f"close it, and {_QUOTE}"),
    (
        "expected ':'",
        "a line that is neither `key: value` nor a list entry",
        "write `key: value`, with a space after the colon",
    ),
    ("anchor", "a text that starts with & or *", "put the text in quotes"),
    ("alias", "a text that starts with & or *", "put the text in quotes"),
    ("tag", "a text that starts with an exclamation mark", "put the text in quotes"),
    ("sequence entries", "a list entry in the middle of a line", "begin a list on a line of its own"),
    (
        "block",
        "a line that does not line up with its neighbours, or something left over after a text",
        "set entries of one list or mapping equally far in, and put a text in quotes as a whole",
    ),
    ("directive", "a line that starts with a per cent sign", "put the text in quotes"),
    ("YAML document", "a line that starts with a per cent sign", "take it out"),
    ("document start", "text after the end of the document", "set all lines equally far in"),
)
"""Part of the parser's complaint, what it means, what to do; the first that fits counts."""


def plain_words(error: yaml.YAMLError, rows: Sequence[str]) -> tuple[int, str, str]:
    """Line (from 1), what and hint for a complaint of the parser about a file with these rows."""
    context, problem = (getattr(error, part, None) for part in ("context", "problem"))
    began, mark = (getattr(error, part, None) for part in ("context_mark", "problem_mark"))
    complaint = f"{context or ''} {problem or error}"
    line = (mark.line if mark else 0) + 1
    row = rows[line - 1] if line <= len(rows) else ""
    if "\t" in row[: len(row) - len(row.lstrip())]:
        return line, "a tab at the start of the line", "use spaces"
    what, hint = next(((w, h) for part, w, h in _HINTS if part in complaint), ("", _COMPARE))
    if began and any(part in complaint for part in ("quoted scalar", "flow", "expected ':'")):
        line = began.line + 1
    return line, what or f"this is not YAML ({problem or error})", hint
