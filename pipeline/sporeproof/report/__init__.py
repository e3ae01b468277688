"""Findings to letters: one module a format, found by looking, each with a function ``render``.

Every ``render`` is called alike: with the findings, the summary, and ``version``, ``files``, ``colour`` and
``quiet`` by keyword. A format names those it uses and lets the others pass.
"""
