"""The command line: words in, words out, exit code.

What a command does stands in :mod:`sporeproof.run`, what a person may ask in :mod:`sporeproof.questions`.

Exit codes: 0 nothing wrong, 1 findings of error level, 2 the command could not do its work.
"""

from __future__ import annotations

import os
import pkgutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import Any

import click

import sporeproof.report
from sporeproof import __version__, questions, run
from sporeproof.checks.judge import Checked, Progress, silent
from sporeproof.findings import SAFETY_NOTE, Level, plain
from sporeproof.report.summary import Summary

FORMATS = [each.name[3:] for each in pkgutil.iter_modules(sporeproof.report.__path__) if each.name.startswith("as_")]
# The formats that have a place for figures.
COUNTING = ("text", "json")
TELLING = ("text", "markdown", "json")


def nearest_root(start: Path) -> Path:
    """Return the nearest folder upwards that holds ``dataset/``, as one would name it from ``start``."""
    for folder in (start, *start.parents):
        if (folder / "dataset").is_dir():
            return Path(os.path.relpath(folder, start))
    raise run.Stopped("There is no `dataset` folder here or above. Go to a checklist, or name it with --dataset DIR.")


def say(*lines: str) -> None:
    """Print lines for a person."""
    for line in lines:
        click.echo(tame(line))


def tame(text: str) -> str:
    """Return text of several lines with no sign in it that a terminal would obey."""
    return "\n".join(plain(part) for part in text.split("\n"))


def is_colourful() -> bool:
    """Tell whether colours are welcome: on a terminal that can show them, unless NO_COLOR asks for none."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def say_safely(*lines: str) -> None:
    """Print lines for a person, the safety note last."""
    say(*lines, "", SAFETY_NOTE)


def common(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the option that every command on a dataset has."""
    return click.option(
        "--dataset",
        "root",
        type=click.Path(exists=True, file_okay=False, path_type=Path),
        help="The folder that holds `dataset/`; the nearest one upwards by default.",
    )(command)


def reported(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of a command that reports findings."""
    for option in (
        click.option("--output", type=click.Path(dir_okay=False, path_type=Path), help="Write the report here."),
        click.option("--quiet", is_flag=True, help="Leave out notices, and the summary where nothing is wrong."),
        click.option("--format", "format_", type=click.Choice(FORMATS), default="text", show_default=True),
    ):
        command = option(command)
    return common(command)


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


def report(checked: Checked, root: Path, format_: str, quiet: bool, output: Path | None) -> None:
    """Print the findings, or write them to a file."""
    shown = [each for each in checked.findings if not (quiet and each.level is Level.NOTICE)]
    render = import_module(f"sporeproof.report.as_{format_}").render
    text = render(
        shown,
        summary_of(checked),
        version=__version__,
        files=checked.files,
        colour=output is None and is_colourful(),
        quiet=quiet,
        statistics=checked.statistics,
    )
    if output is None:
        click.echo(text, nl=False)
    else:
        run.write_text(output, text, root)


def summary_of(checked: Checked) -> Summary:
    """Return what a report says at its end."""
    return Summary(
        errors=checked.count(Level.ERROR),
        warnings=checked.count(Level.WARNING),
        notices=checked.count(Level.NOTICE),
        entries=checked.entries,
        excused=len(checked.excused),
        excused_entries=len({each.at.file for each in checked.excused}),
        only_form=checked.only_form,
        whole=checked.whole,
        schema=checked.schema,
    )


@contextmanager
def progress_shown(wanted: bool) -> Iterator[Progress]:
    """Yield what shows progress: a bar on a terminal, nothing elsewhere."""
    if not wanted or not sys.stderr.isatty():
        yield silent
        return
    from rich.console import Console
    from rich.progress import Progress as Bar

    with Bar(console=Console(stderr=True), transient=True) as bar:
        tasks: dict[str, Any] = {}

        def show(step: str, done: int, total: int) -> None:
            if step not in tasks:
                tasks[step] = bar.add_task(step, total=total)
            bar.update(tasks[step], completed=done)

        yield show


@main.group()
def names() -> None:
    """Compare the names of the dataset with what checklists answered."""


@names.command("check")
@click.option("--complete", is_flag=True, help="Call it an error if a name was never asked.")
@reported
def names_check(root: Path | None, format_: str, quiet: bool, output: Path | None, complete: bool) -> None:
    """Judge every current and former name by the answers on record. Needs no network."""
    root = root or nearest_root(Path.cwd())
    found = run.names_check(root, complete=complete)
    if format_ == "text" and not quiet and output is None:
        say(*found.lines(), "")
    report(found.checked, root, format_, quiet, output)
    sys.exit(found.checked.exit_code)


@names.command("apply")
@click.option("--unconfirmed", is_flag=True, help="Also take renames that rest on general knowledge only.")
@click.option("--dry-run", is_flag=True, help="Say what would change, and change nothing.")
@common
def names_apply(root: Path | None, unconfirmed: bool, dry_run: bool) -> None:
    """Rename what a checklist has renamed: name, former names, file, and every reference to it."""
    done = run.names_apply(root or nearest_root(Path.cwd()), unconfirmed=unconfirmed, dry_run=dry_run)
    say_safely(*done.lines)
    sys.exit(int(done.refused))


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


def tell(told: str, format_: str) -> None:
    """Print what a command tells; JSON and Markdown hold the safety note themselves."""
    if format_ == "text":
        say_safely(told.rstrip("\n"))
    else:
        click.echo(told, nl=False)


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
