"""Which photos of a build are shown: the best few of each stage; the rest is listed. Pure.

Those with words of the builder's come first, then those taken at something recorded, then ones spread over the
stage. One that hardly differs from a chosen one is left out, where somebody can tell (`alike`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import zip_longest

from bench.writeup.story_model import PhotoRow, Story

OF_A_STAGE = 3
"""Photos shown of one stage."""
MOST = 30
"""Photos shown in all."""


def spread(
    story: Story, alike: Callable[[PhotoRow, PhotoRow], bool] = lambda one, other: False, most: int = MOST
) -> tuple[str, ...]:
    """Files of the photos that are shown, the ones not to be missed first."""
    stages: dict[tuple[str, str], list[PhotoRow]] = {}
    for photo in story.photos:
        stages.setdefault((photo.stage, photo.board), []).append(photo)
    best = [_best(photos, alike) for photos in stages.values()]
    rounds = zip_longest(*best)
    ordered = [photo for each in rounds for photo in each if photo is not None]
    marked = sorted(ordered, key=lambda photo: -_rank(photo))
    return tuple(photo.file for photo in marked[:most])


def _best(photos: Sequence[PhotoRow], alike: Callable[[PhotoRow, PhotoRow], bool]) -> list[PhotoRow]:
    chosen: list[PhotoRow] = []
    for photo in _in_turn(photos):
        if len(chosen) == OF_A_STAGE:
            break
        if not any(alike(photo, other) for other in chosen):
            chosen.append(photo)
    return chosen


def _rank(photo: PhotoRow) -> int:
    return 2 if photo.caption.strip() else 1 if photo.about.strip() else 0


def _in_turn(photos: Sequence[PhotoRow]) -> Iterable[PhotoRow]:
    """Marked ones first, one of each thing recorded, then the rest spread out."""
    yield from (photo for photo in photos if _rank(photo) == 2)
    about = [photo for photo in photos if _rank(photo) == 1]
    first = {photo.about: photo for photo in reversed(about)}
    yield from (photo for photo in about if first[photo.about] is photo)
    rest = [photo for photo in photos if _rank(photo) == 0]
    yield from (rest[at] for at in _spread_out(len(rest)))
    yield from (photo for photo in about if first[photo.about] is not photo)


def _spread_out(amount: int) -> list[int]:
    """Numbers from 0 below `amount`, each as far as can be from those before it.

    >>> _spread_out(5), _spread_out(1), _spread_out(0)
    ([4, 0, 2, 1, 3], [0], [])
    """
    if amount < 2:
        return list(range(amount))
    order, gaps = [amount - 1, 0], [(0, amount - 1)]
    while gaps:
        low, high = max(gaps, key=lambda gap: gap[1] - gap[0])
        gaps.remove((low, high))
        if high - low > 1:
            middle = (low + high) // 2
            order.append(middle)
            gaps += [(low, middle), (middle, high)]
    return order
