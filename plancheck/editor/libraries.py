"""Rules and kinds for the plans before authors, loaded anew when a text of a pack or a company's file changes."""

from __future__ import annotations

import os
import threading
from collections.abc import Sequence
from pathlib import Path

from plancheck.editor.texts import Texts
from plancheck.library.house import HOUSE_FILE, ByHouse, HouseFolders, named_house
from plancheck.library.load import Library, load_library


class Libraries:
    """The library of each plan. `packs` and `house` are those named when the editor's server was started."""

    def __init__(self, packs: Sequence[str], house: str | None, texts: Texts) -> None:
        self._packs, self._house, self._texts = packs, house, texts
        self._folders: list[str] = []
        self._lock = threading.Lock()
        self._by_house = self._afresh()

    def work_in(self, folders: Sequence[str]) -> None:
        """The folders that are open in the editor: a company's file is looked for up to them."""
        self._folders = list(folders)
        self.forget()

    def of(self, plan: Path) -> Library:
        """The library of a plan, loaded when it is first asked for."""
        with self._lock:
            return self._by_house.of(plan)

    def forget(self) -> None:
        """Has everything loaded anew, when it is asked for."""
        with self._lock:
            self._by_house = self._afresh()

    def is_of_them(self, real: str, library: Library) -> bool:
        """Whether a file, by its real path, says what a library holds."""
        if os.path.basename(real) == HOUSE_FILE or real in library.files:
            return True
        if self._house is not None and real == os.path.realpath(named_house(self._house)):
            return True
        return any(Path(real).is_relative_to(pack.files.real) for pack in library.at_hand)

    def _afresh(self) -> ByHouse[Library]:
        return ByHouse(self._load, self._packs, self._house, self._folders, self._texts.read)

    def _load(self, packs: Sequence[str], house: HouseFolders | None) -> Library:
        return load_library(packs, house, self._texts.read)
