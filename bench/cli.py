"""The command line. Each sub-command imports what it needs when it runs."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from bench import __version__
from bench.errors import BenchError

if TYPE_CHECKING:
    from bench.kit.model import Kit
    from bench.plan.model import Plan
    from bench.settings import Settings

FINE, FAULTY, WRONG_USE = 0, 1, 2


class _Parser(argparse.ArgumentParser):
    """argparse whose errors go to stderr as `what; hint`, with exit code 2."""

    def error(self, message: str) -> NoReturn:
        self.exit(WRONG_USE, f"{self.prog}: {message}; try {self.prog} --help\n")


def _parser() -> argparse.ArgumentParser:
    common = _Parser(add_help=False)
    common.add_argument(
        "--data",
        metavar="DIR",
        default=argparse.SUPPRESS,
        help="where builds and settings lie (also SOLDERSIDE_DATA)",
    )
    parser = _Parser(
        prog="solderside",
        description="A companion for the bench: one soldering step at a time, a log that survives, a write-up.",
        epilog="Example: solderside build kits/twin-board-oscillator.yaml",
        parents=[common],
    )
    parser.add_argument("--version", action="version", version=f"solderside {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)

    def add(name: str, run: Callable[[argparse.Namespace], int], about: str, example: str) -> _Parser:
        sub: _Parser = commands.add_parser(
            name, help=about, description=about, epilog=f"Example: solderside {example}", parents=[common]
        )
        sub.set_defaults(run=run)
        return sub

    build = add("build", _build, "Open or resume a build at the bench.", "build kits/first-evening.yaml")
    build.add_argument("kit", metavar="KIT", help="a kit file, or the name of a build")
    build.add_argument("--again", action="store_true", help="start another build of a kit built before")
    build.add_argument("--procedure", metavar="NAME", help="stages for a new build: a name or a file")

    builds = add("builds", _builds, "What is being built and what is done.", "builds --json")
    builds.add_argument("--json", action="store_true", help="print data")

    check = add("check", _check, "Faults and contradictions of a kit file.", "check my-kit.yaml")
    check.add_argument("kit", metavar="KIT", nargs="+", help="kit files")
    check.add_argument("--json", action="store_true", help="print data")

    plan = add("plan", _plan, "Stages, steps, joints and cautions of a kit.", "plan my-kit.yaml")
    plan.add_argument("kit", metavar="KIT", help="a kit file")
    plan.add_argument("--procedure", metavar="NAME", help="the name of a procedure that ships, or a file")
    plan.add_argument("--json", action="store_true", help="print data")

    retro = add(
        "retro", _retro, "Write the retrospective of a build.", "retro twin-board-oscillator --out built.md"
    )
    retro.add_argument("build", metavar="BUILD", help="the name of a build, or its kit file")
    retro.add_argument(
        "--out", metavar="FILE", help="where to write; - for the terminal (default: beside the log)"
    )
    retro.add_argument("--force", action="store_true", help="replace a file that solderside did not write")
    retro.add_argument("--json", action="store_true", help="print data instead")
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code: 0 fine, 1 faults in the input, 2 wrong use."""
    args = _parser().parse_args(argv)
    try:
        run: Callable[[argparse.Namespace], int] = getattr(args, "run", _shelf)
        return run(args)
    except BenchError as error:
        _print_faults(error)
        return FAULTY
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FINE
    except KeyboardInterrupt:
        return 130


def _print_faults(error: BenchError) -> None:
    for fault in error.faults:
        print(_plain(str(fault)), file=sys.stderr)


def _plain(text: str) -> str:
    """Text for a terminal: what a person wrote cannot steer it."""
    from bench.tui.text import clean

    return clean(text, 2_000)


def _data(args: argparse.Namespace) -> Path:
    from bench.settings import data_folder

    return data_folder(getattr(args, "data", None))


def _settings(args: argparse.Namespace) -> Settings:
    from msgspec.structs import replace

    from bench.settings import load_settings

    settings, warnings = load_settings(_data(args))
    for warning in warnings:
        print(_plain(str(warning)), file=sys.stderr)
    if getattr(args, "procedure", None):
        settings = replace(settings, procedure=args.procedure)
    return settings


def _print_json(value: object) -> None:
    import msgspec

    print(msgspec.json.format(msgspec.json.encode(value), indent=2).decode())


# -- the screen ---------------------------------------------------------------------------------
def _on_screen(args: argparse.Namespace, named: str | None, *, again: bool = False) -> int:
    from bench.start import run

    return run(_data(args), _settings(args), named, again=again)


def _shelf(args: argparse.Namespace) -> int:
    from bench.build.folders import latest_build

    latest = latest_build(_data(args))
    return _on_screen(args, str(latest) if latest else None)


def _build(args: argparse.Namespace) -> int:
    return _on_screen(args, args.kit, again=args.again)


# -- words on stdout ----------------------------------------------------------------------------
def _builds(args: argparse.Namespace) -> int:
    from bench.build.folders import summaries
    from bench.log.clock import spell

    found = summaries(_data(args), _settings(args))
    if args.json:
        _print_json({"builds": found})
        return FINE
    if not found:
        print("No build yet. Start one: solderside build kits/first-evening.yaml")
    for build in found:
        share = f"{build.items_done}/{build.items}" if build.items else f"{build.items_done}"
        state = "built" if build.finished else share
        held = f", {build.held} held back" if build.held else ""
        trouble = f"  ! {build.problem}" if build.problem else ""
        print(
            _plain(
                f"{build.name:<36} {state:>9}{held}  {spell(build.bench_seconds)} at the bench, "
                f"last {build.last[:10]}  {build.kit}{trouble}"
            )
        )
    return FINE


def _check(args: argparse.Namespace) -> int:
    from bench.kit.load import load_kit
    from bench.kit.remarks import kit_remarks

    code = FINE
    report: list[dict[str, Any]] = []
    for name in args.kit:
        try:
            kit = load_kit(Path(name))
        except BenchError as error:
            code = FAULTY
            if not args.json:
                _print_faults(error)
            report.append(
                {"file": name, "faults": [_fault_data(fault) for fault in error.faults], "remarks": []}
            )
            continue
        faults, remarks = [], [_fault_data(remark) for remark in kit_remarks(kit)]
        try:
            plan = _planned(kit, args)
        except BenchError as error:
            code = FAULTY
            faults = [_fault_data(fault) for fault in error.faults]
            if not args.json:
                _print_faults(error)
        else:
            if not args.json:
                for remark in kit_remarks(kit):
                    print(_plain(str(remark)))
                parts = sum(line.quantity for board in kit.boards for line in board.parts)
                print(
                    _plain(
                        f"{name}: no faults. {kit.title}: {parts} parts, {plan.joints} joints, "
                        f"{len(plan.steps)} steps."
                    )
                )
        report.append({"file": name, "faults": faults, "remarks": remarks})
    if args.json:
        _print_json({"files": report})
    return code


def _fault_data(fault: Any) -> dict[str, str]:
    return {"what": fault.what, "where": fault.where, "hint": fault.hint}


def _planned(kit: Kit, args: argparse.Namespace) -> Plan:
    from bench.plan.procedure import find_procedure, load_procedure
    from bench.plan.stages import make_plan

    settings = _settings(args)
    return make_plan(kit, load_procedure(find_procedure(settings.procedure)), settings.step_size or None)


def _plan(args: argparse.Namespace) -> int:
    from bench.kit.load import load_kit
    from bench.parts.designators import shorten

    plan = _planned(load_kit(Path(args.kit)), args)
    if args.json:
        _print_json(plan)
        return FINE
    print(
        _plain(
            f"{plan.kit}, {plan.procedure}: {len(plan.steps)} steps, {plan.parts} parts, {plan.joints} joints"
        )
    )
    for number, stage in enumerate(plan.stages, 1):
        place = f" ({stage.board})" if stage.board else ""
        hold = ", HOLD POINT" if stage.hold else ""
        joints = f", {stage.joints} joints" if stage.joints else ""
        print(
            _plain(f"\n{number}. {stage.name}{place}: {len(stage.steps)} steps{joints}{hold}").replace(
                " \n", "\n"
            )
        )
        shown: set[str] = set()
        for step in stage.steps:
            joint = f"  [{step.joints}]" if step.joints else ""
            expect = f"  expect {step.expect}" if step.expect else ""
            print("   " + _plain(f"{step.value:<18} {shorten(step.refs)}{expect}{joint}".rstrip()))
            for caution in step.cautions:
                if caution not in shown:
                    shown.add(caution)
                    print("       " + _plain(f"! {caution}"))
    for remark in plan.remarks:
        print(_plain(f"\n{remark}").strip())
    return FINE


def _retro(args: argparse.Namespace) -> int:
    from bench.build.folders import builds_of, read_back, resolve
    from bench.kit.load import load_kit
    from bench.retro.publish import page_of, publish, story_of

    data, settings = _data(args), _settings(args)
    folder = resolve(data, args.build)
    if folder is None and args.build.lower().endswith((".yaml", ".yml")):
        folder = next(iter(builds_of(data, load_kit(Path(args.build)))), None)
    if folder is None:
        raise BenchError(f"there is no build {args.build!r}", "", "solderside builds lists what there is")
    _, _, build = read_back(data, folder, settings)
    for remark in build.log.remarks:
        print(_plain(remark), file=sys.stderr)
    if args.json:
        _print_json(story_of(build))
        return FINE
    if args.out == "-":
        sys.stdout.write(page_of(build))
        return FINE
    written = publish(build, Path(args.out) if args.out else None, force=args.force)
    print(_plain(str(written.path)))
    if written.kept_as:
        print(_plain(f"what stood there is kept in {written.kept_as}"), file=sys.stderr)
    return FINE


if __name__ == "__main__":
    raise SystemExit(main())
