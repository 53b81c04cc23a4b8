"""Bytes to text: what a file is written in, or why it is not text at all."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

from kit.findings import clip
from kit.structure._gather import Gather, some_lines
from kit.structure._limits import Limits

__all__ = ["Decoded", "decode"]

_BOMS: tuple[tuple[bytes, str, str], ...] = (
    (codecs.BOM_UTF8, "utf-8", "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le", "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32-be", "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16-le", "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16-be", "utf-16"),
)
_UNIT_BYTES = {"utf-8": 1, "utf-16": 2, "utf-32": 4}
_MAGIC: tuple[tuple[bytes, str, str], ...] = (
    (b"PK\x03\x04", "workbook", "a workbook or a packed archive"),
    (b"PK\x05\x06", "workbook", "an empty packed archive"),
    (b"\xd0\xcf\x11\xe0", "workbook", "an old-style workbook"),
    (b"\x1f\x8b", "compressed", "a compressed file"),
    (b"BZh", "compressed", "a compressed file"),
    (b"\xfd7zXZ", "compressed", "a compressed file"),
    (b"7z\xbc\xaf", "compressed", "a packed archive"),
    (b"Rar!", "compressed", "a packed archive"),
    (b"%PDF", "not text", "a printed page (PDF)"),
    (b"\x89PNG", "not text", "a picture"),
    (b"\xff\xd8\xff", "not text", "a picture"),
    (b"GIF8", "not text", "a picture"),
    (b"SQLite format 3", "not text", "a database"),
    (b"{\\rtf", "not text", "a word-processor page"),
)
_PAGE = re.compile(rb"\s{0,64}<(?:!doctype|html|\?xml|table|head|meta)", re.IGNORECASE)
_LINE_END = re.compile(rb"(\r\n|\n|\r)")
_SAVE = "open it in the spreadsheet and save it as CSV (comma separated, UTF-8)"
_PLAIN = "a plain text table (CSV)"


@dataclass(frozen=True, slots=True)
class Decoded:
    """The text of a file, how it was written, and lines that came out damaged."""

    text: str
    encoding: str
    bom: bool
    unsure: frozenset[int] = frozenset()


def decode(data: bytes, gather: Gather, limits: Limits) -> Decoded | None:
    """Turn bytes into text, or say why they cannot be read.

    Parameters
    ----------
    data : bytes
        The whole file.
    gather : Gather
        Where problems go.
    limits : Limits
        Sizes above which the file is refused.

    Returns
    -------
    Decoded or None
        None when the file is refused; the reason is then in `gather`.
    """
    if len(data) > limits.file_bytes:
        _too_large(gather, limits)
        return None
    if not data.strip():
        _empty(gather)
        return None
    if _is_other(data, gather):
        return None
    for bom, codec, label in _BOMS:
        if data.startswith(bom):
            return _marked(data[len(bom) :], codec, label, gather)
    return _unmarked(data, gather)


def _too_large(gather: Gather, limits: Limits) -> None:
    gather.add(
        "error",
        "file too large",
        f"a file of more than {limits.file_bytes // 1_000_000} MB",
        f"at most {limits.file_bytes:,} bytes",
        "split it by year, or leave out columns the log does not need",
        line=1,
    )


def _empty(gather: Gather) -> None:
    gather.add(
        "error",
        "empty file",
        "no text at all",
        "a first row with the names of the columns, then one row an entry",
        "check that the right file was saved",
        line=1,
    )


def _is_other(data: bytes, gather: Gather) -> bool:
    for magic, kind, what in _MAGIC:
        if data.startswith(magic):
            gather.add("error", kind, what, _PLAIN, _SAVE, line=1)
            return True
    if _PAGE.match(data[:128].removeprefix(codecs.BOM_UTF8)):
        gather.add("error", "not a table", "a web page", _PLAIN, _SAVE, line=1)
        return True
    return False


def _marked(data: bytes, codec: str, label: str, gather: Gather) -> Decoded | None:
    """Decode a file that says by its first bytes what it is written in."""
    surplus = len(data) % _UNIT_BYTES[label]
    whole = data[: len(data) - surplus]
    try:
        text = whole.decode(codec)
    except UnicodeDecodeError as fault:
        if codec == "utf-8":
            return _by_line(data, gather, bom=True)
        line = _line_number(whole[: fault.start].decode(codec, "replace"))
        _not_text(gather, line, f"bytes that are not {label}")
        return None
    if not text.strip():
        _cut_off(gather, 1) if surplus else _empty(gather)
        return None
    unsure: frozenset[int] = frozenset()
    if surplus:
        line = _line_number(text)
        unsure = frozenset({line})
        _cut_off(gather, line)
    return Decoded(text, label, True, unsure)


def _unmarked(data: bytes, gather: Gather) -> Decoded | None:
    codec = _hidden_utf16(data)
    if codec is not None:
        return _hidden(data, codec, gather)
    try:
        return Decoded(data.decode("utf-8"), "utf-8", False)
    except UnicodeDecodeError as fault:
        if fault.reason == "unexpected end of data":
            text = data[: fault.start].decode("utf-8")
            line = _line_number(text)
            if not text.isascii():
                _cut_off(gather, line)
                return Decoded(text, "utf-8", False, frozenset({line}))
    return _by_line(data, gather, bom=False)


def _hidden_utf16(data: bytes) -> str | None:
    """Name the UTF-16 order of a file without a mark, from where its zeros stand."""
    sample = data[:4096]
    half = len(sample) // 2
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if len(data) % 2 or half < 4:
        return None
    if odd > 0.6 * half and even < 0.05 * half:
        return "utf-16-le"
    if even > 0.6 * half and odd < 0.05 * half:
        return "utf-16-be"
    return None


def _hidden(data: bytes, codec: str, gather: Gather) -> Decoded | None:
    try:
        text = data.decode(codec)
    except UnicodeDecodeError:
        _not_text(gather, 1, "bytes with zeros between them")
        return None
    gather.add(
        "note",
        "encoding guessed",
        "two bytes for each letter and no mark that says so",
        "UTF-8",
        "nothing to do if the words look right; else save as CSV (UTF-8)",
        line=1,
    )
    return Decoded(text, "utf-16", False)


def _by_line(data: bytes, gather: Gather, *, bom: bool) -> Decoded | None:
    """Decode line by line: UTF-8 where it is, the western code page elsewhere."""
    parts = _LINE_END.split(data)
    texts: list[str] = []
    changed: list[tuple[int, str]] = []
    kept_utf8 = False
    for index, part in enumerate(parts):
        try:
            text = part.decode("utf-8")
            kept_utf8 = kept_utf8 or not text.isascii()
        except UnicodeDecodeError:
            line = index // 2 + 1
            try:
                text = part.decode("cp1252")
            except UnicodeDecodeError as fault:
                _not_text(gather, line, f"byte {part[fault.start]:#04x}")
                return None
            changed.append((line, text))
        texts.append(text)
    _tell_guess(gather, changed, mixed=kept_utf8)
    label = "utf-8 and cp1252" if kept_utf8 or bom else "cp1252"
    return Decoded("".join(texts), label, bom)


def _tell_guess(gather: Gather, changed: list[tuple[int, str]], *, mixed: bool) -> None:
    lines = [line for line, _ in changed]
    shown = "; ".join(f"line {line} {clip(text)}" for line, text in changed[:3])
    some = "some lines" if mixed else "letters"
    gather.add(
        "note",
        "encoding guessed",
        f"{some} not written in UTF-8, read as western European (cp1252): {shown}",
        "UTF-8",
        "nothing to do if these words look right; else save as CSV (UTF-8)",
        line=lines[0],
        lines=lines,
    )


def _not_text(gather: Gather, line: int, seen: str) -> None:
    gather.add("error", "not text", seen, _PLAIN, _SAVE, line=line)


def _cut_off(gather: Gather, line: int) -> None:
    gather.add(
        "error",
        "file cut off",
        f"the file ends in the middle of a letter ({some_lines([line])})",
        "a whole file",
        "save or copy the file again",
        line=line,
    )


def _line_number(text: str) -> int:
    ends = text.count("\n") + text.count("\r") - text.count("\r\n")
    return ends + 1
