"""Layer 6: files on disk: plans, packs, companies' files, and the rules and kinds at hand."""
