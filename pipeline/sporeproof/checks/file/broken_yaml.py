"""A file cannot be read as YAML.

## Why
Nothing that stands in the file can be checked or published until it can be read.

## Mend
Mend the place that is shown; the slip is often a little before it. The usual ones are a missing colon, an
open bracket or quote, a colon inside a text without quotes, and an indentation that differs by a space.

## Wrong
```yaml
name: Amanita phalloides
former_names: [Agaricus phalloides
```

## Right
```yaml
name: Amanita phalloides
former_names: [Agaricus phalloides]
```

## Source
YAML 1.1, as the reader takes it (from memory); which slips are usual: common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Reading

# The parser's words, and what they mean to somebody who knows fungi: where, and the edit.
PLAIN = {
    "could not find expected ':'": (
        "This line has no colon after its key",
        "Write the key, a colon, a space and the value.",
    ),
    "mapping values are not allowed in this context": (
        "A colon stands where none may",
        "Put quotes round a text that holds a colon; a key starts a line, below the keys it belongs to.",
    ),
    "did not find expected ',' or ']'": (
        "The list opened here is not closed, or a comma is missing in it",
        "Write it as `[one, two]`.",
    ),
    "did not find expected ',' or '}'": (
        "The block opened here is not closed, or a comma is missing in it",
        "Write it as `{key: value, other: value}`.",
    ),
    "found unexpected end of stream": (
        "The quote opened here is never closed",
        "Close the quote at the end of the text.",
    ),
    "did not find expected key": (
        "This does not fit what stands before it: the indentation differs, or a text is closed too early",
        "Start the line below the keys it belongs to; in single quotes, write `''` for an apostrophe.",
    ),
    "did not find expected '-' indicator": (
        "A list stands above, and this line does not go on with it",
        "Start the line with a hyphen, or indent the list below its own key.",
    ),
    "block sequence entries are not allowed in this context": (
        "A list with hyphens starts in the middle of a line",
        "Start it on the next line, or write it as `[one, two]`.",
    ),
    "found character that cannot start any token": (
        "A text may not start with this sign",
        "Put the text in double quotes.",
    ),
    "found unknown escape character": (
        "A backslash stands before a letter",
        "Put the text in single quotes.",
    ),
    "did not find expected node content": (
        "A sign stands here where a value should",
        "Delete it, or put the text in quotes.",
    ),
}


@rule("file.broken-yaml", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem where the YAML reader stopped."""
    for each in reading.of("broken-yaml"):
        problem, context = each.words
        asks = f"The YAML reader says: {problem} {context}".rstrip()
        message, mend = PLAIN.get(problem, (asks, "Compare this place with a clean entry."))
        yield Problem(at=each.at, message=f"{message}.", mend=mend)
