"""The command line: words in, words out, exit code.

What a command does stands in :mod:`sporeproof.run`, what a person may ask in :mod:`sporeproof.questions`.

Exit codes: 0 nothing wrong, 1 findings of error level, 2 the command could not do its work.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from sporeproof import __version__, questions, run
from sporeproof.findings import SAFETY_NOTE, plain
from sporeproof.names_commands import names
from sporeproof.options import (
    COUNTING,
    FORMATS,
    TELLING,
    common,
    is_colourful,
    nearest_root,
    progress_shown,
    report,
    reported,
    say_safely,
    tame,
    tell,
)
from sporeproof.release_commands import notices, release, verify

__all__ = ["FORMATS", "is_colourful", "main"]


class _Plain(click.Group):
    """Says what stopped a command in one line, and exits with 2."""

    def invoke(self, context: click.Context) -> Any:
        try:
            with run.collector_paused():
                return super().invoke(context)
        except run.Stopped as error:
            raise click.UsageError(tame(str(error))) from error
        except BrokenPipeError:
            raise  # whoever read along has seen enough; click ends quietly
        except OSError as error:
            raise click.UsageError(plain(f"{error.filename or 'A file'}: {error.strerror}.")) from error


@click.group(cls=_Plain, context_settings={"help_option_names": ["-h", "--help"]}, epilog=SAFETY_NOTE)
@click.version_option(__version__, prog_name="sporeproof")
def main() -> None:
    """Keep a checklist of fungi right: check entries, keep names current, publish a data package."""


@main.command()
@click.argument("paths", nargs=-1, type=click.Path(exists=True, path_type=Path))
@click.option("--summary", is_flag=True, help="Count what is there and how complete it is, in place of the notices.")
@click.option(
    "--grades", is_flag=True, help="Grade the edible entries too, and tell the grades in place of the notices."
)
@reported
def check(
    paths: tuple[Path, ...],
    root: Path | None,
    summary: bool,
    grades: bool,
    format_: str,
    quiet: bool,
    output: Path | None,
) -> None:
    """Check the dataset by every rule, or the named entries and what they touch."""
    counting = summary or grades
    if counting and format_ not in COUNTING:
        raise click.UsageError(f"--summary and --grades need --format {' or '.join(COUNTING)}.")
    root = root or nearest_root(Path.cwd())
    with progress_shown(not paths and not quiet) as progress:
        checked = run.check(root, paths, progress, with_statistics=summary, with_grades=grades)
    report(checked, root, format_, quiet or counting, output)
    sys.exit(checked.exit_code)


@main.command()
@click.argument("name")
@click.option("--format", "format_", type=click.Choice(COUNTING), default="text", show_default=True)
@common
def show(name: str, root: Path | None, format_: str) -> None:
    """Tell what the dataset says of one species, found by any of its names."""
    tell(questions.show(root or nearest_root(Path.cwd()), name, format_), format_)


@main.command()
@click.argument("one")
@click.argument("other")
@click.option("--format", "format_", type=click.Choice(COUNTING), default="text", show_default=True)
@common
def compare(one: str, other: str, root: Path | None, format_: str) -> None:
    """Set two species side by side: what separates them, what does not, what is unknown."""
    tell(questions.compare(root or nearest_root(Path.cwd()), one, other, format_), format_)


@main.command()
@click.argument("seen", nargs=-1, required=True, metavar="CHARACTER=STATE...")
@click.option("--stage", default="", help="Its age: young, mature or old; all by default.")
@click.option("--cannot-see", multiple=True, metavar="CHARACTER", help="Cannot be looked at; may be repeated.")
@click.option("--region", default="", help="Where it was found, such as GB; warns, rules nothing out.")
@click.option("--month", type=click.IntRange(1, 12), help="When it was found; warns, rules nothing out.")
@click.option("--format", "format_", type=click.Choice(COUNTING), default="text", show_default=True)
@common
def doubt(
    seen: tuple[str, ...],
    stage: str,
    cannot_see: tuple[str, ...],
    region: str,
    month: int | None,
    format_: str,
    root: Path | None,
) -> None:
    """Say what is not ruled out by what was seen of one fruitbody. It never says what it is."""
    find = questions.Find(stage, cannot_see, region, month or 0)
    told, clear = questions.doubt(root or nearest_root(Path.cwd()), seen, find, format_)
    tell(told, format_)
    sys.exit(0 if clear else 2)


@main.command()
@click.argument("name", default="")
@click.option("--all", "all_", is_flag=True, help="All edible species in one table.")
@click.option("--format", "format_", type=click.Choice(TELLING), default="text", show_default=True)
@common
def proof(name: str, root: Path | None, all_: bool, format_: str) -> None:
    """Tell what to look at before an edible species is accepted, what that does not exclude, and the grade."""
    if bool(name) == all_:
        raise click.UsageError("Name one species, or ask for --all of them.")
    root = root or nearest_root(Path.cwd())
    tell(questions.proofs(root, format_) if all_ else questions.proof(root, name, format_), format_)


@main.command()
@click.option("--for", "about", default="", metavar="NAME", help="Only what would help one species.")
@click.option("--top", type=click.IntRange(1), default=20, show_default=True, help="How many to list.")
@click.option("--format", "format_", type=click.Choice(COUNTING), default="text", show_default=True)
@common
def gaps(about: str, top: int, format_: str, root: Path | None) -> None:
    """List the missing facts that matter most: what would settle most pairs if somebody recorded it."""
    tell(questions.gaps(root or nearest_root(Path.cwd()), about, top, format_), format_)


@main.command()
@click.option("--format", "format_", type=click.Choice(COUNTING), default="text", show_default=True)
@common
def calibrate(format_: str, root: Path | None) -> None:
    """Propose from which similarity on two species count as alike, by the confusions that people wrote."""
    told, may_stay = questions.calibrate(root or nearest_root(Path.cwd()), format_)
    tell(told, format_)
    sys.exit(int(not may_stay))


@main.command()
@click.argument("name")
@click.option("--authorship", default="", help="The author citation of the name.")
@common
def new(name: str, authorship: str, root: Path | None) -> None:
    """Write a skeleton entry that explains itself."""
    path = run.new(root or nearest_root(Path.cwd()), name, authorship)
    say_safely(f"{path}: fill it in, then run `sporeproof check {path}`.")


@main.command()
@common
def number(root: Path | None) -> None:
    """Give the new entries the next ids, the retired ones counted."""
    say_safely(*run.number(root or nearest_root(Path.cwd())))


@main.command()
@click.argument("code", default="")
def explain(code: str) -> None:
    """Explain a rule: what it finds, why it matters, how to mend it. Without a code: list the rules."""
    say_safely(*run.explain(code))


for command in (names, release, verify, notices):
    main.add_command(command)
