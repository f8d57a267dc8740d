"""An article as rows to read on screen: text and look of each paragraph. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import assert_never

from bench.ui.text import clean, paragraphs
from bench.writeup.blocks import (
    Article,
    Block,
    Callout,
    FillIn,
    Grid,
    Listing,
    Paragraph,
    Picture,
    Run,
    Subheading,
    text_of,
)

Span = tuple[str, str]
"""One paragraph, and its look."""
BLANK: Span = ("", "plain")


def article_spans(article: Article, own_words: Mapping[str, str]) -> list[Span]:
    """Lay out the article with the builder's own words (slot -> Markdown) in their slots."""
    spans = [(clean(article.title), "value"), (clean(article.byline), "faint"), BLANK]
    spans += [*_blocks(article.opening), *_figures(article), *_own(own_words, "opening")]
    for section in article.sections:
        spans += [(clean(section.title), "head"), *_blocks(section.blocks), *_own(own_words, section.place)]
    for place in article.homeless(own_words):
        spans += _own(own_words, place)
    return [*spans, *_own(own_words, "closing"), (clean(article.about), "faint")]


def _figures(article: Article) -> list[Span]:
    told = [f"{figure} {', '.join(filter(None, rest))}" for figure, *rest in article.figures]
    return [(clean("; ".join(told)), "plain"), BLANK] if told else []


def _own(own_words: Mapping[str, str], place: str) -> list[Span]:
    text = own_words.get(place, "").strip()
    return [("Your words:", "faint"), *((line, "refs") for line in paragraphs(text)), BLANK] if text else []


def _blocks(blocks: Sequence[Block]) -> list[Span]:
    spans: list[Span] = []
    for block in blocks:
        match block:
            case Paragraph():
                spans += [(_said(block.words), "plain"), BLANK]
            case Callout():
                spans += [(_said(block.words), "caution"), BLANK]
            case Subheading():
                spans.append((clean(block.text), "way"))
            case Listing():
                signs = [f"{number}." for number in range(1, len(block.items) + 1)]
                spans += [
                    (f"{sign if block.numbered else '-'} {_said(item)}", "plain")
                    for sign, item in zip(signs, block.items, strict=True)
                ]
                spans.append(BLANK)
            case Grid():
                spans += [*_grid(block), BLANK]
            case Picture():
                spans += [(f"[photo] {clean(block.caption or block.alt)}", "plain"), BLANK]
            case FillIn():
                spans += [(f"[still to be told: {clean(block.what)}]", "caution"), BLANK]
            case _:
                assert_never(block)
    return spans


def _grid(block: Grid) -> list[Span]:
    """A row a paragraph, each cell with the name of its column: a table fits no small terminal."""
    spans: list[Span] = [(clean(block.caption), "faint")]
    for row in (*block.rows, *([block.total] if block.total else [])):
        named = zip(block.head[1:], row[1:], strict=True)
        cells = [clean(f"{name.lower()} {text_of(cell)}", 400) for name, cell in named if text_of(cell)]
        spans.append((f"- {clean(text_of(row[0]), 400)}: {', '.join(cells)}".rstrip(": "), "plain"))
    return spans


def _said(words: Sequence[Run]) -> str:
    return clean(" ".join(map(text_of, words)))
