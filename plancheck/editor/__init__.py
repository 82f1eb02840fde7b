"""Layer 8: the language server (LSP): documents, positions, scheduling. The only place that knows pygls."""
