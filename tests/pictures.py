"""Pictures of the program at work on the example kits: `python -m tests.pictures [FOLDER]` fills screenshots/.

Each one is the real program in a pseudo-terminal, drawn cell by cell. Earlier evenings at the bench are written
into the log first, with a clock moved by hand, so that the times on screen are those of somebody who solders.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pyte
from PIL import Image, ImageDraw, ImageFont

import bench
from bench.errors import SoldersideError
from bench.log.clock import utc_seconds
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.writeup.commonmark import begins
from bench.writeup.publish import publish, targets_of
from bench.writeup.sheets.publish import page
from tests.support.browser import browser, chromium
from tests.support.evenings import EVENINGS, evenings
from tests.support.paper import Printed, job
from tests.support.samples import HandClock
from tests.support.terminal import Terminal

ROOT = Path(bench.__file__).parent.parent
KITS = shipped_kits_folder()
SMALL, LARGE = KITS / "first-evening-metronome.yaml", KITS / "twin-board-oscillator.yaml"

# -- drawing ------------------------------------------------------------------------------------
FONTS = (
    os.environ.get("SOLDERSIDE_FONTS", ""),
    "/usr/share/fonts/truetype/dejavu",
    "/usr/share/fonts/TTF",
    "/usr/share/fonts/dejavu-sans-mono-fonts",
    "/opt/homebrew/share/fonts",
)
FONT_SIZE = 16
FOREGROUND, BACKGROUND = "#d8d8d8", "#101010"
NAMES = ("black", "red", "green", "brown", "blue", "magenta", "cyan", "white")
BLOCKS = {"█": (0.0, 1.0), "▀": (0.0, 0.5), "▄": (0.5, 1.0)}
"""Characters drawn as a part of their cell, from the top, as terminals do, so that they join without a seam."""


def fonts() -> dict[bool, ImageFont.FreeTypeFont]:
    """DejaVu Sans Mono, plain and bold. Raises SoldersideError where it is not installed."""
    for folder in filter(None, FONTS):
        try:
            return {
                bold: ImageFont.truetype(str(Path(folder) / f"DejaVuSansMono{'-Bold' * bold}.ttf"), FONT_SIZE)
                for bold in (False, True)
            }
        except OSError:
            continue
    raise SoldersideError(
        "the font DejaVu Sans Mono is not there",
        ", ".join(filter(None, FONTS)),
        "install it (Debian: fonts-dejavu-core) or name its folder in SOLDERSIDE_FONTS",
    )


def colour(name: str, default: str) -> str:
    """A colour of pyte's as `#rrggbb`."""
    if name == "default":
        return default
    plain = name.removeprefix("bright")
    if plain in NAMES:
        return "#" + pyte.graphics.FG_BG_256[NAMES.index(plain) + 8 * name.startswith("bright")]
    return f"#{name}"


def runs(screen: pyte.Screen) -> Iterator[tuple[int, int, str, Any]]:
    """Row, column, text and first cell of every stretch of one style."""
    for y in range(screen.lines):
        row, x = screen.buffer[y], 0
        while x < screen.columns:
            first, start, text = row[x], x, ""
            while x < screen.columns and row[x]._replace(data="") == first._replace(data=""):
                text, x = text + (row[x].data or "\0"), x + 1
            yield y, start, text, first


def picture(terminal: Terminal) -> Image.Image:
    """What is on screen, as a picture."""
    by_weight = fonts()
    ascent, descent = by_weight[False].getmetrics()
    width, height = round(by_weight[False].getlength("M")), ascent + descent
    screen = terminal.screen
    image = Image.new("RGB", (screen.columns * width, screen.lines * height), BACKGROUND)
    draw = ImageDraw.Draw(image)
    for y, x, text, style in runs(screen):
        ink, ground = colour(style.fg, FOREGROUND), colour(style.bg, BACKGROUND)
        if style.reverse:
            ink, ground = ground, ink
        left, top = x * width, y * height
        draw.rectangle((left, top, left + len(text) * width - 1, top + height - 1), fill=ground)
        for number, char in enumerate(text):
            at = left + number * width
            if char in BLOCKS:
                upper, lower = (round(top + share * height) for share in BLOCKS[char])
                draw.rectangle((at, upper, at + width - 1, lower - 1), fill=ink)
            elif char not in " \0":
                draw.text((at, top), char, fill=ink, font=by_weight[style.bold])
        if style.underscore:
            draw.line((left, top + ascent + 1, left + len(text) * width - 1, top + ascent + 1), fill=ink)
    if not screen.cursor.hidden:
        left, top = screen.cursor.x * width, screen.cursor.y * height
        draw.rectangle((left, top, left + width - 1, top + height - 1), outline=FOREGROUND)
    return image


# -- a build under way --------------------------------------------------------------------------
def worked(data: Path, kit: Path, until: Callable[[Step], bool]) -> Build:
    """A build of a kit done up to the first step of this kind, a minute or so a step, and closed."""
    chance = random.Random(7)
    clock = HandClock(utc=time.time() - 6 * 3600)
    build = open_build(data, str(kit), Settings(), clock)
    build.opened()
    while (step := build.next_step) is not None and not until(step):
        clock.work(8 + chance.uniform(10, 30) * max(1, len(step.refs)))
        build.done()
        place = build.view().count_for
        if place is not None:
            clock.work(45)
            build.count_joints(build.joints_waiting)
    build.close()
    return build


def is_part(step: Step, kind: str, *, least: int = 1) -> bool:
    """True for a step that solders this kind of part, with so many designators at least."""
    return step.kind == kind and step.action == "solder" and len(step.refs) >= least


class Shots:
    """Where the pictures go."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    def take(
        self,
        name: str,
        data: Path,
        *keys: str,
        size: tuple[int, int] = (120, 40),
        kit: Path | None = None,
        until: str = "",
        **env: str,
    ) -> None:
        """Open a build (the shelf without one), press keys one by one, and keep the picture.

        `until` is a text to wait for after the last key.
        """
        for shown in self.frames(data, *keys, size=size, kit=kit, until=until, **env):
            last = shown
        last.save(self.folder / f"{name}.png", optimize=True)
        print(self.folder / f"{name}.png")

    def frames(
        self,
        data: Path,
        *keys: str,
        size: tuple[int, int] = (120, 40),
        kit: Path | None = None,
        until: str = "",
        **env: str,
    ) -> Iterator[Image.Image]:
        """The picture before the first key, after each, and after `until` has come."""
        command = [sys.executable, "-m", "bench.cli", "--new", "--data", str(data)]
        if kit is not None:
            command = [*command[:3], "build", str(kit), *command[3:]]
        with Terminal(command, *size, env={"PYTHONPATH": str(ROOT)} | env, cwd=ROOT) as terminal:
            terminal.wait("step " if kit else "kit ")
            terminal.settle(0.5)
            yield picture(terminal)
            for key in keys:
                terminal.send(key)
                terminal.settle(0.7)  # a key that comes before the screen it is meant for is dropped
                yield picture(terminal)
            if until:
                terminal.wait(until)
                terminal.settle(0.2)
                yield picture(terminal)
            terminal.send("escape")
            terminal.settle(0.7)
            terminal.send("q")
            terminal.wait_exit()

    def recording(self, name: str, frames: Sequence[tuple[Image.Image, int]]) -> None:
        """One picture that moves, from frames and how long each stays, ms: an animated PNG, few colours."""
        table = frames[0][0].quantize(64)
        few = [frame.quantize(palette=table, dither=Image.Dither.NONE) for frame, _ in frames]
        shown = [stays for _, stays in frames]
        target = self.folder / f"{name}.png"
        few[0].save(target, save_all=True, append_images=few[1:], duration=shown, loop=0, optimize=True)
        print(target)


def papers(folder: Path) -> None:
    """Pages of the print-outs as a browser prints them; needs Chromium and poppler's pdftoppm."""
    if not chromium() or not shutil.which("pdftoppm"):
        print(
            "no pictures of print-outs: they need Chromium and pdftoppm (Debian: poppler-utils)",
            file=sys.stderr,
        )
        return
    for what, number in (("procedure", 1), ("stages", 3), ("labels", 1)):
        with tempfile.TemporaryDirectory() as scratch, browser() as web:
            printed = Printed(web, page([job(LARGE)], what), Path(scratch))
            drawn = Path(scratch) / "drawn"
            chosen = ["-f", str(number), "-l", str(number), "-singlefile", "-r", "110", "-png"]
            subprocess.run(["pdftoppm", *chosen, str(printed.pdf), str(drawn)], check=True)
            few = Image.open(drawn.with_suffix(".png")).convert("P", palette=Image.Palette.ADAPTIVE, colors=64)
            few.save(folder / f"sheet-{what}.png", optimize=True)
        print(folder / f"sheet-{what}.png")


def pages(folder: Path, data: Path) -> None:
    """The published page in a real browser: wide in light and in dark, and on a telephone."""
    if not chromium():
        print("no Chromium here: the published page is not photographed", file=sys.stderr)
        return
    build = evenings(data)
    targets = targets_of(build, ("markdown",))
    publish(build, targets)
    text = targets["markdown"].read_text(encoding="utf-8")
    for place, words in OWN_WORDS.items():
        text = text.replace(begins(place), f"{begins(place)}\n\n{words}\n")
    targets["markdown"].write_text(text, encoding="utf-8")
    page = publish(build, targets_of(build, ("html",)))[0].path
    with browser() as opened:
        for name, width, height, place, dark in (
            ("page-light", 1000, 1250, "story", False),
            ("page-dark", 1000, 1250, "how-it-went", True),
            ("page-tracking", 1000, 1250, "measurements", False),
            ("page-phone", 390, 844, "story", False),
            ("page-phone-dark", 390, 844, "measurements", True),
        ):
            opened.look(width, height, dark=dark, phone=width < 500)
            opened.open(page)
            if place != "story":
                opened.value(f"document.getElementById({place!r})?.scrollIntoView()")
            (folder / f"{name}.png").write_bytes(opened.picture())
            print(folder / f"{name}.png")


OWN_WORDS = {
    "opening": "The rack's **first voice**, and the first kit in years that was in tune on its first evening."
    "\n\n"
    "Two things I would do differently:\n\n- measure every resistor above 20k first;\n"
    "- keep the strips of small capacitors *apart*.",
    "closing": "Next: the filter.",
}


def main() -> int:
    """Make all pictures; the exit code is 1 when the font is missing."""
    shots = Shots(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "screenshots")
    try:
        fonts()
    except SoldersideError as error:
        print(error, file=sys.stderr)
        return 1
    with tempfile.TemporaryDirectory() as folder:
        _all(shots, Path(folder))
        pages(shots.folder, Path(folder) / "evenings")
    papers(shots.folder)
    return 0


def _all(shots: Shots, folder: Path) -> None:
    def at(name: str, until: Callable[[Step], bool], kit: Path = LARGE, theme: str = "") -> Path:
        data = folder / name
        worked(data, kit, until)
        if theme:
            (data / "settings.toml").write_text(f'theme = "{theme}"\n', encoding="utf-8")
        return data

    def resistors(step: Step) -> bool:
        return is_part(step, "resistor", least=6)

    def capacitor(step: Step) -> bool:
        return is_part(step, "electrolytic capacitor")

    def check(step: Step) -> bool:
        return step.action == "check"

    def reading(step: Step) -> bool:
        return step.action == "check" and step.expect.endswith("ohm")

    calm = ("v", "escape")
    shots.take("shelf-new", folder / "none")
    shots.take("bench-resistors", at("resistors", resistors), *calm, kit=LARGE)
    shots.take("bench-80x24", at("80x24", resistors), *calm, size=(80, 24), kit=LARGE)
    shots.take("bench-40x12", at("40x12", resistors), *calm, size=(40, 12), kit=LARGE)
    shots.take("where-it-sits", at("where", resistors), *calm, ",", kit=LARGE)
    shots.take("where-it-sits-40x12", at("where40", resistors), *calm, ",", size=(40, 12), kit=LARGE)
    shots.take("bench-opened-again", at("again", resistors), kit=LARGE)
    shots.take("bench-light", at("light", resistors, theme="light"), *calm, kit=LARGE)
    shots.take("bench-contrast", at("contrast", resistors, theme="contrast"), *calm, kit=LARGE)
    shots.take("bench-no-color", at("nocolor", resistors), *calm, kit=LARGE, NO_COLOR="1")
    shots.take("bench-16-colours", at("16", resistors), *calm, kit=LARGE, TERM="xterm", COLORTERM="")
    shots.take("bench-diode", at("diode", lambda step: is_part(step, "diode")), *calm, kit=LARGE)
    shots.take("bench-electrolytic", at("can", capacitor), *calm, kit=LARGE)
    shots.take("bench-electrolytic-40x12", at("can40", capacitor), *calm, size=(40, 12), kit=LARGE)
    words = ("b", "r", "i", "d", "g", "e", " ", "o", "n", " ", "R", "5")
    shots.take("snag-question", at("snag", resistors), *calm, "s", *words, "enter", kit=LARGE)
    shots.take("log", at("log", resistors), "n", *"print hides the pad of R9", "enter", "l", kit=LARGE)
    shots.take("help", at("help", resistors), "?", kit=LARGE)
    shots.take("break", at("break", capacitor), "b", kit=LARGE)
    shots.take("hold-point", at("hold", check), *calm, kit=LARGE)
    shots.take("hold-point-reading", at("reading", reading), *calm, "r", *"150", "enter", kit=LARGE)
    shots.take("hold-point-80x24", at("hold80", check), *calm, size=(80, 24), kit=LARGE)
    shots.recording("a-build", _a_build(shots, at("film", resistors), at("film-hold", reading)))
    data = at("shelf", check)
    at("shelf", lambda step: is_part(step, "transistor"), SMALL)
    shots.take("shelf", data, "k", kit=SMALL, until="Ready to build")
    data, ago = folder / "article", time.time() - 4 * 86_400 - (utc_seconds(EVENINGS[0]) or 0.0)
    evenings(data, until="Before power", later=ago)
    shots.take("article", data, *calm, "o", kit=LARGE, until="Building the")
    data = folder / "article40"
    evenings(data, until="Before power", later=ago)
    shots.take("article-40x12", data, *calm, "o", "m", size=(40, 12), kit=LARGE, until="Written;")


def _a_build(shots: Shots, soldering: Path, before_power: Path) -> list[tuple[Image.Image, int]]:
    """A few steps, a note and a reading at a hold point, as they look at 80x24."""
    small = (80, 24)
    note = ("n", *"R9 sits proud", "enter")
    steps = shots.frames(soldering, "v", "escape", " ", " ", ".", " ", *note, " ", size=small, kit=LARGE)
    found = [(frame, 150 if 8 < number < 22 else 1_600) for number, frame in enumerate(steps)]
    held = shots.frames(before_power, "v", "escape", "r", *"12k", "enter", size=small, kit=LARGE)
    return found[2:] + [(frame, 400 if 3 < number < 7 else 1_600) for number, frame in enumerate(held)][2:]


if __name__ == "__main__":
    raise SystemExit(main())
