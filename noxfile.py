"""What can be run: lint, types, tests, demo, bench, and the generated files. ``nox -l`` lists them."""

from __future__ import annotations

from pathlib import Path

import nox

nox.options.default_venv_backend = "venv"
nox.options.sessions = ["lint", "tests", "types"]
nox.options.reuse_existing_virtualenvs = True

PROJECT = nox.project.load_toml("pyproject.toml")


def group(*names: str) -> list[str]:
    """Return the requirements of some dependency groups."""
    return nox.project.dependency_groups(PROJECT, *names)


@nox.session
def lint(session: nox.Session) -> None:
    """Form of the code, and that its layers go one way."""
    session.install(*group("lint"))
    session.install("--no-deps", "-e", ".")  # form and layers are read, nothing is run
    session.run("ruff", "check", ".")
    session.run("ruff", "format", "--check", ".")
    session.run("lint-imports")


@nox.session
def tests(session: nox.Session) -> None:
    """All tests, offline and on every core."""
    session.install("-e", ".", *group("tests", "lint", "types"))
    session.run("pytest", "-n", "auto", *session.posargs)


@nox.session
def types(session: nox.Session) -> None:
    """Types of our own code, strictly; in the environment of the tests where it is there, else in one of its own."""
    for there in (Path(".nox/tests/bin/mypy"), Path(".nox/tests/Scripts/mypy.exe")):
        if there.exists():
            session.run(str(there.absolute()), external=True)
            return
    session.install("-e", ".", *group("types"))
    session.run("mypy")


@nox.session
def demo(session: nox.Session) -> None:
    """The Fernhollow Fungus Group's autumn contribution: what is caught, and how it is mended."""
    session.install("-e", ".")
    session.run("python", "-m", "tests.fernhollow.demo")


@nox.session
def bench(session: nox.Session) -> None:
    """Time, as ratios to a peer in the same run; prints a table."""
    session.install("-e", ".", *group("tests"))
    session.run("python", "-m", "tests.bench.bench", *session.posargs)


@nox.session
def clients(session: nox.Session) -> None:
    """The npm package of a release, in Node and by the compiler of TypeScript; needs npm and the network."""
    session.install("-e", ".", *group("tests"))
    folder = session.create_tmp()
    words = ("--no-audit", "--no-fund", "--ignore-scripts", "--prefix", folder, "typescript@5.9.3")
    session.run("npm", "install", *words, external=True)
    compiler = {"TSC": f"{folder}/node_modules/.bin/tsc"}
    session.run("pytest", "tests/outside/test_npm_clients.py", "tests/release/packages/test_npm_api.py", env=compiler)


@nox.session
def golden(session: nox.Session) -> None:
    """Rewrite generated files and texts compared letter by letter, and print the difference."""
    session.install("-e", ".", *group("tests"))
    session.run("python", "-m", "tests.golden")


@nox.session
def faults(session: nox.Session) -> None:
    """Faults put into the real dataset on purpose: how many of them the rules find; it must be all."""
    session.install("-e", ".")
    session.run("python", "-m", "tests.faults.run")
