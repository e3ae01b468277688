"""The command line: words in, words out, exit code.

What a command does stands in :mod:`sporeproof.run`, what a person may ask in :mod:`sporeproof.questions`.

Exit codes: 0 nothing wrong, 1 findings of error level, 2 the command could not do its work.
"""

from __future__ import annotations

import sys
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from sporeproof import __version__, questions, run
from sporeproof.checks.judge import Checked
from sporeproof.findings import SAFETY_NOTE, plain
from sporeproof.options import (
    COUNTING,
    FORMATS,
    TELLING,
    age_of,
    common,
    deliver,
    is_colourful,
    limit_of,
    nearest_root,
    progress_shown,
    report,
    reported,
    say,
    say_safely,
    tame,
    tell,
)

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


@main.group()
def names() -> None:
    """Compare the names of the dataset with what checklists answered."""


@names.command("check")
@click.option("--complete", is_flag=True, help="Call it an error if a name was never asked, or too long ago.")
@click.option(
    "--max-age", metavar="AGE", callback=age_of, help="Report answers that are older, such as 90d, 12w, 6m or 1y."
)
@click.option("--opinions", is_flag=True, help="Only show where answers disagree, side by side.")
@reported
def names_check(
    root: Path | None,
    format_: str,
    quiet: bool,
    output: Path | None,
    complete: bool,
    max_age: timedelta | None,
    opinions: bool,
) -> None:
    """Judge every current and former name by the answers on record. Needs no network."""
    from sporeproof import names_told, naming

    root = root or nearest_root(Path.cwd())
    if opinions:
        if complete or quiet or max_age is not None or format_ not in COUNTING:
            raise click.UsageError(f"--opinions judges nothing: give only --format {' or '.join(COUNTING)} with it.")
        deliver(names_told.opinions(root, format_), format_, output, root)
        return
    limit = None if max_age is None else limit_of(max_age)
    found = naming.names_check(root, complete=complete, limit=limit)
    if format_ == "text" and not quiet and output is None:
        say(*found.lines(), "")
    report(found.checked, root, format_, quiet, output)
    sys.exit(found.checked.exit_code)


@names.command("apply")
@click.option("--unconfirmed", is_flag=True, help="Also take renames that rest on general knowledge only.")
@click.option("--dry-run", is_flag=True, help="Say what would change, and change nothing.")
@click.option("--accept", multiple=True, metavar="OLD=NEW", help="Only this choice of yours; may be repeated.")
@click.option("--since", default="", metavar="VERSION", help="The version of the data that ends an id, for a merge.")
@common
def names_apply(root: Path | None, unconfirmed: bool, dry_run: bool, accept: tuple[str, ...], since: str) -> None:
    """Rename what a checklist has renamed: name, former names, file, and every reference to it.

    Where answers leave a name open, --accept takes what an answer on record offers. No verdict, need, caution or
    confusion is changed, and nothing that would soften one is done.
    """
    from sporeproof import naming

    root = root or nearest_root(Path.cwd())
    done = naming.names_apply(root, unconfirmed=unconfirmed, dry_run=dry_run, accept=accept, since=since)
    say_safely(*done.lines)
    sys.exit(int(done.refused))


@names.command("refresh")
@click.option(
    "--checklist", default="catalogue-of-life", show_default=True, help="Whom to ask: also `backbone`, or a key (UUID)."
)
@click.option(
    "--max-age", metavar="AGE", callback=age_of, default="365d", show_default=True, help="Ask again what is older."
)
@click.option("--dry-run", is_flag=True, help="Say what would be asked. Opens no connection, changes nothing.")
@click.option("--index", type=click.Path(file_okay=False, path_type=Path), help="Ask an index; name --checklist.")
@common
@click.pass_context
def names_refresh(
    context: click.Context, root: Path | None, checklist: str, max_age: timedelta, dry_run: bool, index: Path | None
) -> None:
    """Ask the live name service about names that are new, changed or long unasked. Needs the network.

    With --index, every name is asked of a downloaded checklist instead, and nothing needs the network.
    """
    from sporeproof import indexed, naming

    root = root or nearest_root(Path.cwd())
    if index is not None:
        given = {name: context.get_parameter_source(name) is not ParameterSource.DEFAULT for name in context.params}
        if not given["checklist"] or given["dry_run"] or given["max_age"]:
            raise click.UsageError("--index asks every name: say with --checklist only what it was made from.")
        say_safely(*indexed.names_ask(root, index, checklist))
        return
    with progress_shown(not dry_run) as progress:
        done = naming.names_refresh(root, checklist=checklist, max_age=max_age, dry_run=dry_run, progress=progress)
    say_safely(*done.lines)
    sys.exit(done.exit_code)


@names.command("index")
@click.argument("file", type=click.Path(exists=True, path_type=Path))
@click.option("--output", "index", type=click.Path(file_okay=False, path_type=Path), required=True, help="Its folder.")
def names_index(file: Path, index: Path) -> None:
    """Index a downloaded checklist, so that names can be matched against it without the network."""
    from sporeproof import indexed

    with progress_shown(wanted=True) as progress:
        done = indexed.names_index(file, index, progress)
    say_safely(*done)


@names.command("match")
@click.argument("file", type=click.Path(exists=True, path_type=Path))
@click.option("--to", type=click.Path(dir_okay=False, path_type=Path), required=True, help="A .csv, .tsv or .parquet.")
@click.option("--index", type=click.Path(file_okay=False, path_type=Path), required=True, help="What `index` made.")
@click.option("--kingdom", default="", help="Ask within this kingdom where the file tells none.")
@click.option("--strict", is_flag=True, help="Only the name itself or one that differs in its endings; nothing higher.")
def names_match(file: Path, to: Path, index: Path, kingdom: str, strict: bool) -> None:
    """Match the names of a whole file (CSV, TSV, Parquet, Darwin Core Archive) against an index."""
    from sporeproof import indexed

    with progress_shown(wanted=True) as progress:
        done = indexed.names_match(file, to, index, kingdom=kingdom, strict=strict, progress=progress)
    say_safely(*done.lines)
    sys.exit(done.exit_code)


@names.command("review")
@click.option(
    "--previous", type=click.Path(exists=True, path_type=Path), help="Compare with a release, or an earlier names.csv."
)
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), metavar="DATE", help="Compare with before this day.")
@click.option("--max-age", metavar="AGE", callback=age_of, default="1y", show_default=True, help="What is too old.")
@click.option("--output", type=click.Path(dir_okay=False, path_type=Path), help="Write the report here.")
@common
def names_review(
    root: Path | None, previous: Path | None, since: datetime | None, max_age: timedelta, output: Path | None
) -> None:
    """Report in Markdown what has come of the names, the edit that each needs, and whom it touches."""
    from sporeproof import names_told

    if previous and since:
        raise click.UsageError("Compare with one thing: give --previous or --since, not both.")
    root = root or nearest_root(Path.cwd())
    limit = limit_of(max_age)
    told = names_told.review(root, limit, previous, since.date() if since else None)
    deliver(told, "markdown", output, root)


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
@click.option("--previous", type=click.Path(exists=True, path_type=Path), help="The package before this one.")
@click.option(
    "--output", type=click.Path(file_okay=False, path_type=Path), help="Where the package goes; `dist` by default."
)
@common
def release(root: Path | None, previous: Path | None, output: Path | None) -> None:
    """Publish the dataset as a data package; refused while an error stands."""
    root = root or nearest_root(Path.cwd())
    with progress_shown(wanted=True) as progress:
        done = run.release(root, previous, output or root / "dist", progress)
    if isinstance(done, Checked):
        report(done, root, "text", quiet=True, output=None)
        click.echo("No release: the errors above come first.", err=True)
        sys.exit(1)
    say_safely(*done)


@main.command()
@click.argument("code", default="")
def explain(code: str) -> None:
    """Explain a rule: what it finds, why it matters, how to mend it. Without a code: list the rules."""
    say_safely(*run.explain(code))
