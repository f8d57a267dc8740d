"""An article as CommonMark, with tables as GitHub Flavored Markdown has them.

Every text passes through `commonmark.inert`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import assert_never
from urllib.parse import quote

from bench.writeup.article import article_of
from bench.writeup.blocks import (
    WEB,
    Article,
    Block,
    Callout,
    FillIn,
    Grid,
    Link,
    Listing,
    Paragraph,
    Picture,
    Run,
    Subheading,
)
from bench.writeup.commonmark import bullets, empty_place, inert, numbered, table
from bench.writeup.story_model import Story


def write_up(story: Story, photo_folder: str = "photos", shown: Collection[str] | None = None) -> str:
    """The article, with empty places for the builder's own words; ends with a line end.

    `photo_folder` is where the copies of photos lie, seen from the page; `shown` as for `article_of`.
    """
    return set_in_markdown(article_of(story, shown), photo_folder)


def set_in_markdown(article: Article, photo_folder: str = "photos") -> str:
    """Any article; see `write_up`."""

    def set_block(block: Block) -> str:
        return _block(block, photo_folder)

    top = [f"# {inert(article.title)}", *map(set_block, article.opening), *_figures(article)]
    blocks = [*top, empty_place("opening")]
    for section in article.sections:
        blocks += [f"## {inert(section.title)}", *map(set_block, section.blocks), empty_place(section.place)]
    return "\n\n".join([*blocks, empty_place("closing"), *_about(article)]) + "\n"


def set_as_text(article: Article, own_words: Mapping[str, str], photo_folder: str = "photos") -> str:
    """An article to be published as it stands: no marks, nothing left to fill in, own words in their places.

    Its title is left to whoever sets it; ends with a line end.
    """

    def set_blocks(blocks: Sequence[Block]) -> list[str]:
        return [_block(block, photo_folder) for block in blocks if not isinstance(block, FillIn)]

    def own(place: str) -> list[str]:
        text = own_words.get(place, "").strip("\n")
        return [text] if text.strip() else []

    told = [*set_blocks(article.opening), *_figures(article), *own("opening")]
    for section in article.sections:
        blocks = [*set_blocks(section.blocks), *own(section.place)]
        told += [f"## {inert(section.title)}", *blocks] if blocks else []
    told += [text for place in article.homeless(own_words) for text in own(place)]
    return "\n\n".join([*told, *own("closing"), *_about(article)]) + "\n"


def _about(article: Article) -> list[str]:
    return [f"*{inert(article.about)}*"] if article.about else []


def _figures(article: Article) -> list[str]:
    """The line under the title and the figures, where a page has no place of its own for them."""
    told = [f"**{inert(figure)}** {inert(', '.join(filter(None, rest)))}" for figure, *rest in article.figures]
    return [*([f"*{inert(article.byline)}*"] if article.byline else []), *([" · ".join(told)] if told else [])]


def _block(block: Block, photo_folder: str) -> str:
    match block:
        case Paragraph():
            return _words(block.words)
        case Callout():
            return f"> {_words(block.words)}"
        case Subheading():
            return f"### {inert(block.text)}"
        case Listing():
            items = [_words(item) for item in block.items]
            return numbered(items) if block.numbered else bullets(items)
        case Grid():
            rows = [*block.rows, *([block.total] if block.total else [])]
            head, right = list(map(inert, block.head)), list(map(inert, block.right))
            return table(head, [[_run(cell) for cell in row] for row in rows], right)
        case Picture():
            address = quote(f"{photo_folder}/{block.file}")
            caption = f"\\\n*{inert(block.caption)}*" if block.caption else ""
            return f"![{inert(block.alt)}]({address}){caption}"
        case FillIn():
            return f"> **Still to be told:** {inert(block.what)}."
        case _:
            assert_never(block)


def _words(runs: Sequence[Run]) -> str:
    return " ".join(map(_run, runs))


def _run(run: Run) -> str:
    if isinstance(run, str):
        return inert(run)
    if isinstance(run, Link):
        return f"<{run.text}>" if WEB.fullmatch(run.text) else inert(run.text)
    return f"**{inert(run.text)}**" if run.text else ""
