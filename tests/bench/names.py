"""Times the index of a backbone of ten million invented names, and what is asked of it, each beside a bare peer.

Every part runs in a process of its own, so that its memory can be told.
"""

from __future__ import annotations

import json
import random
import resource
import subprocess
import sys
import time
from pathlib import Path

import duckdb
import polars as pl

from sporeproof import indexed
from sporeproof.names.backbone.ask import Backbone, backbone
from sporeproof.names.backbone.plain_match import settle
from sporeproof.names.download.layout import SIMPLE_COLUMNS
from sporeproof.names.file_match import ASKED
from sporeproof.names.matching.alike import edits, edits_allowed
from sporeproof.names.matching.asked import Asked, Given, asked_all
from sporeproof.names.matching.flow import chosen
from sporeproof.names.matching.normal_form import normal_form
from sporeproof.names.matching.score import FUZZY, Candidate
from sporeproof.names.matching.usage import EXACT, VARIANT, Match, Usage
from tests.bench.backbone import backbone as invented
from tests.bench.backbone import written

ROWS = 10_000_000
EXACT_NAMES = 1_000_000
MISSPELT = 60_000
FILE_ROWS = (1_000_000, 50_000_000)
DISTINCT = 200_000
LETTERS = "abcdefghilmnoprstuvxy"
# Endings and letters that are often exchanged, as gbif-facts lists them: what stands there, and what is written.
EXCHANGED = [
    ("us", "a"), ("us", "um"), ("a", "us"), ("um", "us"), ("is", "e"), ("e", "is"), ("i", "ii"), ("ensis", "ense"),
    ("th", "t"), ("rh", "r"), ("y", "i"), ("ll", "l"), ("ss", "s"), ("ph", "p"),
]  # fmt: skip


def part(name: str, *words: object) -> dict[str, float]:
    """Run one of the parts below in a process of its own; return what it measured, with its peak memory in MiB."""
    line = [sys.executable, "-m", "tests.bench.names", name, *map(str, words)]
    said = subprocess.run(line, check=True, capture_output=True, text=True).stdout.splitlines()[-1]
    return json.loads(said)


def generate(file: Path, _: Path) -> None:
    written(invented(ROWS), file)


def bare_copy(file: Path, folder: Path) -> None:
    """A bare DuckDB copy of four columns of the same file to sorted Parquet."""
    columns = "{" + ", ".join(f"'{each}': 'VARCHAR'" for each in SIMPLE_COLUMNS) + "}"
    duckdb.execute(
        f"COPY (SELECT id, canonical_name, authorship, status FROM read_csv('{file}', delim='\t', header=false, "
        f"quote='', escape='', nullstr='\\N', auto_detect=false, columns={columns}) ORDER BY canonical_name) "
        f"TO '{folder}/bare.parquet' (FORMAT parquet)"
    )


def index(file: Path, folder: Path) -> None:
    indexed.names_index(file, folder / "index")


def _drawn(found: Backbone, count: int, more: str = "") -> list[str]:
    return [
        name for (name,) in found.connection.execute(
            f"SELECT canonical FROM {found.look_up.usages} WHERE rank = 'SPECIES' AND alone {more} "
            f"ORDER BY hash(key) LIMIT {count}"
        ).fetchall()
    ]  # fmt: skip


def exact(_: Path, folder: Path) -> dict[str, float]:
    """A million distinct names, settled, and a bare hash join of the same columns."""
    with backbone(folder / "index") as found:
        connection, usages = found.connection, found.look_up.usages
        higher = ", ".join(f"'' AS \"{each}\"" for each in ASKED[3:])
        connection.execute(
            f"CREATE TABLE names AS SELECT row_number() OVER () AS id, canonical AS name, '' AS authorship, "
            f"'' AS rank, {higher} FROM (SELECT DISTINCT canonical FROM {usages} WHERE rank = 'SPECIES' "
            f"ORDER BY hash(canonical) LIMIT {EXACT_NAMES})"
        )
        columns = ", ".join(f"u.{each}" for each in (
            "key", "canonical", "authorship", "rank", "status", "accepted", "accepted_canonical", "accepted_authorship"
        ))  # fmt: skip
        joined = f"SELECT n.id, {columns} FROM names n JOIN {usages} u ON u.canonical = n.name"
        bare = _least(lambda: connection.execute(f"CREATE OR REPLACE TEMP TABLE bare AS {joined}"))
        ours = _least(lambda: settle(found, "names", "answers"))
        settled = connection.execute("SELECT count(*) FROM plain").fetchone()
    return {"bare": bare, "ours": ours, "settled": settled[0]}


def _least(act, rounds: int = 3) -> float:
    best = float("inf")
    for _ in range(rounds):
        start = time.perf_counter()
        act()
        best = min(best, time.perf_counter() - start)
    return best


def misspelt(name: str, chance: random.Random) -> str:
    """Return a name with one edit somewhere behind the first letter of one of its words."""
    words = name.split(" ")
    at = chance.randrange(len(words))
    word, place, kind = words[at], chance.randrange(1, len(words[at])), chance.randrange(4)
    letter = chance.choice(LETTERS)
    words[at] = [
        word[:place] + letter + word[place:],
        word[:place] + word[place + 1 :],
        word[:place] + letter + word[place + 1 :],
        word[: place - 1] + word[place] + word[place - 1] + word[place + 1 :] if place > 1 else word + letter,
    ][kind]
    return " ".join(words)


def exchanged(name: str, chance: random.Random) -> str:
    """Return a name with another ending or with letters that are often exchanged; empty where it has none."""
    genus, _, epithet = name.partition(" ")
    endings = [pair for pair in EXCHANGED[:8] if epithet.endswith(pair[0])]
    inside = [pair for pair in EXCHANGED[8:] if pair[0] in epithet[1:-3]]
    if not endings + inside:
        return ""
    was, now = chance.choice(endings + inside)
    if (was, now) in endings:
        return f"{genus} {epithet[: -len(was)]}{now}"
    return f"{genus} {epithet[0]}{epithet[1:].replace(was, now, 1)}"


def fuzzy(_: Path, folder: Path) -> dict[str, float]:
    """Misspelt names: how many a second, and how often the right one is suggested, or at least weighed."""
    chance = random.Random(7)
    with backbone(folder / "index") as found:
        names = _drawn(found, MISSPELT)
        wrong = [misspelt(name, chance) for name in names]
        start = time.perf_counter()
        asked = asked_all(Given(each) for each in wrong)
        matches = list(found.matches(asked))
        taken = time.perf_counter() - start
        pairs = [
            (name, other) for name in names[: MISSPELT // 3] if (other := exchanged(name, chance)) not in {"", name}
        ]
        by_ending = asked_all(Given(other) for _, other in pairs)
        there = list(found.matches(by_ending))
    return {
        "per second": len(names) / taken,
        **_recall("edits", names, asked, matches),
        **_recall("endings", [name for name, _ in pairs], by_ending, there),
    }


def _recall(what: str, names: list[str], asked: list[Asked], matches: list[Match]) -> dict[str, float]:
    """Return the shares of right suggestions: of all, and of those that the service's rules let pass at all."""
    right = weighed = allowed = right_of_allowed = 0
    for name, one, match in zip(names, asked, matches, strict=True):
        there = [each.usage.canonical for each in (match, *match.alternatives) if each.usage]
        is_right = bool(match.usage) and match.match_type in {VARIANT, EXACT} and match.usage.canonical == name
        right, weighed = right + is_right, weighed + (name in there)
        if may_pass(one, name):
            allowed, right_of_allowed = allowed + 1, right_of_allowed + is_right
    return {f"{what} suggested": right / len(names), f"{what} weighed": weighed / len(names),
            f"{what} allowed": allowed / len(names), f"{what} of allowed": right_of_allowed / allowed}  # fmt: skip


def may_pass(asked: Asked, name: str) -> bool:
    """Tell whether the service's rules take a name for what was asked, if it were the only one there."""
    normal, other = normal_form(asked.canonical), normal_form(name)
    if edits(normal, other) > edits_allowed(normal):
        return False
    sole = Candidate(Usage("1", name, "", "SPECIES", "SYNONYM"), other)
    return chosen(asked, normal, [sole], FUZZY).usage is not None


def rows(file: Path, folder: Path, count: str) -> dict[str, float]:
    """Write a file of so many rows, with the same distinct names in each, and match it."""
    with backbone(folder / "index") as found:
        names = _drawn(found, DISTINCT)
    given = pl.DataFrame({"at": range(len(names)), "scientificName": names})
    duckdb.register("given", given)
    path = folder / "rows.csv"
    duckdb.execute(
        f"COPY (SELECT r.range AS occurrenceID, g.scientificName, 'Fernhollow' AS locality FROM range({count}) r "
        f"JOIN given g ON g.at = (r.range * 7919) % {len(names)}) TO '{path}' (FORMAT csv, HEADER)"
    )
    measured = part("match", file, folder)
    path.unlink()
    (folder / "out.parquet").unlink()
    return measured


def match(_: Path, folder: Path) -> None:
    indexed.names_match(folder / "rows.csv", folder / "out.parquet", folder / "index")


PARTS = {each.__name__: each for each in (generate, bare_copy, index, exact, fuzzy, rows, match)}


def measured(row, folder: Path) -> None:
    """Run all parts and print a row of the table for each bar."""
    file = folder / "simple.txt"
    part("generate", file, folder)
    bare, ours = part("bare_copy", file, folder), part("index", file, folder)
    ratio = ours["seconds"] / bare["seconds"]
    row(f"index {ROWS:,} rows, against a bare copy", f"{ratio:.1f} x ({ours['seconds']:.0f} s)", "<= 5 x", ratio <= 5)
    row("the same, by processor time", f"{ours['cpu'] / bare['cpu']:.1f} x", "told", True)
    row("the same, peak memory", f"{ours['MiB']:.0f} MiB", "< 4096 MiB", ours["MiB"] < 4096)
    found = part("exact", file, folder)
    ratio = found["ours"] / found["bare"]
    row(f"exact match of {EXACT_NAMES:,} names, against a bare hash join", f"{ratio:.2f} x ({found['ours']:.1f} s)",
        "<= 2 x", ratio <= 2)  # fmt: skip
    row("of them settled by it", f"{found['settled'] / EXACT_NAMES:.1%}", "told", True)
    found = part("fuzzy", file, folder)
    row("misspelt names a second", f"{found['per second']:.0f}", ">= 2000", found["per second"] >= 2000)
    for what, bar in (("edits", 0.99), ("endings", 0.95)):
        right, allowed = found[f"{what} suggested"], found[f"{what} of allowed"]
        row(f"single {what}: the right name is suggested, of all", f"{right:.2%}", f"> {bar:.0%}", right > bar)
        row(f"the same, of the {found[f'{what} allowed']:.1%} that the service's rules let pass", f"{allowed:.2%}",
            f"> {bar:.0%}", allowed > bar)  # fmt: skip
        row(f"single {what}: it is at least weighed", f"{found[f'{what} weighed']:.2%}", "told", True)
    few, many = (part("rows", file, folder, count) for count in FILE_ROWS)
    row(f"match of {FILE_ROWS[0]:,} / {FILE_ROWS[1]:,} rows, peak memory", f"{few['MiB']:.0f} / {many['MiB']:.0f} MiB",
        "<= 1.2 x", many["MiB"] <= 1.2 * few["MiB"])  # fmt: skip
    row(f"match of {FILE_ROWS[1]:,} rows", f"{many['seconds']:.0f} s", "told", True)


def main() -> None:
    """Run one part and print what it measured as JSON."""
    name, file, folder, *more = sys.argv[1:]
    start, before = time.perf_counter(), time.process_time()
    found = PARTS[name](Path(file), Path(folder), *more) or {}
    told = {"seconds": time.perf_counter() - start, "cpu": time.process_time() - before}
    told["MiB"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({**told, **found}))  # noqa: T201


if __name__ == "__main__":
    main()
