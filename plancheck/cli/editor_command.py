"""`plancheck editor`: the language server, for editors that speak LSP."""

from __future__ import annotations

import logging
import sys
from argparse import Namespace

from plancheck.library.house import named_house
from plancheck.library.packs import named_folder
from plancheck.library.refusal import UsageError, reason


def editor(options: Namespace) -> int:
    """Serves one editor, until it goes."""
    from datetime import date

    from plancheck.editor.server import Settings
    from plancheck.editor.start import at_address, over_pipes

    for folder in options.packs:
        named_folder(folder)
    if options.house is not None:
        named_house(options.house)
    logging.basicConfig(stream=sys.stderr, level=logging.ERROR, format="plancheck: %(message)s")
    settings = Settings(options.packs, options.house, date.fromisoformat(options.as_of) if options.as_of else None)
    if options.port is None:
        return over_pipes(settings)
    try:
        return at_address(settings, options.host, options.port)
    except OSError as trouble:
        raise UsageError(f"--port: {options.host}:{options.port} cannot be had: {reason(trouble)}.") from None
