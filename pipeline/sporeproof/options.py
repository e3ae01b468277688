"""What the commands share: their options, where the dataset is, and how reports and lines reach a person."""

from __future__ import annotations

import os
import pkgutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from importlib import import_module
from pathlib import Path
from typing import Any

import click

import sporeproof.report
from sporeproof import __version__, run
from sporeproof.checks.judge import Checked, Progress, silent
from sporeproof.findings import SAFETY_NOTE, Level, plain
from sporeproof.names.age import Limit, read_age
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


def deliver(told: str, format_: str, output: Path | None, root: Path) -> None:
    """Print what a command tells, or write it to a file."""
    if output is None:
        tell(told, format_)
    else:
        run.write_text(output, told if format_ != "text" else f"{tame(told)}\n{SAFETY_NOTE}\n", root)


def tell(told: str, format_: str) -> None:
    """Print what a command tells; JSON and Markdown hold the safety note themselves."""
    if format_ == "text":
        say_safely(told.rstrip("\n"))
    else:
        click.echo(told, nl=False)


def age_of(context: click.Context, option: click.Parameter, text: str | None) -> timedelta | None:
    """Read the value of an option that takes an age such as 90d: the callback of that option."""
    try:
        return None if text is None else read_age(text)
    except ValueError as error:
        raise click.BadParameter(plain(str(error)), context, option) from error


def limit_of(max_age: timedelta) -> Limit:
    """Return the limit that an age sets today, and print the day."""
    limit = Limit(datetime.now(UTC).date(), max_age)
    click.echo(limit.told(), err=True)
    return limit


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
