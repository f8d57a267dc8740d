"""How fast it is, beside floors measured in the same run: `python -m tests.speed [--quick] [--python PATH]`.

Builds a wheel of this checkout, installs it in a fresh environment (an editable install compiles nothing ahead)
and prints one table. A floor is the least that the same machine can do at the same moment: an empty Textual app
for the start and the memory, a bare label update for a key, a one-second clock for an idle screen, a bare
decoding for the log. Program and floor are run in turn, figures are medians. This is no test: machines differ,
and a missed target is printed, not raised.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from bench.log.file import LOG_NAME
from tests.speed_inside import TOLD, long_build
from tests.support.terminal import Idle, Terminal

ROOT = Path(__file__).parent.parent
SIZE = (120, 40)
EXAMPLE = ROOT / "kits" / "twin-board-oscillator.yaml"
PARTS = 400

EMPTY = """
from textual.app import App
from textual.widgets import Static

class Empty(App):
    def compose(self):
        yield Static("Ready")

Empty().run()
"""
LABEL = """
import os, sys
os.environ["TEXTUAL_FPS"] = "240"
from textual.app import App
from textual.widgets import Static

class Label(App):
    count = 0

    def compose(self):
        self.label = Static("step 0 of all")
        yield self.label

    def on_key(self):
        self.count += 1
        if log is not None:
            os.write(log, line)
            os.fsync(log)
        self.label.update(f"step {self.count} of all")

line = b"x" * 300 + b"\\n"
log = os.open(sys.argv[1], os.O_WRONLY | os.O_CREAT | os.O_APPEND) if len(sys.argv) > 1 else None
Label().run()
"""
CLOCK = """
import time
from textual.app import App
from textual.widgets import Static

class Clock(App):
    def compose(self):
        self.label = Static("Ready")
        yield self.label

    def on_mount(self):
        self.set_interval(1.0, lambda: self.label.update(time.strftime("%H:%M:%S Ready")))

Clock().run()
"""


@dataclass(frozen=True, kw_only=True)
class Row:
    """One line of the table; times in milliseconds unless the line says otherwise."""

    what: str
    here: float
    floor: float | None = None
    floor_is: str = ""
    most: float | None = None
    """The target: for the ratio to the floor, or for the figure itself where there is no floor."""
    unit: str = "ms"
    """Of the target where there is no floor."""
    more: str = ""

    @property
    def measured(self) -> float:
        """What the target is for."""
        return self.here / self.floor if self.floor else self.here

    @property
    def missed(self) -> bool:
        """True when there is a target and it is not met."""
        return self.most is not None and self.measured > self.most

    def __str__(self) -> str:
        floor = f"{self.floor:9.2f}  {self.measured:5.2f} x" if self.floor else " " * 18
        unit = "x" if self.floor else self.unit
        target = f"at most {self.most:g} {unit}" if self.most is not None else ""
        word = ("MISSED" if self.missed else "met") if target else ""
        return f"{self.what:<44} {self.here:9.2f} {floor:<18} {target:<14} {word:<7} {self.floor_is}{self.more}"


E24 = "1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1"
"""IEC 60063."""


def big_kit() -> str:
    """A kit file of 400 parts: 200 resistors of 168 values, 1 ohm to 9.1 Mohm, and the rest of few values.

    So many values give a stage that is long enough to press keys in.
    """
    e24 = [text.replace(".", "") for text in E24.split()]
    values = [f"{n[0]}{mark}{n[1]}" for mark in "RkM" for n in e24]
    values += [f"{n}{zero}{mark}" for zero in ("", "0") for mark in "Rk" for n in e24]
    lines, used = [], 0
    for number, value in enumerate(values):
        many = 2 if number < PARTS // 2 - len(values) else 1
        lines.append(f"{{refs: R{used + 1}-R{used + many}, value: {value}, kind: resistor, mount: flat}}")
        used += many
    for first, value in enumerate(("10p", "22p", "47p", "100p", "1n", "2n2", "4n7", "10n", "22n", "100n")):
        lines.append(f"{{refs: C{first}1-C{first}9, value: {value}, kind: ceramic capacitor}}")
    lines += ["{refs: D1-D50, value: 1N4148, kind: diode}", "{refs: Q1-Q40, value: BC547, kind: transistor}"]
    lines += ["{refs: U1-U20, value: TL072, kind: IC, socket: DIP-8}"]
    head = "kit: 1\nname: Row of everything\nmaker: Long Shelf Works\nboards:\n  - name: main\n    parts:\n"
    return head + "".join(f"      - {line}\n" for line in lines)


class Bench:
    """The installed program, the floors, and a folder to work in."""

    def __init__(self, python: Path, folder: Path) -> None:
        self.python, self.folder = python, folder
        self.kit = folder / "big.yaml"
        self.kit.write_text(big_kit())
        for name, source in (("empty", EMPTY), ("label", LABEL), ("clock", CLOCK)):
            (folder / f"{name}.py").write_text(source)

    def program(self, data: Path, kit: Path | None = None) -> Terminal:
        """The program with a kit (the 400-part one, unless another is named), as a builder calls it."""
        command = [
            str(self.python.parent / "solderside"),
            "build",
            str(kit or self.kit),
            "--new",
            "--data",
            str(data),
        ]
        return Terminal(command, *SIZE, cwd=self.folder)

    def app(self, name: str, *arguments: str) -> Terminal:
        """One of the floors."""
        return Terminal([str(self.python), f"{name}.py", *arguments], *SIZE, cwd=self.folder)

    # -- each measurement -----------------------------------------------------------------------
    def starts(self, runs: int) -> list[Row]:
        """From the command to a bench step that can be read, and memory then."""
        times: dict[str, list[float]] = {"example": [], "big": [], "empty": []}
        memory: dict[str, list[float]] = {"example": [], "big": [], "empty": []}
        step = re.compile(r"step \d+ of \d+")
        for _ in range(runs + 1):
            for name in times:
                with self._start(name) as terminal:
                    times[name].append(terminal.wait("Ready" if name == "empty" else step))
                    terminal.settle(0.3)
                    memory[name].append(terminal.memory())
        first = times["example"][0]
        began = {name: statistics.median(each[1:]) for name, each in times.items()}
        size_of = {name: statistics.median(each[1:]) for name, each in memory.items()}
        return [
            Row(what="command to a readable step, example kit", here=began["example"], floor=began["empty"],
                floor_is="empty Textual app", most=1.15, more=f"; the very first start: {first:.0f} ms"),
            Row(what=f"command to a readable step, {PARTS} parts", here=began["big"], floor=began["empty"],
                floor_is="empty Textual app", most=1.2),
            Row(what="memory at the bench (MB)", here=size_of["example"], floor=size_of["empty"],
                floor_is="empty Textual app", most=1.2),
        ]  # fmt: skip

    def _start(self, name: str) -> Terminal:
        match name:
            case "example":
                return self.program(self.folder / "example", EXAMPLE)
            case "big":
                return self.program(self.folder / "starts")
            case _:
                return self.app(name)

    def keys(self, presses: int) -> list[Row]:
        """From a key to what it brings; program and floors are up together and are pressed in turn."""
        chance = random.Random(1)
        data = self.folder / "keys"
        data.mkdir()
        (data / "settings.toml").write_text("repeat_milliseconds = 0\n", encoding="utf-8")
        times: dict[str, list[float]] = {name: [] for name in ("here", "label", "fsync")}
        with (
            self.program(data) as ours,
            self.app("label") as label,
            self.app("label", str(self.folder / "synced")) as synced,
        ):
            for each in (ours, label, synced):
                each.wait("step ")
                each.settle(0.5)
            _to_the_parts(ours)
            for number in range(1, presses + 4):
                for name, terminal, text in (
                    ("here", ours, f"step {number + 1} of"),
                    ("label", label, f"step {number} of"),
                    ("fsync", synced, f"step {number} of"),
                ):
                    time.sleep(chance.uniform(0.02, 0.06))
                    terminal.read_for(0)
                    times[name].append(terminal.press("space", text))
        warm = {name: each[3:] for name, each in times.items()}
        median = {name: statistics.median(each) for name, each in warm.items()}
        late = {name: statistics.quantiles(each, n=20)[-1] for name, each in warm.items()}
        return [
            Row(what="key to the next step, on the disk", here=median["here"], floor=median["fsync"],
                floor_is="label update after one fsync", most=1.4),
            Row(what="  the slowest 5 in 100 take longer than", here=late["here"], floor=late["fsync"],
                floor_is="label update after one fsync", most=1.6),
            Row(what="  beside a bare label update", here=median["here"], floor=median["label"],
                floor_is="bare label update"),
        ]  # fmt: skip

    def idles(self, seconds: float, turns: int) -> list[Row]:
        """What the clock costs while nobody touches a key."""
        found: dict[str, list[Idle]] = {"here": [], "clock": []}
        with self.program(self.folder / "idle") as ours, self.app("clock") as clock:
            ours.wait("step ")
            clock.wait("Ready")
            for each in (ours, clock):
                each.settle(0.5)
            for _ in range(turns):
                found["here"].append(ours.idle(seconds))
                found["clock"].append(clock.idle(seconds))

        def row(what: str, field: str, most: float | None = None, bare: float | None = None) -> Row:
            here, floor = (
                statistics.median(getattr(each, field) for each in found[n]) for n in ("here", "clock")
            )
            if bare:
                return Row(
                    what=what, here=here, most=bare, unit="bytes", more=f"; one-second clock app: {floor:.0f}"
                )
            return Row(what=what, here=here, floor=floor, floor_is="one-second clock app", most=most)

        return [
            row("idle at the bench: processor (ms/s)", "cpu_milliseconds", 1.3),
            row("idle at the bench: wake-ups (/s)", "wake_ups"),
            row("idle at the bench: bytes sent (/s)", "bytes_out", bare=250),
        ]

    def grows(self, presses: int) -> list[Row]:
        """Memory after so many keys, steps done and undone in turn."""
        data = self.folder / "grows"
        data.mkdir()
        (data / "settings.toml").write_text("repeat_milliseconds = 0\n", encoding="utf-8")
        with self.program(data) as ours, self.app("label") as label:
            for each in (ours, label):
                each.wait("step ")
                each.settle(0.5)
            _to_the_parts(ours)
            step = 1
            for number in range(1, presses + 1):
                ours.press(*(("u", f"step {step} of") if number % 2 == 0 else ("space", f"step {step + 1} of")))
                label.press("space", f"step {number} of")
            here, floor = ours.memory(), label.memory()
        return [
            Row(what=f"memory after {presses:,} keys (MB)", here=here, floor=floor,
                floor_is="label updates", most=1.5)
        ]  # fmt: skip

    def writes(self, runs: int) -> list[Row]:
        """From the command to a finished page, as a whole process, beside one that writes as much.

        The floor imports the libraries that a page takes; that of the long page decodes its log too.
        """
        data = self.folder / "writes"
        names = {events: long_build(data / str(events), self.kit, events) for events in (2_000, 100_000)}
        times: dict[tuple[int, str], list[float]] = {}
        for _ in range(runs + 1):
            for events, name in names.items():
                for form, ending in (("markdown", "md"), ("html", "html")):
                    page = data / f"{events}.{ending}"
                    command = [str(self.python.parent / "solderside"), "article", name, "--format", form]
                    command += ["--out", str(page), "--force", "--data", str(data / str(events))]
                    times.setdefault((events, form), []).append(self._took(command))
                code = "import jinja2, msgspec\n"
                if events > TOLD:
                    log = next((data / str(events)).rglob(LOG_NAME))
                    code += f"events = [*map(msgspec.json.Decoder().decode, open({str(log)!r}, 'rb'))]\n"
                code += f"open({str(self.folder / 'floor')!r}, 'w').write('x' * {page.stat().st_size})"
                times.setdefault((events, "floor"), []).append(self._took([str(self.python), "-c", code]))
        median = {key: statistics.median(took[1:]) for key, took in times.items()}
        return [
            Row(what=f"{events:,} events to a page of {form}, all told", here=median[events, form],
                floor=median[events, "floor"], most=most if form == "html" else None,
                floor_is="a process with jinja2 and msgspec that writes as much"
                         + (", the log decoded" if events > TOLD else ""))
            for events, most in ((2_000, 1.6), (100_000, 2.2))
            for form in ("markdown", "html")
        ]  # fmt: skip

    def _took(self, command: Sequence[str]) -> float:
        """Milliseconds of a whole process."""
        began = time.perf_counter()
        subprocess.run(command, stdout=subprocess.DEVNULL, check=True, cwd=self.folder)
        return (time.perf_counter() - began) * 1000

    def inside(self, runs: int) -> list[Row]:
        """What needs no screen."""
        script = Path(__file__).with_name("speed_inside.py")
        done = subprocess.run(
            [str(self.python), "-P", str(script), str(self.kit), str(runs)],
            capture_output=True,
            text=True,
            cwd=self.folder,
            check=True,
        )
        took = json.loads(done.stdout)
        steps, replayed, told = (f"{took[name]:,.0f}" for name in ("steps", "events replayed", "events told"))
        return [
            Row(what=f"plan of a {PARTS}-part kit", here=took["plan"], most=50, more=f"{steps} steps"),
            Row(what=f"look-alikes among {PARTS} parts", here=took["look-alikes"]),
            Row(what="  the same with a position for each part", here=took["plan with positions"]),
            Row(what=f"{PARTS}-part kit from the cache", here=took["kit from cache"], most=5),
            Row(what=f"{PARTS}-part kit from YAML", here=took["kit from yaml"]),
            Row(what="ten kits, the big one too, in order", here=took["ten kits"], most=200),
            Row(what=f"replay of {replayed} events", here=took["replay"], floor=took["decode"],
                floor_is="bare msgspec decoding", most=1.6),
            Row(what=f"record from {replayed} events", here=took["record"], floor=took["decode again"],
                floor_is="bare msgspec decoding", most=2.5),
            Row(what=f"article of {told} events", here=took["article"]),
        ]  # fmt: skip


def _to_the_parts(terminal: Terminal) -> None:
    """Do steps until the stage of many steps begins."""
    for _ in range(30):
        if re.search(r"step 1 of [1-9]\d\d", terminal.text):
            return
        terminal.send("space")
        terminal.settle(0.3)


def install(folder: Path) -> Path:
    """A fresh environment with a wheel of this checkout in it; its Python."""
    print("building a wheel and installing it in a fresh environment ...", file=sys.stderr)
    subprocess.run([sys.executable, "-m", "venv", str(folder)], check=True)
    python = folder / "bin" / "python"
    subprocess.run([str(python), "-m", "pip", "install", "-qqq", str(ROOT)], check=True)
    return python


def facts(python: Path) -> str:
    """What was measured, and on what."""
    code = (
        "import platform, textual, bench; print(f'solderside {bench.__version__}, '"
        "f'Textual {textual.__version__}, Python {platform.python_version()}')"
    )
    done = subprocess.run([str(python), "-P", "-c", code], capture_output=True, text=True, check=True, cwd="/")
    load = ", ".join(f"{each:.1f}" for each in os.getloadavg())
    return f"{done.stdout.strip()}; {os.cpu_count()} processors, load {load}; terminal {SIZE[0]}x{SIZE[1]}"


def main(argv: Sequence[str] | None = None) -> int:
    """Measure and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.speed", description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--quick", action="store_true", help="fewer runs: about half a minute")
    parser.add_argument("--python", type=Path, help="the Python of an environment with a wheel installed in it")
    args = parser.parse_args(argv)
    runs, presses, seconds, turns = (5, 25, 3.0, 1) if args.quick else (21, 110, 8.0, 3)
    with tempfile.TemporaryDirectory() as folder:
        python = args.python.absolute() if args.python else install(Path(folder, "venv"))
        bench = Bench(python, Path(folder))
        print(facts(python))
        print(f"\n{'median':<44} {'here':>9} {'floor':>9}  {'ratio':>7} target")
        missed = []
        measurements: list[Callable[[], list[Row]]] = [
            lambda: bench.starts(runs),
            lambda: bench.keys(presses),
            lambda: bench.grows(100 if args.quick else 3_000),
            lambda: bench.idles(seconds, turns),
            lambda: bench.inside(runs),
            lambda: bench.writes(max(3, runs // 3)),
        ]
        for measure in measurements:
            for row in measure():
                print(row, flush=True)
                missed += [row] if row.missed else []
    for row in missed:
        print(f"\nTarget missed: {row.what} is {row.measured:.2f}, should be {row.most:g} at most.")
    if not missed:
        print("\nEvery target is met.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
