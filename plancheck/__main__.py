"""`python -m plancheck` is the `plancheck` command."""

from plancheck.cli.main import main

raise SystemExit(main())
