"""Findings with anything in them: what terminals obey, readers do not see, and formats are written in."""

from __future__ import annotations

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from sporeproof.findings import Finding, Level, Mark
from sporeproof.report.summary import Summary

few = settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])

OBEYED = ("\x1b[31m", "\x1b]0;title\x07", "\x9b2J", "\x00", "\x08", "\x7f")
BREAKS = ("\t", "\r\n", "\n", "\x85", "\u2028")
UNSEEN = ("\u202e", "\u2066", "\u200d", "\u00ad", "\ufeff", "\ufffe", "\U000e0041", "\xa0")
XML = ("]]>", "<failure>", "&amp;", "&#27;", '"', "'")
COMMANDS = ("%0A", "%", "::error::", "##[error]", ",line=1", ":", "=")
JSON = ("\\", "\\u001b", "{0}", "{", "}", "[a](b)", "](")
TEXT = ("e\u0301", "菌", "ｆ", "  ", "dataset/taxa/x.yaml:1:1: error safety.x")
PATHS = ("/", "//", "../", "?", "#")
HALF = "\ud800"  # of a pair of surrogates
NO_UTF8 = "\udcff"  # how Python gives a byte of a file name that is no UTF-8

PIECES = (*OBEYED, *BREAKS, *UNSEEN, *XML, *COMMANDS, *JSON, *TEXT, *PATHS)
texts = st.lists(st.sampled_from([*PIECES, HALF]) | st.text(max_size=5), max_size=5).map("".join)
files = st.lists(st.sampled_from([*PIECES, NO_UTF8]) | st.text(max_size=5), max_size=4).map("".join).filter(bool)
places = st.just((0, 0)) | st.tuples(st.integers(1, 30_000), st.integers(0, 300))


@st.composite
def marks(draw: st.DrawFn) -> Mark:
    """Draw a place that need not fit the text that it shows."""
    line, column = draw(places)
    text = draw(texts) * draw(st.sampled_from([1, 60]))
    return Mark(draw(files), line, column, draw(st.integers(0, 300)), text)


findings = st.builds(Finding, texts, st.sampled_from(Level), texts, texts, texts, marks(), texts, texts)
lists = st.lists(findings, max_size=4)
summaries = st.builds(Summary, *[st.integers(0, 3)] * 7, whole=st.booleans(), schema=texts)
