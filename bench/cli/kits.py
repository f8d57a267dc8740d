"""Sub-commands about kit files."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from bench.cli.common import (
    FAULTY,
    FINE,
    data_of,
    fault_data,
    print_faults,
    print_json,
    refuse_idle,
    say,
    settings_of,
)
from bench.errors import SoldersideError
from bench.parts.english import counted

if TYPE_CHECKING:
    from bench.batch.shelf import KitAtHand
    from bench.estimate.history import PlanTimes
    from bench.kit.kit import Kit
    from bench.plan.plan import Plan, Stage, Step
    from bench.session.build import Build


_MARKS = {"hazard": "! DANGER:", "polarity": "! Polarity:", "own": "! This part:", "part": "! This part:"}
"""How a caution that is said at each step begins."""


def _kits(args: argparse.Namespace) -> int:
    from msgspec import to_builtins

    from bench.batch.shelf import kits_at_hand
    from bench.session.kit_names import kit_folders, name_of
    from bench.settings import cache_folder

    data = data_of(args)
    found = [(name_of(data, kit.path), kit) for kit in kits_at_hand(kit_folders(data), cache_folder(data))]
    if args.json:
        print_json({"kits": [{"name": name} | to_builtins(kit) for name, kit in found]})
        return FINE
    for name, kit in found:
        say(f"{name:<26} {_kit_line(kit)}")
        if kit.hazards:
            said = "local regulations and licensed practice come first"
            say(f"{'':<26} ! {', '.join(kit.hazards).upper()}: it can kill; {said}")
    return FINE


def _kit_line(kit: KitAtHand) -> str:
    """Title, size and difficulty of a kit, or how many faults its file has."""
    if kit.faults:
        return f"{counted(kit.faults, 'fault')}: solderside check {kit.path}"
    size = (counted(kit.count.total, "part"), counted(kit.count.joints, "joint"), kit.level)
    return f"{kit.title}: {', '.join(filter(None, size))}"


def _check(args: argparse.Namespace) -> int:
    report = [_checked(name, args) for name in args.kit]
    if args.json:
        print_json({"files": report})
    return FAULTY if any(entry["faults"] for entry in report) else FINE


def _checked(name: str, args: argparse.Namespace) -> dict[str, Any]:
    """One kit file's faults and remarks as data; unless data are wanted, they are said as well."""
    from bench.kit.lint import kit_remarks
    from bench.kit.load import load_kit
    from bench.session.kit_names import find_kit

    faults: list[dict[str, str]] = []
    remarks: list[dict[str, str]] = []
    try:
        kit = load_kit(find_kit(data_of(args), name))
        found = kit_remarks(kit)
        remarks = [fault_data(remark) for remark in found]
        plan = _planned(kit, args)
    except SoldersideError as error:
        faults = [fault_data(fault) for fault in error.faults]
        if not args.json:
            print_faults(error, name)
    else:
        if not args.json:
            for remark in found:
                say(str(remark))
            size = f"{plan.count.words()}; {counted(plan.joints, 'joint')}, {counted(len(plan.steps), 'step')}"
            say(f"{name}: no faults. {kit.title}: {size}.")
    return {"file": name, "faults": faults, "remarks": remarks}


def _planned(kit: Kit, args: argparse.Namespace) -> Plan:
    from bench.plan.procedure import find_procedure, load_procedure
    from bench.plan.stages import make_plan

    settings = settings_of(args)
    return make_plan(kit, load_procedure(find_procedure(settings.procedure)), settings.step_size or None)


def _plan(args: argparse.Namespace) -> int:
    from msgspec import to_builtins

    from bench.parts.advice import NOT_ALL

    plan, build = _plan_of(args)
    times = _times(plan, build, args)
    if args.json:
        data = to_builtins(plan) if build is None else {
            "plan": plan, "done": sorted(build.progress.done), "steps_concerned": _concerns(build)
        }  # fmt: skip
        print_json(data | {"seconds_left": times.as_data()})
        return FINE
    say(f"{plan.kit}, {plan.procedure}: {counted(len(plan.steps), 'step')}, {counted(plan.joints, 'joint')}")
    say(f"{plan.count.words()}.")
    for line in times.words():
        say(line)
    if args.units is not None:
        say(_together(plan, args))
    say(NOT_ALL)
    for number, stage in enumerate(plan.stages, 1):
        _say_stage(number, stage, build, times.of_stage(stage))
    for remark in plan.remarks:
        say()
        say(remark)
    return FINE


def _plan_of(args: argparse.Namespace) -> tuple[Plan, Build | None]:
    """The plan for a kit file, or that of a build with the build itself, opened for reading."""
    from bench.kit.load import load_kit
    from bench.session.folders import kit_path, read_back, resolve

    folder = resolve(data_of(args), args.kit)
    if folder is None:
        return _planned(load_kit(kit_path(data_of(args), args.kit)), args), None
    refuse_idle(args, f"{folder.name} is a build; name the kit", "--units")
    refuse_idle(args, f"{folder.name} has a procedure of its own; leave it out, or name the kit", "--procedure")
    _, _, build = read_back(data_of(args), folder, settings_of(args))
    return build.plan, build


def _concerns(build: Build) -> dict[str, list[str]]:
    """For each step that they concern: what was missing, measured ahead or replaced; by the step's key."""
    from bench.session.view import told_of

    told = {step.key: list(told_of(step, build.progress)) for step in build.plan.steps}
    return {key: words for key, words in told.items() if words}


def _times(plan: Plan, build: Build | None, args: argparse.Namespace) -> PlanTimes:
    from bench.estimate.history import learned, plan_times

    known = learned(data_of(args), settings_of(args))
    return plan_times(plan, build.progress if build else None, known, build.name if build else "")


def _together(plan: Plan, args: argparse.Namespace) -> str:
    """The time for several units side by side, in a sentence."""
    from bench.estimate.history import learned, together
    from bench.estimate.hours import in_full
    from bench.session.side_by_side import MOST_UNITS

    if not 2 <= args.units <= MOST_UNITS:
        args.misuse(f"--units: from 2 to {MOST_UNITS} units can be built side by side")
    known = learned(data_of(args), settings_of(args))
    return f"{args.units} units side by side: {in_full(together(plan, known, args.units))}."


def _say_stage(number: int, stage: Stage, build: Build | None, time: str) -> None:
    """A stage's headline and steps; usual cautions and hazards once in the stage, the others at each step."""
    from bench.plan.cautions import cautions_of
    from bench.session.view import told_of

    place = f" ({stage.board})" if stage.board else ""
    hold = ", HOLD POINT" if stage.hold else ""
    joints = f", {counted(stage.joints, 'joint')}" if stage.joints else ""
    say()
    say(
        f"{number}. {stage.name}{place}: {counted(len(stage.steps), 'step')}{joints}{hold}{time and ', '}{time}"
    )
    shown: set[str] = set()
    for step in stage.steps:
        say(_step_line(step, build))
        for words in told_of(step, build.progress) if build else ():
            say(f"       = {words}")
        for caution in cautions_of(step):
            if caution.sort in ("own", "part", "polarity") or caution.say not in shown:
                shown.add(caution.say)
                say(f"       {_MARKS.get(caution.sort, '!')} {caution.say}")


def _step_line(step: Step, build: Build | None) -> str:
    """One step: value, places, limit, joints, and whether it is done."""
    from bench.parts.designators import shorten
    from bench.plan.zones import zone_words

    joint = f"  [{step.joints}]" if step.joints else ""
    expect = f"  expect {step.expect}" if step.expect else ""
    done = "  done" if build and all(item in build.progress.done for item in step.items) else ""
    where = zone_words(step.refs, step.zones) or shorten(step.refs)
    side = f"  {step.side}" if step.side else ""
    return f"   {step.named:<18} {where}{side}{expect}{joint}{done}".rstrip()
