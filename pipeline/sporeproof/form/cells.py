"""What a cell of a table must not hold, since a spreadsheet opens it with a double click.

The patterns read the same in Python and in polars.
"""

from __future__ import annotations

# What a spreadsheet takes for a formula (common practice, no source): a first = + - @, in ASCII or full
# width, behind blanks too. A negative number and a lone hyphen are what they look like.
FORMULA = "^\\s*[=+@\\-\uff1d\uff0b\uff0d\uff20]"
HARMLESS = r"^-(?:\d+(?:[.,]\d+)?)?$"
