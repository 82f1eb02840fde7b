"""Layer 1: texts to statements. Knows source texts and nothing of what a statement means."""
