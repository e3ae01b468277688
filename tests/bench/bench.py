"""Times the main jobs in one run and prints a table: each figure beside its bar, or beside a peer.

The rows of the large tables are invented; the entries of the large datasets are the real ones under invented names.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml

from sporeproof.confusion.passing import let_through, passing
from sporeproof.confusion.proved import proofs_of
from sporeproof.confusion.suspects import can_harm
from sporeproof.form.load import Form, load_form
from sporeproof.questions import opened
from sporeproof.text.read import read_page
from tests.bench.engine import against_gower, timed
from tests.bench.generate import generate

ROOT = Path(__file__).parents[2]
COLD = "import sys; from sporeproof.cli import main; main()"
MANY = 10_000
ROWS = 1_000_000


def seconds(act: Callable[[], object], rounds: int = 1) -> float:
    """Return the shortest time of some rounds."""
    best = float("inf")
    for _ in range(rounds):
        start = time.perf_counter()
        act()
        best = min(best, time.perf_counter() - start)
    return best


def command(*words: str, cwd: Path = ROOT) -> Callable[[], object]:
    """Return an act: one cold process of the command line."""
    line = [sys.executable, "-c", COLD, *words]
    # As for a user: Python keeps what it compiled.
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return lambda: subprocess.run(line, cwd=cwd, env=kept, stdout=subprocess.DEVNULL, check=False)


def peak_mib() -> float:
    """Return the largest resident size of any child process so far, in MiB."""
    return resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024


def row(what: str, figure: str, bar: str, holds: bool) -> None:
    """Print a row of the table."""
    print(f"| {what} | {figure} | {bar} | {'yes' if holds else 'NO'} |", flush=True)  # noqa: T201


def cold() -> None:
    whole = seconds(command("check"), 3)
    row("check, whole dataset, cold process", f"{whole:.2f} s", "< 2 s", whole < 2)
    one = seconds(command("check", "dataset/taxa/kuehneromyces-mutabilis.yaml"), 3)
    row("check, one entry, cold process", f"{one:.2f} s", "< 0.7 s", one < 0.7)
    bare = seconds(lambda: subprocess.run([sys.executable, "-c", "import yaml, click"], check=True), 3)
    row("one entry, against importing yaml and click alone", f"{one / bare:.1f} x", "told", True)


def release() -> None:
    """The release of the real dataset, verifying it, and the Python package in it."""
    from tests.bench import received

    with tempfile.TemporaryDirectory() as name:
        whole = seconds(command("release", "--output", name), 2)
        folder = next(Path(name).iterdir())
        row("release, every format, cold process", f"{whole:.2f} s", "< 15 s", whole < 15)
        cold = seconds(command("verify", str(folder)), 2)
        row("verify, cold process", f"{cold:.2f} s", "told", True)
        for what, took, bare, bar in received.verified(folder):
            row(what, f"{took / bare:.1f} x ({took:.2f} s)", bar, not bar.startswith("<=") or took <= 2 * bare)
        lookup = received.looked_up(folder)
        row("import sporeproof_data and one lookup", f"{lookup * 1000:.0f} ms", "< 50 ms", lookup < 0.05)


def releases() -> None:
    """A release of ten thousand invented taxa, from their tables."""
    few, all_ = (
        json.loads(subprocess.run([sys.executable, "-m", "tests.bench.releasing", str(count)], cwd=ROOT,
                                  capture_output=True, check=True).stdout)
        for count in (MANY // 2, MANY)
    )  # fmt: skip
    row(f"release of {all_['taxa']} taxa, {all_['rows']:,} rows", f"{all_['seconds']:.0f} s", "< 120 s",
        all_["seconds"] < 120)  # fmt: skip
    row("the same, peak memory", f"{all_['peak_mib']:.0f} MiB", "< 2048 MiB", all_["peak_mib"] < 2048)
    growth = (all_["seconds"] / few["seconds"]) / (all_["taxa"] / few["taxa"])
    row("the same, time by taxon at twice the taxa", f"{growth:.2f} x", "<= 1.15 x", growth <= 1.15)


def reading(root: Path) -> None:
    pages = [path.read_bytes() for path in sorted((root / "dataset/taxa").glob("*.yaml"))]
    texts = [page.decode() for page in pages]
    ours = seconds(lambda: [read_page(page, "x.yaml") for page in pages], 3)
    composed = seconds(lambda: [yaml.compose(text, Loader=yaml.CSafeLoader) for text in texts], 3)
    slow = seconds(lambda: [yaml.compose(text, Loader=yaml.SafeLoader) for text in texts])
    row("reading entries, against PyYAML's C composer", f"{ours / composed:.2f} x", "told", True)
    row("reading entries, against PyYAML's Python composer", f"{ours / slow:.2f} x", "< 0.5 x", ours < slow / 2)


def many() -> None:
    with tempfile.TemporaryDirectory() as folder:
        half, full = Path(folder) / "half", Path(folder) / "full"
        generate(ROOT, half, MANY // 2)
        generate(ROOT, full, MANY)
        few = seconds(command("check", "--quiet", "--format", "json", cwd=half))
        all_ = seconds(command("check", "--quiet", "--format", "json", cwd=full))
        size = peak_mib()
        row(f"check, {MANY} generated entries", f"{all_:.1f} s", "< 30 s", all_ < 30)
        row("the same, peak memory", f"{size:.0f} MiB", "< 1536 MiB", size < 1536)
        row("twice the entries cost", f"{all_ / few:.2f} x", "<= 2.3 x", all_ / few <= 2.3)


def tables(form: Form) -> None:
    from tests.bench.rows import our_verdicts, their_verdicts, write

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write(form, ROWS, folder)
        our_verdicts(folder, form)  # the first use of a library pays for its import
        verdicts: dict[str, object] = {}
        ours = seconds(lambda: verdicts.update(ours=our_verdicts(folder, form)), 2)
        theirs = seconds(lambda: verdicts.update(theirs=their_verdicts(folder)))
    row(f"reading and checking {ROWS} rows", f"{ours:.2f} s", "told", True)
    row("the same, frictionless validate", f"{theirs:.1f} s", "told", True)
    row("frictionless / ours", f"{theirs / ours:.0f} x", ">= 20 x", theirs / ours >= 20)
    same = verdicts["ours"] == verdicts["theirs"] and len(verdicts["ours"]) >= 25
    row("same verdicts on 25 seeded faults", str(same), "True", same)


def questions() -> None:
    """What a person asks, each from a cold process."""
    proofs = seconds(command("proof", "--all"), 3)
    row("proof --all, cold process", f"{proofs:.2f} s", "< 3 s", proofs < 3)
    compare = seconds(command("compare", "Kuehneromyces mutabilis", "Galerina marginata"), 3)
    row("compare, cold process", f"{compare:.2f} s", "< 0.8 s", compare < 0.8)
    doubt = seconds(command("doubt", "body=cap-and-stem", "hymenophore=gills", "ring=present"), 3)
    row("doubt, cold process", f"{doubt:.2f} s", "< 0.8 s", doubt < 0.8)


def engine(form: Form) -> None:
    """All edible invented taxa against all dangerous ones."""
    half, full = timed(MANY // 2, form), timed(MANY, form)
    row(f"{full.pairs:,} pairs: what {MANY} taxa show", f"{full.looks:.1f} s", "told", True)
    row("the same, separators", f"{full.separators:.1f} s", "< 10 s", full.separators < 10)
    row("the same, against a bare numpy AND", f"{full.separators / full.bare:.1f} x", "<= 8 x",
        full.separators <= 8 * full.bare)  # fmt: skip
    row("the same, similarity", f"{full.similarity:.1f} s", "< 10 s", full.similarity < 10)
    row("peak memory of all of it", f"{full.peak_mib:.0f} MiB", "< 1024 MiB", full.peak_mib < 1024)
    for what, few, all_ in (
        ("separators", half.separators, full.separators), ("similarity", half.similarity, full.similarity)
    ):  # fmt: skip
        growth = (all_ / few) / (full.pairs / half.pairs)
        row(f"{what}, time by pair at twice the taxa", f"{growth:.2f} x", "<= 1.3 x", growth <= 1.3)


def gower_peer() -> None:
    """2,000 taxa of 80 characters with one state each, as the gower package wants them: float codes."""
    ours, theirs = against_gower(2_000)
    row("similarity of 2000 taxa, against the gower package", f"{ours / theirs:.2f} x", "<= 1 x", ours <= theirs)


def fruitbodies() -> None:
    """Fruitbodies drawn by lot from every taxon that can harm, against every list."""
    asked = opened(ROOT)
    entries, form = asked.checklist.entries, asked.form
    proofs, found = proofs_of(entries, asked.checklist, form), []
    harmful = [each for each in entries if can_harm(each, form)]
    took = seconds(lambda: found.extend(passing(proofs, harmful, form)))
    leaks = let_through(found, form)
    row("2000 fruitbodies of each harmful taxon against all lists", f"{took:.1f} s", "< 10 s", took < 10)
    row("deadly ones that pass a list which must stop them", str(sum(each.passed for each in leaks)), "0", not leaks)


def names() -> None:
    """A backbone of ten million names, and whole files against it: some minutes and some gigabytes of disk."""
    from tests.bench.names import measured

    with tempfile.TemporaryDirectory() as folder:
        measured(row, Path(folder))


def main() -> None:
    print("| what | figure | bar | holds |\n| --- | --- | --- | --- |")  # noqa: T201
    chosen = {"names": names, "release": release, "releases": releases}
    if asked := [chosen[word] for word in sys.argv[1:]]:
        for each in asked:
            each()
        return
    cold()
    questions()
    release()
    releases()
    reading(ROOT)
    form = load_form(ROOT / "schema")
    engine(form)
    gower_peer()
    fruitbodies()
    many()
    tables(form)
    names()


if __name__ == "__main__":
    main()
