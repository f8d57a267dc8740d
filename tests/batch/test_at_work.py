"""The batch put in order: each change is kept, and taken back one by one."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.batch.at_work import BatchAtWork
from bench.batch.store import Batch, load_batch, save_batch
from bench.errors import SoldersideError
from bench.settings import Settings
from tests.support.batch_bench import three_kits


def test_what_is_changed_is_kept_and_taken_back_one_by_one(tmp_path: Path) -> None:
    kits = [str(path) for path in three_kits(tmp_path)]
    save_batch(tmp_path, Batch(kits=tuple(kits)))
    batch = BatchAtWork(tmp_path, Settings())
    batch.read()
    before = [member.key for member in batch.ordered()[1]]
    batch.move(before[2], -1)
    assert [member.key for member in batch.ordered()[1]] == [before[0], before[2], before[1]]
    batch.let_go(before[2])
    assert [member.key for member in batch.ordered()[1]] == before
    batch.other_order()
    assert load_batch(tmp_path).order != Batch().order
    batch.take_out(before[0])
    assert before[0] not in load_batch(tmp_path).kits
    kept = [load_batch(tmp_path)]
    for _ in range(4):
        batch.undo()
        kept.append(load_batch(tmp_path))
    assert [len(each.kits) for each in kept] == [2, 3, 3, 3, 3]
    assert [len(each.pins) for each in kept[2:]] == [0, 1, 0]
    with pytest.raises(SoldersideError, match="nothing to undo"):
        batch.undo()
