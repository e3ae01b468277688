"""The commands on names: words in, words out, exit code. Their steps are loaded when they are asked for."""

from __future__ import annotations

import sys
from datetime import datetime, timedelta
from pathlib import Path

import click
from click.core import ParameterSource

from sporeproof.options import (
    COUNTING,
    age_of,
    common,
    deliver,
    limit_of,
    nearest_root,
    progress_shown,
    report,
    reported,
    say,
    say_safely,
)


@click.group()
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
