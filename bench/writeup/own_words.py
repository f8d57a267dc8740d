"""The builder's own words, typed in Markdown, as HTML that does nothing.

CommonMark 0.31.2 and the tables of GitHub Flavored Markdown, read by markdown-it-py, imported only where
there are some. Raw HTML is shown as text, a link leads only to the web, a picture is one that the page has.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, unquote

from bench.writeup.blocks import WEB
from bench.writeup.words import one_line, visible

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token

LONGEST = 200_000
"""Characters of one place that are read; the rest is left to the Markdown file."""
MOST_PICTURES = 30
_PATH = re.compile(r"(?!//)[^:]*")
_COMMENT = re.compile(r"<!--(?:>|->|.*?(?:-->|\Z))", re.DOTALL)
_PICTURE = re.compile(r"(!\[[^\]]*\]\()(<[^<>\n]*>|[^<)\s][^)\s]*)")


def as_html(text: str, pictures: Mapping[str, str] | None = None) -> str:
    """Own words as HTML; `pictures` says for the path of each picture what stands as its address.

    >>> as_html("It *works*, [x](javascript:y) <b>")
    '<p>It <em>works</em>, [x](javascript:y) &lt;b&gt;</p>\\n'
    """
    return str(_reader().render(_clean(text), {"pictures": pictures or {}}))


def picture_paths(texts: Mapping[str, str]) -> tuple[str, ...]:
    """Paths of the pictures in own words (place -> Markdown), in order, each once."""
    if not any("![" in text for text in texts.values()):
        return ()
    found = [
        unquote(str(leaf.attrs["src"]))
        for text in texts.values()
        for leaf in _leaves(_reader().parse(_clean(text)))
        if leaf.type == "image"
    ]
    return tuple(dict.fromkeys(found))[:MOST_PICTURES]


def readdressed(text: str, addresses: Mapping[str, str]) -> str:
    """Own words as typed, with other addresses (path -> path) for their pictures."""

    def other(found: re.Match[str]) -> str:
        address = addresses.get(unquote(found[2].strip("<>")))
        return found[1] + (found[2] if address is None else quote(address))

    return _PICTURE.sub(other, text)


def _clean(text: str) -> str:
    return "\n".join(visible(line.expandtabs(4)) for line in text[:LONGEST].splitlines())


def _leaves(tokens: Sequence[Token]) -> Iterator[Token]:
    for token in tokens:
        yield token
        yield from _leaves(token.children or ())


@cache
def _reader() -> MarkdownIt:
    from markdown_it import MarkdownIt
    from markdown_it.common.utils import escapeHtml
    from markdown_it.renderer import RendererHTML

    class Inert(RendererHTML):
        """Renders each token as the page may hold it; method names are those of token types."""

        def text(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            return str(escapeHtml(visible(tokens[idx].content)))

        def html_inline(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            return str(escapeHtml(_COMMENT.sub("", tokens[idx].content)))

        def html_block(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            said = one_line(_COMMENT.sub("", tokens[idx].content))
            return f"<p>{escapeHtml(said)}</p>\n" if said else ""

        def fence(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            code = escapeHtml(tokens[idx].content.rstrip("\n"))
            return f'<pre class="wide" tabindex="0"><code>{code}</code></pre>\n'

        code_block = fence

        def image(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            alt = one_line(self.renderInlineAsText(tokens[idx].children, options, env))
            address = env["pictures"].get(unquote(str(tokens[idx].attrs["src"])))
            if address is None:
                return f"(picture: {escapeHtml(alt)})" if alt else "(a picture)"
            return f'<img src="{escapeHtml(address)}" alt="{escapeHtml(alt)}">'

        def link_open(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            address = str(tokens[idx].attrs["href"])
            if WEB.fullmatch(address):
                return f'<a href="{escapeHtml(address)}" rel="noopener noreferrer">'
            next(token for token in tokens[idx:] if token.type == "link_close").hidden = True
            return ""

        def heading_open(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            return "<h3>"

        def heading_close(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            return "</h3>\n"

        def table_open(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            return '<section class="wide" tabindex="0" aria-label="Table">\n<table>\n'

        def table_close(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            return "</table>\n</section>\n"

        def th_open(self, tokens: Sequence[Token], idx: int, options: Any, env: Any) -> str:
            number = "right" in str(tokens[idx].attrs.get("style", ""))
            scope = ' scope="col"' if tokens[idx].tag == "th" else ""
            return f"<{tokens[idx].tag}{scope}" + (' class="number">' if number else ">")

        td_open = th_open

    class Reader(MarkdownIt):
        def validateLink(self, url: str) -> bool:
            return bool(WEB.fullmatch(url) or _PATH.fullmatch(url))

    reader = Reader("commonmark", {"xhtmlOut": False}, renderer_cls=Inert).enable("table")
    return reader
