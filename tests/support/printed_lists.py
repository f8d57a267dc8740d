"""Invented parts lists as pages of a browser, in many styles, to be printed as PDFs."""

from __future__ import annotations

import html
import random

STYLES = {
    "middle": "td{vertical-align:middle}", "top": "td{vertical-align:top}",
    "bottom": "td{vertical-align:bottom}",
    "tight": "td{padding:0 6px} table{border-spacing:0}", "roomy": "td{padding:8px 12px}",
    "wide lines": "td{line-height:1.5;padding:2px 8px}", "serif": "body{font-family:serif} td{padding:3px 6px}",
    "mono": "body{font-family:monospace} td{padding:3px 6px}",
    "stripes": "tr:nth-child(even){background:#eee} td{padding:3px 6px} table{border-collapse:collapse}",
    "underlined": "td{border-bottom:1px solid #999;padding:3px 6px} table{border-collapse:collapse}",
    "ruled": "td,th{border:1px solid #333;padding:3px 6px} table{border-collapse:collapse}",
    "centred": "td{text-align:center;padding:3px 6px}", "small": "body{font-size:6pt} td{padding:1px 3px}",
    "large": "body{font-size:13pt} td{padding:2px 6px}",
}  # fmt: skip
_COLUMNS = (
    ("ref", "qty", "value", "told"), ("qty", "value", "told", "case", "ref"),
    ("item", "qty", "ref", "value", "case", "told"), ("value", "ref", "told"), ("told", "value", "qty", "ref"),
)  # fmt: skip
_NAMES = {
    "ref": ("Reference", "Designators", "Parts"), "qty": ("Qty", "Count"), "value": ("Value",),
    "told": ("Description",), "case": ("Package",), "item": ("#",),
}  # fmt: skip
_OTHERS = (
    ("D", 4, "1N4148", "Switching diode", "DO-35"),
    ("U", 3, "TL072", "Dual operational amplifier with JFET inputs", "DIP-8"),
    ("Q", 2, "BC547", "NPN transistor", "TO-92"),
    ("RV", 3, "100k lin", "Potentiometer, 9 mm, vertical, knurled shaft", "9 mm"),
    ("J", 4, "PJ301", "Jack socket 3.5 mm mono, panel style vertical", ""),
    ("SW", 1, "SPDT", "Toggle switch on-on", ""), ("LED", 2, "red", "LED 3 mm", "3 mm"),
)  # fmt: skip


def printed_list(style: str, seed: int) -> tuple[str, dict[str, str]]:
    """A page with a list in a style of `STYLES`, and designator -> value."""
    chance = random.Random(f"{style} {seed}")
    lines: list[tuple[list[str], str, str, str]] = []
    used: dict[str, int] = {}

    def line(letters: str, number: int, value: str, told: str, case: str) -> None:
        first = used.get(letters, 0) + 1
        used[letters] = first + number - 1
        lines.append(([f"{letters}{at}" for at in range(first, first + number)], value, told, case))

    for value in chance.sample(["10k", "4k7", "100k", "220R", "1M", "22k", "47k", "1k", "330R", "2k2"], 8):
        number = chance.choice((1, 1, 2, 3, 5, 9, 16))
        line("R", number, value, "Resistor, metal film, 1/4 W", chance.choice(("axial", "0207")))
    for value in chance.sample(["100n", "10u", "47p", "1n", "22u", "220n"], 5):
        sort = chance.choice(
            ("Capacitor, ceramic disc, 50 V", "Electrolytic capacitor radial 35 V low leakage")
        )
        line("C", chance.choice((1, 2, 3, 7, 12)), value, sort, "5 mm")
    for other in _OTHERS:
        line(*other)
    columns, width = chance.choice(_COLUMNS), chance.choice((380, 480, 620))
    head = "".join(f"<th>{chance.choice(_NAMES[column])}</th>" for column in columns)
    body = ""
    for item, (refs, value, told, case) in enumerate(lines, 1):
        cells = {
            "ref": ", ".join(refs), "qty": f"{len(refs)}", "value": value, "told": told, "case": case,
            "item": f"{item}",
        }  # fmt: skip
        body += "<tr>" + "".join(f"<td>{html.escape(cells[column])}</td>" for column in columns) + "</tr>"
    css = f"body{{font:9pt sans-serif}} table{{width:{width}px}} {STYLES[style]}"
    page = (
        f"<!doctype html><meta charset=utf-8><title>kit</title><style>{css}</style><h1>Kit</h1>"
        f"<p>Some words before the list.</p><table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
        "<p>Good luck with the build, and mind the iron.</p>"
    )
    return page, {ref: value for refs, value, _, _ in lines for ref in refs}
