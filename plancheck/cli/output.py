"""Where the words go: standard output, or a file that appears whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
import sys
from typing import TextIO

from plancheck.library.refusal import reason

UNREAD = 2
"""Exit status: something could not be read, analysed, written, or understood."""


class UnwritableError(Exception):
    """The file asked for cannot be written; the text says why."""


def put(text: str, status: int = 0) -> int:
    """Writes to standard output and returns the exit status. A reader that has left is no fault of ours."""
    _write(sys.stdout, text)
    return status


def complain(text: str) -> None:
    """Writes to standard error, without anything that a terminal would obey."""
    from plancheck.render.columns import shown

    _write(sys.stderr, "\n".join(map(shown, text.split("\n"))))


def _write(stream: TextIO, text: str) -> None:
    try:
        stream.write(_encodable(text, stream.encoding or "utf-8"))
        stream.flush()
    except BrokenPipeError:
        # Python would flush again at its end and complain: give it somewhere to put the rest.
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _encodable(text: str, encoding: str) -> str:
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        from plancheck.render.text import plain

        return plain(text).encode(encoding, "backslashreplace").decode(encoding)
    return text


def written(text: str, to: str | None, status: int = 0) -> int:
    """Puts out an answer, into a file where one is asked for, and returns the exit status."""
    if to is None:
        return put(text, status)
    try:
        write_whole(to, text)
    except UnwritableError as refusal:
        complain(f"plancheck: {refusal}\n")
        return UNREAD
    return status


def write_whole(path: str, text: str, keep_mode: bool = False) -> None:
    """Writes a file beside its place and then renames it, so that no reader meets half of it.

    One that is there keeps who may read and write it, where that is asked for. Raises UnwritableError.
    """
    if os.path.exists(path) and not os.path.isfile(path):
        _write_through(path, text)
        return
    beside = ""
    try:
        target = os.path.realpath(path)
        beside = f"{target}.{os.getpid()}.part"
        with open(beside, "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
        if keep_mode:
            if not os.access(target, os.W_OK):
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
            os.chmod(beside, stat.S_IMODE(os.stat(target).st_mode))
        os.replace(beside, target)
    except (OSError, ValueError) as trouble:
        _discard(beside)
        raise UnwritableError(f"“{path}” cannot be written: {reason(trouble)}.") from None


def _write_through(path: str, text: str) -> None:
    """A device or pipe is written as it is; a folder is refused by the system."""
    try:
        with open(path, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except OSError as trouble:
        raise UnwritableError(f"“{path}” cannot be written: {reason(trouble)}.") from None


def _discard(path: str) -> None:
    try:
        os.unlink(path)
    except (OSError, ValueError):
        return


def page_width(asked: int | None, stream: TextIO) -> int:
    """Columns to write on: as asked, or the terminal's within reason, or 100."""
    if asked is not None:
        return asked
    try:
        return min(max(os.get_terminal_size(stream.fileno()).columns, 40), 120)
    except (OSError, ValueError):
        return 100


def takes_colour(stream: TextIO) -> bool:
    """Whether colour may be used: a terminal, and nobody said no (https://no-color.org)."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
