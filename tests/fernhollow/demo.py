"""The Fernhollow Fungus Group's autumn contribution: what is caught, and how it is mended. All of it invented.

Then the real dataset is checked and released, as on any other day.
"""

from __future__ import annotations

import difflib
import shutil
import sys
import tempfile
from pathlib import Path

from click.testing import CliRunner, Result

from sporeproof.cli import main
from sporeproof.records.read import TAXA

HERE = Path(__file__).parent
ROOT = HERE.parents[1]


def say(text: str = "") -> None:
    print(text, flush=True)  # noqa: T201


def act(*words: str) -> Result:
    """Run a command as a person would type it, and show what it prints."""
    say(f"$ sporeproof {' '.join(words)}")
    result = CliRunner().invoke(main, words)
    say(result.output.rstrip())
    say(f"(exit code {result.exit_code})\n")
    return result


def expect(result: Result, code: int, *found: str) -> None:
    """Stop the demo if a command did not do what this text says it does."""
    missing = [each for each in found if each not in result.output]
    if result.exit_code != code or missing:
        sys.exit(f"The demo went wrong: exit code {result.exit_code}, not found: {missing}")


def lay(target: Path) -> None:
    """Lay out the contribution: the real schema and sources, but for the suspects, who are those of the wood."""
    shutil.copytree(HERE / "contribution", target)
    shutil.copytree(ROOT / "schema", target / "schema")
    shutil.copy(HERE / "suspects.yaml", target / "schema")
    shutil.copy(ROOT / "dataset" / "sources.yaml", target / "dataset")


def mend(target: Path) -> None:
    """Put the corrected files in place, and show what somebody changed in each."""
    for mended in sorted((HERE / "mended" / TAXA).glob("*.yaml")):
        came = target / TAXA / mended.name
        before, after = came.read_text("utf-8").splitlines(), mended.read_text("utf-8").splitlines()
        say("\n".join(difflib.unified_diff(before, after, "came in", f"mended: {mended.name}", lineterm="", n=1)))
        shutil.copyfile(mended, came)
    say()


def contribution(target: Path) -> None:
    """Show what is caught in the contribution, mend it, and show that it is clean."""
    dataset = ("--dataset", str(target))
    say("# 1. The group's contribution comes in, five mistakes and all\n")
    expect(
        act("check", *dataset),
        1,
        "name.stale-current-name",
        "safety.edible-without-confusion",
        "safety.claim-does-not-separate",
        "entry.range-reversed",
        "file.yaml-trap",
    )
    say("# 2. What each rule means can be asked\n")
    expect(act("explain", "safety.claim-does-not-separate"), 0, "Why")
    say("# 3. Four mistakes are mended by hand\n")
    mend(target)
    say("# 4. The renamed species is one edit; comments, layout and links are kept\n")
    expect(act("names", "apply", *dataset), 0, "Novellum vetus")
    say((target / TAXA / "novellum-vetus.yaml").read_text("utf-8").split("\nedibility")[0] + "\n")
    say("# 5. The new entry gets its number, and everything is clean\n")
    expect(act("number", *dataset), 0, "F9005")
    expect(act("check", "--quiet", *dataset), 0)


def real(out: Path) -> None:
    """Check and release the dataset of this repository."""
    say("# 6. The real dataset: checked, and released\n")
    expect(act("check", "--quiet", "--dataset", str(ROOT)), 0)
    expect(act("release", "--dataset", str(ROOT), "--output", str(out)), 0, "0.1.0")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "fernhollow"
        lay(target)
        contribution(target)
    real(ROOT / "dist")
