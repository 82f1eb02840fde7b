"""A folder that appears whole or not at all: it is filled beside its place, and then renamed."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from types import TracebackType

from plancheck.cli.output import UnwritableError
from plancheck.library.refusal import UsageError, reason


def check_folder(target: str) -> None:
    """Refuses a folder to hand over into that cannot come to be: something stands there, or nothing above it."""
    path = Path(target)
    if not target:
        raise UsageError("--to: say into which folder.")
    if path.is_dir():
        if any(path.iterdir()):
            raise UsageError(f"--to: the folder “{target}” is there already, and holds something; name a new one.")
    elif os.path.lexists(path):
        raise UsageError(f"--to: “{target}” is there already, and no folder.")
    above = Path(os.path.abspath(target)).parent
    if not above.is_dir():
        raise UsageError(f"--to: the folder of “{target}” does not exist.")


class FolderOutput:
    """Takes files one by one. What is not finished is taken away again. Raises UnwritableError."""

    def __init__(self, target: str) -> None:
        self.target = target
        self._beside = Path(f"{os.path.abspath(target)}.{os.getpid()}.part")

    def __enter__(self) -> FolderOutput:
        try:
            self._beside.mkdir()
        except (OSError, ValueError) as trouble:
            raise self._unwritable(trouble) from None
        return self

    def put(self, name: str, text: str) -> None:
        """One more file; `name` is its path from the folder on."""
        path = self._beside / name
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", errors="backslashreplace", newline="\n") as file:
                file.write(text)
        except (OSError, ValueError) as trouble:
            raise self._unwritable(trouble) from None

    def take_back(self, stem: str) -> None:
        """Take away what was put there of one plan, whose process ended in the middle of it."""
        for path in (f"{stem}.html", f"{stem}.json"):
            (self._beside / path).unlink(missing_ok=True)
        shutil.rmtree(self._beside / f"{stem}-tables", ignore_errors=True)

    def finish(self) -> None:
        """Put the folder in its place."""
        try:
            os.replace(self._beside, self.target)
        except (OSError, ValueError) as trouble:
            raise self._unwritable(trouble) from None

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        shutil.rmtree(self._beside, ignore_errors=True)

    def _unwritable(self, trouble: OSError | ValueError) -> UnwritableError:
        return UnwritableError(f"“{self.target}” cannot be written: {reason(trouble)}.")
