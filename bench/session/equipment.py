"""What goes for the whole bench, whichever of several units is at work: the meter, and what was told."""

from __future__ import annotations

from collections.abc import Mapping


class Equipment:
    """Shared by all units on one bench."""

    def __init__(self, meter: Mapping[str, object]) -> None:
        self.meter = meter
        self.told_of_meter = False
        self.reminders: Mapping[str, str] = {}


class Equipped:
    """The part of a build that looks these up; see `Build`."""

    equipment: Equipment

    @property
    def meter(self) -> Mapping[str, object]:
        """The builder's meter, as the settings describe it."""
        return self.equipment.meter

    @meter.setter
    def meter(self, meter: Mapping[str, object]) -> None:
        self.equipment.meter = meter

    @property
    def told_of_meter(self) -> bool:
        """True once it was said where the meter's accuracy is kept."""
        return self.equipment.told_of_meter

    @told_of_meter.setter
    def told_of_meter(self, told: bool) -> None:
        self.equipment.told_of_meter = told

    @property
    def reminders(self) -> Mapping[str, str]:
        """Kind of part or stage -> what the builder's record says of it; told once the build is open."""
        return self.equipment.reminders

    @reminders.setter
    def reminders(self, reminders: Mapping[str, str]) -> None:
        self.equipment.reminders = reminders
