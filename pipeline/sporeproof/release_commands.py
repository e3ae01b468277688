"""The commands on what goes out and what comes in: words in, words out, exit code."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sporeproof import run
from sporeproof.checks.judge import Checked
from sporeproof.options import common, nearest_root, progress_shown, report, say_safely


@click.command()
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
