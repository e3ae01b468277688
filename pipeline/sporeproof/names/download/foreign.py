"""Knows by their first bytes the files that people give by mistake, so that the message can say what they gave."""

from __future__ import annotations

PACKED = {
    b"\x1f\x8b": "a gzip file",
    b"PK\x03\x04": "a ZIP archive",
    b"BZh": "a bzip2 file",
    b"\xfd7zXZ\0": "an xz file",
    b"\x28\xb5\x2f\xfd": "a Zstandard file",
    b"7z\xbc\xaf\x27\x1c": "a 7z archive",
    b"Rar!\x1a\x07": "a RAR archive",
}
TEXTS = {
    b"<!doctype html": "a web page: the download failed and left an error page, or the page was saved",
    b"<html": "a web page: the download failed and left an error page, or the page was saved",
    b"<?xml": "an XML file",
    b'{"': "a JSON file",
    b"[{": "a JSON file",
}
OTHERS = {
    b"PAR1": "a Parquet file",
    b"%PDF": "a PDF",
    b"SQLite format 3\0": "an SQLite database",
    b"\xd0\xcf\x11\xe0": "an old spreadsheet or document",
}
TAR_AT = 257


def foreign(head: bytes, *, inside: bool) -> str:
    """Return why a file with these first bytes holds no table; empty where it may be one.

    ``inside`` for what came out of a packed file: a packed file in a packed file is not opened.
    """
    for magic, name in PACKED.items():
        if head.startswith(magic):
            return (
                f"what is packed in it is {name} again. Unpack it once, and give what comes out."
                if inside
                else f"it is {name}, which is not opened here. Unpack it, and give what comes out."
            )
    if head[TAR_AT : TAR_AT + 5] == b"ustar":
        return "it is a tar archive, which is not opened here. Unpack it, and give the table in it."
    found = [name for magic, name in OTHERS.items() if head.startswith(magic)]
    found += [name for magic, name in TEXTS.items() if head.lstrip()[: len(magic)].lower() == magic]
    if found:
        return f"it is {found[0]}. Give a table as text: tab or comma between the columns, in UTF-8."
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "it is written in UTF-16, as some spreadsheets save it. Save it as UTF-8."
    return ""
