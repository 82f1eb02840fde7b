"""Layer 7: what an author is shown and offered while writing; pure, in offsets and spans, of no editor's protocol."""
