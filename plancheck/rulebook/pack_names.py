"""Whose a rules file is: shipped packs and those of in-house folders, and that nobody takes the name of another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from plancheck.finding import Mistake
from plancheck.rulebook import nodes
from plancheck.rulebook.read import RulesFile
from plancheck.source import Span


@dataclass(slots=True)
class PackNames:
    """The packs as they are met. `folder_of` gives the folder of each in-house file; the others are shipped."""

    folder_of: Mapping[str, str]
    mistakes: list[Mistake]
    titles: dict[str, str] = field(default_factory=dict)
    of_folder: dict[str, str] = field(default_factory=dict)
    """Name of the pack that a folder is."""
    _first: dict[str, tuple[str, Span]] = field(default_factory=dict)
    """Folder and place where each pack was named first; the folder is empty for shipped ones."""

    def admit(self, node: nodes.PackNode, file: RulesFile) -> bool:
        """Whether a file may be of the pack that it names."""
        name, at = node.name.text, file.span(node.name)
        folder = self.folder_of.get(file.source.name, "")
        home, first = self._first.setdefault(name, (folder, at))
        if home != folder:
            headline = f"The pack “{name}” is {f'in {home}' if home else 'a shipped one'} already"
            hint = f"What is to be otherwise in its rules, a pack of yours says with “change {name}/RULE {{ … }}”."
            self.mistakes.append(Mistake(at, headline, f"“{name}”", "a name of its own", hint, (first,)))
            return False
        known = self.of_folder.setdefault(folder, name) if folder else name
        if known != name:
            also = (self._first[known][1],)
            expected = f"“pack {known}”, or a folder of its own"
            self.mistakes.append(Mistake(at, "A folder is one pack", f"“{name}”", expected, "", also))
            return False
        title = node.title.text if node.title else ""
        self.titles[name] = self.titles.get(name) or title
        return True

    @property
    def in_house(self) -> frozenset[str]:
        """Names of the packs that in-house folders hold."""
        return frozenset(self.of_folder.values())
