"""Pages of HTML as a strict parser sees them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element

import html5lib

from bench.writeup.page import html_page
from bench.writeup.story import tell
from tests.support.story_bench import KIT, PLAN, Bench, whole_build

HTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"


def parsed(page: str) -> Element:
    """The page as a tree; a parse error of the HTML standard is a failure."""
    document = html5lib.HTMLParser(tree=html5lib.getTreeBuilder("etree"), strict=True).parse(page)
    assert isinstance(document, Element)
    return document


def tag(element: Element) -> str:
    """The name of an element, without its namespace."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else "!--"


def elements(document: Element, *names: str) -> Iterator[Element]:
    """All elements of these names, in order; all of them without a name."""
    return (each for each in document.iter() if tag(each) != "!--" and (not names or tag(each) in names))


def text(element: Element) -> str:
    """The text in an element, blanks run together."""
    return " ".join("".join(element.itertext()).split())


def body_text(document: Element) -> str:
    """All text that a reader can come upon, descriptions of drawings included."""
    return text(next(elements(document, "body")))


def section_text(document: Element, place: str) -> str:
    """The text of one section; empty when it is not there."""
    found = (each for each in elements(document, "section") if each.get("id") == place)
    return next((text(each) for each in found), "")


def page_of_bench(bench: Bench, **more: object) -> str:
    """The page of what a bench wrote."""
    return html_page(tell(KIT, PLAN, bench.events, **more))  # type: ignore[arg-type]


def whole_page() -> str:
    """The page of the whole invented build."""
    return html_page(tell(KIT, PLAN, whole_build(), now="2031-02-09T10:00:00.000Z"))


SAFE_ELEMENTS = {
    "html", "head", "meta", "title", "link", "style", "body", "header", "main", "footer", "nav", "section",
    "div", "h1", "h2", "h3", "p", "hr", "br", "ul", "ol", "li", "dl", "dt", "dd", "a", "strong", "em", "code",
    "pre", "blockquote", "figure", "figcaption", "img", "table", "caption", "thead", "tbody", "tfoot", "tr",
    "th", "td", "details", "summary", "span", "svg", "defs", "desc", "rect", "line", "circle", "path", "use",
    "pattern", "text",
}  # fmt: skip
UNSEEN = re.compile("[\u200b\u200e\u200f\u202a-\u202e\u2060-\u2069\ufeff\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
"""Controls, and signs that turn the direction of writing (Unicode Standard Annex 9, section 2)."""


def assert_inert(page: str) -> Element:
    """Valid, and nothing in it does anything: no script, no request, no sign that turns the writing."""
    document = parsed(page)
    for element in elements(document):
        name = tag(element)
        assert name in SAFE_ELEMENTS, name
        for key, value in element.attrib.items():
            key = key.rpartition("}")[2]
            assert not key.startswith("on"), key
            assert key not in ("style", "srcset", "action", "formaction", "ping", "background"), key
            if key == "href":
                usual = value.startswith("#") or (name == "link" and value == "data:,")
                assert usual or (name == "a" and re.match(r"https?://[^\s<>\"]+$", value)), value
            if key == "src":
                assert value.startswith("data:image/"), value
    styles = [each.text or "" for each in elements(document, "style")]
    assert len(styles) == 1
    assert not re.search(r"@import|url\((?!#)|expression|javascript", styles[0])
    assert not UNSEEN.search(page)
    return document
