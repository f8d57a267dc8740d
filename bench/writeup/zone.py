"""The time zone in which a story is told: that of this machine."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta, tzinfo


class LocalZone(tzinfo):
    """This machine's time zone, each moment with the offset that was in force then."""

    def __str__(self) -> str:
        return self._local(None).tm_zone

    def _local(self, moment: datetime | None) -> time.struct_time:
        if moment is None:
            return time.localtime()
        return time.localtime(moment.replace(tzinfo=None).timestamp())

    def utcoffset(self, moment: datetime | None) -> timedelta:
        """Local time less UTC."""
        return timedelta(seconds=self._local(moment).tm_gmtoff)

    def dst(self, moment: datetime | None) -> None:
        """How much of that is summer time: the machine does not say (Lord Howe moves by half an hour)."""

    def tzname(self, moment: datetime | None) -> str:
        """The zone's name, as the machine has it."""
        return self._local(moment).tm_zone

    def fromutc(self, moment: datetime) -> datetime:
        """A moment given in UTC, in this zone; in an hour that comes twice `fold` tells which (PEP 495)."""
        seconds = moment.replace(tzinfo=UTC).timestamp()
        local = moment + timedelta(seconds=time.localtime(seconds).tm_gmtoff)
        return local.replace(fold=local.replace(tzinfo=None, fold=0).timestamp() != seconds)
