"""The commands on what goes out and what comes in: words in, words out, exit code."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sporeproof import run
from sporeproof.checks.judge import Checked
from sporeproof.options import COUNTING, TELLING, common, nearest_root, progress_shown, report, say_safely, tell


@click.command()
@click.option("--previous", type=click.Path(exists=True, path_type=Path), help="The package before this one.")
@click.option(
    "--output", type=click.Path(file_okay=False, path_type=Path), help="Where the package goes; `dist` by default."
)
@click.option("--sign", "key", type=click.Path(path_type=Path), help="Sign it with this private key of `ssh-keygen`.")
@common
def release(root: Path | None, previous: Path | None, output: Path | None, key: Path | None) -> None:
    """Publish the dataset in every format; refused while an error stands."""
    root = root or nearest_root(Path.cwd())
    with progress_shown(wanted=True) as progress:
        done = run.release(root, previous, output or root / "dist", progress, key=key)
    if isinstance(done, Checked):
        report(done, root, "text", quiet=True, output=None)
        click.echo("No release: the errors above come first.", err=True)
        sys.exit(1)
    say_safely(*done)


@click.command()
@click.argument("package", type=click.Path(exists=True, path_type=Path))
@click.option("--signers", type=click.Path(path_type=Path), help="A file of those whose signatures you trust.")
@click.option("--signer", "identity", default="", metavar="NAME", help="Whose signature it must be, of those.")
@click.option("--format", "format_", type=click.Choice(COUNTING), default="text", show_default=True)
@common
def verify(package: Path, signers: Path | None, identity: str, format_: str, root: Path | None) -> None:
    """Judge a release that you received, a folder or an archive, before you rely on it.

    Checksums, schemas, keys, the same facts in every format; then the safety rules and the proofs again, from its
    tables. With --dataset it is held against the schema of that checklist, by default against Sporeproof's own.
    """
    from sporeproof import verifying

    if identity and signers is None:
        raise click.UsageError("--signer needs --signers: the file that says by which keys that person signs.")
    found = verifying.verify(package, root, signers, identity)
    tell(found.told(format_), format_)
    sys.exit(found.exit_code)


@click.command()
@click.argument("package", required=False, type=click.Path(exists=True, path_type=Path))
@click.option("--since", required=True, metavar="VERSION", help="The version of the data that you have.")
@click.option("--format", "format_", type=click.Choice(TELLING), default="text", show_default=True)
@common
def notices(package: Path | None, since: str, format_: str, root: Path | None) -> None:
    """Tell what got stricter since a version of the data, from a later release (by default the newest in `dist`)."""
    from sporeproof import news_told

    package = package or news_told.newest((root or nearest_root(Path.cwd())) / "dist")
    tell(news_told.notices(package, since, format_), format_)
