"""What the builder's own snags teach: what went wrong most, where it came to light, what it cost; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from bench.estimate.observations import BuildDone, SnagDone
from bench.estimate.reminders import family_of, manner_of

STAGE = "stage "
"""What the key of a line about a stage begins with, before the stage's name."""
JOINTS = 40
"""So many latest joints in stages of one name are looked at, or as many as there are."""
_SAID = {
    "bridged": "{many} of your last {joints} joints were bridged",
    "with a poor or forgotten joint": "{many} of your last {joints} joints were poor or forgotten",
    "the wrong way round": "{many} parts went in the wrong way round in your last {joints} joints",
    "mixed up": "{many} parts were mixed up in your last {joints} joints",
}
FEWEST_JOINTS = 20
FEWEST = 2
"""With fewer snags, or in fewer joints, nothing is said of a stage."""


class WentWrong(Struct, frozen=True, kw_only=True):
    """One way in which one family of parts went wrong."""

    family: str
    """Empty where it is not known which part it was."""
    manner: str
    """`bridged`; empty where it is none of those that are known."""
    snags: int
    where: str
    """Where most of them came to light."""
    minutes: float
    """Time lost to them in all."""


def went_wrong(builds: Iterable[BuildDone]) -> tuple[WentWrong, ...]:
    """What went wrong, most often first, then what cost most."""
    sorts: dict[tuple[str, str], list[SnagDone]] = {}
    for build in builds:
        for snag in build.snags:
            family = family_of(snag.kind) if snag.kind else ""
            sorts.setdefault((family, manner_of(snag.what)), []).append(snag)
    found = []
    for (family, manner), snags in sorts.items():
        places = [snag.where for snag in snags]
        mostly, minutes = max(dict.fromkeys(places), key=places.count), sum(snag.minutes for snag in snags)
        found.append(WentWrong(family=family, manner=manner, snags=len(snags), where=mostly, minutes=minutes))
    return tuple(sorted(found, key=lambda each: (-each.snags, -each.minutes, each.family, each.manner)))


def stage_lines(builds: Sequence[BuildDone]) -> dict[str, str]:
    """`stage ` and its name -> what the record says of stages like it, for those it has something to say of."""
    latest = sorted(builds, key=lambda each: (each.started, each.build), reverse=True)
    names = {stage.place[0] for build in latest for stage in build.stages if stage.joints}
    return {f"{STAGE}{name}": line for name in names if (line := _line(name, latest))}


def _line(name: str, latest: Sequence[BuildDone]) -> str:
    joints, snags = 0, []
    for build in latest:
        made = sum(round(stage.joints) for stage in build.stages if stage.place[0] == name)
        if not made:
            continue
        joints += made
        snags += [snag for snag in build.snags if snag.stage == name]
        if joints >= JOINTS:
            break
    manners = [manner for snag in snags if (manner := manner_of(snag.what))]
    most = max(dict.fromkeys(manners), key=manners.count, default="")
    many = manners.count(most)
    if many < FEWEST or joints < FEWEST_JOINTS:
        return ""
    return "in stages like this, " + _SAID[most].format(many=many, joints=joints)
