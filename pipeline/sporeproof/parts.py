"""Shares long work among the cores, where there is much of it and the system lets a process fork."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")
Done = Callable[[int], None]

# Below this number of items, starting processes costs more than it saves.
MANY = 2000
PARTS_A_CORE = 8

# What the forked processes are to do, and with what: they see it as it stood when they were forked.
_work: list[Any] = []


def in_parts(act: Callable[[Sequence[Item]], Result], items: Sequence[Item], done: Done) -> list[Result]:
    """Return what ``act`` makes of each part of the items, in their order; ``done`` hears how many are through.

    A few items are one part, done here. Results come back from other processes, so they must be picklable.
    """
    cores = os.cpu_count() or 1
    if len(items) < MANY or cores == 1 or not sys.platform.startswith("linux"):
        results = [act(items)]
        done(len(items))
        return results
    size = -(-len(items) // (cores * PARTS_A_CORE))
    return _forked(act, [items[start : start + size] for start in range(0, len(items), size)], cores, done)


def _forked(act: Callable[..., Result], parts: list[Sequence[Item]], cores: int, done: Done) -> list[Result]:
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    _work[:] = [act, parts]
    results, through = [], 0
    try:
        with ProcessPoolExecutor(cores, mp_context=get_context("fork")) as pool:
            for part, result in zip(parts, pool.map(_do, range(len(parts))), strict=True):
                results.append(result)
                through += len(part)
                done(through)
    finally:
        _work.clear()
    return results


def _do(number: int) -> Any:
    act, parts = _work
    return act(parts[number])
